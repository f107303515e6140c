//! A piece of the page as plain data, and how it becomes words.
//!
//! Panels are pure functions from the state to such trees; [`crate::patch`] brings the document in
//! line with them. Knows no browser, so every panel is tested natively.

/// A node of the page.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// Words.
    Text(String),
    /// An element with its children.
    Element(Element),
}

/// An element.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Its tag.
    pub tag: &'static str,
    /// Whether it is drawn (SVG) rather than set (HTML).
    pub drawn: bool,
    /// Attributes, each name once. `value` and `checked` are also set as properties.
    pub attributes: Vec<(&'static str, String)>,
    /// What is inside.
    pub children: Vec<Node>,
}

/// An HTML element.
pub fn el(tag: &'static str) -> Element {
    Element { tag, drawn: false, attributes: Vec::new(), children: Vec::new() }
}

/// An SVG element.
pub fn svg(tag: &'static str) -> Element {
    Element { drawn: true, ..el(tag) }
}

impl Element {
    /// With an attribute; a second value for the same name replaces the first.
    pub fn with(mut self, name: &'static str, value: impl Into<String>) -> Self {
        let value = value.into();
        match self.attributes.iter_mut().find(|(known, _)| *known == name) {
            Some(attribute) => attribute.1 = value,
            None => self.attributes.push((name, value)),
        }
        self
    }

    /// With an attribute where there is a value for it.
    pub fn with_some(self, name: &'static str, value: Option<impl Into<String>>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// With an attribute that has no value, where `yes`.
    pub fn flag(self, name: &'static str, yes: bool) -> Self {
        if yes { self.with(name, "") } else { self }
    }

    /// With a class.
    pub fn class(self, class: impl Into<String>) -> Self {
        self.with("class", class)
    }

    /// With words at the end.
    pub fn text(mut self, words: impl Into<String>) -> Self {
        self.children.push(Node::Text(words.into()));
        self
    }

    /// With a child at the end.
    pub fn child(mut self, child: impl Into<Node>) -> Self {
        self.children.push(child.into());
        self
    }

    /// With children at the end.
    pub fn children<N: Into<Node>>(mut self, children: impl IntoIterator<Item = N>) -> Self {
        self.children.extend(children.into_iter().map(Into::into));
        self
    }

    /// Tied to a shape of the map: hovering or focusing the one shows the other.
    pub fn tie(self, tie: &str, tied: Option<&str>) -> Self {
        let class = match self.attribute("class") {
            Some(class) if tied == Some(tie) => Some(format!("{class} tied")),
            None if tied == Some(tie) => Some("tied".to_owned()),
            _ => None,
        };
        self.with("data-tie", tie).with_some("class", class)
    }

    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(known, _)| *known == name).map(|(_, value)| value.as_str())
    }
}

impl From<Element> for Node {
    fn from(element: Element) -> Node {
        Node::Element(element)
    }
}

impl From<&str> for Node {
    fn from(words: &str) -> Node {
        Node::Text(words.to_owned())
    }
}

impl From<String> for Node {
    fn from(words: String) -> Node {
        Node::Text(words)
    }
}

/// The words of a tree as they are read out, pieces parted by single spaces.
pub fn words(nodes: &[Node]) -> String {
    fn gather(nodes: &[Node], words: &mut Vec<String>) {
        for node in nodes {
            match node {
                Node::Text(text) => words.extend(text.split_whitespace().map(str::to_owned)),
                Node::Element(element) => gather(&element.children, words),
            }
        }
    }
    let mut all = Vec::new();
    gather(nodes, &mut all);
    all.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_attribute_stands_once() {
        let element = el("td").with("title", "first").with("title", "second");
        assert_eq!(element.attributes, [("title", "second".to_owned())]);
    }

    #[test]
    fn a_tied_row_says_so_only_while_tied() {
        assert_eq!(el("tr").class("row").tie("t1", Some("t1")).attribute("class"), Some("row tied"));
        assert_eq!(el("tr").class("row").tie("t1", Some("t2")).attribute("class"), Some("row"));
        assert_eq!(el("tr").tie("t1", None).attribute("data-tie"), Some("t1"));
    }

    #[test]
    fn words_are_read_in_order() {
        let row = el("tr").child(el("th").text("IA")).child(el("td").text("12.4 ").child(el("b").text("mm")));
        assert_eq!(words(&[row.into()]), "IA 12.4 mm");
    }
}
