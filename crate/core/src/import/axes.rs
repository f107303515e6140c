//! Where the axes of a file point in the patient, and which unit it is in.
//!
//! Converts only as told; whether what was told can be right is tested in `signs` and `unit`.

use crate::fault::Fault;
use crate::units::Point3;

/// Where each axis of a file points: to the patient's left or right (L, R), to the back or front
/// (P, A), to the head or feet (S, I). A sign turns a letter round: −S is I.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Axes([Axis; 3]);

/// One file axis: the letter as typed and its sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Axis {
    letter: u8,
    negative: bool,
}

impl Axis {
    /// Which patient axis it lies along (0 left, 1 back, 2 head) and with which sign.
    fn patient(self) -> (usize, f64) {
        let (axis, sign) = match self.letter {
            b'L' => (0, 1.0),
            b'R' => (0, -1.0),
            b'P' => (1, 1.0),
            b'A' => (1, -1.0),
            b'S' => (2, 1.0),
            _ => (2, -1.0),
        };
        (axis, if self.negative { -sign } else { sign })
    }
}

impl Default for Axes {
    /// `L,P,S`: the patient axes themselves.
    fn default() -> Self {
        Axes([b'L', b'P', b'S'].map(|letter| Axis { letter, negative: false }))
    }
}

impl std::fmt::Display for Axes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, axis) in self.0.iter().enumerate() {
            let comma = if i > 0 { "," } else { "" };
            let sign = if axis.negative { "-" } else { "" };
            write!(f, "{comma}{sign}{}", char::from(axis.letter))?;
        }
        Ok(())
    }
}

impl Axes {
    /// Reads `L,P,S`, `R,A,S`, `L,P,-S` and the like.
    ///
    /// # Errors
    /// Anything that does not name left–right, back–front and head–feet once each.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        let wrong = |what: String| {
            Fault::new(
                "axes",
                "axes",
                what,
                "Give three letters, one of L R, one of P A and one of S I, such as L,P,S or L,P,-S.",
            )
        };
        let words: Vec<&str> = text.split(',').map(str::trim).collect();
        let [x, y, z] = words[..] else {
            return Err(wrong(format!("The axes `{}` do not name three directions.", clip(text))));
        };
        let axis = |word: &str| {
            let (negative, letter) = match word.strip_prefix(['-', '+']) {
                Some(rest) => (word.starts_with('-'), rest),
                None => (false, word),
            };
            match letter.to_ascii_uppercase().as_bytes() {
                [letter @ (b'L' | b'R' | b'P' | b'A' | b'S' | b'I')] => Ok(Axis { letter: *letter, negative }),
                _ => Err(wrong(format!("`{}` is no direction in the patient.", clip(word)))),
            }
        };
        let axes = Axes([axis(x)?, axis(y)?, axis(z)?]);
        let mut seen = [false; 3];
        for axis in axes.0 {
            seen[axis.patient().0] = true;
        }
        if seen.contains(&false) {
            return Err(wrong(format!("The axes {axes} name one direction twice.")));
        }
        Ok(axes)
    }

    /// A file point in patient axes.
    pub(super) fn to_patient(self, point: [f64; 3], mm_per_unit: f64) -> Point3 {
        let mut patient = [0.0; 3];
        for (axis, value) in self.0.iter().zip(point) {
            let (index, sign) = axis.patient();
            // Adding 0 turns −0 into 0, so that no "-0" is written.
            patient[index] = sign * value * mm_per_unit + 0.0;
        }
        Point3::from(patient)
    }

    /// The axes with some patient directions (left, back, head) turned round.
    pub(super) fn turned_round(self, patient: [bool; 3]) -> Self {
        Axes(self.0.map(|axis| Axis { negative: axis.negative ^ patient[axis.patient().0], ..axis }))
    }

    /// Whether the file's axes are a left-handed system.
    pub(super) fn is_left_handed(self) -> bool {
        let [x, y, z] = self.0.map(Axis::patient);
        let order_is_even = (x.0 + 1) % 3 == y.0;
        (x.1 * y.1 * z.1 < 0.0) == order_is_even
    }
}

/// At most 40 characters of what was typed.
pub(super) fn clip(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(40).collect()
}

/// The unit of length of a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    M,
}

impl Unit {
    /// Every unit.
    pub const ALL: [Unit; 3] = [Unit::Mm, Unit::Cm, Unit::M];

    /// Reads `mm`, `cm` or `m`.
    ///
    /// # Errors
    /// Any other word.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        Unit::ALL.into_iter().find(|unit| unit.name() == text.trim()).ok_or_else(|| {
            Fault::new("unit", "unit", format!("`{}` is no unit of length here.", clip(text)), "Give mm, cm or m.")
        })
    }

    /// Its short name.
    pub const fn name(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::M => "m",
        }
    }

    /// Millimetres in one of it.
    pub const fn mm(self) -> f64 {
        match self {
            Unit::Mm => 1.0,
            Unit::Cm => 10.0,
            Unit::M => 1000.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The open aorta's axes: x to the left, y to the back, z to the feet, in centimetres.
    #[test]
    fn signs_and_letters_say_the_same() {
        for text in ["L,P,-S", "l, p ,i", "-R,+P,I", "L,-A,-S"] {
            let axes = Axes::parse(text).expect(text);
            assert_eq!(axes.to_patient([1.0, 2.0, 3.0], 10.0), Point3::new(10.0, 20.0, -30.0), "{text}");
            assert!(axes.is_left_handed(), "{text}");
        }
        let turned = Axes::parse("P,S,L").expect("a turned system");
        assert_eq!(turned.to_patient([1.0, 2.0, 3.0], 1.0), Point3::new(3.0, 1.0, 2.0));
        assert!(!turned.is_left_handed() && !Axes::default().is_left_handed());
        assert!(Axes::parse("P,L,S").expect("swapped").is_left_handed());
    }

    #[test]
    fn nonsense_is_refused() {
        for text in ["", "L", "L,P", "L,P,S,S", "L,R,S", "L,P,X", "L,P,--S", "LPS", "L,,S"] {
            assert!(Axes::parse(text).is_err(), "{text}");
        }
        assert!(Unit::parse("inch").is_err());
        assert_eq!(Unit::parse("cm"), Ok(Unit::Cm));
    }

    #[test]
    fn turning_round_twice_is_nothing() {
        let axes = Axes::parse("S,R,-P").expect("axes");
        let turned = axes.turned_round([true, false, true]);
        assert_eq!(turned.to_string(), "-S,-R,-P");
        assert_eq!(turned.turned_round([true, false, true]), axes);
    }
}
