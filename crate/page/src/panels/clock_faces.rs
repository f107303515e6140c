//! The question of the clock's hand, with a drawing: the aorta on top of the arch, looking
//! downstream, with 3:00 on the one or on the other side. Nothing is chosen beforehand.

use crate::tree::{Element, el, svg};
use extrados::units::ThreeOClock;

/// The question with its two answers.
pub fn question(answered: Option<ThreeOClock>) -> Element {
    let faces = [ThreeOClock::FrontLeft, ThreeOClock::BackRight].map(|hand| {
        let (word, says) = match hand {
            ThreeOClock::FrontLeft => ("front_left", "3:00 is front-left"),
            ThreeOClock::BackRight => ("back_right", "3:00 is back-right"),
        };
        let radio = el("input")
            .with("type", "radio")
            .with("name", "hand")
            .with("value", word)
            .with("data-do", format!("hand:{word}"))
            .flag("checked", answered == Some(hand));
        el("label").class("face").child(el("span").child(radio).text(says)).child(face(hand))
    });
    el("fieldset")
        .class("hand")
        .child(el("legend").text("On which side does your sheet have 3:00?"))
        .child(el("p").class("note").text("On top of the arch, looking downstream:"))
        .children(faces)
}

/// A clock face on the aorta's section, as wide as its column: the sides of the body stay, the hours
/// change sides.
fn face(hand: ThreeOClock) -> Element {
    let (right, left) = match hand {
        ThreeOClock::FrontLeft => ("3", "9"),
        ThreeOClock::BackRight => ("9", "3"),
    };
    let words = |x: &str, y: &str, words: &str, anchor: &str| {
        svg("text").with("x", x).with("y", y).with("text-anchor", anchor).text(words)
    };
    // The 3 that is asked for stands out by weight and size.
    let hour = |x: &str, hour: &str| match hour {
        "3" => words(x, "45", hour, "middle").class("asked"),
        _ => words(x, "44", hour, "middle"),
    };
    svg("svg")
        .with("viewBox", "0 0 200 80")
        .with("aria-hidden", "true")
        .child(svg("circle").with("cx", "100").with("cy", "40").with("r", "34"))
        .child(svg("path").class("thin").with("d", "M100,6v5 M100,69v5 M66,40h5 M129,40h5"))
        .child(words("100", "22", "12", "middle"))
        .child(words("100", "66", "6", "middle"))
        .child(hour("121", right))
        .child(hour("79", left))
        .child(words("140", "44", "front-left", "start").class("side"))
        .child(words("60", "44", "back-right", "end").class("side"))
}
