//! The two questions of a sheet's clock, with drawings: on which side 3:00 lies, and what 12:00 means.
//! Nothing is chosen beforehand, and each says what stays unknown until it is answered.

use crate::tree::{Element, el, svg};
use extrados::casefile::case::TwelveOClock;
use extrados::units::ThreeOClock;

/// On which side 3:00 lies.
pub fn question(answered: Option<ThreeOClock>) -> Element {
    let faces = [ThreeOClock::FrontLeft, ThreeOClock::BackRight].map(|hand| {
        let (word, says) = match hand {
            ThreeOClock::FrontLeft => ("front_left", "3:00 is front-left"),
            ThreeOClock::BackRight => ("back_right", "3:00 is back-right"),
        };
        answer("hand", word, says, answered == Some(hand), face(hand))
    });
    let open =
        answered.is_none().then(|| el("p").class("note").text("Until you answer every clock position is unknown."));
    el("fieldset")
        .class("hand")
        .child(el("legend").text("On which side does your sheet have 3:00?"))
        .child(el("p").class("note").text("On top of the arch, looking downstream:"))
        .children(open)
        .children(faces)
}

/// What 12:00 means.
pub fn meaning(answered: Option<TwelveOClock>) -> Element {
    let faces = [
        (TwelveOClock::ArchPlane, "arch_plane", "outer curve of the arch plane"),
        (TwelveOClock::LocalBend, "local_bend", "outermost point of the local bend"),
        (TwelveOClock::StraightUp, "straight_up", "straight up"),
    ]
    .map(|(twelve, word, says)| answer("twelve", word, says, answered == Some(twelve), bend(twelve)));
    let open = answered.is_none().then(|| {
        el("p").class("note").text("Until you answer it is read as the arch plane, with a wider error of every clock.")
    });
    el("fieldset")
        .class("hand twelve")
        .child(el("legend").text("What does 12:00 mean on your sheet?"))
        .children(open)
        .children(faces)
}

fn answer(question: &'static str, word: &str, says: &str, chosen: bool, drawing: Element) -> Element {
    let radio = el("input")
        .with("type", "radio")
        .with("name", question)
        .with("value", word)
        .with("data-do", format!("{question}:{word}"))
        .flag("checked", chosen);
    el("label").class("face").child(el("span").child(radio).text(says)).child(drawing)
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

/// The arch from the side with a section on its downstream shoulder, and where 12:00 lies there.
fn bend(twelve: TwelveOClock) -> Element {
    // The section at the shoulder has its middle at (132, 34); each meaning points its own way.
    let pointer = match twelve {
        TwelveOClock::ArchPlane => "M132,34l13,-16",
        TwelveOClock::LocalBend => "M132,34l19,-9",
        TwelveOClock::StraightUp => "M132,34v-22",
    };
    svg("svg")
        .with("viewBox", "0 0 200 74")
        .with("aria-hidden", "true")
        .child(svg("path").with("d", "M58,72V50a42,42 0 0 1 84,0q0,10 8,22"))
        .child(svg("path").with("d", "M80,72V52a20,20 0 0 1 40,0q0,12 6,20"))
        .child(svg("path").class("thin").with("d", "M118,42l27,-17"))
        .child(svg("path").class("pointer").with("d", pointer))
        .child(svg("text").class("asked").with("x", "160").with("y", "22").text("12"))
}
