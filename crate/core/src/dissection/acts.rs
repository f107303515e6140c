//! What is done in a plan, act by act, each in its stage: pieces, bridging of mouths, surgery of the neck.

use crate::casefile::case::{Bypass, BypassKind, BypassState, Case, ComponentKind, StepAction};

/// One thing that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Act {
    /// Its name, once in a plan: id of the component or tunnel, or the surgery in words.
    pub name: String,
    /// What it is, in words.
    pub words: String,
    /// Stage; 0 is done before.
    pub stage: u32,
    /// Whether nobody entered the stage, so that it is taken for the first.
    pub assumed: bool,
}

/// The stage of what has none.
const FIRST: u32 = 1;

/// Everything that is done, in order of stage, then surgery, pieces, bridging.
pub fn acts(case: &Case) -> Vec<Act> {
    let mut all = Vec::new();
    for bypass in &case.anatomy.bypasses {
        let done = bypass.state == BypassState::Done;
        let stage = if done { 0 } else { bypass.stage.unwrap_or(FIRST) };
        let words = surgery(bypass);
        all.push(Act { name: words.clone(), words, stage, assumed: !done && bypass.stage.is_none() });
    }
    for component in &case.components {
        let kind = component.kind.as_str().replace('_', " ");
        let place = match (&component.in_vessel, component.kind) {
            (Some(vessel), ComponentKind::Plug) => format!("{kind} {} in the {vessel}", component.id),
            _ => format!("{kind} {}", component.id),
        };
        let stage = component.stage.unwrap_or(FIRST);
        let assumed = component.stage.is_none();
        all.push(Act { name: component.id.clone(), words: place, stage, assumed });
        let graft = component.graft.iter();
        let tunnels = graft.clone().flat_map(|graft| &graft.tunnels).map(|tunnel| (&tunnel.id, &tunnel.serves));
        // An opening need not be bridged.
        let openings = graft.flat_map(|graft| &graft.fenestrations).filter(|opening| is_bridged(case, &opening.id));
        for (id, serves) in tunnels.chain(openings.map(|opening| (&opening.id, &opening.serves))) {
            let bridged = bridging_stage(case, id);
            all.push(Act {
                name: id.clone(),
                words: format!("{serves} bridged through {id}"),
                stage: bridged.unwrap_or(stage).max(stage),
                assumed,
            });
        }
    }
    all.sort_by_key(|act| act.stage);
    all
}

/// The stage in which a step of the release bridges a tunnel or opening.
fn bridging_stage(case: &Case, id: &str) -> Option<u32> {
    let steps = case.procedure.iter().flat_map(|procedure| &procedure.steps);
    let mut own = steps.filter(|step| step.action == StepAction::Bridge && step.on.as_deref() == Some(id));
    own.find_map(|step| step.stage)
}

/// Whether a step bridges it at all.
pub fn is_bridged(case: &Case, id: &str) -> bool {
    let mut steps = case.procedure.iter().flat_map(|procedure| &procedure.steps);
    steps.any(|step| step.action == StepAction::Bridge && step.on.as_deref() == Some(id))
}

/// A bypass or the like in words, which also name it.
pub fn surgery(bypass: &Bypass) -> String {
    let Bypass { from, to, kind, .. } = bypass;
    match kind {
        BypassKind::Bypass => format!("{from}–{to} bypass"),
        BypassKind::Transposition => format!("transposition of the {to} to the {from}"),
        BypassKind::Interposition => format!("interposition graft of the {to}"),
        BypassKind::Ligation => format!("ligation of the {to}"),
    }
}
