//! What the wall map and the side view show of one step of the release: what is in place by then, as far
//! as it is open, where it then lies; and beside each vessel the mark of its feed.

use super::map_input::MapInput;
use super::side_view::SideInput;
use crate::casefile::case::{Case, ComponentKind, Graft};
use crate::feed::release::StepResult;
use crate::feed::stage::possible;
use crate::feed::words;
use crate::graft::lie::Possibility;
use crate::plan::Plan;
use std::sync::Arc;

/// A step as it is drawn.
#[derive(Clone, Debug)]
pub struct StepPicture {
    /// The plan with what is in place at the step's end.
    pub plan: Plan,
    /// How the grafts lie in the drawing.
    pub possibility: Option<Possibility>,
    /// Its wall map.
    pub map: MapInput,
    /// Its side view.
    pub side: SideInput,
}

/// The picture of a step, in a possibility that its wire leaves.
pub fn picture(plan: &Plan, result: &StepResult, wished: Option<Possibility>) -> StepPicture {
    let at = plan.follow(Arc::new(standing(&plan.case, result)));
    let all = possible(&at, result.standing.wire_in);
    let possibility = wished.filter(|own| all.contains(own)).or(all.first().copied());
    let marked = |vessel: &str| match feed(result, possibility, vessel) {
        Some(state) => format!("{vessel} {}", words::mark(state)),
        None => vessel.to_owned(),
    };
    let mut map = MapInput::from_plan(&at, possibility);
    let anatomy = Arc::make_mut(&mut map.anatomy);
    for ostium in &mut anatomy.ostia {
        let own = at.anatomy.as_deref().ok().and_then(|own| own.ostia.iter().find(|o| o.id == ostium.id));
        let names: Vec<String> = own.iter().flat_map(|own| &own.vessels).map(|vessel| marked(vessel)).collect();
        if !names.is_empty() {
            ostium.name = names.join(" + ");
        }
    }
    let mut side = SideInput::from_plan(&at, possibility);
    for vessel in &mut side.vessels {
        vessel.id = marked(&vessel.id);
    }
    // A path is drawn where there is a stent by then.
    for tunnel in map.grafts.iter_mut().flat_map(|graft| &mut graft.tunnels) {
        if !result.standing.bridged.contains(&tunnel.id) {
            tunnel.path.clear();
        }
    }
    for tunnel in side.grafts.iter_mut().flat_map(|graft| &mut graft.tunnels) {
        if !result.standing.bridged.contains(&tunnel.id) {
            tunnel.path.clear();
        }
    }
    StepPicture { plan: at, possibility, map, side }
}

fn feed(result: &StepResult, possibility: Option<Possibility>, vessel: &str) -> Option<crate::feed::flow::FeedState> {
    let own = result.feeds.iter().find(|(p, _)| *p == possibility).or(result.feeds.first())?;
    own.1.iter().find(|feed| feed.vessel == vessel).map(|feed| feed.state)
}

/// The case with what stands at a step and nothing else.
fn standing(case: &Case, result: &StepResult) -> Case {
    let mut at = case.clone();
    let own = &result.standing;
    at.components.retain(|component| match component.kind {
        ComponentKind::Plug => component.in_vessel.as_ref().is_some_and(|vessel| own.closed.contains(vessel)),
        _ => own.released.iter().any(|released| released.component == component.id),
    });
    for component in &mut at.components {
        if let Some((_, placement)) = own.placed.iter().find(|(id, _)| *id == component.id) {
            component.placement = Some(*placement);
        }
        let released = own.released.iter().find(|released| released.component == component.id);
        if let (Some(graft), Some(open)) = (&mut component.graft, released.and_then(|released| released.open_to_mm)) {
            let to = released.and_then(|released| released.held_diameter_mm).or(graft.carrier_outer_mm);
            if let Some(to) = to.filter(|_| open < graft.length_mm) {
                *graft = Arc::new(held(graft, open, to));
            }
        }
    }
    at
}

/// A graft that is open so far and held to a diameter beyond.
fn held(graft: &Graft, open_mm: f64, to_mm: f64) -> Graft {
    let mut sections = Vec::new();
    for section in &graft.sections {
        let border = open_mm.clamp(section.from_u_mm, section.to_u_mm);
        if border > section.from_u_mm {
            sections.push(crate::casefile::case::Section { to_u_mm: border, ..section.clone() });
        }
        if border < section.to_u_mm {
            let mut rest = crate::casefile::case::Section { from_u_mm: border, ..section.clone() };
            rest.from_diameter_mm = rest.from_diameter_mm.min(to_mm);
            rest.to_diameter_mm = rest.to_diameter_mm.min(to_mm);
            (rest.offset_mm, rest.seals) = (0.0, false);
            sections.push(rest);
        }
    }
    Graft { sections, ..graft.clone() }
}
