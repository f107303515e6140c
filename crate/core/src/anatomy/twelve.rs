//! Clock positions of the case, read about the outer curve: 12:00 on the user's sheet may mean another
//! line.
//!
//! The case keeps what was typed, for how far the meanings lie apart hangs on the centreline. Knows the
//! course of the aorta and what was answered about the sheet's clock; no wall.

use super::course::Course;
use crate::casefile::case::{Case, LumenKind, LumenSection, TwelveOClock};
use crate::message;
use crate::numeric::periodic::PeriodicSpline;
use crate::quantity::{Quantity, Unknown};
use crate::units::Angle;
use std::borrow::Cow;

/// Radii of a contour that was turned, 1° apart.
const RADII: usize = 360;

/// A typed clock position at a station, in the stored convention and with its error in degrees; unknown
/// while the hand is.
///
/// While nobody said what 12:00 means it is read as arch plane, and the error is wider by the largest
/// angle between the three meanings at that station. `course` is asked only where the answer hangs on it.
///
/// # Errors
/// Unknown where nobody typed a clock, the hand is not answered, or 12:00 has no meaning there.
pub fn read(
    case: &Case,
    course: Result<&Course, Unknown>,
    station_mm: f64,
    clock_deg: Option<f64>,
) -> Result<Quantity<Angle>, Unknown> {
    if case.clock.three_oclock_is.is_none() {
        return Err(Unknown::because(message::UNANSWERED_HAND));
    }
    let typed = Angle::deg(clock_deg.ok_or(Unknown::because(message::NO_CLOCK))?);
    let (turn, wider) = match case.clock.twelve_oclock_is {
        Some(TwelveOClock::ArchPlane) => (Angle::ZERO, 0.0),
        Some(meaning) => (course?.twelve(station_mm, meaning)?, 0.0),
        None => (Angle::ZERO, course?.spread_of_twelve(station_mm)?.to_deg()),
    };
    Ok(Quantity::known((typed + turn).wrapped(), case.errors.clock_sd_deg + wider))
}

/// The sections of the lumen with their directions about the outer curve. Where 12:00 has no meaning
/// nobody knows where a largest diameter points; a contour stays as it was typed.
pub fn sections<'a>(case: &'a Case, course: &Course) -> Cow<'a, [LumenSection]> {
    let typed = &case.anatomy.lumen;
    let Some(meaning) = case.clock.twelve_oclock_is.filter(|meaning| *meaning != TwelveOClock::ArchPlane) else {
        return Cow::Borrowed(typed);
    };
    let turned = |section: &LumenSection| {
        let mut own = section.clone();
        let turn = course.twelve(own.station_mm, meaning).ok();
        if let LumenKind::MaxMin { largest_clock_deg, .. } = &mut own.kind {
            *largest_clock_deg =
                largest_clock_deg.zip(turn).map(|(clock, turn)| (Angle::deg(clock) + turn).wrapped().to_deg());
        }
        if let (LumenKind::Contour { radii_mm }, Some(turn)) = (&mut own.kind, turn)
            && radii_mm.len() > 1
        {
            let spline = PeriodicSpline::through(radii_mm);
            let at = |k: usize| Angle::deg(360.0 * k as f64 / RADII as f64) - turn;
            *radii_mm = (0..RADII).map(|k| spline.value_and_slope(at(k)).0).collect();
        }
        own
    };
    Cow::Owned(typed.iter().map(turned).collect())
}
