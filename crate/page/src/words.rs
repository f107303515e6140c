//! What the page says beside the library's own words: field entries and margins.
//!
//! It rounds and names; it computes nothing.

use extrados::casefile::fields;
use extrados::casefile::shape::{Shape, Word};
use extrados::report::words::{tenths, with_unit};

/// A number as it stands in a field: all its digits, a plain minus.
pub fn entry(value: f64) -> String {
    format!("{value}")
}

/// The sign of a unit as it stands behind a number.
pub fn unit_sign(unit: &str) -> &str {
    if unit == "deg" { "°" } else { unit }
}

/// How far inside or outside its limits a value lies: `11.4 mm inside`. What lies outside by less
/// than it shows does not read as nothing.
pub fn margin(margin: f64, unit: &str) -> String {
    let size = with_unit(margin.abs(), unit);
    let side = if margin < 0.0 { "outside" } else { "inside" };
    if margin < 0.0 && size == with_unit(0.0, unit) {
        format!("less than {} outside", with_unit(0.1, unit))
    } else {
        format!("{size} {side}")
    }
}

/// The same with the error of measurement, in as few letters: `8.9 inside ± 3.2 mm`.
pub fn margin_with_error(margin: f64, error: f64, unit: &str) -> String {
    let side = if margin < 0.0 { "outside" } else { "inside" };
    let size = match tenths(margin.abs()) {
        nothing if margin < 0.0 && nothing == tenths(0.0) => "<0.1".to_owned(),
        size => size,
    };
    format!("{size} {side} ± {}", with_unit(error, unit))
}

/// What a measure is taken of that is no part of the case, in words.
pub fn own_subject(id: &str) -> Option<&'static str> {
    Some(match id {
        "ascending" => "ascending aorta",
        "aortic_arch" => "aortic arch",
        "access" => "access",
        "zone0" => "zone 0",
        "zone1" => "zone 1",
        "zone2" => "zone 2",
        "zone3" => "zone 3",
        _ => return None,
    })
}

/// The words that are shown for a word of the file, by the field table: `right_arm` → `right arm`.
pub fn shown(pointer: &str, word: &str) -> String {
    let known = match fields::lookup(pointer).map(|place| place.shape) {
        Some(Shape::Choice(words) | Shape::Suggested(words)) => words.iter().find(|known: &&Word| known.word == word),
        _ => None,
    };
    known.map_or_else(|| word.replace('_', " "), |known| known.shown.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_outside_by_little_does_not_read_as_zero() {
        assert_eq!(margin(-0.03, "mm"), "less than 0.1 mm outside");
        assert_eq!(margin(0.0, "mm"), "0.0 mm inside");
        assert_eq!(margin(-2.9, "%"), "2.9 % outside");
        assert_eq!(margin(11.44, "mm"), "11.4 mm inside");
        assert_eq!(margin_with_error(-0.03, 3.24, "mm"), "<0.1 outside ± 3.2 mm");
        assert_eq!(margin_with_error(8.94, 3.24, "mm"), "8.9 inside ± 3.2 mm");
    }

    #[test]
    fn words_of_the_file_are_shown_by_the_field_table() {
        assert_eq!(shown("/clock/three_oclock_is", "front_left"), "front-left");
        assert_eq!(shown("/no/such/field", "right_arm"), "right arm");
    }
}
