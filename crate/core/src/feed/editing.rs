//! Changes to the steps of a release as a whole: each gives the changed case and the step to look at.

use super::standing::steps;
use super::templates;
use crate::casefile::case::{Case, Procedure, Step, StepAction};

/// The case with other steps.
fn with(case: &Case, steps: Vec<Step>) -> Case {
    let mut case = case.clone();
    case.procedure.get_or_insert_with(Procedure::default).steps = steps;
    case
}

/// The steps of a template in the place of what was there; `None` where there is no such template.
pub fn templated(case: &Case, id: &str) -> Option<(Case, usize)> {
    let template = templates::templates(case).into_iter().find(|template| template.id == id)?;
    Some((with(case, template.steps), 0))
}

/// One step more, at the end: a release where there is none yet.
pub fn added(case: &Case) -> (Case, usize) {
    let mut own = steps(case).to_vec();
    let action = if own.is_empty() { StepAction::Release } else { StepAction::Catheterise };
    own.push(templates::step(action, None));
    let place = own.len() - 1;
    (with(case, own), place)
}

/// Two steps in each other's place; the first stays looked at.
pub fn swapped(case: &Case, at: usize, other: usize) -> Option<(Case, usize)> {
    let mut own = steps(case).to_vec();
    (at.max(other) < own.len()).then(|| own.swap(at, other))?;
    Some((with(case, own), other))
}

/// One step less.
pub fn dropped(case: &Case, at: usize) -> Option<(Case, usize)> {
    let mut own = steps(case).to_vec();
    (at < own.len()).then(|| own.remove(at))?;
    let place = at.min(own.len().saturating_sub(1));
    Some((with(case, own), place))
}

/// The placement that a step leaves, as drawn until it is changed; one that it had goes.
pub fn placed(case: &Case, at: usize) -> Option<(Case, usize)> {
    let mut own = steps(case).to_vec();
    let step = own.get_mut(at)?;
    let component = case.components.iter().find(|c| Some(&c.id) == step.on.as_ref() && c.placement.is_some());
    let drawn = component.or_else(|| crate::room::trial::moved(case))?.placement;
    step.placement = if step.placement.is_some() { None } else { drawn };
    Some((with(case, own), at))
}

/// The steps in another order, given by their places.
pub fn ordered(case: &Case, order: &[usize]) -> Option<(Case, usize)> {
    let own = steps(case);
    let in_order: Vec<Step> = order.iter().filter_map(|place| own.get(*place).cloned()).collect();
    (in_order.len() == own.len()).then(|| (with(case, in_order), 0))
}
