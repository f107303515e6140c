//! What a drag on the map does to what was measured: ostia, points to keep clear, wall borders.
//!
//! Pure: the case and places on the wall in, a case out. The grip is remembered, so nothing jumps when
//! a drag begins; a clock that nobody measured is not made up. Knows no pixel and no event.

use crate::drag::Lock;
use extrados::casefile::Case;
use extrados::casefile::fields::ranges::STATION;
use extrados::scene::axes::WallSpot;
use extrados::units::Angle;
use std::sync::Arc;

/// Shortest stretch of wall that a drag leaves, mm.
const LEAST_STRETCH_MM: f64 = 1.0;

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held {
    /// An ostium, by its place in the case.
    Ostium(usize),
    /// A point to keep clear, by its place in the case.
    KeepClear(usize),
    /// All ends of wall stretches that lie at a station, mm.
    Border(f64),
}

/// A drag of something measured from where it was gripped.
#[derive(Clone, Debug)]
pub struct MeasuredDrag {
    start: Arc<Case>,
    held: Held,
    grip: WallSpot,
}

/// What a shape's tie names among the measured things.
pub fn of_tie(case: &Case, tie: &str) -> Option<Held> {
    let anatomy = &case.anatomy;
    let ostium = anatomy.ostia.iter().position(|ostium| ostium.id == tie).map(Held::Ostium);
    ostium.or_else(|| anatomy.keep_clear.iter().position(|point| point.id == tie).map(Held::KeepClear))
}

/// The wall border that is nearest to a station, where one is near enough.
pub fn border_at(case: &Case, station_mm: f64, near_mm: f64) -> Option<Held> {
    let ends = case.anatomy.wall.iter().flat_map(|stretch| [stretch.from_station_mm, stretch.to_station_mm]);
    let away = |end: &f64| (end - station_mm).abs();
    ends.filter(|end| away(end) <= near_mm).min_by(|a, b| away(a).total_cmp(&away(b))).map(Held::Border)
}

impl MeasuredDrag {
    /// Something of the case that is shown is gripped at a place on the wall.
    pub fn new(start: Arc<Case>, held: Held, grip: WallSpot) -> Self {
        MeasuredDrag { start, held, grip }
    }

    /// The case when the pointer is at a place: 0.1 mm and whole degrees. None where nothing moves.
    pub fn to(&self, pointer: WallSpot, lock: Lock) -> Option<Arc<Case>> {
        let along = if lock == Lock::Around { 0.0 } else { pointer.station_mm - self.grip.station_mm };
        let around = if lock == Lock::Along { Angle::ZERO } else { pointer.clock - self.grip.clock };
        if !(along.is_finite() && around.to_deg().is_finite()) {
            return None;
        }
        let station = |from: f64| match along {
            0.0 => from,
            along => tenths((from + along).clamp(STATION.least, STATION.most)),
        };
        // Without a hand the numbers are the sheet's own and have no side to go to.
        let known = self.start.clock.three_oclock_is.is_some();
        let clock = |from: Option<f64>| match from {
            Some(from) if known && around != Angle::ZERO => {
                Some(tenths(Angle::deg((from + around.to_deg()).round()).wrapped().to_deg()))
            }
            from => from,
        };
        let mut case = (*self.start).clone();
        let anatomy = Arc::make_mut(&mut case.anatomy);
        match self.held {
            Held::Ostium(place) => {
                let ostium = anatomy.ostia.get_mut(place)?;
                ostium.station_mm = station(ostium.station_mm);
                ostium.clock_deg = clock(ostium.clock_deg);
            }
            Held::KeepClear(place) => {
                let point = anatomy.keep_clear.get_mut(place)?;
                point.station_mm = station(point.station_mm);
                point.clock_deg = clock(point.clock_deg);
            }
            Held::Border(at) => {
                let mut to = station(at);
                for stretch in &anatomy.wall {
                    if stretch.from_station_mm == at {
                        to = to.min(stretch.to_station_mm - LEAST_STRETCH_MM);
                    }
                    if stretch.to_station_mm == at {
                        to = to.max(stretch.from_station_mm + LEAST_STRETCH_MM);
                    }
                }
                for stretch in &mut anatomy.wall {
                    for end in [&mut stretch.from_station_mm, &mut stretch.to_station_mm] {
                        if *end == at {
                            *end = to;
                        }
                    }
                    if stretch.from_station_mm >= stretch.to_station_mm {
                        return None;
                    }
                }
            }
        }
        Some(Arc::new(case))
    }
}

fn tenths(value: f64) -> f64 {
    // Adding zero makes −0 plain 0.
    (value * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use extrados::casefile::Document;

    fn case() -> Arc<Case> {
        let text = serde_json::json!({
            "format": "extrados-case", "version": 1, "clock": { "three_oclock_is": "front_left" },
            "anatomy": {
                "ostia": [{ "id": "o1", "station_mm": 70.04, "clock_deg": 12.25 }, { "id": "o2", "station_mm": 90 }],
                "keep_clear": [{ "id": "k1", "kind": "coronary", "station_mm": -8, "clock_deg": 170 }],
                "wall": [
                    { "from_station_mm": 0, "to_station_mm": 60, "kind": "surgical_graft" },
                    { "from_station_mm": 60, "to_station_mm": 200, "kind": "native" }
                ]
            }
        });
        Document::from_value(text).expect("a case").case
    }

    fn spot(station_mm: f64, clock_deg: f64) -> WallSpot {
        WallSpot { station_mm, clock: Angle::deg(clock_deg) }
    }

    #[test]
    fn an_ostium_follows_the_pointer_and_a_still_one_moves_nothing() {
        let drag = MeasuredDrag::new(case(), of_tie(&case(), "o1").expect("an ostium"), spot(71.0, 10.0));
        assert_eq!(drag.to(spot(71.0, 10.0), Lock::Free).expect("a case"), case());
        let moved = drag.to(spot(76.0, 0.0), Lock::Free).expect("a case");
        assert_eq!((moved.anatomy.ostia[0].station_mm, moved.anatomy.ostia[0].clock_deg), (75.0, Some(2.0)));
        let along = drag.to(spot(76.0, 0.0), Lock::Along).expect("a case");
        assert_eq!(along.anatomy.ostia[0].clock_deg, Some(12.25));
        assert_eq!(drag.to(spot(f64::NAN, 0.0), Lock::Free), None);
    }

    #[test]
    fn a_clock_that_nobody_measured_is_not_made_up() {
        let drag = MeasuredDrag::new(case(), Held::Ostium(1), spot(90.0, 0.0));
        let moved = drag.to(spot(95.0, 40.0), Lock::Free).expect("a case");
        assert_eq!((moved.anatomy.ostia[1].station_mm, moved.anatomy.ostia[1].clock_deg), (95.0, None));
        let mut asked = (*case()).clone();
        asked.clock.three_oclock_is = None;
        let drag = MeasuredDrag::new(Arc::new(asked), Held::Ostium(0), spot(70.0, 0.0));
        assert_eq!(drag.to(spot(70.0, 40.0), Lock::Free).expect("a case").anatomy.ostia[0].clock_deg, Some(12.25));
    }

    #[test]
    fn the_clock_comes_round_and_stations_stay_in_their_range() {
        let drag = MeasuredDrag::new(case(), of_tie(&case(), "k1").expect("a point"), spot(0.0, 0.0));
        let moved = drag.to(spot(-900.0, 20.0), Lock::Free).expect("a case");
        let point = &moved.anatomy.keep_clear[0];
        assert_eq!((point.station_mm, point.clock_deg), (-100.0, Some(-170.0)));
    }

    #[test]
    fn a_border_moves_both_stretches_and_swallows_none() {
        let held = border_at(&case(), 61.5, 2.0).expect("a border");
        assert_eq!(border_at(&case(), 64.0, 2.0), None);
        let drag = MeasuredDrag::new(case(), held, spot(61.0, 0.0));
        let ends = |moved: &Case| [moved.anatomy.wall[0].to_station_mm, moved.anatomy.wall[1].from_station_mm];
        assert_eq!(ends(&drag.to(spot(71.0, 0.0), Lock::Free).expect("a case")), [70.0, 70.0]);
        assert_eq!(ends(&drag.to(spot(-50.0, 0.0), Lock::Free).expect("a case")), [1.0, 1.0]);
        assert_eq!(ends(&drag.to(spot(900.0, 0.0), Lock::Free).expect("a case")), [199.0, 199.0]);
    }
}
