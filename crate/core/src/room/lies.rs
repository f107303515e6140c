//! How one graft lies at any station of the aorta: solved at knots of the station, in pieces, and taken
//! between them ([`crate::graft::between`]). Turning it changes nothing of that. Knows no rules.

use super::ration::{Ration, SOLVING};
use super::table;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Placement};
use crate::graft::between::Laying;
use crate::graft::lie::PlacedGraft;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Between stations at which the lies are solved, mm: they are taken between these within 0.05 mm. The
/// knots of the table are some of them.
const SOLVED_MM: f64 = 2.0;
/// At how many stations between knots the lies are kept.
const MOST_LAIN: usize = 8;

/// The lies of a graft.
#[derive(Clone, Debug)]
pub struct Lies {
    case: Arc<Case>,
    anatomy: Arc<Anatomy>,
    component: Component,
    solved: BTreeMap<i64, Knot>,
    laying: Option<(f64, Laying)>,
    lain: Vec<(f64, PlacedGraft)>,
}

/// The graft as it lies at a knot, and the same evenly divided.
#[derive(Clone, Debug)]
struct Knot {
    placed: PlacedGraft,
    even: Option<PlacedGraft>,
}

impl Lies {
    /// Of a component, wherever it is drawn.
    pub fn of(component: &Component, case: Arc<Case>, anatomy: Arc<Anatomy>) -> Self {
        let component = component.clone();
        Lies { case, anatomy, component, solved: BTreeMap::new(), laying: None, lain: Vec::new() }
    }

    /// Takes over what was solved for another placement of the same graft in the same case.
    pub fn take_over(&mut self, before: Lies) {
        *self = Lies { case: self.case.clone(), component: self.component.clone(), ..before };
    }

    /// Takes over what was solved for a graft of the same shape in the same bed, with other tunnels.
    pub fn take_over_shape(&mut self, before: Lies) {
        let (Some(now), Some(then)) = (&self.component.graft, &before.component.graft) else { return };
        let held = |own: &Lies| own.component.placement.map(|p| p.held_u_mm);
        let bed = |own: &Lies| (own.case.push.clone(), own.case.wire.clone(), own.case.clock.clone());
        let alike = crate::graft::lie::same_shape(now, then)
            && held(self) == held(&before)
            && bed(self) == bed(&before)
            && Arc::ptr_eq(&self.anatomy, &before.anatomy);
        if alike {
            let other = |placed: &PlacedGraft| placed.with_graft(&self.component.id, now.clone());
            let knots = before.solved.into_iter();
            self.solved = knots
                .map(|(k, knot)| (k, Knot { placed: other(&knot.placed), even: knot.even.as_ref().map(other) }))
                .collect();
        }
    }

    fn put(&self, station_mm: f64) -> Component {
        let placement = self.component.placement.map(|p| Placement { station_mm, clock_deg: 0.0, ..p });
        Component { placement, ..self.component.clone() }
    }

    /// The graft solved at a station itself.
    pub fn solve(&self, station_mm: f64) -> Option<PlacedGraft> {
        PlacedGraft::new(&self.put(station_mm), &self.case, &self.anatomy, None)
    }

    /// The same in pieces, one way in which it may lie after the other; `None` where the ration does not
    /// suffice. What was begun is kept then, whatever else is asked for before the next ration: else two
    /// stations asked for in turn would begin for ever.
    fn solve_in_pieces(&mut self, station_mm: f64, ration: &mut Ration) -> Option<Option<PlacedGraft>> {
        if ration.short() {
            return None;
        }
        let begun = self.laying.take_if(|(at, _)| *at == station_mm).map(|(_, laying)| laying);
        let Some(mut laying) = begun.or_else(|| Laying::of(&self.put(station_mm), &self.case)) else {
            return Some(None);
        };
        loop {
            if ration.take(SOLVING).is_none() {
                self.laying = Some((station_mm, laying));
                return None;
            }
            if let Some(placed) = laying.go_on(&self.anatomy) {
                return Some(Some(placed));
            }
        }
    }

    fn knot(&mut self, knot: i64, ration: &mut Ration) -> Option<Option<&Knot>> {
        if !self.solved.contains_key(&knot)
            && let Some(placed) = self.solve_in_pieces(knot as f64 * SOLVED_MM, ration)?
        {
            let even = placed.evenly();
            self.solved.insert(knot, Knot { placed, even });
        }
        Some(self.solved.get(&knot))
    }

    /// The graft at a station, solved there or taken between knots; `None` in `Some` where it cannot lie
    /// there, `None` where the ration does not suffice.
    pub fn at(&mut self, station_mm: f64, ration: &mut Ration) -> Option<Option<PlacedGraft>> {
        let (second, share) = table::between(station_mm, SOLVED_MM);
        if share == 0.0 {
            return Some(self.knot(second, ration)?.map(|knot| knot.placed.clone()));
        }
        self.between(station_mm, ration)
    }

    /// The graft taken between knots, wherever it is.
    pub fn between(&mut self, station_mm: f64, ration: &mut Ration) -> Option<Option<PlacedGraft>> {
        if let Some((_, known)) = self.lain.iter().find(|(at, _)| *at == station_mm) {
            return Some(Some(known.clone()));
        }
        let (second, share) = table::between(station_mm, SOLVED_MM);
        for by in -1..=2 {
            self.knot(second + by, ration)?;
        }
        let even = |by: i64| self.solved.get(&(second + by)).and_then(|knot| knot.even.as_ref());
        let four = even(-1).zip(even(0)).zip(even(1)).zip(even(2));
        let between = four.and_then(|(((a, b), c), d)| PlacedGraft::between([a, b, c, d], share, &self.anatomy));
        // Near an end of the data there is nothing to take it between.
        let placed = match between {
            Some(placed) => Some(placed),
            None => self.solve_in_pieces(station_mm, ration)?,
        };
        if let Some(placed) = &placed {
            if self.lain.len() >= MOST_LAIN {
                self.lain.remove(0);
            }
            self.lain.push((station_mm, placed.clone()));
        }
        Some(placed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::Document;
    use crate::plan::Plan;
    use crate::room::trial;

    // Beyond the beginning of the data nothing can be taken between, and a search for a root asks for a second
    // station before it looks at what the first one gave.
    #[test]
    fn two_stations_asked_for_in_turn_are_both_solved() {
        let path = format!("{}/../../demo-data/plain-arch.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read(path).expect("the demo case is there");
        let plan = Plan::new(Document::read(&text).expect("it reads").case);
        let component = trial::moved(&plan.case).expect("a graft").clone();
        let mut lies = Lies::of(&component, plan.case.clone(), plan.anatomy.clone().expect("an anatomy"));
        let ways = plan.possibilities().len();
        assert!(ways > 1, "one piece does not suffice");
        let both = |lies: &mut Lies| {
            let ration = &mut Ration::PIECE.clone();
            [-31.0, -33.0].map(|station_mm| lies.between(station_mm, ration).is_some())
        };
        let pieces = (1..=100).find(|_| both(&mut lies) == [true; 2]);
        assert!(pieces.is_some(), "begun for ever");
    }
}
