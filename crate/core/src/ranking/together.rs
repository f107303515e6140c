//! Pieces put together: a graft with openings and a plain tube that lengthens it at one of its ends.
//!
//! The tube overlaps the graft where that lies at its own best, and stands in the place of the case's own
//! piece of that kind; then the graft's best placement is looked for anew beside it. Knows no order.

use super::Standing;
use crate::casefile::case::{Case, Component, ComponentKind, Graft, Placement};
use crate::graft::lie::PlacedGraft;
use crate::room::landing;
use std::sync::Arc;

/// How far the pieces overlap where no rule of the case says more, mm (common practice, no source).
const OVERLAP_MM: f64 = 30.0;

/// Which end of the graft a tube lengthens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Against the blood.
    Upstream,
    /// With the blood.
    Downstream,
}

impl End {
    /// Both.
    pub const ALL: [End; 2] = [End::Downstream, End::Upstream];

    /// As reports and sentences name it.
    pub fn as_str(self) -> &'static str {
        match self {
            End::Upstream => "upstream",
            End::Downstream => "downstream",
        }
    }

    fn kind(self) -> ComponentKind {
        match self {
            End::Upstream => ComponentKind::AscendingTube,
            End::Downstream => ComponentKind::Extension,
        }
    }
}

/// A tube beside a ranked graft.
#[derive(Clone, Debug)]
pub struct Joined {
    /// Its file or label.
    pub name: String,
    /// The tube.
    pub graft: Arc<Graft>,
    /// Which end it lengthens.
    pub end: End,
}

/// Whether a graft is a plain tube: nothing opens in its side.
pub fn is_tube(graft: &Graft) -> bool {
    graft.tunnels.is_empty() && graft.fenestrations.is_empty() && graft.scallops.is_empty()
}

/// The case in which a graft stands at its best, with a tube that overlaps it; `None` where the graft stands
/// nowhere, or its end does not lie within the data.
pub fn with_tube(alone: &Standing, placed: &PlacedGraft, joined: &Joined) -> Option<Case> {
    alone.placement?;
    let mut case = (*alone.case).clone();
    let asked =
        case.rules.iter().filter(|rule| rule.measure == "component.overlap_mm").filter_map(|rule| rule.at_least);
    let overlap_mm = asked.map(|mm| mm + landing(&case).shift_mm).fold(OVERLAP_MM, f64::max);
    let lie = placed.lies.first()?;
    let (held_u_mm, station_mm) = match joined.end {
        End::Upstream => (joined.graft.length_mm, lie.station_mm(0.0).ok()? + overlap_mm),
        End::Downstream => (0.0, lie.station_mm(placed.graft.length_mm).ok()? - overlap_mm),
    };
    let own = |c: &&mut Component| c.kind == joined.end.kind() && c.graft.is_some() && c.id != alone.component;
    let placement = Some(Placement { held_u_mm, station_mm, clock_deg: 0.0 });
    match case.components.iter_mut().find(own) {
        Some(own) => (own.graft, own.placement) = (Some(joined.graft.clone()), placement),
        None => {
            let free = |id: &String| case.components.iter().all(|own| own.id != *id);
            let mut ids = (1..).map(|k| format!("{}{k}", joined.end.kind().as_str()));
            let id = ids.find(free)?;
            case.components.push(Component {
                graft: Some(joined.graft.clone()),
                placement,
                ..Component::new(id, joined.end.kind())
            });
        }
    }
    Some(case)
}
