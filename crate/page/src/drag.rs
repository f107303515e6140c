//! What a drag and the arrow keys mean: where the graft goes.
//!
//! Pure: positions on the wall in, a placement out. The grip is remembered, so nothing jumps when a
//! drag begins. Knows no pixel and no event.

use extrados::casefile::case::Placement;
use extrados::scene::axes::WallSpot;
use extrados::units::Angle;

/// Stations at which the held point of a graft may lie, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Most upstream.
    pub from_mm: f64,
    /// Most downstream.
    pub to_mm: f64,
}

/// A drag of the graft from where it was gripped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drag {
    start: Placement,
    grip: WallSpot,
    reach: Reach,
}

/// One direction of a drag that Shift locks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lock {
    /// Both ways.
    Free,
    /// Only along the aorta.
    Along,
    /// Only around.
    Around,
}

impl Drag {
    /// The graft that lies at `start` is gripped at a place on the wall.
    pub fn new(start: Placement, grip: WallSpot, reach: Reach) -> Self {
        Drag { start, grip, reach }
    }

    /// Where the graft lies when the pointer is at a place: 0.1 mm and whole degrees.
    pub fn to(&self, pointer: WallSpot, lock: Lock) -> Placement {
        let along = if lock == Lock::Around { 0.0 } else { pointer.station_mm - self.grip.station_mm };
        let around = if lock == Lock::Along { Angle::ZERO } else { pointer.clock - self.grip.clock };
        let mut moved = self.start;
        if along != 0.0 {
            moved.station_mm = tenths(self.start.station_mm + along);
        }
        if around != Angle::ZERO {
            moved.clock_deg = (self.start.clock_deg + around.to_deg()).round();
        }
        settled(moved, self.start, self.reach)
    }
}

/// The placement after a step by key: `along_mm` downstream, `around_deg` towards front-left.
pub fn nudged(from: Placement, along_mm: f64, around_deg: f64, reach: Reach) -> Placement {
    let moved = Placement {
        station_mm: tenths(from.station_mm + along_mm),
        clock_deg: tenths(from.clock_deg + around_deg),
        ..from
    };
    // What a key does not move keeps all its digits.
    let moved = Placement {
        station_mm: if along_mm == 0.0 { from.station_mm } else { moved.station_mm },
        clock_deg: if around_deg == 0.0 { from.clock_deg } else { moved.clock_deg },
        ..moved
    };
    settled(moved, from, reach)
}

/// Within reach and with the clock in (−180°, 180°]; what is no number leaves the graft where it was.
fn settled(moved: Placement, before: Placement, reach: Reach) -> Placement {
    if !(moved.station_mm.is_finite() && moved.clock_deg.is_finite() && reach.from_mm <= reach.to_mm) {
        return before;
    }
    let clock_deg = match moved.clock_deg.rem_euclid(360.0) {
        turn if turn > 180.0 => turn - 360.0,
        turn => turn,
    };
    Placement {
        station_mm: moved.station_mm.clamp(reach.from_mm, reach.to_mm),
        // A sum of tenths is not exactly a tenth.
        clock_deg: if moved.clock_deg == before.clock_deg { before.clock_deg } else { tenths(clock_deg) },
        ..moved
    }
}

fn tenths(value: f64) -> f64 {
    // Adding zero makes −0 plain 0.
    (value * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const START: Placement = Placement { held_u_mm: 12.0, station_mm: 8.04, clock_deg: 3.25 };
    const REACH: Reach = Reach { from_mm: -60.0, to_mm: 230.0 };

    fn spot(station_mm: f64, clock_deg: f64) -> WallSpot {
        WallSpot { station_mm, clock: Angle::deg(clock_deg) }
    }

    #[test]
    fn the_grip_stays_under_the_pointer_and_a_still_pointer_moves_nothing() {
        let drag = Drag::new(START, spot(70.0, 40.0), REACH);
        assert_eq!(drag.to(spot(70.0, 40.0), Lock::Free), START);
        let moved = drag.to(spot(75.0, 20.0), Lock::Free);
        assert_eq!((moved.station_mm, moved.clock_deg, moved.held_u_mm), (13.0, -17.0, 12.0));
    }

    #[test]
    fn shift_locks_one_direction() {
        let drag = Drag::new(START, spot(70.0, 40.0), REACH);
        assert_eq!(drag.to(spot(75.0, 20.0), Lock::Along), Placement { station_mm: 13.0, ..START });
        assert_eq!(drag.to(spot(75.0, 20.0), Lock::Around), Placement { clock_deg: -17.0, ..START });
    }

    #[test]
    fn the_graft_stays_within_reach_and_the_clock_comes_round() {
        let drag = Drag::new(START, spot(70.0, 0.0), REACH);
        assert_eq!(drag.to(spot(900.0, 0.0), Lock::Free).station_mm, 230.0);
        assert_eq!(drag.to(spot(-900.0, 0.0), Lock::Free).station_mm, -60.0);
        assert_eq!(drag.to(spot(70.0, 178.0), Lock::Free).clock_deg, -179.0);
    }

    #[test]
    fn what_is_no_number_moves_nothing() {
        let drag = Drag::new(START, spot(70.0, 0.0), REACH);
        assert_eq!(drag.to(spot(f64::NAN, 0.0), Lock::Free), START);
        assert_eq!(drag.to(spot(0.0, f64::INFINITY), Lock::Free), START);
        let nowhere = Reach { from_mm: f64::NAN, to_mm: f64::NAN };
        assert_eq!(Drag::new(START, spot(0.0, 0.0), nowhere).to(spot(5.0, 0.0), Lock::Free), START);
    }

    #[test]
    fn keys_step_by_tenths_and_leave_the_other_number_alone() {
        let moved = nudged(START, 0.1, 0.0, REACH);
        assert_eq!((moved.station_mm, moved.clock_deg), (8.1, 3.25));
        let mut turned = Placement { clock_deg: 179.0, ..START };
        for _ in 0..3 {
            turned = nudged(turned, 0.0, 1.0, REACH);
        }
        assert_eq!((turned.station_mm, turned.clock_deg), (8.04, -178.0));
    }
}
