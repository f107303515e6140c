//! Views in words, as page, sheet and command show them.

use super::views::{Shows, ViewResult};
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::spoken::{degrees, or_unknown, tenths};
use crate::units::Angle;

/// A view to whole degrees: `LAO 42 / CRA 8`.
pub fn view(view: &ViewResult) -> String {
    or_unknown(&view.choice, |choice| choice.rounded.words())
}

/// What a view shows, in a few words: `IA ostium`, `IA path`.
pub fn view_name(plan: &Plan, view: &ViewResult) -> String {
    match view.shows {
        Shows::Arch => "arch".into(),
        Shows::Ostium => format!("{} ostium", vessels_of(plan, &view.id)),
        Shows::Path => format!("{} path", served_by(plan, &view.id)),
        Shows::ProximalEdge => match plan.grafts.len() {
            1 => "proximal edge".into(),
            _ => format!("edge of {}", view.id),
        },
    }
}

/// What a view shows, as a sentence without its end.
pub fn view_of(plan: &Plan, view: &ViewResult) -> String {
    match view.shows {
        Shows::Arch => "arch square-on".into(),
        Shows::Ostium => format!("{} ostium edge-on, clearance along the wall", vessels_of(plan, &view.id)),
        Shows::Path => format!("bridging path to the {}", served_by(plan, &view.id)),
        Shows::ProximalEdge => format!("proximal edge of {} with the coronaries", view.id),
    }
}

fn vessels_of(plan: &Plan, ostium: &str) -> String {
    let found = plan.anatomy.as_ref().ok().and_then(|anatomy| anatomy.ostia.iter().find(|own| own.id == ostium));
    found.filter(|own| !own.vessels.is_empty()).map_or(ostium.to_owned(), |own| own.vessels.join(" + "))
}

fn served_by(plan: &Plan, tunnel: &str) -> String {
    plan.tunnels.iter().find(|own| own.id == tunnel).map_or(tunnel.to_owned(), |own| own.serves.clone())
}

/// What to know of a view: foreshortening, cost of whole degrees, reach, overlaps.
pub fn view_notes(view: &ViewResult) -> String {
    let choice = match &view.choice {
        Quantity::Known { value, .. } => value,
        Quantity::Unknown { why } => return why.clone(),
    };
    let mut notes = vec![format!("{} shorter", percent(choice.foreshortening))];
    if choice.rounding_cost.abs() >= 0.0005 {
        notes.push(format!("{} more at whole degrees", percent(choice.rounding_cost)));
    }
    if let Some(off) = choice.off_edge.filter(|off| off.to_deg() >= 0.5) {
        notes.push(format!("{} off edge-on", degrees(off)));
    }
    if !choice.reachable {
        notes.push(format!("best within reach; ideal {}", choice.ideal.words()));
    }
    if !choice.overlaps.is_empty() {
        notes.push(format!("overlapping: {}", choice.overlaps.join(", ")));
    }
    if let Quantity::Known { error, .. } = view.choice
        && error > 0.0
    {
        notes.push(format!("± {}", degrees(Angle::deg(error))));
    }
    notes.join("; ")
}

/// A share in percent to one decimal.
pub fn percent(share: f64) -> String {
    format!("{} %", tenths(100.0 * share))
}
