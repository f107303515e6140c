//! A graft taken in the place of another, so that the case stays one that reads: what was said of a tunnel or an
//! opening that goes with the old graft goes too.

use super::case::{Case, Component, ComponentKind, Graft, Placement};
use super::rows::free_id;
use std::sync::Arc;

/// The case with another graft in a component; where there is none, or a plug, it gets one more at station 0.
pub fn with_graft(case: &Case, component: usize, graft: Arc<Graft>) -> Case {
    let mut taken = case.clone();
    match taken.components.get_mut(component).filter(|component| component.kind != ComponentKind::Plug) {
        Some(component) => component.graft = Some(graft),
        None => taken.components.push(Component {
            graft: Some(graft),
            placement: Some(Placement { held_u_mm: 0.0, station_mm: 0.0, clock_deg: 0.0 }),
            ..Component::new(free_id(case, "arch"), ComponentKind::ArchGraft)
        }),
    }
    without_the_gone(&taken, case)
}

/// A case whose grafts are others than before, without steps on openings that are gone, and with no way closed by
/// them.
pub fn without_the_gone(case: &Case, before: &Case) -> Case {
    let there = openings(case);
    let gone: Vec<&str> = openings(before).into_iter().filter(|id| !there.contains(id)).collect();
    let gone = |id: &str| gone.contains(&id);
    let mut case = case.clone();
    if let Some(procedure) = &mut case.procedure {
        procedure.steps.retain(|step| !step.on.as_deref().is_some_and(gone));
    }
    if case.anatomy.ways.iter().any(|way| way.closed_by.iter().any(|id| gone(id))) {
        for way in &mut Arc::make_mut(&mut case.anatomy).ways {
            way.closed_by.retain(|id| !gone(id));
        }
    }
    case
}

/// Ids of all tunnels and openings.
fn openings(case: &Case) -> Vec<&str> {
    let grafts = || case.components.iter().filter_map(|component| component.graft.as_deref());
    let tunnels = grafts().flat_map(|graft| graft.tunnels.iter().map(|own| own.id.as_str()));
    let fenestrations = grafts().flat_map(|graft| graft.fenestrations.iter().map(|own| own.id.as_str()));
    let scallops = grafts().flat_map(|graft| graft.scallops.iter().map(|own| own.id.as_str()));
    tunnels.chain(fenestrations).chain(scallops).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::{Document, document, edit};

    fn steep() -> Case {
        let text = include_str!("../../../../demo-data/steep-arch.json");
        (*Document::read(text.as_bytes()).unwrap().case).clone()
    }

    fn two_tunnels() -> Arc<Graft> {
        let text = include_str!("../../../../demo-data/graft-two-tunnel.json");
        Arc::new(document::read_graft(text.as_bytes()).unwrap())
    }

    #[test]
    fn what_was_said_of_a_tunnel_that_is_gone_goes_with_it() {
        let mut case = steep();
        let way =
            serde_json::from_value(serde_json::json!({ "id": "w1", "kind": "entry", "closed_by": ["arch", "t3"] }));
        Arc::make_mut(&mut case.anatomy).ways.push(way.unwrap());
        edit::checked(&case).unwrap();
        let taken = with_graft(&case, 0, two_tunnels());
        edit::checked(&taken).unwrap();
        let on =
            |case: &Case| case.procedure.iter().flat_map(|p| &p.steps).filter_map(|s| s.on.clone()).collect::<Vec<_>>();
        assert_eq!(on(&case).into_iter().filter(|id| id != "t3").collect::<Vec<_>>(), on(&taken));
        assert_eq!(taken.anatomy.ways[0].closed_by, ["arch"]);
    }

    #[test]
    fn a_graft_more_gets_a_name_that_nothing_has() {
        let mut case = steep();
        Arc::make_mut(&mut case.anatomy)
            .landmarks
            .push(serde_json::from_value(serde_json::json!({ "id": "arch1", "station_mm": 10 })).unwrap());
        let empty = Case { components: Vec::new(), procedure: None, rules: Vec::new(), ..case };
        let taken = with_graft(&empty, 0, two_tunnels());
        assert_eq!(taken.components[0].id, "arch2");
        edit::checked(&taken).unwrap();
    }
}
