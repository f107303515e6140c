//! The keys, for the dialog.

use crate::keys;
use crate::tree::{Node, el};

/// The list of keys.
pub fn help() -> Vec<Node> {
    let rows = keys::LIST.iter().map(|(key, does)| el("div").child(el("dt").text(*key)).child(el("dd").text(*does)));
    vec![el("dl").class("keys").children(rows).into()]
}
