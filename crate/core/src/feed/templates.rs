//! Steps to begin with: what a release of such a graft usually looks like, made from what a case holds.
//!
//! Proposals of common practice, no source; every one of them is to be changed to what is planned.

use crate::casefile::case::{Case, Component, ComponentKind, Flow, Graft, Step, StepAction, Tunnel};

/// A template.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Its name in markup.
    pub id: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Its steps for this case.
    pub steps: Vec<Step>,
}

/// The templates that a case has the pieces for.
pub fn templates(case: &Case) -> Vec<Template> {
    let tube = case.components.iter().find(|c| c.kind == ComponentKind::AscendingTube && c.graft.is_some());
    let arch = case.components.iter().find(|c| c.kind == ComponentKind::ArchGraft && c.graft.is_some());
    let Some((arch, graft)) = arch.and_then(|arch| Some((arch, arch.graft.as_deref()?))) else { return Vec::new() };
    let of = |flow: Flow| graft.tunnels.iter().filter(move |t| t.flow == flow);
    let (antegrade, retrograde) = (of(Flow::Antegrade).count(), of(Flow::Retrograde).count());
    let has_opening = !graft.fenestrations.is_empty() || !graft.scallops.is_empty();
    let two: Vec<&Tunnel> = of(Flow::Antegrade).take(2).collect();
    let all: Vec<&Tunnel> = of(Flow::Antegrade).chain(of(Flow::Retrograde)).collect();
    let mut templates = Vec::new();
    let mut add = |id, name, fits: bool, steps: Vec<Step>| {
        if fits {
            templates.push(Template { id, name, steps: [steps, ending(case, arch)].concat() });
        }
    };
    add("two", "Two tunnels", antegrade >= 2, [opened(arch), bridged(&two)].concat());
    add(
        "three",
        "Three tunnels, one retrograde",
        antegrade >= 2 && retrograde >= 1,
        [opened(arch), bridged(&all)].concat(),
    );
    add("opening", "Fenestration or scallop", has_opening, [opened(arch), through(graft), bridged(&all)].concat());
    let first = tube.map(opened).unwrap_or_default();
    add("tube", "Ascending tube first", tube.is_some(), [first, opened(arch), through(graft), bridged(&all)].concat());
    templates
}

/// A step of which nothing but what it does is said.
pub fn step(action: StepAction, on: Option<&str>) -> Step {
    Step {
        action,
        on: on.map(Into::into),
        from_access: None,
        sheath_outer_mm: None,
        open_to_mm: None,
        held_diameter_mm: None,
        wire: None,
        placement: None,
        view: None,
        minutes: None,
        stage: None,
    }
}

fn opened(component: &Component) -> Vec<Step> {
    let release = step(StepAction::Release, Some(&component.id));
    vec![Step { wire: Some("in".into()), stage: component.stage, ..release }]
}

fn bridged(tunnels: &[&Tunnel]) -> Vec<Step> {
    let each = tunnels.iter().flat_map(|tunnel| {
        let wired = step(StepAction::Catheterise, Some(&tunnel.id));
        [Step { from_access: tunnel.wired_from.clone(), ..wired }, step(StepAction::Bridge, Some(&tunnel.id))]
    });
    each.collect()
}

fn through(graft: &Graft) -> Vec<Step> {
    // A scallop leaves its vessel open and is not bridged.
    let each = graft.fenestrations.iter().flat_map(|opening| {
        [step(StepAction::Catheterise, Some(&opening.id)), step(StepAction::Bridge, Some(&opening.id))]
    });
    each.collect()
}

/// What comes after: extensions, plugs, the wire.
fn ending(case: &Case, arch: &Component) -> Vec<Step> {
    let later = case.components.iter().filter(|c| c.id != arch.id);
    let ending = later.filter_map(|component| match component.kind {
        ComponentKind::Extension => Some(step(StepAction::Release, Some(&component.id))),
        ComponentKind::Plug => Some(step(StepAction::Close, Some(&component.id))),
        ComponentKind::AscendingTube | ComponentKind::ArchGraft => None,
    });
    ending.chain([step(StepAction::RemoveWire, None)]).collect()
}
