//! Undo and redo by snapshots.
//!
//! A snapshot is a few shared pointers, so keeping many is cheap. While a gesture lasts (one drag,
//! one key held down) all its changes are one step. Knows nothing of what a snapshot holds.

/// Most steps kept; the oldest are forgotten.
pub const MOST_STEPS: usize = 1000;

/// One step: what was there before it, and what it did in words.
#[derive(Clone, Debug)]
struct Step<S> {
    before: S,
    what: &'static str,
}

/// The steps behind and ahead.
#[derive(Clone, Debug)]
pub struct History<S> {
    past: Vec<Step<S>>,
    future: Vec<Step<S>>,
    gesture: Gesture,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Gesture {
    None,
    /// Begun, nothing changed yet.
    Begun,
    /// Its step is on the stack.
    Changing,
}

impl<S: Clone + PartialEq> Default for History<S> {
    fn default() -> Self {
        History { past: Vec::new(), future: Vec::new(), gesture: Gesture::None }
    }
}

impl<S: Clone + PartialEq> History<S> {
    /// A gesture begins: what changes until [`History::end`] is one step.
    pub fn begin(&mut self) {
        self.gesture = Gesture::Begun;
    }

    /// The gesture ends. Where it came back to its start it leaves no step.
    pub fn end(&mut self, now: &S) {
        if self.gesture == Gesture::Changing && self.past.last().is_some_and(|step| step.before == *now) {
            self.past.pop();
        }
        self.gesture = Gesture::None;
    }

    /// The gesture is given up: returns what was there when it began, where it changed anything.
    pub fn give_up(&mut self) -> Option<S> {
        let changed = self.gesture == Gesture::Changing;
        self.gesture = Gesture::None;
        if changed { self.past.pop().map(|step| step.before) } else { None }
    }

    /// Whether a gesture is going on.
    pub fn in_gesture(&self) -> bool {
        self.gesture != Gesture::None
    }

    /// Something is about to change; `before` is how it stands now.
    pub fn record(&mut self, before: &S, what: &'static str) {
        match self.gesture {
            Gesture::Changing => return,
            Gesture::Begun => self.gesture = Gesture::Changing,
            Gesture::None => {}
        }
        self.future.clear();
        if self.past.len() == MOST_STEPS {
            self.past.remove(0);
        }
        self.past.push(Step { before: before.clone(), what });
    }

    /// One step back, from how it stands now. Ends a gesture first.
    pub fn undo(&mut self, now: &S) -> Option<S> {
        self.end(now);
        let step = self.past.pop()?;
        self.future.push(Step { before: now.clone(), what: step.what });
        Some(step.before)
    }

    /// One step forward again. Ends a gesture first.
    pub fn redo(&mut self, now: &S) -> Option<S> {
        self.end(now);
        let step = self.future.pop()?;
        self.past.push(Step { before: now.clone(), what: step.what });
        Some(step.before)
    }

    /// What undo would take back, in words.
    pub fn undoes(&self) -> Option<&'static str> {
        self.past.last().map(|step| step.what)
    }

    /// What redo would do again, in words.
    pub fn redoes(&self) -> Option<&'static str> {
        self.future.last().map(|step| step.what)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gesture_is_one_step() {
        let mut history = History::default();
        history.begin();
        for value in 0..5 {
            history.record(&value, "drag");
        }
        history.end(&5);
        assert_eq!(history.undo(&5), Some(0));
        assert_eq!(history.undo(&0), None);
        assert_eq!(history.redo(&0), Some(5));
    }

    #[test]
    fn a_gesture_that_comes_back_leaves_no_step() {
        let mut history = History::default();
        history.begin();
        history.record(&1, "drag");
        history.end(&1);
        assert_eq!(history.undoes(), None);
    }

    #[test]
    fn a_gesture_given_up_returns_its_start() {
        let mut history = History::default();
        history.begin();
        assert_eq!(history.give_up(), None);
        history.begin();
        history.record(&7, "drag");
        history.record(&8, "drag");
        assert_eq!(history.give_up(), Some(7));
        assert_eq!(history.undoes(), None);
    }

    #[test]
    fn a_new_step_forgets_what_was_ahead() {
        let mut history = History::default();
        history.record(&1, "edit");
        assert_eq!(history.undo(&2), Some(1));
        history.record(&1, "edit");
        assert_eq!(history.redo(&3), None);
    }

    #[test]
    fn old_steps_are_forgotten() {
        let mut history = History::default();
        for value in 0..MOST_STEPS + 10 {
            history.record(&value, "edit");
        }
        let mut now = MOST_STEPS + 10;
        let mut steps = 0;
        while let Some(before) = history.undo(&now) {
            now = before;
            steps += 1;
        }
        assert_eq!((steps, now), (MOST_STEPS, 10));
    }
}
