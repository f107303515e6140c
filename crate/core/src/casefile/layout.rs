//! Lays JSON text out so that a file stays readable: what fits on a line stays on one.
//!
//! Lists of objects or lists take a line an item (one centreline point a line), plain lists fill
//! their lines, whole numbers lose their `.0`. Works on text that serde_json wrote.

/// Width that a line keeps to where it can.
const WIDTH: usize = 110;

/// The same JSON, laid out, ending with a newline.
pub fn lay_out(compact: &str) -> String {
    let mut text = Text { bytes: compact.as_bytes(), text: compact, at: 0 };
    let node = text.node();
    let mut out = String::with_capacity(compact.len() * 2);
    put(&mut out, &node, 0, true);
    out.push('\n');
    out
}

enum Node<'t> {
    Plain(&'t str),
    List(Vec<Node<'t>>),
    Object(Vec<(&'t str, Node<'t>)>),
}

impl Node<'_> {
    fn is_plain(&self) -> bool {
        matches!(self, Node::Plain(_))
    }

    /// Whether it may stand on one line, if it fits: a list within a list asks for lines.
    fn is_flat(&self) -> bool {
        match self {
            Node::Plain(_) => true,
            Node::List(items) => items.iter().all(Node::is_plain),
            Node::Object(entries) => entries.iter().all(|(_, node)| node.is_flat()),
        }
    }

    /// Width on one line; only asked of flat nodes, which are shallow.
    fn width(&self) -> usize {
        match self {
            Node::Plain(text) => text.len(),
            Node::List(items) => items.iter().map(|item| item.width() + 2).sum::<usize>().max(2),
            Node::Object(entries) => 2 + entries.iter().map(|(key, node)| key.len() + node.width() + 4).sum::<usize>(),
        }
    }
}

/// A place in text that serde_json wrote without spaces.
struct Text<'t> {
    bytes: &'t [u8],
    text: &'t str,
    at: usize,
}

impl<'t> Text<'t> {
    fn node(&mut self) -> Node<'t> {
        match self.bytes.get(self.at) {
            Some(b'[') => {
                let mut items = Vec::new();
                self.at += 1;
                while !self.ends_with(b']') {
                    items.push(self.node());
                }
                Node::List(items)
            }
            Some(b'{') => {
                let mut entries = Vec::new();
                self.at += 1;
                while !self.ends_with(b'}') {
                    let key = self.string();
                    self.at += 1;
                    entries.push((key, self.node()));
                }
                Node::Object(entries)
            }
            Some(b'"') => Node::Plain(self.string()),
            _ => Node::Plain(self.word()),
        }
    }

    /// Steps over a comma, or over the closing bracket and says so.
    fn ends_with(&mut self, bracket: u8) -> bool {
        match self.bytes.get(self.at) {
            Some(byte) if *byte == bracket => {
                self.at += 1;
                true
            }
            Some(b',') => {
                self.at += 1;
                false
            }
            Some(_) => false,
            None => true,
        }
    }

    fn string(&mut self) -> &'t str {
        let start = self.at;
        self.at += 1;
        while let Some(byte) = self.bytes.get(self.at) {
            self.at += match byte {
                b'\\' => 2,
                _ => 1,
            };
            if *byte == b'"' {
                break;
            }
        }
        self.text.get(start..self.at).unwrap_or_default()
    }

    fn word(&mut self) -> &'t str {
        let start = self.at;
        while self.bytes.get(self.at).is_some_and(|byte| !matches!(byte, b',' | b']' | b'}')) {
            self.at += 1;
        }
        let word = self.text.get(start..self.at).unwrap_or_default();
        match word.strip_suffix(".0") {
            Some("-0") => "0",
            Some(whole) => whole,
            None => word,
        }
    }
}

fn put(out: &mut String, node: &Node<'_>, indent: usize, outermost: bool) {
    let column = out.len() - out.rfind('\n').map_or(0, |at| at + 1);
    let one_line = !outermost && node.is_flat() && column + node.width() <= WIDTH;
    match node {
        Node::Plain(text) => out.push_str(text),
        Node::List(items) if items.is_empty() => out.push_str("[]"),
        Node::Object(entries) if entries.is_empty() => out.push_str("{}"),
        Node::List(items) if one_line => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { "" });
                put(out, item, indent, false);
            }
            out.push(']');
        }
        Node::Object(entries) if one_line => {
            out.push_str("{ ");
            for (index, (key, item)) in entries.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { "" });
                out.push_str(key);
                out.push_str(": ");
                put(out, item, indent, false);
            }
            out.push_str(" }");
        }
        Node::List(items) => {
            let fills = items.iter().all(Node::is_plain);
            let mut column = WIDTH;
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                out.push_str(if index > 0 { "," } else { "" });
                // Filled lines are measured here: looking back for the last newline at every
                // number would make long lists slow.
                if fills && column + item.width() + 2 <= WIDTH {
                    out.push(' ');
                    column += item.width() + 2;
                } else {
                    new_line(out, indent + 1);
                    column = 2 * (indent + 1) + item.width();
                }
                put(out, item, indent + 1, false);
            }
            new_line(out, indent);
            out.push(']');
        }
        Node::Object(entries) => {
            out.push('{');
            for (index, (key, item)) in entries.iter().enumerate() {
                out.push_str(if index > 0 { "," } else { "" });
                new_line(out, indent + 1);
                out.push_str(key);
                out.push_str(": ");
                put(out, item, indent + 1, false);
            }
            new_line(out, indent);
            out.push('}');
        }
    }
}

fn new_line(out: &mut String, indent: usize) {
    out.push('\n');
    for _ in 0..indent {
        out.push_str("  ");
    }
}

#[cfg(test)]
mod tests {
    use super::lay_out;

    #[test]
    fn short_things_stay_on_a_line_and_points_take_one_each() {
        let compact = r#"{"a":[[0.0,1.5,-0.0],[1e20,2.0,3.0]],"b":{"c":"x.0, [\"]","d":[]},"e":{}}"#;
        let wanted = "{\n  \"a\": [\n    [0, 1.5, 0],\n    [1e20, 2, 3]\n  ],\n  \"b\": { \"c\": \"x.0, [\\\"]\", \"d\": [] },\n  \"e\": {}\n}\n";
        assert_eq!(lay_out(compact), wanted);
    }

    #[test]
    fn long_plain_lists_fill_their_lines() {
        let numbers: Vec<f64> = (0..360).map(|n| f64::from(n) + 0.25).collect();
        let text = lay_out(&serde_json::to_string(&serde_json::json!({ "radii": numbers })).unwrap());
        assert!(text.lines().all(|line| line.len() <= 112), "{text}");
        assert!(text.lines().count() < 32);
        let back: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["radii"].as_array().unwrap().len(), 360);
    }
}
