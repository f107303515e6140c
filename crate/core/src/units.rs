//! Angles, directions and clock positions: the only place where degrees, radians and hours meet.
//!
//! Knows nothing of anatomy. A bare `f64` that holds an angle never crosses a module; in files an
//! angle is a number whose name ends in `_deg`.

use crate::message;
use std::f64::consts::{PI, TAU};
use std::ops::{Add, Mul, Neg, Sub};

/// A vector in patient axes (LPS), mm or dimensionless.
pub type Vec3 = extrados_curves::Vec3;
/// A point in patient axes (LPS), mm.
pub type Point3 = extrados_curves::Point3;

/// A point with the direction in which a path runs through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The point, LPS mm.
    pub point: Point3,
    /// Unit direction, LPS.
    pub direction: Vec3,
}

/// A plane angle. Built only by naming its unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// No turn.
    pub const ZERO: Angle = Angle(0.0);
    /// Half a turn.
    pub const HALF_TURN: Angle = Angle(PI);

    /// From degrees.
    pub fn deg(degrees: f64) -> Self {
        Angle(degrees.to_radians())
    }

    /// From radians.
    pub const fn rad(radians: f64) -> Self {
        Angle(radians)
    }

    /// The direction of the point (x, y), counted from +x towards +y.
    pub fn atan2(y: f64, x: f64) -> Self {
        Angle(y.atan2(x))
    }

    /// In degrees.
    pub fn to_deg(self) -> f64 {
        self.0.to_degrees()
    }

    /// In radians.
    pub const fn to_rad(self) -> f64 {
        self.0
    }

    /// Sine.
    pub fn sin(self) -> f64 {
        self.0.sin()
    }

    /// Cosine.
    pub fn cos(self) -> f64 {
        self.0.cos()
    }

    /// Tangent.
    pub fn tan(self) -> f64 {
        self.0.tan()
    }

    /// Size without sign.
    pub fn abs(self) -> Self {
        Angle(self.0.abs())
    }

    /// The same direction in (−180°, 180°].
    ///
    /// Differences of clock positions are wrapped, never the positions before subtracting, so that
    /// the seam at 6:00 does no harm.
    pub fn wrapped(self) -> Self {
        if self.0 > -PI && self.0 <= PI {
            return self;
        }
        let turn = self.0.rem_euclid(TAU);
        Angle(if turn > PI { turn - TAU } else { turn })
    }

    /// Length of arc this angle spans at a radius.
    pub fn arc_mm(self, radius_mm: f64) -> f64 {
        self.0 * radius_mm
    }
}

impl Add for Angle {
    type Output = Angle;
    fn add(self, other: Angle) -> Angle {
        Angle(self.0 + other.0)
    }
}
impl Sub for Angle {
    type Output = Angle;
    fn sub(self, other: Angle) -> Angle {
        Angle(self.0 - other.0)
    }
}
impl Neg for Angle {
    type Output = Angle;
    fn neg(self) -> Angle {
        Angle(-self.0)
    }
}
impl Mul<f64> for Angle {
    type Output = Angle;
    fn mul(self, factor: f64) -> Angle {
        Angle(self.0 * factor)
    }
}

/// On which side a sheet's clock has 3:00, looking downstream on top of a usual arch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ThreeOClock {
    /// 3:00 lies to the front and left: the stored convention.
    FrontLeft,
    /// 3:00 lies to the back and right: the mirrored hand.
    BackRight,
}

impl ThreeOClock {
    /// +1 where the sheet's hand is the stored one, −1 where it is mirrored.
    pub fn sign(self) -> f64 {
        match self {
            ThreeOClock::FrontLeft => 1.0,
            ThreeOClock::BackRight => -1.0,
        }
    }

    /// A clock position typed in this hand, in the stored convention (positive = front-left).
    pub fn stored(self, typed: Angle) -> Angle {
        (typed * self.sign()).wrapped()
    }
}

/// The clock position in words and hours, in the hand of the user's own sheet: `12:30 front-left`.
///
/// `stored` is in the stored convention (0 = outer curve, positive = front-left). Every clock that
/// is shown carries its side, so that a mirrored hand can be noticed.
pub fn clock_with_side(stored: Angle, hand: ThreeOClock) -> String {
    let side = clock_side(stored);
    let hours = clock_hours(hand.stored(stored));
    if side.is_empty() { hours } else { format!("{hours} {side}") }
}

/// The hours of a clock position: 30° an hour, 12:00 at 0°, to the nearest minute.
pub fn clock_hours(position: Angle) -> String {
    // 720 minutes are a full turn, so one minute is half a degree.
    let minutes = (position.wrapped().to_deg() * 2.0).round().rem_euclid(720.0) as u32;
    let hour = if minutes < 60 { 12 } else { minutes / 60 };
    format!("{hour}:{:02}", minutes % 60)
}

/// In which unit a clock position was typed, where the sheet's heading tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClockIn {
    /// Nobody said: each text must tell by itself.
    Either,
    /// Hours and minutes.
    Hours,
    /// Degrees.
    Degrees,
}

/// A clock position as it is typed: hours (`12:30`, `12h30`, `3:00`) or degrees (`15`, `-15°`), in the
/// hand of whoever types it.
///
/// A text that can be either (`12.30`, `3`) is refused rather than guessed, unless `unit` tells:
/// half past three and 3.3° are a third of a turn apart.
///
/// # Errors
/// One sentence that says how to type it.
pub fn typed_clock(text: &str, unit: ClockIn) -> Result<Angle, &'static str> {
    let text = text.trim().replace(['−', '–'], "-").replace(',', ".");
    let bare = text.trim_end_matches('°').trim();
    let hours = match unit {
        ClockIn::Degrees => None,
        _ => text.split_once([':', 'h']).or_else(|| text.split_once('.').filter(|(_, minutes)| minutes.len() == 2)),
    };
    let dotted = hours.is_some() && !text.contains([':', 'h']);
    let read = match hours {
        Some((hours, minutes)) => hours_and_minutes(hours, minutes),
        None if unit != ClockIn::Degrees => hours_and_minutes(&text, ""),
        None => None,
    };
    match (read, unit) {
        // Marked by a colon, or the sheet's heading says so.
        (Some(read), ClockIn::Hours) => return Ok(read),
        (Some(read), _) if hours.is_some() && !dotted => return Ok(read),
        (Some(_), _) => return Err(message::CLOCK_EITHER),
        (None, ClockIn::Hours) => return Err(message::NO_CLOCK_TEXT),
        (None, _) => {}
    }
    match bare.parse::<f64>() {
        Ok(degrees) if degrees.abs() <= 360.0 => Ok(Angle::deg(degrees).wrapped()),
        _ => Err(message::NO_CLOCK_TEXT),
    }
}

/// Hours from 1 to 12 and minutes, which may be left out.
fn hours_and_minutes(hours: &str, minutes: &str) -> Option<Angle> {
    let whole = |text: &str| text.trim().parse::<u32>().ok().filter(|_| !text.contains('+'));
    let hours = whole(hours).filter(|h| (1..=12).contains(h))?;
    let minutes = if minutes.trim().is_empty() { 0 } else { whole(minutes).filter(|m| *m < 60)? };
    Some(Angle::deg(f64::from((hours % 12) * 60 + minutes) / 2.0).wrapped())
}

/// The side a stored clock position lies on, in words; empty on the two middle lines.
pub fn clock_side(stored: Angle) -> &'static str {
    let half_degrees = (stored.wrapped().to_deg() * 2.0).round() as i32;
    match half_degrees {
        0 => "",
        360 | -360 => "",
        positive if positive > 0 => "front-left",
        _ => "back-right",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapping_keeps_half_a_turn_positive() {
        for (given, wrapped) in [(180.0, 180.0), (-180.0, 180.0), (540.0, 180.0), (-190.0, 170.0), (359.0, -1.0)] {
            assert!((Angle::deg(given).wrapped().to_deg() - wrapped).abs() < 1e-12, "{given}");
        }
    }

    // Check P3 of the worked arch: the same 12:30 in the two hands lies on opposite sides, 30° and
    // 8.9 mm of wall apart at a diameter of 34 mm.
    #[test]
    fn a_sheet_s_hand_decides_the_side() {
        let typed = Angle::deg(15.0);
        let back = ThreeOClock::BackRight.stored(typed);
        let front = ThreeOClock::FrontLeft.stored(typed);
        assert_eq!(back.to_deg().round(), -15.0);
        assert_eq!(front.to_deg().round(), 15.0);
        assert!(((front - back).arc_mm(17.0) - 8.9).abs() < 0.01);
        assert_eq!(clock_with_side(back, ThreeOClock::BackRight), "12:30 back-right");
        assert_eq!(clock_with_side(front, ThreeOClock::FrontLeft), "12:30 front-left");
        assert_eq!(clock_with_side(back, ThreeOClock::FrontLeft), "11:30 back-right");
    }

    #[test]
    fn a_typed_clock_is_hours_or_degrees() {
        let read = |text| typed_clock(text, ClockIn::Either);
        for (text, degrees) in [
            ("12:30", 15.0),
            ("12h30", 15.0),
            ("3 h", 90.0),
            ("11:30", -15.0),
            ("3:00", 90.0),
            ("6:00", 180.0),
            ("12:00", 0.0),
            (" 15 ", 15.0),
            ("−15°", -15.0),
            ("7,5", 7.5),
            ("3°", 3.0),
            ("12.30°", 12.3),
            ("-3", -3.0),
            ("0", 0.0),
            ("270", -90.0),
        ] {
            assert!((read(text).unwrap().to_deg() - degrees).abs() < 1e-9, "{text}");
        }
        for text in ["", "noon", "13:00", "0:30", "12:60", "400", "NaN", "inf", "12:30 front-left", "+3:00", ":30", "h"]
        {
            assert_eq!(read(text), Err(message::NO_CLOCK_TEXT), "{text}");
        }
    }

    // Half past three is 105°, not 3.3°: what can be either is refused, unless the heading tells.
    #[test]
    fn hours_or_degrees_are_never_guessed() {
        for (text, hours, degrees) in [("12.30", 15.0, 12.3), ("3,30", 105.0, 3.3), ("3", 90.0, 3.0), ("12", 0.0, 12.0)]
        {
            assert_eq!(typed_clock(text, ClockIn::Either), Err(message::CLOCK_EITHER), "{text}");
            let read = |unit| typed_clock(text, unit).unwrap().to_deg();
            assert!((read(ClockIn::Hours) - hours).abs() < 1e-9, "{text}");
            assert!((read(ClockIn::Degrees) - degrees).abs() < 1e-9, "{text}");
        }
        assert!(typed_clock("15", ClockIn::Hours).is_err());
        assert!(typed_clock("12:30", ClockIn::Degrees).is_err());
    }

    #[test]
    fn every_minute_reads_back() {
        for minute in 0..720 {
            let position = Angle::deg(f64::from(minute) / 2.0);
            let read = typed_clock(&clock_hours(position), ClockIn::Either).unwrap();
            assert!((read - position).wrapped().abs().to_deg() < 1e-9, "{minute}");
        }
    }

    #[test]
    fn hours_round_to_minutes_over_the_top() {
        assert_eq!(clock_hours(Angle::deg(-0.2)), "12:00");
        assert_eq!(clock_hours(Angle::deg(0.5)), "12:01");
        assert_eq!(clock_hours(Angle::deg(180.0)), "6:00");
        assert_eq!(clock_hours(Angle::deg(-90.0)), "9:00");
    }
}
