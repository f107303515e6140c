//! C-arm views: at which angles the screen shows a plan without foreshortening, and what it then
//! shows.
//!
//! [`angles`] joins positioner angles and directions in the patient; [`reach`] is what the C-arm can
//! take; [`foreshorten`] says how much shorter a line looks; [`posture`] refuses data whose axes
//! cannot be a patient's; [`views`] chooses the views of a plan, [`words`] says
//! them; [`projection`] and [`outline`] put
//! points and tubes on the screen. Nothing here knows of a rule or of a picture's look.

pub mod angles;
pub mod foreshorten;
pub mod outline;
pub mod posture;
pub mod projection;
pub mod reach;
pub mod views;
pub mod words;

use crate::casefile::case::{Case, Step};
use angles::Positioner;
use views::ViewResult;

/// The view of a step in words: of an id the view that shows it, of typed angles the same angles as
/// every view is written, of anything else the words as they were typed; `None` where a step names
/// none.
pub fn step_view(step: &Step, views: &[ViewResult]) -> Option<String> {
    let typed = step.view.as_deref()?.trim();
    if typed.is_empty() {
        return None;
    }
    if let Some(view) = views.iter().find(|view| view.id == typed) {
        return Some(match view.choice.value() {
            Some(choice) => choice.rounded.words(),
            None => "?".into(),
        });
    }
    Some(Positioner::read(typed).map_or_else(|_| typed.to_owned(), |at| at.words()))
}

/// The steps of a case that name a view: number from 1, step and view in words.
pub fn step_views<'a>(case: &'a Case, views: &[ViewResult]) -> Vec<(usize, &'a Step, String)> {
    let steps = case.procedure.iter().flat_map(|procedure| &procedure.steps).enumerate();
    steps.filter_map(|(index, step)| Some((index + 1, step, step_view(step, views)?))).collect()
}
