//! Numbers in words: one decimal for mm, whole degrees, a real minus, the clock with its side.
//!
//! Every number on the page goes through here, so that the same number reads the same everywhere.
//! It rounds and names; it computes nothing.

use extrados::casefile::fields;
use extrados::casefile::shape::{Shape, Word};
use extrados::graft::lie::{KeptLine, Lie, Possibility};
use extrados::rules::verdict;
use extrados::units::{self, Angle, ThreeOClock};

/// What stands where a number is not known.
pub const UNKNOWN: &str = "?";

/// Millimetres: `12.4 mm`.
pub fn mm(value: f64) -> String {
    format!("{} mm", decimal(value, 1))
}

/// A number to so many decimals with a real minus; what is not zero never reads as zero while one
/// more digit tells it.
pub fn decimal(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return UNKNOWN.into();
    }
    let short = format!("{value:.decimals$}");
    let reads_zero = short.chars().all(|letter| matches!(letter, '0' | '.' | '-'));
    let text = if reads_zero && value.abs() >= 0.5 * 0.1_f64.powi(decimals as i32 + 1) {
        format!("{value:.*}", decimals + 1)
    } else {
        short
    };
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|letter| matches!(letter, '0' | '.')) => digits.into(),
        Some(digits) => format!("−{digits}"),
        None => text,
    }
}

/// A number as it is typed: all its digits, a plain minus.
pub fn typed(value: f64) -> String {
    format!("{value}")
}

/// A value in the unit of its rule: `12.4 mm`, `15°`, `12.9 %`.
pub fn in_unit(value: f64, unit: &str) -> String {
    match unit {
        "mm" => mm(value),
        "deg" => format!("{}°", decimal(value, 0)),
        "" => decimal(value, 1),
        _ => format!("{} {unit}", decimal(value, 1)),
    }
}

/// The sign of a unit as it stands behind a field.
pub fn unit_sign(unit: &str) -> &str {
    if unit == "deg" { "°" } else { unit }
}

/// A turn to a side: `15° to the front`.
pub fn turn(angle: Angle) -> String {
    let degrees = decimal(angle.to_deg().abs(), 0);
    if degrees == "0" {
        return "0°".into();
    }
    format!("{degrees}° to the {}", if angle.to_deg() > 0.0 { "front" } else { "back" })
}

/// A stored clock position in the hand of the user's sheet, or as typed while that is open.
pub fn clock(stored: Angle, hand: Option<ThreeOClock>) -> String {
    match hand {
        Some(hand) => units::clock_with_side(stored, hand),
        None => units::clock_hours(stored),
    }
}

/// How far inside or outside its limits a value lies: `11.4 mm inside`.
pub fn margin(margin: f64, unit: &str) -> String {
    let side = if margin < 0.0 { "outside" } else { "inside" };
    format!("{} {side}", in_unit(margin.abs(), unit))
}

/// A possibility: `in the middle, axis keeps its length`.
pub fn possibility(possibility: Possibility) -> String {
    let Possibility { lie, length_kept_by } = possibility;
    let lie = match lie {
        Lie::Middle => "in the middle",
    };
    format!("{lie}, {}", kept_line(length_kept_by))
}

/// Which line keeps its length.
pub fn kept_line(kept: KeptLine) -> &'static str {
    match kept {
        KeptLine::Axis => "axis keeps its length",
        KeptLine::OuterLine => "outer line keeps its length",
    }
}

/// Counts of verdicts, worst first; what there is none of is left out, except what is unmet.
pub fn counts(counts: verdict::Counts) -> String {
    let verdict::Counts { unmet, unknown, borderline, met } = counts;
    let all = [(unmet, "unmet", true), (borderline, "borderline", false), (unknown, "unknown", false), (met, "met", false)];
    let said: Vec<String> =
        all.iter().filter(|(count, _, always)| *always || *count > 0).map(|(count, word, _)| format!("{count} {word}")).collect();
    said.join(" · ")
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
    fn millimetres_have_one_decimal_and_a_real_minus() {
        for (value, words) in [(12.44, "12.4 mm"), (-3.06, "−3.1 mm"), (0.0, "0.0 mm"), (-0.0, "0.0 mm"), (-0.001, "0.0 mm")]
        {
            assert_eq!(mm(value), words);
        }
        assert_eq!(mm(f64::NAN), "? mm");
    }

    #[test]
    fn what_is_outside_by_little_does_not_read_as_zero() {
        assert_eq!(in_unit(0.4, "deg"), "0.4°");
        assert_eq!(margin(-0.03, "mm"), "0.03 mm outside");
        assert_eq!(margin(0.0, "mm"), "0.0 mm inside");
        assert_eq!(margin(-2.9, "%"), "2.9 % outside");
    }

    #[test]
    fn a_turn_names_its_side() {
        assert_eq!(turn(Angle::deg(14.2)), "14° to the front");
        assert_eq!(turn(Angle::deg(-14.2)), "14° to the back");
        assert_eq!(turn(Angle::deg(0.01)), "0°");
    }

    #[test]
    fn a_clock_carries_its_side_only_where_the_hand_is_known() {
        assert_eq!(clock(Angle::deg(15.0), Some(ThreeOClock::FrontLeft)), "12:30 front-left");
        assert_eq!(clock(Angle::deg(15.0), Some(ThreeOClock::BackRight)), "11:30 front-left");
        assert_eq!(clock(Angle::deg(15.0), None), "12:30");
    }

    #[test]
    fn the_head_line_always_says_what_is_unmet() {
        let counts_of = |unmet, unknown, borderline, met| verdict::Counts { unmet, unknown, borderline, met };
        assert_eq!(counts(counts_of(0, 2, 1, 7)), "0 unmet · 1 borderline · 2 unknown · 7 met");
        assert_eq!(counts(counts_of(0, 0, 0, 0)), "0 unmet");
    }
}
