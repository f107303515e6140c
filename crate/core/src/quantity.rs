//! A number that is known with its error, or unknown with the reason.
//!
//! Unknown is never met and never zero: arithmetic on an unknown stays unknown and keeps the first
//! reason. Knows nothing of what is measured.

use serde::Serialize;

/// A measured or derived quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum Quantity<T = f64> {
    /// A value with one standard deviation of error from the CT's errors alone, in its own unit.
    Known {
        /// The value.
        value: T,
        /// One standard deviation, in the unit of the value.
        error: f64,
        /// Where the error comes from: the user, or the defaults.
        from: Origin,
    },
    /// Not known, and why in one sentence.
    Unknown {
        /// What is missing and how to supply it.
        why: String,
    },
}

/// Where a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Entered or imported by the user.
    Entered,
    /// A default of the program, marked as such.
    Default,
    /// Computed from other numbers.
    Computed,
}

impl<T> Quantity<T> {
    /// A computed value with an error.
    pub fn known(value: T, error: f64) -> Self {
        Quantity::Known { value, error, from: Origin::Computed }
    }

    /// A value taken as it stands.
    pub fn exact(value: T) -> Self {
        Quantity::known(value, 0.0)
    }

    /// Unknown for a reason.
    pub fn unknown(why: impl Into<String>) -> Self {
        Quantity::Unknown { why: why.into() }
    }

    /// The value where known.
    pub fn value(&self) -> Option<&T> {
        match self {
            Quantity::Known { value, .. } => Some(value),
            Quantity::Unknown { .. } => None,
        }
    }

    /// The reason where unknown.
    pub fn why(&self) -> Option<&str> {
        match self {
            Quantity::Known { .. } => None,
            Quantity::Unknown { why } => Some(why),
        }
    }

    /// The value, or the reason as an error: `?` then carries unknowns through a computation.
    ///
    /// # Errors
    /// The reason why it is unknown.
    pub fn get(&self) -> Result<&T, Unknown> {
        match self {
            Quantity::Known { value, .. } => Ok(value),
            Quantity::Unknown { why } => Err(Unknown(why.clone())),
        }
    }

    /// Another quantity computed from this one, without a change of error.
    pub fn map<U>(&self, f: impl FnOnce(&T) -> U) -> Quantity<U> {
        match self {
            Quantity::Known { value, error, from } => Quantity::Known { value: f(value), error: *error, from: *from },
            Quantity::Unknown { why } => Quantity::Unknown { why: why.clone() },
        }
    }
}

/// The reason why a quantity is unknown, as an error that `?` carries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown(pub String);

impl Unknown {
    /// With a reason.
    pub fn because(why: impl Into<String>) -> Self {
        Unknown(why.into())
    }
}

impl<T> From<Result<T, Unknown>> for Quantity<T> {
    fn from(result: Result<T, Unknown>) -> Self {
        match result {
            Ok(value) => Quantity::exact(value),
            Err(Unknown(why)) => Quantity::Unknown { why },
        }
    }
}
