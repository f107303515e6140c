//! Checks against things outside the project: published figures, closed forms, other programs.
//!
//! Each check asserts. Where the environment variable `EXTRADOS_OUTSIDE` names a file, it first leaves
//! a line there, from which `cargo run -p extrados-pack -- validate` writes the validation report;
//! without it nothing is written. The Python checks do the same in `tests/oracles/outside.py`.
#![allow(dead_code)]

use std::io::Write;

/// Something outside the project, and what is put in.
pub struct Outside<'a> {
    source: &'a str,
    input: String,
}

/// Where an expected number comes from, and what it is expected of.
pub fn outside(source: &str, input: impl Into<String>) -> Outside<'_> {
    Outside { source, input: input.into() }
}

impl Outside<'_> {
    /// Asserts that a quantity is the expected one within a tolerance, both in a unit.
    #[track_caller]
    pub fn near(&self, quantity: &str, got: f64, expected: f64, tolerance: f64, unit: &str) {
        let good = self.note(quantity, got, expected, tolerance, unit);
        let input = &self.input;
        assert!(good, "{input}: {quantity} is {got} {unit}, not {expected} ± {tolerance}");
    }

    /// The same to a share of what is expected.
    #[track_caller]
    pub fn near_share(&self, quantity: &str, got: f64, expected: f64, share: f64, unit: &str) {
        self.near(quantity, got, expected, share * expected.abs(), unit);
    }

    /// Leaves the line and says whether the check holds, for tests that collect their misses.
    pub fn note(&self, quantity: &str, got: f64, expected: f64, tolerance: f64, unit: &str) -> bool {
        self.leave(serde_json::json!({
            "source": self.source, "check": quantity, "input": self.input,
            "expected": expected, "got": got, "tolerance": tolerance, "unit": unit,
        }));
        (got - expected).abs() <= tolerance
    }

    /// Asserts that a word is the expected one.
    #[track_caller]
    pub fn same(&self, what: &str, got: impl std::fmt::Debug, expected: impl std::fmt::Debug) {
        let (got, expected) = (format!("{got:?}"), format!("{expected:?}"));
        self.leave(serde_json::json!({
            "source": self.source, "check": what, "input": self.input,
            "expected": expected, "got": got, "tolerance": null, "unit": "",
        }));
        assert_eq!(got, expected, "{}: {what}", self.input);
    }

    /// One line, in one piece: tests run side by side.
    fn leave(&self, line: serde_json::Value) {
        let Some(file) = std::env::var_os("EXTRADOS_OUTSIDE") else { return };
        let mut file = std::fs::File::options().append(true).create(true).open(file).unwrap();
        file.write_all(format!("{line}\n").as_bytes()).unwrap();
    }
}
