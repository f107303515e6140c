//! What a drag of a mouth or an opening does to the graft: where on the graft it lies.
//!
//! Pure: places on the wall in, a case out. The grip is remembered, so nothing jumps when a drag begins;
//! where a maker makes only certain steps, so does the drag. Knows no pixel and no event.

use crate::drag::Lock;
use extrados::anatomy::Anatomy;
use extrados::casefile::Case;
use extrados::casefile::case::Graft;
use extrados::graft::lie::{GraftLie, Possibility};
use extrados::plan::Plan;
use extrados::scene::axes::WallSpot;
use extrados::units::Angle;
use std::sync::Arc;

/// What is held of a graft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Held {
    Tunnel(usize),
    Fenestration(usize),
    Scallop(usize),
}

/// A drag of a mouth or an opening from where it was gripped.
#[derive(Clone, Debug)]
pub struct MouthDrag {
    start: Arc<Case>,
    component: usize,
    held: Held,
    lie: GraftLie,
    anatomy: Arc<Anatomy>,
    grip: WallSpot,
}

fn held(graft: &Graft, id: &str) -> Option<Held> {
    let tunnel = graft.tunnels.iter().position(|own| own.id == id).map(Held::Tunnel);
    let window = || graft.fenestrations.iter().position(|own| own.id == id).map(Held::Fenestration);
    tunnel.or_else(window).or_else(|| graft.scallops.iter().position(|own| own.id == id).map(Held::Scallop))
}

/// Whether an id is that of a mouth or an opening of a placed graft.
pub fn is_part(plan: &Plan, id: &str) -> bool {
    plan.grafts.iter().any(|placed| held(&placed.graft, id).is_some())
}

/// Clock of a mouth or an opening about its graft, from which the side is known where depth is lost.
pub fn clock_of(plan: &Plan, id: &str) -> Option<Angle> {
    let found = plan.grafts.iter().find_map(|placed| Some((placed, held(&placed.graft, id)?)))?;
    let graft = &found.0.graft;
    Some(Angle::deg(match found.1 {
        Held::Tunnel(place) => graft.tunnels.get(place)?.mouth_clock_deg,
        Held::Fenestration(place) => graft.fenestrations.get(place)?.clock_deg,
        Held::Scallop(place) => graft.scallops.get(place)?.clock_deg,
    }))
}

impl MouthDrag {
    /// The part with an id is gripped at a place on the wall, the graft as it is drawn.
    pub fn new(plan: &Plan, drawn: Option<Possibility>, id: &str, grip: WallSpot) -> Option<Self> {
        let anatomy = plan.anatomy.as_ref().ok()?.clone();
        let (placed, held) = plan.grafts.iter().find_map(|placed| Some((placed, held(&placed.graft, id)?)))?;
        let component = plan.case.components.iter().position(|own| own.id == placed.component)?;
        let lie = match drawn {
            Some(possibility) => placed.lie_in(possibility)?,
            None => placed.lies.first()?,
        };
        Some(MouthDrag { start: plan.case.clone(), component, held, lie: lie.clone(), anatomy, grip })
    }

    /// The case when the pointer is at a place: 0.1 mm and whole degrees, or the maker's steps. None
    /// where nothing moves.
    pub fn to(&self, pointer: WallSpot, lock: Lock) -> Option<Arc<Case>> {
        if !(pointer.station_mm.is_finite() && pointer.clock.to_deg().is_finite()) {
            return None;
        }
        let along = if lock == Lock::Around {
            0.0
        } else {
            self.on_graft(pointer.station_mm)? - self.on_graft(self.grip.station_mm)?
        };
        // The reference line drifts round the wall: what is dragged along it keeps its clock on the graft.
        let drift = match (lock, self.reference(pointer.station_mm), self.reference(self.grip.station_mm)) {
            (Lock::Around, _, _) | (_, None, _) | (_, _, None) => Angle::ZERO,
            (_, Some(here), Some(there)) => (here - there).wrapped(),
        };
        let around =
            if lock == Lock::Along { Angle::ZERO } else { (pointer.clock - self.grip.clock - drift).wrapped() };
        let mut case = (*self.start).clone();
        let component = case.components.get_mut(self.component)?;
        let graft = Arc::make_mut(component.graft.as_mut()?);
        let (step_mm, step_deg) = graft.maker_steps.as_ref().map_or((0.1, 1.0), |steps| (steps.u_mm, steps.clock_deg));
        let length_mm = graft.length_mm;
        let u = |from: f64| if along == 0.0 { from } else { stepped(from + along, step_mm).clamp(0.0, length_mm) };
        let clock = |from: f64| match around.to_deg() {
            0.0 => from,
            by => thousandths(Angle::deg(stepped(from + by, step_deg)).wrapped().to_deg()),
        };
        match self.held {
            Held::Tunnel(place) => {
                let own = graft.tunnels.get_mut(place)?;
                (own.mouth_u_mm, own.mouth_clock_deg) = (u(own.mouth_u_mm), clock(own.mouth_clock_deg));
            }
            Held::Fenestration(place) => {
                let own = graft.fenestrations.get_mut(place)?;
                (own.u_mm, own.clock_deg) = (u(own.u_mm), clock(own.clock_deg));
            }
            // It begins at the edge, so that it only turns.
            Held::Scallop(place) => {
                let own = graft.scallops.get_mut(place)?;
                own.clock_deg = clock(own.clock_deg);
            }
        }
        Some(Arc::new(case))
    }

    /// The point of the graft that lies at a station, the nearest end beyond it.
    fn on_graft(&self, station_mm: f64) -> Option<f64> {
        let (first, last) = self.lie.places().first().zip(self.lie.places().last())?;
        self.lie.u_mm(station_mm.clamp(first.1, last.1))
    }

    fn reference(&self, station_mm: f64) -> Option<Angle> {
        self.lie.reference_clock(station_mm, &self.anatomy).ok()
    }
}

/// The nearest step of a size, without the digits that counting in steps leaves.
fn stepped(value: f64, step: f64) -> f64 {
    if step > 0.0 { thousandths((value / step).round() * step) } else { value }
}

fn thousandths(value: f64) -> f64 {
    // Adding zero makes −0 plain 0.
    (value * 1000.0).round() / 1000.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use extrados::casefile::Document;
    use extrados::casefile::case::MakerSteps;

    fn plan(change: impl FnOnce(&mut Graft)) -> Plan {
        let text = include_str!("../../../demo-data/plain-arch.json");
        let mut case = (*Document::read(text.as_bytes()).expect("the demo reads").case).clone();
        change(Arc::make_mut(case.components[0].graft.as_mut().expect("a graft")));
        Plan::new(Arc::new(case))
    }

    /// Where a tunnel's mouth lies on the wall in the middle, and on the graft.
    fn lies(plan: &Plan, id: &str) -> (WallSpot, f64, f64) {
        let own = plan.tunnels.iter().find(|tunnel| tunnel.id == id).expect("a tunnel");
        let at = own.mouth.value().expect("a mouth");
        let tunnels = &plan.case.components[0].graft.as_ref().expect("a graft").tunnels;
        let tunnel = tunnels.iter().find(|tunnel| tunnel.id == id).expect("a tunnel");
        (WallSpot { station_mm: at.station_mm, clock: at.clock }, tunnel.mouth_u_mm, tunnel.mouth_clock_deg)
    }

    // Dragged somewhere, the mouth lies there once the plan is made again: the way there and the way back
    // through the geometry are one.
    #[test]
    fn a_mouth_comes_to_lie_where_it_is_dragged() {
        let plan = plan(|graft| graft.maker_steps = None);
        let (at, u, _) = lies(&plan, "t2");
        let drag = MouthDrag::new(&plan, None, "t2", at).expect("a mouth");
        assert_eq!(drag.to(at, Lock::Free).expect("a case").components, plan.case.components);
        let to = WallSpot { station_mm: at.station_mm + 6.0, clock: at.clock + Angle::deg(17.0) };
        let there = Plan::new(drag.to(to, Lock::Free).expect("a case"));
        let (now, u_now, _) = lies(&there, "t2");
        assert!((now.station_mm - to.station_mm).abs() < 0.1, "{now:?} {to:?}");
        assert!((now.clock - to.clock).wrapped().abs().to_deg() < 0.6, "{now:?} {to:?}");
        assert!(u_now > u + 3.0);
        let along = Plan::new(drag.to(to, Lock::Along).expect("a case"));
        assert_eq!(lies(&along, "t2").2, lies(&plan, "t2").2);
    }

    #[test]
    fn a_maker_s_steps_are_kept_and_the_graft_is_not_left() {
        let plan = plan(|graft| graft.maker_steps = Some(MakerSteps { u_mm: 2.0, clock_deg: 7.5 }));
        let (at, _, _) = lies(&plan, "t1");
        let drag = MouthDrag::new(&plan, None, "t1", at).expect("a mouth");
        let to = WallSpot { station_mm: at.station_mm + 4.7, clock: at.clock + Angle::deg(20.0) };
        let moved = drag.to(to, Lock::Free).expect("a case");
        let own = &moved.components[0].graft.as_ref().expect("a graft").tunnels[0];
        assert_eq!((own.mouth_u_mm % 2.0, own.mouth_clock_deg % 7.5), (0.0, 0.0), "{own:?}");
        let far = drag.to(WallSpot { station_mm: 900.0, clock: at.clock }, Lock::Free).expect("a case");
        let graft = far.components[0].graft.as_ref().expect("a graft");
        assert!(graft.tunnels[0].mouth_u_mm <= graft.length_mm);
        assert!(drag.to(WallSpot { station_mm: f64::NAN, clock: at.clock }, Lock::Free).is_none());
    }
}
