//! What a drag on the map does to what was measured: ostia, points to keep clear, wall borders.
//!
//! Pure: the case and places on the wall in, a case out. The grip is remembered, so nothing jumps when
//! a drag begins; a clock that nobody measured is not made up. Knows no pixel and no event.

use crate::drag::Lock;
use extrados::anatomy::Anatomy;
use extrados::anatomy::edges::Reach;
use extrados::casefile::Case;
use extrados::casefile::fields::ranges::STATION;
use extrados::plan::Plan;
use extrados::scene::axes::{MapAxes, WallSpot};
use extrados::units::Angle;
use std::sync::Arc;

/// Shortest stretch of wall that a drag leaves, mm.
const LEAST_STRETCH_MM: f64 = 1.0;
/// Shortest and longest ostium along the flow that a drag leaves, mm.
const LEAST_OSTIUM_MM: f64 = 1.0;
const MOST_OSTIUM_MM: f64 = 60.0;

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held {
    /// An ostium, by its place in the case.
    Ostium(usize),
    /// A point to keep clear, by its place in the case.
    KeepClear(usize),
    /// All ends of wall stretches that lie at a station, mm.
    Border(f64),
    /// An edge of an ostium along the flow, by the ostium's place in the case: the other one stays. A
    /// downstream edge is the border of a landing zone.
    Edge {
        /// The ostium's place in the case.
        ostium: usize,
        /// Which of its edges.
        reach: Reach,
    },
}

/// An edge of an ostium where it can be held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// What a drag there holds.
    pub held: Held,
    /// Its station, mm.
    pub station_mm: f64,
    /// The ostium's clock.
    pub clock: Angle,
    /// Station of the other edge, mm.
    other_mm: f64,
}

impl Edge {
    /// Length of the ostium as drawn, mm of the drawing.
    pub fn drawn_mm(&self, axes: &MapAxes) -> f64 {
        (axes.station_to_x(self.station_mm) - axes.station_to_x(self.other_mm)).abs()
    }
}

/// Both edges of every ostium whose size and clock are known.
pub fn edges(plan: &Plan) -> Vec<Edge> {
    let Ok(anatomy) = &plan.anatomy else { return Vec::new() };
    let typed = |id: &str| plan.case.anatomy.ostia.iter().position(|own| own.id == id);
    let known = anatomy.ostia.iter().filter_map(|own| {
        let (up, down) = *own.edges_mm.as_ref().ok()?;
        Some((typed(&own.id)?, *own.place.clock.value()?, up, down))
    });
    known
        .flat_map(|(ostium, clock, up, down)| {
            let edge =
                |reach, station_mm, other_mm| Edge { held: Held::Edge { ostium, reach }, station_mm, clock, other_mm };
            [edge(Reach::UpstreamEdge, up, down), edge(Reach::DownstreamEdge, down, up)]
        })
        .collect()
}

/// A drag of something measured from where it was gripped.
#[derive(Clone, Debug)]
pub struct MeasuredDrag {
    start: Arc<Case>,
    held: Held,
    grip: WallSpot,
    /// The anatomy in which lengths of edges are measured.
    anatomy: Option<Arc<Anatomy>>,
}

/// What a shape's tie names among the measured things.
pub fn of_tie(case: &Case, tie: &str) -> Option<Held> {
    let anatomy = &case.anatomy;
    let ostium = anatomy.ostia.iter().position(|ostium| ostium.id == tie).map(Held::Ostium);
    ostium.or_else(|| anatomy.keep_clear.iter().position(|point| point.id == tie).map(Held::KeepClear))
}

/// The border of a landing zone or of the wall that is nearest to a station, where one is near enough.
pub fn border_at(plan: &Plan, station_mm: f64, near_mm: f64) -> Option<Held> {
    let of_wall = plan.case.anatomy.wall.iter().flat_map(|stretch| [stretch.from_station_mm, stretch.to_station_mm]);
    let zones = plan.anatomy.iter().flat_map(|anatomy| &anatomy.zones).map(|zone| zone.to_mm);
    let ends: Vec<f64> = zones.collect();
    let of_zones = edges(plan).into_iter().filter(|edge| ends.iter().any(|end| (end - edge.station_mm).abs() < 1e-6));
    let all = of_zones.map(|edge| (edge.station_mm, edge.held)).chain(of_wall.map(|end| (end, Held::Border(end))));
    let away = |(end, _): &(f64, Held)| (end - station_mm).abs();
    all.filter(|own| away(own) <= near_mm).min_by(|a, b| away(a).total_cmp(&away(b))).map(|(_, held)| held)
}

impl MeasuredDrag {
    /// Something of the case that is shown is gripped at a place on the wall.
    pub fn new(start: Arc<Case>, held: Held, grip: WallSpot, anatomy: Option<Arc<Anatomy>>) -> Self {
        MeasuredDrag { start, held, grip, anatomy }
    }

    /// The ostium of which one edge comes to lie elsewhere and the other stays: the station of its centre
    /// and its length along the wall at its clock.
    fn stretched(&self, place: usize, reach: Reach, along_mm: f64) -> Option<(f64, f64)> {
        let anatomy = self.anatomy.as_deref()?;
        let id = &self.start.anatomy.ostia.get(place)?.id;
        let own = anatomy.ostia.iter().find(|own| own.id == *id)?;
        let (up, down) = *own.edges_mm.as_ref().ok()?;
        let clock = *own.place.clock.value()?;
        let (up, down) = match reach {
            Reach::UpstreamEdge => (up + along_mm, down),
            Reach::Centre | Reach::DownstreamEdge => (up, down + along_mm),
        };
        let wall = anatomy.wall().ok()?;
        let length = wall.between(&wall.line(clock), up, down).ok()?;
        let length = tenths(length.clamp(LEAST_OSTIUM_MM, MOST_OSTIUM_MM));
        let (fixed, other) = match reach {
            Reach::UpstreamEdge => (down, Reach::DownstreamEdge),
            Reach::Centre | Reach::DownstreamEdge => (up, Reach::UpstreamEdge),
        };
        let centre = anatomy.centre_of(fixed, other, clock, length).ok()?;
        Some(((centre * 1000.0).round() / 1000.0 + 0.0, length))
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
            Held::Edge { ostium, reach } => {
                let (station_mm, along_mm) = match along {
                    0.0 => return Some(self.start.clone()),
                    along => self.stretched(ostium, reach, along)?,
                };
                let ostium = anatomy.ostia.get_mut(ostium)?;
                (ostium.station_mm, ostium.along_mm) = (station_mm, Some(along_mm));
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
        let drag = MeasuredDrag::new(case(), of_tie(&case(), "o1").expect("an ostium"), spot(71.0, 10.0), None);
        assert_eq!(drag.to(spot(71.0, 10.0), Lock::Free).expect("a case"), case());
        let moved = drag.to(spot(76.0, 0.0), Lock::Free).expect("a case");
        assert_eq!((moved.anatomy.ostia[0].station_mm, moved.anatomy.ostia[0].clock_deg), (75.0, Some(2.0)));
        let along = drag.to(spot(76.0, 0.0), Lock::Along).expect("a case");
        assert_eq!(along.anatomy.ostia[0].clock_deg, Some(12.25));
        assert_eq!(drag.to(spot(f64::NAN, 0.0), Lock::Free), None);
    }

    #[test]
    fn a_clock_that_nobody_measured_is_not_made_up() {
        let drag = MeasuredDrag::new(case(), Held::Ostium(1), spot(90.0, 0.0), None);
        let moved = drag.to(spot(95.0, 40.0), Lock::Free).expect("a case");
        assert_eq!((moved.anatomy.ostia[1].station_mm, moved.anatomy.ostia[1].clock_deg), (95.0, None));
        let mut asked = (*case()).clone();
        asked.clock.three_oclock_is = None;
        let drag = MeasuredDrag::new(Arc::new(asked), Held::Ostium(0), spot(70.0, 0.0), None);
        assert_eq!(drag.to(spot(70.0, 40.0), Lock::Free).expect("a case").anatomy.ostia[0].clock_deg, Some(12.25));
    }

    #[test]
    fn the_clock_comes_round_and_stations_stay_in_their_range() {
        let drag = MeasuredDrag::new(case(), of_tie(&case(), "k1").expect("a point"), spot(0.0, 0.0), None);
        let moved = drag.to(spot(-900.0, 20.0), Lock::Free).expect("a case");
        let point = &moved.anatomy.keep_clear[0];
        assert_eq!((point.station_mm, point.clock_deg), (-100.0, Some(-170.0)));
    }

    #[test]
    fn a_border_moves_both_stretches_and_swallows_none() {
        let plan = Plan::new(case());
        let held = border_at(&plan, 61.5, 2.0).expect("a border");
        assert_eq!(border_at(&plan, 64.0, 2.0), None);
        let drag = MeasuredDrag::new(case(), held, spot(61.0, 0.0), None);
        let ends = |moved: &Case| [moved.anatomy.wall[0].to_station_mm, moved.anatomy.wall[1].from_station_mm];
        assert_eq!(ends(&drag.to(spot(71.0, 0.0), Lock::Free).expect("a case")), [70.0, 70.0]);
        assert_eq!(ends(&drag.to(spot(-50.0, 0.0), Lock::Free).expect("a case")), [1.0, 1.0]);
        assert_eq!(ends(&drag.to(spot(900.0, 0.0), Lock::Free).expect("a case")), [199.0, 199.0]);
    }

    // The edge comes to lie under the pointer, the other one stays where it was, and the zone's border goes
    // along: by the plan made again.
    #[test]
    fn an_edge_of_an_ostium_is_dragged_and_the_zone_with_it() {
        let text = include_str!("../../../demo-data/plain-arch.json");
        let plan = Plan::new(Document::read(text.as_bytes()).expect("the demo reads").case);
        let ends = |plan: &Plan| {
            let anatomy = plan.anatomy.as_ref().expect("an anatomy");
            (*anatomy.ostia[1].edges_mm.as_ref().expect("edges"), anatomy.zones[1].to_mm, anatomy.zones[2].from_mm)
        };
        let ((up, down), zone, _) = ends(&plan);
        let held = border_at(&plan, zone + 0.4, 1.0).expect("a border");
        assert_eq!(held, Held::Edge { ostium: 1, reach: Reach::DownstreamEdge });
        let anatomy = plan.anatomy.as_ref().ok().cloned();
        for (reach, by) in [(Reach::DownstreamEdge, 3.0), (Reach::DownstreamEdge, -2.0), (Reach::UpstreamEdge, -2.5)] {
            let held = Held::Edge { ostium: 1, reach };
            let drag = MeasuredDrag::new(plan.case.clone(), held, spot(down, 0.0), anatomy.clone());
            let moved = Plan::new(drag.to(spot(down + by, 0.0), Lock::Free).expect("a case"));
            let ((up_now, down_now), zone_now, next) = ends(&moved);
            let wanted = if reach == Reach::UpstreamEdge { (up + by, down) } else { (up, down + by) };
            // A length of 0.1 mm along the wall is the step; the plane follows the ostium a little.
            assert!(
                (up_now - wanted.0).abs() < 0.15 && (down_now - wanted.1).abs() < 0.15,
                "{by}: {up_now} {down_now}"
            );
            assert!((zone_now - down_now).abs() < 1e-9 && (next - down_now).abs() < 1e-9);
        }
        let far = MeasuredDrag::new(plan.case.clone(), held, spot(down, 0.0), anatomy);
        let least = far.to(spot(down - 50.0, 0.0), Lock::Free).expect("a case");
        assert_eq!(least.anatomy.ostia[1].along_mm, Some(LEAST_OSTIUM_MM));
    }
}
