//! Numbers in words, the same everywhere: one decimal for millimetres, whole degrees, every clock with its side.
//! What results are about is said where they are computed and in `report::words`.

use crate::casefile::case::{Case, Placement};
use crate::quantity::Quantity;
use crate::units::{Angle, clock_hours, clock_side, clock_with_side};

/// What stands for a number that is not known.
pub const UNKNOWN: &str = "?";

/// Millimetres to one decimal: `12.4 mm`.
pub fn mm(value: f64) -> String {
    format!("{} mm", tenths(value))
}

/// A number to one decimal, with a real minus sign and no negative zero.
pub fn tenths(value: f64) -> String {
    signed(format!("{value:.1}"))
}

/// Whole degrees: `14°`.
pub fn degrees(angle: Angle) -> String {
    format!("{}°", signed(format!("{:.0}", angle.to_deg())))
}

/// A typed number with a real minus sign and no negative zero.
pub fn signed(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_string(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A known quantity by a format, or the sign for unknown.
pub fn or_unknown<T>(quantity: &Quantity<T>, say: impl Fn(&T) -> String) -> String {
    quantity.value().map_or_else(|| UNKNOWN.into(), say)
}

/// A value with its unit, as verdicts give them.
pub fn with_unit(value: f64, unit: &str) -> String {
    match unit {
        "" => tenths(value),
        "mm" => mm(value),
        "deg" => format!("{}°", tenths(value)),
        _ => format!("{} {unit}", tenths(value)),
    }
}

/// A clock position in the hand of the case's sheet; while that is not answered, without a side.
pub fn clock(case: &Case, stored: Angle) -> String {
    match case.clock.three_oclock_is {
        Some(hand) => clock_with_side(stored, hand),
        None => format!("{} (side unknown)", clock_hours(stored)),
    }
}

/// A turn and to which side: `14° to the back-right`.
pub fn turn(angle: Angle) -> String {
    let side = clock_side(angle);
    let size = degrees(angle.abs());
    if side.is_empty() || size == "0°" { size } else { format!("{size} to the {side}") }
}

/// Millimetres of a size at hand: whole where they are.
pub fn size(mm: f64) -> String {
    if mm.fract() == 0.0 { format!("{mm:.0}") } else { format!("{mm}") }
}

/// The size of a turn in hours and minutes of the clock: `0:28`.
pub fn hours(angle: Angle) -> String {
    let minutes = (angle.abs().to_deg() * 2.0).round() as u32;
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// Where a graft is held, in words.
pub fn placement(case: &Case, placement: &Placement) -> String {
    let held = if placement.held_u_mm == 0.0 {
        "proximal fabric edge".to_string()
    } else {
        format!("graft point {} from the proximal fabric edge", mm(placement.held_u_mm))
    };
    format!(
        "{held} at {}, reference line at {}",
        mm(placement.station_mm),
        clock(case, Angle::deg(placement.clock_deg))
    )
}
