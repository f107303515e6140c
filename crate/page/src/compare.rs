//! The plans of a case's alternatives, computed while they are compared and no longer.
//!
//! Piece by piece like the plan that is shown, and only when that is done. Knows no browser.

use crate::results::PIECE;
use crate::state::State;
use extrados::casefile::Case;
use extrados::plan::{Plan, Planning};
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// The case itself and its alternatives, as far as they are computed.
#[derive(Debug, Default)]
pub struct Comparison {
    base: Option<Arc<Case>>,
    plans: Vec<Option<Arc<Plan>>>,
    ahead: Option<Planning>,
}

impl Comparison {
    /// The plans, the case itself first; one that is not computed yet is not there.
    pub fn plans(&self) -> &[Option<Arc<Plan>>] {
        &self.plans
    }

    /// Brings them in step with the state as long as there is time; says whether they are. Those that
    /// nobody wants any more are put away.
    pub fn follow_while(&mut self, state: &State, wanted: bool, mut time: impl FnMut() -> bool) -> bool {
        if !wanted {
            *self = Comparison::default();
            return true;
        }
        let base = &state.now.base;
        if !self.base.as_ref().is_some_and(|known| Arc::ptr_eq(known, base)) {
            let plans = vec![None; base.alternatives.len() + 1];
            *self = Comparison { base: Some(base.clone()), plans, ahead: None };
        }
        while let Some(next) = self.plans.iter().position(Option::is_none) {
            let plan = match self.ahead.take() {
                Some(begun) => begun,
                None => {
                    let case = match next.checked_sub(1) {
                        None => base.clone(),
                        // What is wrong with it is said where it is shown.
                        Some(place) => base.as_alternative(place).map_or_else(|_| Arc::default(), Arc::new),
                    };
                    match self.plans.first() {
                        Some(Some(first)) if first.keeps_anatomy(&case) => {
                            self.plans[next] = Some(Arc::new(first.follow(case)));
                            if !time() {
                                return self.plans.iter().all(Option::is_some);
                            }
                            continue;
                        }
                        _ => Planning::of(case),
                    }
                }
            };
            match advanced(plan, &mut time) {
                Ok(plan) => self.plans[next] = Some(Arc::new(plan)),
                Err(begun) => {
                    self.ahead = Some(begun);
                    return false;
                }
            }
        }
        true
    }
}

fn advanced(mut planning: Planning, time: &mut impl FnMut() -> bool) -> Result<Plan, Planning> {
    loop {
        match planning.advance(PIECE) {
            Progress::Done(plan) => return Ok(plan),
            Progress::Working { .. } if time() => {}
            Progress::Working { .. } => return Err(planning),
        }
    }
}
