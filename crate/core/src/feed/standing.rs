//! What is in place at the end of each step of the release: which pieces are open and how far, what is
//! bridged or closed, where a sheath lies, whether the wire is in.
//!
//! Read from the steps alone, one after another; what a step does not say stays as it was. A sheath goes
//! in when something is catheterised and comes out when that has been bridged. Knows no geometry.

use crate::casefile::case::{Case, Component, ComponentKind, Placement, Step, StepAction};

/// A piece that has been released.
#[derive(Clone, Debug, PartialEq)]
pub struct Released {
    /// Id of its component.
    pub component: String,
    /// How far it is open, mm from its proximal edge; `None`: all of it.
    pub open_to_mm: Option<f64>,
    /// Diameter to which the rest is held; `None`: it is still in its carrier.
    pub held_diameter_mm: Option<f64>,
}

/// A sheath that is in place.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheath {
    /// What is catheterised.
    pub on: String,
    /// The vessels it lies in: the one it goes into, and the one it comes through.
    pub vessels: Vec<String>,
    /// Its outer diameter.
    pub outer_mm: f64,
}

/// What is in place at the end of a step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Pieces in the aorta.
    pub released: Vec<Released>,
    /// Where a piece lies otherwise than drawn.
    pub placed: Vec<(String, Placement)>,
    /// Whether the stiff wire is in; `None`: not said.
    pub wire_in: Option<bool>,
    /// Sheaths in place.
    pub sheaths: Vec<Sheath>,
    /// Tunnels and openings that are bridged.
    pub bridged: Vec<String>,
    /// Vessels, tunnels, openings and ways that are closed.
    pub closed: Vec<String>,
    /// The stage; `None` where the steps name none.
    pub stage: Option<u32>,
}

/// What stands at the end of each of some steps of a case.
pub fn standings(case: &Case, steps: &[Step]) -> Vec<Standing> {
    let mut now = before(case, steps);
    let stood = steps.iter().map(|step| {
        now.take(case, step);
        now.clone()
    });
    stood.collect()
}

/// The steps of a case.
pub fn steps(case: &Case) -> &[Step] {
    case.procedure.as_ref().map_or(&[], |procedure| &procedure.steps)
}

/// What stood before the first step: pieces and plugs of earlier stages that no step puts in.
fn before(case: &Case, steps: &[Step]) -> Standing {
    let first = steps.iter().filter_map(|step| step.stage).min();
    let is_step = |id: &str| steps.iter().any(|step| step.on.as_deref() == Some(id));
    let earlier = |c: &&Component| c.stage.zip(first).is_some_and(|(own, first)| own < first) && !is_step(&c.id);
    let mut now = Standing::default();
    for component in case.components.iter().filter(earlier) {
        match component.kind {
            ComponentKind::Plug => now.closed.extend(component.in_vessel.clone()),
            ComponentKind::AscendingTube | ComponentKind::ArchGraft | ComponentKind::Extension => {
                now.released.push(Released {
                    component: component.id.clone(),
                    open_to_mm: None,
                    held_diameter_mm: None,
                });
            }
        }
    }
    now
}

impl Standing {
    fn take(&mut self, case: &Case, step: &Step) {
        self.stage = step.stage.or(self.stage);
        match step.wire.as_deref().map(str::trim) {
            Some("in") => self.wire_in = Some(true),
            Some("out") => self.wire_in = Some(false),
            _ => {}
        }
        let on = step.on.clone().or_else(|| (step.action == StepAction::Release).then(|| whole(case)).flatten());
        let component = on.as_deref().and_then(|id| case.components.iter().find(|c| c.id == id));
        // A placement is that of the piece the step is about, or of the one that the plan moves.
        if let Some(placement) = step.placement
            && let Some(of) = component.map(|c| c.id.clone()).or_else(|| whole(case))
        {
            self.placed.retain(|(id, _)| *id != of);
            self.placed.push((of, placement));
        }
        match (step.action, on) {
            (StepAction::Release, Some(on)) => {
                self.released.retain(|piece| piece.component != on);
                self.released.push(Released {
                    component: on,
                    open_to_mm: step.open_to_mm,
                    held_diameter_mm: step.held_diameter_mm,
                });
            }
            (StepAction::Catheterise, Some(on)) => {
                self.sheaths.retain(|sheath| sheath.on != on);
                if let Some(outer_mm) = step.sheath_outer_mm {
                    let through = step.from_access.as_deref().and_then(|from| through(case, from));
                    let mut vessels: Vec<String> = vessel_of(case, &on).into_iter().collect();
                    vessels.extend(through.filter(|through| !vessels.contains(through)));
                    self.sheaths.push(Sheath { on, vessels, outer_mm });
                }
            }
            (StepAction::Bridge, Some(on)) => {
                self.sheaths.retain(|sheath| sheath.on != on);
                // A vessel is bridged through what serves it.
                let on = server_of(case, &on).unwrap_or(on);
                self.sheaths.retain(|sheath| sheath.on != on);
                if !self.bridged.contains(&on) {
                    self.bridged.push(on);
                }
            }
            (StepAction::Close, Some(on)) => {
                let plugged = component.and_then(|component| component.in_vessel.clone());
                let on = plugged.unwrap_or(on);
                if !self.closed.contains(&on) {
                    self.closed.push(on);
                }
            }
            (StepAction::RemoveWire, _) => self.wire_in = Some(false),
            (StepAction::Balloon, _) | (_, None) => {}
        }
    }

    /// Whether anything has been put into the aorta.
    pub fn begun(&self) -> bool {
        !self.released.is_empty()
    }
}

/// The piece that a step is about where it names none.
fn whole(case: &Case) -> Option<String> {
    crate::room::trial::moved(case).map(|component| component.id.clone())
}

/// Id and vessel of everything in a graft that serves a vessel.
pub fn servers(case: &Case) -> Vec<(&str, &str)> {
    let mut all = Vec::new();
    for graft in case.components.iter().filter_map(|c| c.graft.as_deref()) {
        all.extend(graft.tunnels.iter().map(|t| (t.id.as_str(), t.serves.as_str())));
        all.extend(graft.fenestrations.iter().map(|f| (f.id.as_str(), f.serves.as_str())));
        all.extend(graft.scallops.iter().map(|s| (s.id.as_str(), s.serves.as_str())));
    }
    all
}

/// The vessel that a step on something is about: its own, or the one that it serves.
pub fn vessel_of(case: &Case, on: &str) -> Option<String> {
    let own = case.anatomy.vessels.iter().find(|vessel| vessel.id == on).map(|vessel| vessel.id.as_str());
    own.or_else(|| servers(case).into_iter().find(|(id, _)| *id == on).map(|(_, vessel)| vessel)).map(Into::into)
}

fn server_of(case: &Case, vessel: &str) -> Option<String> {
    case.anatomy.vessels.iter().find(|own| own.id == vessel)?;
    servers(case).into_iter().find(|(_, serves)| *serves == vessel).map(|(id, _)| id.into())
}

/// The vessel through which an access leads into the aorta, from what the vessels carry.
fn through(case: &Case, access: &str) -> Option<String> {
    let access = access.to_lowercase();
    let side = ["left", "right"].into_iter().find(|side| access.contains(side))?;
    let arm = ["arm", "axillary", "brachial", "radial", "subclavian"].iter().any(|word| access.contains(word));
    let parts: &[&str] = match (arm, access.contains("carotid")) {
        (true, _) => &["mammary", "vertebral", "arm"],
        (false, true) => &["carotid"],
        (false, false) => return None,
    };
    let carries = |part: &str| {
        let wanted = format!("{side}_{part}");
        case.anatomy.vessels.iter().find(|vessel| vessel.carries.contains(&wanted)).map(|vessel| vessel.id.clone())
    };
    parts.iter().find_map(|part| carries(part))
}
