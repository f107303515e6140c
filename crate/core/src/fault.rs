//! What is wrong with an input: one sentence each, with its place and how to mend it.
//!
//! Faults are values. A reader collects all of them and gives them at once; nothing panics on
//! input. Knows nothing of what was being read.

use serde::{Deserialize, Serialize};

/// How many faults are listed before the rest are only counted: a file of garbage must not answer
/// with a million lines.
pub const MOST_FAULTS: usize = 100;

/// One thing wrong with an input.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fault {
    /// Stable name of the kind of fault, for programs.
    pub code: String,
    /// Where: a JSON pointer in JSON input (`/anatomy/ostia/0/clock_deg`), else `line 12`.
    #[serde(rename = "where")]
    pub place: String,
    /// What is wrong, in one sentence.
    pub text: String,
    /// How to mend it, in one sentence.
    pub mend: String,
}

impl Fault {
    /// A fault of a kind, at a place.
    pub fn new(code: &str, place: impl Into<String>, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Fault { code: code.into(), place: place.into(), text: text.into(), mend: mend.into() }
    }
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        f.write_str(&self.text)?;
        if self.mend.is_empty() { Ok(()) } else { write!(f, " {}", self.mend) }
    }
}

/// All that is wrong with an input, in the order in which it was met.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Faults {
    /// The faults listed, at most [`MOST_FAULTS`] and one line that counts the rest.
    pub faults: Vec<Fault>,
    #[serde(skip)]
    uncounted: usize,
}

impl Faults {
    /// None so far.
    pub fn none() -> Self {
        Faults::default()
    }

    /// Adds one; past [`MOST_FAULTS`] it is only counted.
    pub fn add(&mut self, fault: Fault) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(fault);
        } else {
            self.uncounted += 1;
        }
    }

    /// Adds all of another list.
    pub fn extend(&mut self, other: Faults) {
        for fault in other.faults {
            self.add(fault);
        }
        self.uncounted += other.uncounted;
    }

    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.faults.is_empty()
    }

    /// `Ok(value)` where nothing is wrong, else all the faults.
    ///
    /// # Errors
    /// The faults, with a last line that counts those past [`MOST_FAULTS`].
    pub fn or<T>(mut self, value: T) -> Result<T, Faults> {
        if self.is_empty() {
            return Ok(value);
        }
        if self.uncounted > 0 {
            self.faults.push(Fault::new(
                "more_faults",
                "",
                format!("{} more faults are not listed.", self.uncounted),
                "Mend those above and read the file again.",
            ));
        }
        Err(self)
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Faults { faults: vec![fault], uncounted: 0 }
    }
}

impl std::fmt::Display for Faults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, fault) in self.faults.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}
