//! What is laid on the paper: every shape of a scene as outlines with a stroke and a fill.
//!
//! The one place that knows how a sign, an arrowhead or a tint is drawn, so that every output draws
//! the same picture: an output needs lines, circles and words, nothing else.

use super::style::{BLUE, Colour, GROUND, Medium, Token, Weight};
use super::{Anchor, Item, Shape, Sign, Spot};

/// Length of an arrowhead, mm: closed, filled, opening at 30° (ISO 129-1).
pub const ARROW_MM: f64 = 2.4;

/// How much wider a line is drawn that stands out.
const LIT: f64 = 1.8;

/// Levels of a tint.
const LEVELS: f32 = 8.0;

/// One outline with its stroke and fill.
#[derive(Clone, Debug, PartialEq)]
pub struct Ink {
    /// What is drawn.
    pub outline: Outline,
    /// The line along it.
    pub stroke: Option<Stroke>,
    /// What fills it.
    pub fill: Option<Fill>,
}

/// An outline.
#[derive(Clone, Debug, PartialEq)]
pub enum Outline {
    /// An open line.
    Line(Vec<Spot>),
    /// Closed rings, even-odd.
    Rings(Vec<Vec<Spot>>),
    /// A circle.
    Circle {
        /// Centre.
        centre: Spot,
        /// Radius, mm.
        radius_mm: f64,
    },
    /// Words on a base line.
    Words {
        /// Where the anchor stands.
        at: Spot,
        /// The words.
        words: String,
        /// More words that go on in another size, weight and colour.
        then: Option<Then>,
        /// Which end stands there.
        anchor: Anchor,
        /// Size of the letters, mm.
        size_mm: f64,
        /// Their weight.
        weight: Weight,
    },
}

/// Words that go on where others end.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Then {
    pub words: String,
    pub size_mm: f64,
    pub weight: Weight,
    pub colour: Option<Colour>,
}

/// A line's colour, width and dashes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Stroke {
    pub colour: Colour,
    pub width_mm: f64,
    pub dash_mm: &'static [f64],
}

/// What fills an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// A colour and the share of it that covers.
    Flat(Colour, f64),
    /// The hatch of a token.
    Hatch(Token),
}

/// The inks of an item, back to front.
pub fn inks(item: &Item, medium: Medium) -> Vec<Ink> {
    let look = item.token.look();
    let wider = if item.lit { LIT } else { 1.0 };
    let pen = look.stroke.map(|colour| Stroke { colour, width_mm: look.width_mm * wider, dash_mm: look.dash_mm });
    let solid = pen.map(|pen| Stroke { dash_mm: &[], ..pen });
    let flat = look.fill.map(|colour| Fill::Flat(colour, look.fill_opacity));
    match &item.shape {
        Shape::Path(points) => vec![Ink { outline: Outline::Line(points.clone()), stroke: pen, fill: None }],
        Shape::Area(rings) => area(Outline::Rings(rings.clone()), item.token, pen, flat),
        Shape::Circle { centre, radius_mm } => {
            area(Outline::Circle { centre: *centre, radius_mm: *radius_mm }, item.token, pen, flat)
        }
        Shape::Text { at, words, then, anchor, patch } => {
            let size_mm = medium.text_mm(look.size);
            let halo = patch.then_some(Stroke { colour: GROUND, width_mm: 0.28 * size_mm, dash_mm: &[] });
            let outline = Outline::Words {
                at: *at,
                words: words.clone(),
                then: then.as_ref().map(|(token, words)| {
                    let look = token.look();
                    let size_mm = medium.text_mm(look.size);
                    Then { words: words.clone(), size_mm, weight: look.weight, colour: look.fill }
                }),
                anchor: *anchor,
                size_mm,
                weight: if item.lit { Weight::Bold } else { look.weight },
            };
            vec![Ink { outline, stroke: halo, fill: flat }]
        }
        Shape::Dimension { from, to } => dimension(*from, *to, pen, flat),
        Shape::Mark { at, sign: Sign::Question, size_mm } => {
            let outline = Outline::Words {
                at: [at[0], at[1] + 0.36 * size_mm],
                words: "?".into(),
                then: None,
                anchor: Anchor::Middle,
                size_mm: *size_mm,
                weight: Weight::Bold,
            };
            let colour = look.stroke.or(look.fill).unwrap_or(BLUE);
            let halo = Stroke { colour: GROUND, width_mm: 0.28 * size_mm, dash_mm: &[] };
            vec![Ink { outline, stroke: Some(halo), fill: Some(Fill::Flat(colour, 1.0)) }]
        }
        Shape::Mark { at, sign, size_mm } => mark(*at, *sign, *size_mm, solid, flat),
        Shape::Field { from, to, columns, values, range } => {
            let Some(Fill::Flat(colour, most)) = flat else { return Vec::new() };
            tints(*from, *to, *columns, values, *range)
                .into_iter()
                .map(|(ring, share)| Ink {
                    outline: Outline::Rings(vec![ring]),
                    stroke: None,
                    fill: Some(Fill::Flat(colour, most * f64::from(share))),
                })
                .collect()
        }
    }
}

/// A region: flat fill below, hatch and outline above.
fn area(outline: Outline, token: Token, stroke: Option<Stroke>, flat: Option<Fill>) -> Vec<Ink> {
    let hatch = token.look().hatch.map(|_| Fill::Hatch(token));
    match (flat, hatch) {
        (Some(flat), Some(hatch)) => vec![
            Ink { outline: outline.clone(), stroke: None, fill: Some(flat) },
            Ink { outline, stroke, fill: Some(hatch) },
        ],
        (flat, hatch) => vec![Ink { outline, stroke, fill: hatch.or(flat) }],
    }
}

/// A dimension line with filled arrowheads; where it is short they stand outside, as usual.
fn dimension(from: Spot, to: Spot, stroke: Option<Stroke>, fill: Option<Fill>) -> Vec<Ink> {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let length = dx.hypot(dy);
    let along = if length > 1e-9 { [dx / length, dy / length] } else { [1.0, 0.0] };
    let outside = length < 2.6 * ARROW_MM;
    let step = |at: Spot, mm: f64| [at[0] + along[0] * mm, at[1] + along[1] * mm];
    let tail = if outside { -ARROW_MM } else { ARROW_MM };
    let head = |tip: Spot, back: f64| {
        let base = step(tip, back);
        let half = ARROW_MM * 0.27;
        let side = [-along[1] * half, along[0] * half];
        vec![tip, [base[0] + side[0], base[1] + side[1]], [base[0] - side[0], base[1] - side[1]]]
    };
    let line = if outside {
        vec![step(from, -2.0 * ARROW_MM), step(to, 2.0 * ARROW_MM)]
    } else {
        vec![step(from, 0.5 * ARROW_MM), step(to, -0.5 * ARROW_MM)]
    };
    vec![
        Ink { outline: Outline::Line(line), stroke, fill: None },
        Ink { outline: Outline::Rings(vec![head(from, tail), head(to, -tail)]), stroke: None, fill },
    ]
}

/// A sign, drawn with solid lines.
fn mark(at: Spot, sign: Sign, size_mm: f64, stroke: Option<Stroke>, fill: Option<Fill>) -> Vec<Ink> {
    let h = size_mm / 2.0;
    let place = |x: f64, y: f64| [at[0] + x * h, at[1] + y * h];
    let line = |points: &[Spot]| Ink {
        outline: Outline::Line(points.iter().map(|point| place(point[0], point[1])).collect()),
        stroke,
        fill: None,
    };
    let slant = std::f64::consts::FRAC_1_SQRT_2;
    match sign {
        Sign::Cross => vec![line(&[[-1.0, 0.0], [1.0, 0.0]]), line(&[[0.0, -1.0], [0.0, 1.0]])],
        Sign::CrossedRing => vec![
            Ink { outline: Outline::Circle { centre: at, radius_mm: h }, stroke, fill },
            line(&[[-slant, -slant], [slant, slant]]),
            line(&[[-slant, slant], [slant, -slant]]),
        ],
        Sign::ArrowRight => {
            vec![line(&[[-1.0, 0.0], [0.9, 0.0]]), line(&[[0.3, -0.45], [1.0, 0.0], [0.3, 0.45]])]
        }
        Sign::ArrowLeft => {
            vec![line(&[[1.0, 0.0], [-0.9, 0.0]]), line(&[[-0.3, -0.45], [-1.0, 0.0], [-0.3, 0.45]])]
        }
        Sign::Tick => vec![line(&[[-0.9, 0.05], [-0.3, 0.7], [0.9, -0.7]])],
        Sign::Wave => vec![line(&[
            [-1.0, 0.25],
            [-0.8, -0.1],
            [-0.5, -0.3],
            [-0.2, -0.2],
            [0.2, 0.2],
            [0.5, 0.3],
            [0.8, 0.1],
            [1.0, -0.25],
        ])],
        Sign::Saltire => vec![line(&[[-0.75, -0.75], [0.75, 0.75]]), line(&[[-0.75, 0.75], [0.75, -0.75]])],
        Sign::Diamond => vec![Ink {
            outline: Outline::Rings(vec![vec![place(0.0, -1.0), place(1.0, 0.0), place(0.0, 1.0), place(-1.0, 0.0)]]),
            stroke,
            fill: None,
        }],
        // A knob with an arrow to each side: it goes along and around.
        Sign::Handle => {
            let knob = Ink { outline: Outline::Circle { centre: at, radius_mm: h }, stroke, fill };
            let heads = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]].map(|[x, y]: Spot| {
                vec![
                    place(0.78 * x, 0.78 * y),
                    place(0.42 * x + 0.26 * y, 0.42 * y + 0.26 * x),
                    place(0.42 * x - 0.26 * y, 0.42 * y - 0.26 * x),
                ]
            });
            let white = Some(Fill::Flat(GROUND, 1.0));
            vec![knob, Ink { outline: Outline::Rings(heads.to_vec()), stroke: None, fill: white }]
        }
        Sign::Question => Vec::new(),
    }
}

/// Cells of like tint, joined along each row: ring and share of the full tint.
fn tints(from: Spot, to: Spot, columns: usize, values: &[f32], range: [f32; 2]) -> Vec<(Vec<Spot>, f32)> {
    if columns == 0 || values.len() < columns || range[1] <= range[0] {
        return Vec::new();
    }
    let rows = values.len() / columns;
    let [wide, high] = [(to[0] - from[0]) / columns as f64, (to[1] - from[1]) / rows as f64];
    let level = |value: f32| {
        let share = (value - range[0]) / (range[1] - range[0]);
        share.is_finite().then(|| (share.clamp(0.0, 1.0) * LEVELS).round() as u8)
    };
    let mut cells = Vec::new();
    for (row, line) in values.chunks_exact(columns).enumerate() {
        let mut start = 0;
        for column in 1..=columns {
            let own = level(line[start]);
            if column < columns && level(line[column]) == own {
                continue;
            }
            if let Some(own) = own.filter(|own| *own > 0) {
                let [left, right] = [from[0] + wide * start as f64, from[0] + wide * column as f64];
                let [top, bottom] = [from[1] + high * row as f64, from[1] + high * (row + 1) as f64];
                let ring = vec![[left, top], [right, top], [right, bottom], [left, bottom]];
                cells.push((ring, f32::from(own) / LEVELS));
            }
            start = column;
        }
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(token: Token, shape: Shape) -> Item {
        Item { token, shape, tie: None, lit: false }
    }

    #[test]
    fn arrowheads_end_at_the_measured_points() {
        for length in [30.0, 3.0, 0.0, -30.0] {
            let shape = Shape::Dimension { from: [5.0, 2.0], to: [5.0 + length, 2.0] };
            let drawn = inks(&item(Token::DimensionMet, shape), Medium::Screen);
            let Outline::Rings(heads) = &drawn[1].outline else { panic!("no arrowheads") };
            assert_eq!(heads[0][0], [5.0, 2.0]);
            assert_eq!(heads[1][0], [5.0 + length, 2.0]);
            // Inside a long dimension, outside a short one.
            let inwards = (heads[0][1][0] - 5.0) * if length < 0.0 { -1.0 } else { 1.0 };
            assert_eq!(inwards > 0.0, length.abs() > 2.6 * ARROW_MM, "{length}");
        }
    }

    #[test]
    fn like_cells_of_a_row_are_joined() {
        let values = [0.5, 0.5, 1.0, f32::NAN, 0.0, 0.5];
        let cells = tints([0.0, 0.0], [3.0, 2.0], 3, &values, [0.0, 1.0]);
        let wide: Vec<_> = cells.iter().map(|(ring, share)| (ring[1][0] - ring[0][0], *share)).collect();
        assert_eq!(wide, vec![(2.0, 0.5), (1.0, 1.0), (1.0, 0.5)]);
        assert!(tints([0.0, 0.0], [3.0, 2.0], 0, &values, [0.0, 1.0]).is_empty());
    }

    #[test]
    fn what_is_lit_is_wider() {
        let mut one = item(Token::Ostium, Shape::Circle { centre: [0.0, 0.0], radius_mm: 1.0 });
        let plain = inks(&one, Medium::Screen)[0].stroke.unwrap().width_mm;
        one.lit = true;
        assert!(inks(&one, Medium::Screen)[0].stroke.unwrap().width_mm > 1.5 * plain);
    }
}
