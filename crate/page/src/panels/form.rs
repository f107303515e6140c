//! Fields of a form, made from the field table: label, unit, range and help come from there.
//!
//! A field names the JSON pointer of what it fills; what is typed is read by the same table and
//! checked as strictly as a file. Letters that do not fit stay in the field with what is wrong.

use crate::state::{Refused, State};
use crate::tree::{Element, el};
use crate::words;
use extrados::casefile::case::Case;
use extrados::casefile::fields;
use extrados::casefile::shape::{Place, Shape, Word};
use extrados::entry::typed::Reading;
use extrados::report::words as report_words;
use extrados::units::{self, Angle, ThreeOClock};
use serde_json::Value;

/// Id of the field that fills a pointer.
pub fn id(pointer: &str) -> String {
    format!("field{}", pointer.replace('/', "-"))
}

/// A row with a number.
pub fn number(state: &State, pointer: &str, value: Option<f64>) -> Element {
    let (input, refused) = bare_number(state, pointer, value, "");
    let unit = match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Number(range)) => range.unit,
        _ => "",
    };
    row(pointer, input, Some(unit), refused)
}

/// A row with a clock position: hours or degrees, in the hand of the user's sheet.
pub fn clock(state: &State, pointer: &str, stored_deg: Option<f64>) -> Element {
    let (input, refused, side) = bare_clock(state, pointer, stored_deg, "");
    row(pointer, input, Some(side), refused)
}

/// A row with a turn in whole degrees that is looked at and not entered; `does` is also its id.
pub fn turned(does: &str, label: &str, help: &str, deg: i16) -> Element {
    let input = el("input")
        .with("id", does)
        .with("type", "number")
        .with("min", "-180")
        .with("max", "180")
        .with("step", "5")
        .with("data-do", does)
        .with("title", help)
        .with("value", deg.to_string());
    let side = if deg == 0 { "°".to_owned() } else { report_words::turn(Angle::deg(f64::from(deg))) };
    el("div")
        .class("row")
        .child(el("label").with("for", does).text(label))
        .child(input.class("number"))
        .child(el("span").class("unit").text(side))
}

/// A row with words.
pub fn text(state: &State, pointer: &str, value: &str) -> Element {
    let (input, refused) = input(state, pointer, value.to_owned(), "");
    let list = match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Suggested(known)) => Some((format!("{}-list", id(pointer)), known)),
        _ => None,
    };
    let input = input.class("words").with_some("list", list.as_ref().map(|(list, _)| list.clone()));
    let options = list.map(|(list, known)| el("datalist").with("id", list).children(known.iter().map(option)));
    row(pointer, input, None, refused).children(options)
}

/// A row with a day.
pub fn date(state: &State, pointer: &str, value: Option<&str>) -> Element {
    let (input, refused) = input(state, pointer, value.unwrap_or_default().to_owned(), "");
    row(pointer, input.class("words").with("placeholder", "YYYY-MM-DD"), None, refused)
}

/// A row with a yes or no, or neither.
pub fn flag(state: &State, pointer: &str, value: Option<bool>) -> Element {
    let option = |word: &'static str, says: &'static str| el("option").with("value", word).text(says);
    let select = el("select")
        .with("id", id(pointer))
        .with("data-field", pointer)
        .with("value", value.map_or("", |yes| if yes { "yes" } else { "no" }))
        .children([option("", "not known"), option("yes", "yes"), option("no", "no")]);
    row(pointer, select, None, refused(state, pointer))
}

/// A row with a closed list of words.
pub fn choice(state: &State, pointer: &str, value: Option<&str>) -> Element {
    let known: &[Word] = match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Choice(words)) => words,
        _ => &[],
    };
    let nullable = fields::lookup(pointer).and_then(|place| place.field).is_some_and(|field| field.nullable);
    let none = nullable.then(|| el("option").with("value", "").text("not answered"));
    let select = el("select")
        .with("id", id(pointer))
        .with("data-field", pointer)
        .with("value", value.unwrap_or_default())
        .children(none)
        .children(known.iter().map(option));
    row(pointer, select, None, refused(state, pointer))
}

fn option(word: &Word) -> Element {
    el("option").with("value", word.word).text(word.shown)
}

/// A number without its row, for tables and sentences, and what is wrong with it.
pub fn bare_number(state: &State, pointer: &str, value: Option<f64>, label: &str) -> (Element, Option<Element>) {
    let (input, refused) = input(state, pointer, value.map(words::entry).unwrap_or_default(), label);
    (input.class("number").with("inputmode", "decimal"), refused)
}

/// Letters without their row, and what is wrong with them.
pub fn bare_text(state: &State, pointer: &str, value: &str, label: &str) -> (Element, Option<Element>) {
    let (input, refused) = input(state, pointer, value.to_owned(), label);
    (input.class("words"), refused)
}

/// A clock position without its row, what is wrong with it, and its side in words.
pub fn bare_clock(
    state: &State,
    pointer: &str,
    stored_deg: Option<f64>,
    label: &str,
) -> (Element, Option<Element>, &'static str) {
    // A graft's clock is about its own axis and has no hand.
    let hand = if on_graft(pointer) { Some(ThreeOClock::FrontLeft) } else { state.now.case.clock.three_oclock_is };
    let stored = stored_deg.map(Angle::deg);
    let shown = stored.map(|angle| units::clock_hours(hand.map_or(angle, |hand| hand.stored(angle))));
    let side = match (stored, hand) {
        (Some(angle), Some(_)) => units::clock_side(angle),
        (Some(_), None) => "side unknown",
        (None, _) => "",
    };
    let (input, refused) = input(state, pointer, shown.unwrap_or_default(), label);
    (input.class("number"), refused, side)
}

fn input(state: &State, pointer: &str, value: String, label: &str) -> (Element, Option<Element>) {
    let mine = state.refused_at(pointer);
    let label = (!label.is_empty()).then(|| label.to_owned());
    let help = fields::lookup(pointer).and_then(|place| place.field).map(super::grid::help);
    let input = el("input")
        .with("id", id(pointer))
        .with("data-field", pointer)
        .with("autocomplete", "off")
        .with("spellcheck", "false")
        .with_some("aria-label", label)
        .with_some("title", help)
        .with_some("aria-invalid", mine.map(|_| "true"))
        .with_some("aria-describedby", mine.map(|_| format!("{}-fault", id(pointer))))
        .with("value", mine.map_or(value, |refused| refused.typed.clone()));
    (input, refused(state, pointer))
}

fn refused(state: &State, pointer: &str) -> Option<Element> {
    let refused = state.refused_at(pointer)?;
    let id = format!("{}-fault", id(pointer));
    Some(el("p").class("fault").with("id", id).with("role", "alert").text(refused.fault.clone()))
}

fn row(pointer: &str, input: Element, unit: Option<&str>, refused: Option<Element>) -> Element {
    let label = fields::lookup(pointer).and_then(|place| place.field).map_or("", |field| field.label);
    let unit = unit.map(|unit| el("span").class("unit").text(unit));
    el("div")
        .class("row")
        .child(el("label").with("for", id(pointer)).text(label))
        .child(input)
        .children(unit)
        .children(refused)
}

/// What was typed into a field, as the value that goes into the case.
///
/// # Errors
/// The letters with what is wrong with them.
pub fn read(case: &Case, pointer: &str, typed: &str) -> Result<Value, Refused> {
    let refused = |fault: String| Refused { pointer: pointer.into(), typed: typed.into(), fault };
    let Some(Place { shape, field }) = fields::lookup(pointer) else {
        return Err(refused("There is no such field.".into()));
    };
    let hand = case.clock.three_oclock_is;
    let reading = match field {
        Some(field) => Reading::of(field, on_graft(pointer), hand),
        // An item of a list.
        None => Reading { shape, clock: false, handed: false, may_be_empty: false, nullable: false, hand },
    };
    reading.value(typed).map_err(refused)
}

/// Whether a field is about a graft by itself.
fn on_graft(pointer: &str) -> bool {
    pointer.contains("/graft/")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(hand: Option<ThreeOClock>) -> Case {
        let mut case = Case::default();
        case.clock.three_oclock_is = hand;
        case
    }

    const CLOCK: &str = "/anatomy/ostia/0/clock_deg";
    const STATION: &str = "/anatomy/ostia/0/station_mm";

    // Check P3 of the worked arch: the sheet's 12:30 is stored on the side that its hand says.
    #[test]
    fn a_clock_is_typed_in_the_hand_of_the_sheet() {
        for (hand, stored) in
            [(Some(ThreeOClock::FrontLeft), 15.0), (Some(ThreeOClock::BackRight), -15.0), (None, 15.0)]
        {
            assert_eq!(read(&case(hand), CLOCK, "12:30"), Ok(Value::from(stored)));
            assert_eq!(read(&case(hand), CLOCK, "15"), Ok(Value::from(stored)));
        }
        assert!(read(&case(None), CLOCK, "half past").is_err());
    }

    #[test]
    fn numbers_take_a_comma_and_a_real_minus() {
        assert_eq!(read(&case(None), STATION, " 12,5 "), Ok(Value::from(12.5)));
        assert_eq!(read(&case(None), STATION, "−8"), Ok(Value::from(-8.0)));
        for bad in ["abc", "NaN", "inf", "1e999", "12 5"] {
            let refused = read(&case(None), STATION, bad).expect_err("no number");
            assert_eq!((refused.typed.as_str(), refused.pointer.as_str()), (bad, STATION));
            assert!(refused.fault.contains("no number") && refused.fault.contains("mm"), "{}", refused.fault);
        }
    }

    #[test]
    fn an_emptied_field_is_unknown_where_it_may_be() {
        assert_eq!(read(&case(None), CLOCK, ""), Ok(Value::Null));
        assert_eq!(read(&case(None), "/rules/0/at_least", " "), Ok(Value::Null));
        assert_eq!(read(&case(None), "/label", ""), Ok(Value::from("")));
        assert!(read(&case(None), STATION, "").is_err());
        assert!(read(&case(None), "/no/such", "1").is_err());
    }
}
