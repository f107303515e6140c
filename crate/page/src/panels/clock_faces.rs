//! The two questions of a sheet's clock, with drawings: on which side 3:00 lies, and what 12:00 means.
//! Nothing is chosen beforehand, and each says what stays unknown until it is answered.

use crate::tree::{Element, el, svg};
use extrados::casefile::case::TwelveOClock;
use extrados::casefile::fields;
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
        (TwelveOClock::ArchPlane, "arch_plane"),
        (TwelveOClock::LocalBend, "local_bend"),
        (TwelveOClock::StraightUp, "straight_up"),
    ]
    .map(|(twelve, word)| {
        let says = fields::shown("/clock/twelve_oclock_is", word);
        answer("twelve", word, says, answered == Some(twelve), bend(twelve))
    });
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

/// A section of the aorta, looking downstream, and the line by which 12:00 is found on it.
fn bend(twelve: TwelveOClock) -> Element {
    let words = |x: &str, y: &str, words: &str| svg("text").with("x", x).with("y", y).text(words);
    let (line, twelve_at, says) = match twelve {
        TwelveOClock::ArchPlane => ("M91,74L109,2", ("110", "12"), "arch plane"),
        TwelveOClock::LocalBend => ("M86,70q22,-26 34,-62", ("121", "14"), "local bend"),
        TwelveOClock::StraightUp => ("M100,74V4 M97,9l3,-5l3,5", ("104", "12"), "head"),
    };
    svg("svg")
        .with("viewBox", "0 0 200 76")
        .with("aria-hidden", "true")
        .child(svg("circle").with("cx", "100").with("cy", "42").with("r", "24"))
        .child(svg("path").class("dashed").with("d", line))
        .child(words(twelve_at.0, twelve_at.1, "12").class("asked"))
        .child(words("128", "70", says).class("side"))
}
