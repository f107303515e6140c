//! What a person types into one field, as the value that goes into a case, and back to letters.
//!
//! A decimal comma or point, a real minus, a unit behind the number, hours or degrees on the clock of
//! the user's own sheet, words in full or shortened: what a hand writes. Holds the result against the
//! field table and nothing else; what fields ask of each other is not seen here.

use crate::casefile::check;
use crate::casefile::shape::{Field, Range, Shape, Word, is_id};
use crate::units::{self, Angle, ClockIn, ThreeOClock};
use serde_json::Value;

/// What decides how letters are read.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// What the value may be.
    pub shape: &'static Shape,
    /// Whether it is a position on the aorta's clock.
    pub clock: bool,
    /// Whether it changes its sign with the hand of the clock.
    pub handed: bool,
    /// Whether it may be left empty.
    pub may_be_empty: bool,
    /// Whether it may be `null`: not known.
    pub nullable: bool,
    /// The hand of the user's sheet; while unanswered, numbers are kept as typed.
    pub hand: Option<ThreeOClock>,
}

impl Reading {
    /// Of a field under its key. Clocks of a graft are about its own axis and have no hand.
    pub fn of(field: &'static Field, on_graft: bool, hand: Option<ThreeOClock>) -> Self {
        let clock = field.name.ends_with("clock_deg");
        Reading {
            shape: &field.shape,
            clock,
            handed: !on_graft && (clock || field.name == "lean_deg"),
            may_be_empty: field.nullable || !field.required,
            nullable: field.nullable,
            hand,
        }
    }

    fn to_stored(self, typed: Angle) -> f64 {
        let stored = match self.hand {
            Some(hand) if self.handed => hand.stored(typed),
            _ => typed.wrapped(),
        };
        // Degrees went through radians and back: the last digits are noise; adding zero makes −0 plain 0.
        (stored.to_deg() * 1e9).round() / 1e9 + 0.0
    }

    /// The value of what was typed; `null` where it was emptied and may be.
    ///
    /// # Errors
    /// What is wrong with it and how to mend it, in words.
    pub fn value(self, typed: &str) -> Result<Value, String> {
        let typed = typed.trim();
        let value = match self.shape {
            Shape::Text { .. } | Shape::Suggested(_) if typed.is_empty() && !self.nullable => return Ok("".into()),
            _ if typed.is_empty() && self.may_be_empty => return Ok(Value::Null),
            Shape::Number(range) if range.comes_round => self.angle(typed, range)?,
            Shape::Number(range) => number(typed, range)?.into(),
            Shape::Whole { least, most } => typed
                .parse::<u64>()
                .map(Value::from)
                .map_err(|_| format!("“{typed}” is no whole number. Type {least} to {most}."))?,
            Shape::Flag => flag(typed)?.into(),
            Shape::Choice(words) => one_of(typed, words)?.into(),
            Shape::Suggested(words) => one_of(typed, words).unwrap_or(typed).into(),
            Shape::Id => id(typed).into(),
            Shape::List { of: Shape::Choice(words), .. } => {
                let mut chosen: Vec<&str> = Vec::new();
                for word in pieces(typed) {
                    let word = one_of(word, words)?;
                    if !chosen.contains(&word) {
                        chosen.push(word);
                    }
                }
                chosen.into()
            }
            Shape::List { of: Shape::Id, .. } => pieces(typed).map(id).collect::<Vec<_>>().into(),
            _ => typed.into(),
        };
        let faults = check::check(&value, self.shape);
        match faults.faults.into_iter().next() {
            Some(fault) => Err(format!("{} {}", fault.text.replacen("The file", "It", 1), fault.mend)),
            None => Ok(value),
        }
    }

    fn angle(self, typed: &str, range: &Range) -> Result<Value, String> {
        let angle = if self.clock {
            units::typed_clock(typed, ClockIn::Either)
                .map_err(|why| format!("“{typed}” is no clock position. {why}"))?
        } else {
            let degrees = number(typed, range)?;
            if !range.holds(degrees) {
                return Err(format!("“{typed}” is no angle. Type {}.", range.words()));
            }
            Angle::deg(degrees)
        };
        Ok(self.to_stored(angle).into())
    }

    /// The letters of a stored value as they stand in a field.
    pub fn letters(self, value: &Value) -> String {
        match (value, self.shape) {
            (Value::Null, _) => String::new(),
            (Value::Number(stored), Shape::Number(range)) if range.comes_round => {
                let stored = Angle::deg(stored.as_f64().unwrap_or_default());
                let typed = match self.hand {
                    Some(hand) if self.handed => hand.stored(stored),
                    _ => stored,
                };
                if self.clock { units::clock_hours(typed) } else { plain((typed.to_deg() * 1e9).round() / 1e9) }
            }
            (Value::Number(number), _) => plain(number.as_f64().unwrap_or_default()),
            (Value::Bool(flag), _) => if *flag { "yes" } else { "no" }.into(),
            (Value::String(word), Shape::Choice(words) | Shape::Suggested(words)) => shown(word, words),
            (Value::String(text), _) => text.clone(),
            (Value::Array(items), Shape::List { of, .. }) => {
                let item = |item: &Value| match (item, of) {
                    (Value::String(word), Shape::Choice(words)) => shown(word, words),
                    (Value::String(word), _) => word.clone(),
                    (other, _) => other.to_string(),
                };
                items.iter().map(item).collect::<Vec<_>>().join(", ")
            }
            (other, _) => other.to_string(),
        }
    }
}

/// A number as it stands in a field: all its digits, no needless zero.
pub fn plain(number: f64) -> String {
    format!("{}", number + 0.0)
}

/// A number with a comma or a point, a real minus, and its unit behind it or not.
fn number(typed: &str, range: &Range) -> Result<f64, String> {
    let bare = if range.unit.is_empty() { typed } else { typed.strip_suffix(range.unit).unwrap_or(typed).trim_end() };
    match bare.replace(',', ".").replace(['−', '–'], "-").parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("“{typed}” is no number. Type {}.", range.words())),
    }
}

fn flag(typed: &str) -> Result<bool, String> {
    match typed.to_lowercase().as_str() {
        "yes" | "y" | "true" | "x" | "1" => Ok(true),
        "no" | "n" | "false" | "-" | "–" | "0" => Ok(false),
        _ => Err(format!("“{typed}” is neither yes nor no.")),
    }
}

/// The word of a list that was meant: as it stands in a file, as it is shown, or the beginning of
/// one and no other.
fn one_of<'w>(typed: &str, words: &'static [Word]) -> Result<&'w str, String> {
    let wish = typed.to_lowercase().replace('_', " ");
    let all = || words.iter().map(|word| (word.word, word.word.replace('_', " "), word.shown.to_lowercase()));
    if let Some((word, ..)) = all().find(|(_, own, shown)| *own == wish || *shown == wish) {
        return Ok(word);
    }
    let mut begin = all().filter(|(_, own, shown)| own.starts_with(&wish) || shown.starts_with(&wish));
    match (begin.next(), begin.next()) {
        (Some((word, ..)), None) => Ok(word),
        _ => {
            let list: Vec<&str> = words.iter().map(|word| word.shown).collect();
            Err(format!("“{typed}” is not one of the words: {}.", list.join(", ")))
        }
    }
}

fn shown(word: &str, words: &[Word]) -> String {
    words.iter().find(|known| known.word == word).map_or_else(|| word.to_owned(), |known| known.shown.to_owned())
}

/// A name; blanks in it become `_`.
fn id(typed: &str) -> String {
    let joined = typed.split_whitespace().collect::<Vec<_>>().join("_");
    if is_id(&joined) { joined } else { typed.to_owned() }
}

/// The pieces of a list that was typed in one field.
fn pieces(typed: &str) -> impl Iterator<Item = &str> {
    typed.split([',', ';', '+', '/']).map(str::trim).filter(|piece| !piece.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::fields;

    fn reading(pointer: &str, hand: Option<ThreeOClock>) -> Reading {
        let field = fields::lookup(pointer).unwrap().field.unwrap();
        Reading::of(field, pointer.contains("/graft/"), hand)
    }

    const CLOCK: &str = "/anatomy/ostia/*/clock_deg";
    const STATION: &str = "/anatomy/ostia/*/station_mm";

    // Check P3 of the worked arch: the sheet's 12:30 is stored on the side that its hand says.
    #[test]
    fn a_clock_is_typed_in_the_hand_of_the_sheet() {
        for (hand, stored) in
            [(Some(ThreeOClock::FrontLeft), 15.0), (Some(ThreeOClock::BackRight), -15.0), (None, 15.0)]
        {
            for typed in ["12:30", "15", "15°", " 15,0 "] {
                assert_eq!(reading(CLOCK, hand).value(typed), Ok(Value::from(stored)), "{typed}");
            }
            assert_eq!(reading(CLOCK, hand).letters(&Value::from(stored)), "12:30");
        }
        assert!(reading(CLOCK, None).value("half past").is_err());
    }

    #[test]
    fn a_lean_turns_with_the_hand_and_a_graft_s_own_clock_does_not() {
        let back = Some(ThreeOClock::BackRight);
        let lean = reading("/anatomy/vessels/*/lean_deg", back);
        assert_eq!(lean.value("5"), Ok(Value::from(-5.0)));
        assert_eq!(lean.letters(&Value::from(-5.0)), "5");
        let mouth = reading("/components/*/graft/tunnels/*/mouth_clock_deg", back);
        assert_eq!(mouth.value("12:30"), Ok(Value::from(15.0)));
        assert_eq!(mouth.letters(&Value::from(15.0)), "12:30");
    }

    #[test]
    fn numbers_take_a_comma_a_real_minus_and_their_unit() {
        for (typed, value) in [(" 12,5 ", 12.5), ("−8", -8.0), ("70 mm", 70.0), ("70mm", 70.0)] {
            assert_eq!(reading(STATION, None).value(typed), Ok(Value::from(value)), "{typed}");
        }
        for bad in ["abc", "NaN", "inf", "1e999", "12 5", "1.234,5", ""] {
            let fault = reading(STATION, None).value(bad).unwrap_err();
            assert!(fault.contains("no number") && fault.contains("mm"), "{fault}");
        }
        let far = reading(STATION, None).value("7000").unwrap_err();
        assert!(far.contains("-100 to 1000 mm"), "{far}");
    }

    #[test]
    fn words_are_read_as_shown_as_stored_or_shortened() {
        let wall = reading("/anatomy/wall/*/kind", None);
        for typed in ["surgical graft", "Surgical_Graft", "surg"] {
            assert_eq!(wall.value(typed), Ok(Value::from("surgical_graft")), "{typed}");
        }
        assert!(wall.value("s").unwrap_err().contains("native wall, surgical graft, stent graft"));
        let signs = reading("/anatomy/wall/*/signs", None);
        assert_eq!(signs.value("dissected; throm, dissected"), Ok(serde_json::json!(["dissected", "thrombus"])));
        assert_eq!(signs.letters(&serde_json::json!(["dissected", "thrombus"])), "dissected, thrombus");
        assert!(signs.value("dissected, blue").unwrap_err().contains("“blue”"));
        let kind = reading("/anatomy/keep_clear/*/kind", None);
        assert_eq!(kind.value("vein graft"), Ok(Value::from("vein_graft")));
        assert_eq!(kind.value("clip"), Ok(Value::from("clip")), "other words are welcome");
    }

    #[test]
    fn names_flags_and_empty_fields() {
        assert_eq!(reading("/anatomy/landmarks/*/id", None).value("coeliac artery"), Ok("coeliac_artery".into()));
        assert!(reading("/anatomy/landmarks/*/id", None).value("t1.x").is_err());
        let open = reading("/anatomy/cord/internal_iliac_open", None);
        assert_eq!((open.value("yes"), open.value("")), (Ok(true.into()), Ok(Value::Null)));
        assert!(open.value("maybe").is_err());
        assert_eq!(reading(CLOCK, None).value(""), Ok(Value::Null));
        assert!(reading(STATION, None).value("").is_err());
    }

    // What is shown reads back as the same value, for every number of a table.
    #[test]
    fn letters_read_back() {
        for pointer in [STATION, "/anatomy/vessels/*/takeoff_deg", "/anatomy/vessels/*/lean_deg"] {
            for hand in [None, Some(ThreeOClock::FrontLeft), Some(ThreeOClock::BackRight)] {
                for number in [0.0, 0.1, 12.345678, 90.0, 179.5] {
                    let reading = reading(pointer, hand);
                    let value = Value::from(number);
                    assert_eq!(reading.value(&reading.letters(&value)), Ok(value), "{pointer} {number}");
                }
            }
        }
    }
}
