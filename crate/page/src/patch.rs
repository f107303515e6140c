//! Brings a place of the document in line with a tree of plain data.
//!
//! Only what differs from the last tree is touched, so focus, scroll and half-typed words stay and
//! nothing blinks. No text is ever read as markup: elements are created by name, words are set as
//! text. Knows nothing of what the trees say.

use crate::tree::{Element, Node};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Document, HtmlInputElement, HtmlSelectElement, HtmlTextAreaElement};

const SVG: &str = "http://www.w3.org/2000/svg";

/// A place of the document that follows a tree.
pub struct Mount {
    document: Document,
    root: web_sys::Element,
    shown: Vec<Node>,
}

impl Mount {
    /// Takes over the inside of an element; what stood there is removed.
    pub fn new(document: &Document, root: web_sys::Element) -> Self {
        root.set_text_content(None);
        Mount { document: document.clone(), root, shown: Vec::new() }
    }

    /// Shows a tree.
    ///
    /// # Errors
    /// What the browser refuses, such as an impossible tag.
    pub fn show(&mut self, nodes: Vec<Node>) -> Result<(), JsValue> {
        if nodes != self.shown {
            patch(&self.document, &self.root, &self.shown, &nodes)?;
            self.shown = nodes;
        }
        Ok(())
    }

    /// The element it fills.
    pub fn root(&self) -> &web_sys::Element {
        &self.root
    }
}

/// Brings the children of `parent`, which show `old`, in line with `new`.
fn patch(document: &Document, parent: &web_sys::Element, old: &[Node], new: &[Node]) -> Result<(), JsValue> {
    let places = parent.child_nodes();
    for (index, wanted) in new.iter().enumerate() {
        // What has not changed is not even looked up.
        if old.get(index) == Some(wanted) {
            continue;
        }
        let Some(there) = places.item(index as u32) else {
            parent.append_child(&create(document, wanted)?)?;
            continue;
        };
        match (old.get(index), wanted) {
            (Some(Node::Text(_)), Node::Text(words)) => there.set_text_content(Some(words)),
            (Some(Node::Element(known)), Node::Element(element))
                if known.tag == element.tag && known.attribute("id") == element.attribute("id") =>
            {
                let there: web_sys::Element = there.dyn_into()?;
                patch(document, &there, &known.children, &element.children)?;
                attributes(&there, known, element)?;
            }
            _ => {
                parent.replace_child(&create(document, wanted)?, &there)?;
            }
        }
    }
    while let Some(extra) = places.item(new.len() as u32) {
        parent.remove_child(&extra)?;
    }
    Ok(())
}

fn attributes(there: &web_sys::Element, known: &Element, wanted: &Element) -> Result<(), JsValue> {
    for (name, _) in &known.attributes {
        if wanted.attribute(name).is_none() {
            there.remove_attribute(name)?;
            property(there, name, None);
        }
    }
    for (name, value) in &wanted.attributes {
        if known.attribute(name) != Some(value) {
            there.set_attribute(name, value)?;
            property(there, name, Some(value));
        }
    }
    Ok(())
}

/// `value` and `checked` as attributes are only where a field starts; the property is what it shows.
fn property(there: &web_sys::Element, name: &str, value: Option<&str>) {
    match name {
        "value" => {
            let value = value.unwrap_or_default();
            if let Some(input) = there.dyn_ref::<HtmlInputElement>() {
                input.set_value(value);
            } else if let Some(select) = there.dyn_ref::<HtmlSelectElement>() {
                select.set_value(value);
            } else if let Some(area) = there.dyn_ref::<HtmlTextAreaElement>() {
                area.set_value(value);
            }
        }
        "checked" => {
            if let Some(input) = there.dyn_ref::<HtmlInputElement>() {
                input.set_checked(value.is_some());
            }
        }
        _ => {}
    }
}

fn create(document: &Document, node: &Node) -> Result<web_sys::Node, JsValue> {
    match node {
        Node::Text(words) => Ok(document.create_text_node(words).into()),
        Node::Element(element) => {
            let made = if element.drawn {
                document.create_element_ns(Some(SVG), element.tag)?
            } else {
                document.create_element(element.tag)?
            };
            for child in &element.children {
                made.append_child(&create(document, child)?)?;
            }
            for (name, value) in &element.attributes {
                made.set_attribute(name, value)?;
                property(&made, name, Some(value));
            }
            Ok(made.into())
        }
    }
}
