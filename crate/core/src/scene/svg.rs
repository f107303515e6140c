//! A scene as an SVG document: a tree of elements, and its text.
//!
//! The page builds the same tree as live SVG elements, so screen, print and file are one picture.
//! Only presentation attributes are used, never a style attribute, which the page's policy would
//! block. The same scene gives the same bytes: patterns are defined once, their ids are the scene's
//! name and the token's, numbers are rounded to 0.01 mm. Nothing in a scene can leave its place in
//! the tree: names are fixed and all words are escaped.

use super::ink::{Fill, Ink, Outline, Stroke, inks};
use super::style::{Hatch, Medium, Token, Weight};
use super::{Anchor, Scene, Spot, helvetica};
use std::fmt::Write;

/// The namespace of SVG elements.
pub const NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// An element with its attributes in order, its words and its children.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Element {
    /// Its name.
    pub name: &'static str,
    /// Attributes in the order in which they are written.
    pub attributes: Vec<(&'static str, String)>,
    /// Words before the children; empty for most.
    pub words: String,
    /// Children in order.
    pub children: Vec<Element>,
}

impl Element {
    fn new(name: &'static str) -> Self {
        Element { name, attributes: Vec::new(), words: String::new(), children: Vec::new() }
    }

    fn with(mut self, name: &'static str, value: impl Into<String>) -> Self {
        self.attributes.push((name, value.into()));
        self
    }

    fn saying(mut self, words: &str) -> Self {
        self.words = words.into();
        self
    }

    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(own, _)| *own == name).map(|(_, value)| value.as_str())
    }

    fn write(&self, text: &mut String, depth: usize, in_words: bool) {
        if !in_words {
            indent(text, depth);
        }
        text.push('<');
        text.push_str(self.name);
        for (name, value) in &self.attributes {
            text.push(' ');
            text.push_str(name);
            text.push_str("=\"");
            escape(value, text);
            text.push('"');
        }
        if self.words.is_empty() && self.children.is_empty() {
            text.push_str("/>\n");
            return;
        }
        text.push('>');
        escape(&self.words, text);
        // Spaces between elements would be letters inside words.
        let inline = self.name == "text";
        if !self.children.is_empty() && !inline {
            text.push('\n');
        }
        for child in &self.children {
            child.write(text, depth + 1, inline);
        }
        if !self.children.is_empty() && !inline {
            indent(text, depth);
        }
        text.push_str("</");
        text.push_str(self.name);
        text.push('>');
        if !in_words {
            text.push('\n');
        }
    }
}

fn indent(text: &mut String, depth: usize) {
    text.extend(std::iter::repeat_n(' ', depth));
}

/// The scene as a tree, `svg` at its root.
pub fn tree(scene: &Scene) -> Element {
    let name = scene.name;
    let family = match scene.medium {
        Medium::Screen => "system-ui, -apple-system, 'Segoe UI', Roboto, 'Liberation Sans', Arial, sans-serif",
        Medium::Paper => helvetica::FAMILY,
    };
    let mut root = Element::new("svg")
        .with("xmlns", NAMESPACE)
        .with("viewBox", format!("0 0 {} {}", number(scene.width_mm), number(scene.height_mm)))
        .with("width", format!("{}mm", number(scene.width_mm)))
        .with("height", format!("{}mm", number(scene.height_mm)))
        .with("role", "img")
        .with("aria-labelledby", format!("{name}-title {name}-description"))
        .with("font-family", family)
        .with("font-variant", "tabular-nums")
        .with("fill", "none")
        .with("stroke-linejoin", "round");
    root.children.push(Element::new("title").with("id", format!("{name}-title")).saying(&scene.title));
    root.children.push(Element::new("desc").with("id", format!("{name}-description")).saying(&scene.description));

    let mut hatches: Vec<Token> =
        scene.items.iter().map(|item| item.token).filter(|token| token.look().hatch.is_some()).collect();
    hatches.sort_unstable();
    hatches.dedup();
    let mut definitions = Element::new("defs");
    for token in hatches {
        if let Some(hatch) = token.look().hatch {
            definitions.children.push(pattern(&pattern_id(name, token), &hatch));
        }
    }
    root.children.push(definitions);

    let edge = [scene.width_mm, scene.height_mm];
    root.children.push(
        Element::new("rect")
            .with("width", number(edge[0]))
            .with("height", number(edge[1]))
            .with("fill", super::style::GROUND.0),
    );
    for item in &scene.items {
        let mut drawn: Vec<Element> = inks(item, scene.medium).iter().filter_map(|ink| element(ink, name)).collect();
        let mut one = match drawn.len() {
            0 => continue,
            1 => drawn.remove(0),
            _ => Element { children: drawn, ..Element::new("g") },
        };
        if let Some(tie) = &item.tie {
            one.attributes.push(("data-tie", tie.clone()));
        }
        if matches!(item.token, Token::Handle | Token::SecondHandle) {
            one.attributes.push(("data-handle", "true".into()));
        }
        root.children.push(one);
    }
    root
}

/// The scene as the text of an SVG file.
pub fn text(scene: &Scene) -> String {
    let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    tree(scene).write(&mut text, 0, false);
    text
}

fn pattern_id(scene: &str, token: Token) -> String {
    format!("{scene}-{}", token.name())
}

/// A hatch: one line through the middle of a square that is laid edge to edge.
fn pattern(id: &str, hatch: &Hatch) -> Element {
    let step = number(hatch.step_mm);
    let middle = number(hatch.step_mm / 2.0);
    let line = Element::new("path")
        .with("d", format!("M0,{middle}H{step}"))
        .with("stroke", hatch.colour.0)
        .with("stroke-width", number(hatch.width_mm))
        .with("stroke-opacity", number(hatch.opacity));
    let mut pattern = Element::new("pattern")
        .with("id", id)
        .with("width", step.clone())
        .with("height", step)
        .with("patternUnits", "userSpaceOnUse");
    let degrees = -hatch.angle.to_deg();
    if degrees != 0.0 {
        pattern = pattern.with("patternTransform", format!("rotate({})", number(degrees)));
    }
    pattern.children.push(line);
    pattern
}

/// One ink as an element; none where a coordinate is not a number.
fn element(ink: &Ink, scene: &str) -> Option<Element> {
    let mut one = match &ink.outline {
        Outline::Line(points) => Element::new("path").with("d", path([points], false)?),
        Outline::Rings(rings) => {
            let one = Element::new("path").with("d", path(rings, true)?);
            if rings.len() > 1 { one.with("fill-rule", "evenodd") } else { one }
        }
        Outline::Circle { centre, radius_mm } => {
            finite(&[*centre, [*radius_mm, 0.0]])?;
            Element::new("circle")
                .with("cx", number(centre[0]))
                .with("cy", number(centre[1]))
                .with("r", number(radius_mm.max(0.0)))
        }
        Outline::Words { at, words, then, anchor, size_mm, weight } => {
            finite(&[*at])?;
            let mut one = Element::new("text")
                .with("x", number(at[0]))
                .with("y", number(at[1]))
                .with("font-size", number(*size_mm))
                .saying(words);
            match anchor {
                Anchor::Start => {}
                Anchor::Middle => one = one.with("text-anchor", "middle"),
                Anchor::End => one = one.with("text-anchor", "end"),
            }
            if *weight == Weight::Bold {
                one = one.with("font-weight", "600");
            }
            if ink.stroke.is_some() {
                one = one.with("paint-order", "stroke");
            }
            if let Some(then) = then {
                let mut more = Element::new("tspan").with("font-size", number(then.size_mm)).saying(&then.words);
                more = more.with("font-weight", if then.weight == Weight::Bold { "600" } else { "400" });
                if let Some(colour) = then.colour {
                    more = more.with("fill", colour.0);
                }
                one.children.push(more);
            }
            one
        }
    };
    match ink.fill {
        Some(Fill::Flat(colour, opacity)) => {
            one = one.with("fill", colour.0);
            if opacity < 1.0 {
                one = one.with("fill-opacity", number(opacity));
            }
        }
        Some(Fill::Hatch(token)) => one = one.with("fill", format!("url(#{})", pattern_id(scene, token))),
        None => {}
    }
    if let Some(Stroke { colour, width_mm, dash_mm }) = ink.stroke {
        one = one.with("stroke", colour.0).with("stroke-width", number(width_mm));
        if !dash_mm.is_empty() {
            let dashes: Vec<String> = dash_mm.iter().map(|mm| number(*mm)).collect();
            one = one.with("stroke-dasharray", dashes.join(" "));
        }
    }
    Some(one)
}

fn finite(spots: &[Spot]) -> Option<()> {
    spots.iter().flatten().all(|value| value.is_finite()).then_some(())
}

/// Path data through points; none where there is nothing to draw or a coordinate is not a number.
fn path<'a>(lines: impl IntoIterator<Item = &'a Vec<Spot>>, closed: bool) -> Option<String> {
    let mut data = String::new();
    for points in lines {
        finite(points)?;
        for (index, point) in points.iter().enumerate() {
            let step = if index == 0 { 'M' } else { 'L' };
            // Writing to a String does not fail.
            let _ = write!(data, "{step}{},{}", number(point[0]), number(point[1]));
        }
        if closed && !points.is_empty() {
            data.push('Z');
        }
    }
    (!data.is_empty()).then_some(data)
}

/// A number to 0.01, without trailing zeros and without a negative zero.
fn number(value: f64) -> String {
    let mut text = format!("{value:.2}");
    while text.ends_with('0') {
        text.pop();
    }
    if text.ends_with('.') {
        text.pop();
    }
    if text == "-0" { "0".into() } else { text }
}

/// Words with the five special characters escaped and what XML 1.0 forbids left out.
fn escape(words: &str, text: &mut String) {
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\'' => text.push_str("&#39;"),
            '\t' | '\n' | '\r' => text.push(' '),
            '\u{FFFE}' | '\u{FFFF}' => {}
            letter if letter.is_control() => {}
            letter => text.push(letter),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Item, Shape, Sign};
    use super::*;

    /// One item of every token and every shape, with words that try to break out.
    fn everything() -> Scene {
        let mut items: Vec<Item> = Token::ALL
            .iter()
            .map(|&token| Item {
                token,
                shape: Shape::Area(vec![vec![[0.0, 0.0], [5.0, 0.0], [5.0, 5.0]]]),
                tie: Some("a\"><script>&'\u{0}\u{7}\n".into()),
                lit: false,
            })
            .collect();
        let shapes = [
            Shape::Path(vec![[1.0, 2.0], [3.004, -0.001]]),
            Shape::Circle { centre: [4.0, 4.0], radius_mm: 2.0 },
            Shape::Text {
                at: [3.0, 3.0],
                words: "</text><script>alert(1)</script> & 'so' \"on\" ]]> \u{FFFF}\u{1}".into(),
                then: Some((Token::Note, "<&>".into())),
                anchor: Anchor::Middle,
                patch: true,
            },
            Shape::Dimension { from: [0.0, 0.0], to: [9.0, 0.0] },
            Shape::Field {
                from: [0.0, 0.0],
                to: [4.0, 4.0],
                columns: 2,
                values: vec![0.0, 1.0, f32::NAN, 0.3],
                range: [0.0, 1.0],
            },
            Shape::Path(vec![[f64::NAN, 0.0], [1.0, f64::INFINITY]]),
        ];
        let signs = [
            Sign::Cross,
            Sign::CrossedRing,
            Sign::ArrowRight,
            Sign::ArrowLeft,
            Sign::Question,
            Sign::Handle,
            Sign::Diamond,
            Sign::Tick,
            Sign::Wave,
            Sign::Saltire,
        ];
        let marks = signs.map(|sign| Shape::Mark { at: [2.0, 2.0], sign, size_mm: 2.0 });
        items.extend(shapes.into_iter().chain(marks).map(|shape| Item {
            token: Token::WallScale,
            shape,
            tie: None,
            lit: true,
        }));
        Scene {
            ground: 0,
            name: "every",
            width_mm: 40.0,
            height_mm: 30.0,
            medium: Medium::Screen,
            title: "a < b & c".into(),
            description: "\u{8}d".into(),
            items,
        }
    }

    #[test]
    fn it_is_well_formed_and_nothing_breaks_out() {
        let text = text(&everything());
        let document = roxmltree::Document::parse(&text).unwrap();
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            assert!(
                ["svg", "title", "desc", "defs", "pattern", "g", "path", "circle", "rect", "text", "tspan"]
                    .contains(&node.tag_name().name()),
                "{}",
                node.tag_name().name()
            );
            for attribute in node.attributes() {
                assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
                assert!(!["style", "class", "href"].contains(&attribute.name()), "{}", attribute.name());
            }
        }
        assert!(!text.contains("NaN") && !text.contains("inf"));
    }

    #[test]
    fn ids_are_given_once_and_every_pattern_is_there() {
        let text = text(&everything());
        let document = roxmltree::Document::parse(&text).unwrap();
        let mut ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all);
        for node in document.descendants() {
            if let Some(id) = node.attribute("fill").and_then(|fill| fill.strip_prefix("url(#")) {
                assert!(ids.contains(&id.trim_end_matches(')')), "{id}");
            }
        }
    }

    #[test]
    fn the_same_scene_gives_the_same_bytes() {
        assert_eq!(text(&everything()), text(&everything()));
    }

    #[test]
    fn numbers_are_short_and_never_a_negative_zero() {
        for (value, words) in
            [(1.0, "1"), (-0.001, "0"), (0.125, "0.12"), (10.0, "10"), (2.50, "2.5"), (-3.456, "-3.46")]
        {
            assert_eq!(number(value), words);
        }
    }
}
