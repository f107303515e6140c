//! A scene as live SVG elements: the core's own tree, node by node, so that print is vectors.

use crate::tree::{Element, svg};
use extrados::scene::{Scene, svg as core_svg};

/// The picture.
pub fn nodes(scene: &Scene) -> Element {
    carried(&core_svg::tree(scene))
}

fn carried(from: &core_svg::Element) -> Element {
    let mut element = svg(from.name);
    // The namespace is that of the element itself and is not an attribute of a live one.
    element.attributes = from.attributes.iter().filter(|(name, _)| *name != "xmlns").cloned().collect();
    if !from.words.is_empty() {
        element = element.text(from.words.clone());
    }
    element.children(from.children.iter().map(carried))
}
