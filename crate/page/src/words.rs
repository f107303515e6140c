//! What the page says beside the library's own words: field entries and margins.
//!
//! It rounds and names; it computes nothing.

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
}
