//! The sign of a verdict: a ring with a tick, a wave, a saltire in a double ring, or a dotted ring
//! with a question mark. Colour is only a third sign, so print in black and white tells them apart.

use crate::tree::{Element, svg};
use extrados::rules::verdict::Word;

/// The sign beside a verdict's word; it says nothing that the word does not.
pub fn sign(word: Word) -> Element {
    let class = format!("sign {}", word.as_str());
    let picture = svg("svg").class(class).with("viewBox", "0 0 16 16").with("aria-hidden", "true");
    let ring = |radius: &str| svg("circle").with("cx", "8").with("cy", "8").with("r", radius);
    let line = |path: &str| svg("path").with("d", path);
    match word {
        Word::Met => picture.child(ring("6.5")).child(line("M5,8.2 L7.2,10.4 L11,5.8")),
        Word::Borderline => picture.child(ring("6.5")).child(line("M4.4,9 C5.6,6 7,6.4 8,8 S10.4,10 11.6,7")),
        Word::Unmet => picture.child(ring("7")).child(ring("4.9")).child(line("M6,6 L10,10 M10,6 L6,10")),
        Word::Unknown => {
            let dots = ring("6.5").with("stroke-dasharray", "1.2 1.9");
            let mark = svg("text").with("x", "8").with("y", "11.4").with("text-anchor", "middle").text("?");
            picture.child(dots).child(mark)
        }
    }
}
