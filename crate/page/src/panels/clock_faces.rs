//! The question of the clock's hand, with a drawing: the aorta on top of the arch, looking
//! downstream, with 3:00 on the one or on the other side. Nothing is chosen beforehand.

use crate::tree::{Element, el, svg};
use extrados::units::ThreeOClock;

/// The two answers side by side.
pub fn question(answered: Option<ThreeOClock>) -> Element {
    let faces = [ThreeOClock::FrontLeft, ThreeOClock::BackRight].map(|hand| {
        let (word, says) = match hand {
            ThreeOClock::FrontLeft => ("front_left", "front-left"),
            ThreeOClock::BackRight => ("back_right", "back-right"),
        };
        let radio = el("input")
            .with("type", "radio")
            .with("name", "hand")
            .with("value", word)
            .with("data-do", format!("hand:{word}"))
            .flag("checked", answered == Some(hand));
        el("label").class("face").child(face(hand)).child(el("span").child(radio).text(format!("3:00 is {says}")))
    });
    el("fieldset")
        .class("hand")
        .child(el("legend").text("On which side does your sheet have 3:00?"))
        .child(el("p").class("note").text("Seen on top of the arch, looking downstream."))
        .child(el("div").class("faces").children(faces))
}

/// A clock face on the aorta's section; the sides of the body stay, the hours change sides.
fn face(hand: ThreeOClock) -> Element {
    let (right, left) = match hand {
        ThreeOClock::FrontLeft => ("3", "9"),
        ThreeOClock::BackRight => ("9", "3"),
    };
    let number = |x: &str, y: &str, words: &str| {
        svg("text").with("x", x).with("y", y).with("text-anchor", "middle").with("font-size", "11").text(words)
    };
    let side = |x: &str, y: &str, words: &str| {
        svg("text").class("side").with("x", x).with("y", y).with("text-anchor", "middle").with("font-size", "9").text(words)
    };
    // The chosen side's 3 stands out by weight.
    let three = |x: &str, words: &str| {
        let number = number(x, "44", words);
        if words == "3" { number.with("font-weight", "700").with("font-size", "14") } else { number }
    };
    svg("svg")
        .with("viewBox", "0 0 108 80")
        .with("aria-hidden", "true")
        .child(svg("circle").with("cx", "54").with("cy", "40").with("r", "27"))
        .child(svg("path").class("thin").with("d", "M54,13v5 M54,62v5 M27,40h5 M76,40h5"))
        .child(number("54", "28", "12"))
        .child(number("54", "60", "6"))
        .child(three("71", right))
        .child(three("37", left))
        .child(side("54", "9", "outer curve"))
        .child(side("95", "37", "front-"))
        .child(side("95", "47", "left"))
        .child(side("13", "37", "back-"))
        .child(side("13", "47", "right"))
}
