//! What a table of fields can say about JSON: the plain-data description of a shape.
//!
//! A shape is static data. Checking, forms, the JSON Schema and the documentation all read it, so
//! that none of them can say something else than the others. Knows nothing of cases or grafts.

/// Bounds of a number, with a name that appears in the error text.
#[derive(Debug, PartialEq)]
pub struct Range {
    /// What is bounded, with its article: `a station`.
    pub name: &'static str,
    /// Unit as it is shown: `mm`, `°`, `per mm²`, or empty.
    pub unit: &'static str,
    /// Smallest plausible value.
    pub least: f64,
    /// Largest plausible value.
    pub most: f64,
    /// Whether it is an angle that comes round: such numbers are stored in (−180, 180].
    pub comes_round: bool,
}

impl Range {
    /// From `least` to `most`, both included.
    pub const fn new(name: &'static str, unit: &'static str, least: f64, most: f64) -> Self {
        Range { name, unit, least, most, comes_round: false }
    }

    /// An angle that comes round after a full turn; it may be typed in (−360, 360).
    pub const fn turning(name: &'static str) -> Self {
        Range { name, unit: "°", least: -360.0, most: 360.0, comes_round: true }
    }

    /// Whether a value lies inside.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.least && value <= self.most
    }

    /// The range in words: `-100 to 1000 mm`.
    pub fn words(&self) -> String {
        with_unit(&format!("{} to {}", self.least, self.most), self.unit)
    }
}

/// A number's text with its unit; a degree sign follows without a space.
pub fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "" => number.to_string(),
        "°" => format!("{number}°"),
        _ => format!("{number} {unit}"),
    }
}

/// One word of a word list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Word {
    /// The word in the file.
    pub word: &'static str,
    /// The words that are shown for it.
    pub shown: &'static str,
}

/// Shorthand for a [`Word`].
pub const fn word(word: &'static str, shown: &'static str) -> Word {
    Word { word, shown }
}

/// What a JSON value may be.
#[derive(Debug, PartialEq)]
pub enum Shape {
    /// An object with these keys and no others.
    Object(&'static [Field]),
    /// An object whose other keys depend on the word under one key.
    Tagged(&'static Tagged),
    /// A list of one kind of value.
    List {
        /// What every item is.
        of: &'static Shape,
        /// Fewest items.
        at_least: usize,
        /// Most items; equal to the fewest in a list of fixed length.
        at_most: usize,
    },
    /// A number within a range.
    Number(&'static Range),
    /// A whole number.
    Whole {
        /// Smallest.
        least: u64,
        /// Largest.
        most: u64,
    },
    /// Free text.
    Text {
        /// Most characters.
        most_chars: usize,
    },
    /// A name by which other parts of the file refer to something; see [`is_id`].
    Id,
    /// A day, `YYYY-MM-DD`.
    Date,
    /// One word of a closed list.
    Choice(&'static [Word]),
    /// One word of a list that is only suggested; other words are welcome.
    Suggested(&'static [Word]),
    /// True or false.
    Flag,
    /// An object of the user's own, with any keys.
    Notes,
    /// A JSON merge patch (RFC 7396) of the whole file.
    Patch,
}

/// An object whose keys depend on the word under one of them.
#[derive(Debug, PartialEq)]
pub struct Tagged {
    /// The key that holds the deciding word: a required [`Shape::Choice`].
    pub tag: Field,
    /// Keys that every variant has, written before the deciding one.
    pub common: &'static [Field],
    /// The variants; together they have every word of the choice.
    pub variants: &'static [Variant],
}

impl Tagged {
    /// The variant that a word names.
    pub fn variant(&self, word: &str) -> Option<&'static Variant> {
        self.variants.iter().find(|variant| variant.words.contains(&word))
    }
}

/// One variant of a tagged object; several words may share it.
#[derive(Debug, PartialEq)]
pub struct Variant {
    /// The words that choose it.
    pub words: &'static [&'static str],
    /// Its own keys, beside the common ones.
    pub fields: &'static [Field],
}

/// One key of an object.
#[derive(Debug, PartialEq)]
pub struct Field {
    /// The key, with its unit at the end.
    pub name: &'static str,
    /// The word shown beside it.
    pub label: &'static str,
    /// What its value may be.
    pub shape: Shape,
    /// One sentence: what it is and how it is measured.
    pub help: &'static str,
    /// Whether the object must have it.
    pub required: bool,
    /// Whether it may be `null`, which says that nobody knows it.
    pub nullable: bool,
}

/// A key that must be there.
pub const fn required(name: &'static str, label: &'static str, shape: Shape, help: &'static str) -> Field {
    Field { name, label, shape, help, required: true, nullable: false }
}

/// A key that may be left out.
pub const fn optional(name: &'static str, label: &'static str, shape: Shape, help: &'static str) -> Field {
    Field { name, label, shape, help, required: false, nullable: false }
}

/// A key that may be left out or `null`: not measured, not known, not decided.
pub const fn measured(name: &'static str, label: &'static str, shape: Shape, help: &'static str) -> Field {
    Field { name, label, shape, help, required: false, nullable: true }
}

/// A list of at most so many.
pub const fn list(of: &'static Shape, at_most: usize) -> Shape {
    Shape::List { of, at_least: 0, at_most }
}

/// A list of exactly so many.
pub const fn exactly(length: usize, of: &'static Shape) -> Shape {
    Shape::List { of, at_least: length, at_most: length }
}

/// Free text of at most so many characters.
pub const fn text(most_chars: usize) -> Shape {
    Shape::Text { most_chars }
}

/// Most characters of an id.
pub const MOST_ID_CHARS: usize = 40;

/// Whether a text can be an id: 1 to 40 letters without accents, digits, `_` and `-`.
///
/// Points and slashes are kept out because ids stand inside pointers and names of sheet entries.
pub fn is_id(text: &str) -> bool {
    (1..=MOST_ID_CHARS).contains(&text.len())
        && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-')
}

/// Whether a text is a day of the calendar, `YYYY-MM-DD`, in the years 1900 to 2199.
pub fn is_date(text: &str) -> bool {
    let bytes = text.as_bytes();
    let digits = |range: std::ops::Range<usize>| -> Option<u32> {
        bytes[range].iter().try_fold(0, |sum, byte| byte.is_ascii_digit().then(|| sum * 10 + u32::from(byte - b'0')))
    };
    if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
        return false;
    }
    let (Some(year), Some(month), Some(day)) = (digits(0..4), digits(5..7), digits(8..10)) else {
        return false;
    };
    let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    let days = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return false,
    };
    (1900..2200).contains(&year) && (1..=days).contains(&day)
}

/// A place in a shape: the shape there, and the field that holds it where a key leads there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// What the value may be.
    pub shape: &'static Shape,
    /// The field, where the last step of the pointer is a key.
    pub field: Option<&'static Field>,
}

impl Shape {
    /// Follows a JSON pointer whose list positions may be numbers or `*`.
    ///
    /// In a tagged object the first variant that knows the key answers.
    pub fn lookup(&'static self, pointer: &str) -> Option<Place> {
        let mut place = Place { shape: self, field: None };
        if pointer.is_empty() {
            return Some(place);
        }
        for step in pointer.strip_prefix('/')?.split('/') {
            let key = step.replace("~1", "/").replace("~0", "~");
            place = match place.shape {
                Shape::List { of, .. } if key == "*" || key == "-" || key.bytes().all(|b| b.is_ascii_digit()) => {
                    Place { shape: of, field: None }
                }
                _ => {
                    let field = place.shape.fields().find(|field| field.name == key)?;
                    Place { shape: &field.shape, field: Some(field) }
                }
            };
        }
        Some(place)
    }

    /// The keys an object may have, over all its variants; empty for what is not an object.
    pub fn fields(&self) -> impl Iterator<Item = &'static Field> {
        let (common, tag, variants): (&'static [Field], &'static [Field], &'static [Variant]) = match self {
            Shape::Object(fields) => (fields, &[], &[]),
            Shape::Tagged(tagged) => (tagged.common, std::slice::from_ref(&tagged.tag), tagged.variants),
            _ => (&[], &[], &[]),
        };
        common.iter().chain(tag).chain(variants.iter().flat_map(|variant| variant.fields))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_follow_the_calendar() {
        for good in ["2024-02-29", "2000-02-29", "1999-12-31"] {
            assert!(is_date(good), "{good}");
        }
        for bad in [
            "2023-02-29",
            "1900-02-29",
            "2024-13-01",
            "2024-04-31",
            "2024-1-1",
            "24-01-01",
            "2024-01-00",
            "",
            "２024-01-1",
        ] {
            assert!(!is_date(bad), "{bad}");
        }
    }

    #[test]
    fn ids_are_plain() {
        assert!(is_id("IA") && is_id("t_1-b"));
        for bad in ["", "a b", "t1.x", "a/b", "ä", &"x".repeat(41)] {
            assert!(!is_id(bad), "{bad}");
        }
    }
}
