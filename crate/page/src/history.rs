//! Undo and redo.
//!
//! The newest step keeps what was there before it; older ones keep only what they changed, as text
//! that leads there and back, so ten thousand edits fit into 64 MB. While a gesture lasts (one drag,
//! one key held down) all its changes are one step. Knows nothing of what a state holds.

use extrados::casefile::difference;
use serde_json::Value;
use std::collections::VecDeque;

/// Most steps kept; the oldest are forgotten.
pub const MOST_STEPS: usize = 10_000;

/// Most bytes kept: 64 MB, beyond which the oldest steps are forgotten.
pub const MOST_BYTES: usize = 64 * 1024 * 1024;

/// What a step takes beside its text, bytes.
const STEP_BYTES: usize = 64;

/// A state that can be kept as a value.
pub trait Kept: Clone + PartialEq {
    /// All of it, as a value.
    fn to_value(&self) -> Value;

    /// The state of a value; what it has in common with a state near it is shared.
    fn from_value(value: Value, near: &Self) -> Option<Self>;
}

#[derive(Clone, Debug)]
enum Memory<S> {
    /// The state on the far side of the step.
    Whole(S),
    /// What differs between its two sides.
    Changes(Box<str>),
}

/// One step, and what it did in words.
#[derive(Clone, Debug)]
struct Step<S> {
    memory: Memory<S>,
    what: &'static str,
}

impl<S> Step<S> {
    fn bytes(&self) -> usize {
        match &self.memory {
            Memory::Whole(_) => STEP_BYTES,
            Memory::Changes(text) => STEP_BYTES + text.len(),
        }
    }
}

/// The steps behind and ahead.
#[derive(Clone, Debug)]
pub struct History<S> {
    past: VecDeque<Step<S>>,
    future: Vec<Step<S>>,
    bytes: usize,
    gesture: Gesture,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Gesture {
    None,
    /// Begun, nothing changed yet.
    Begun,
    /// Its step is the newest.
    Changing,
}

impl<S: Kept> Default for History<S> {
    fn default() -> Self {
        History { past: VecDeque::new(), future: Vec::new(), bytes: 0, gesture: Gesture::None }
    }
}

impl<S: Kept> History<S> {
    /// A gesture begins: what changes until [`History::end`] is one step.
    pub fn begin(&mut self) {
        self.gesture = Gesture::Begun;
    }

    /// The gesture ends. Where it came back to its start it leaves no step.
    pub fn end(&mut self, now: &S) {
        if self.gesture == Gesture::Changing
            && matches!(self.past.back(), Some(Step { memory: Memory::Whole(before), .. }) if before == now)
        {
            self.pop_past();
        }
        self.gesture = Gesture::None;
    }

    /// The gesture is given up: returns what was there when it began, where it changed anything.
    pub fn give_up(&mut self) -> Option<S> {
        let changed = self.gesture == Gesture::Changing;
        self.gesture = Gesture::None;
        match changed.then(|| self.pop_past())??.memory {
            Memory::Whole(before) => Some(before),
            Memory::Changes(_) => None,
        }
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
        self.bytes -= self.future.drain(..).map(|step| step.bytes()).sum::<usize>();
        // What was the newest step is kept as its changes from now on.
        if let Some(Step { memory, .. }) = self.past.back_mut()
            && let Memory::Whole(older) = memory
        {
            let steps = difference::steps(&older.to_value(), &before.to_value());
            let text = difference::write(&steps);
            self.bytes += text.len();
            *memory = Memory::Changes(text.into());
        }
        self.push_past(Step { memory: Memory::Whole(before.clone()), what });
        while self.past.len() > MOST_STEPS || self.bytes > MOST_BYTES && self.past.len() > 1 {
            if let Some(oldest) = self.past.pop_front() {
                self.bytes -= oldest.bytes();
            }
        }
    }

    /// One step back, from how it stands now. Ends a gesture first.
    pub fn undo(&mut self, now: &S) -> Option<S> {
        self.end(now);
        let step = self.pop_past()?;
        let (before, memory) = match step.memory {
            Memory::Whole(before) => (before, Memory::Whole(now.clone())),
            Memory::Changes(text) => (led(now, &text, difference::backward)?, Memory::Changes(text)),
        };
        let step = Step { memory, what: step.what };
        self.bytes += step.bytes();
        self.future.push(step);
        Some(before)
    }

    /// One step forward again. Ends a gesture first.
    pub fn redo(&mut self, now: &S) -> Option<S> {
        self.end(now);
        let step = self.future.pop()?;
        self.bytes -= step.bytes();
        let (after, memory) = match step.memory {
            Memory::Whole(after) => (after, Memory::Whole(now.clone())),
            Memory::Changes(text) => (led(now, &text, difference::forward)?, Memory::Changes(text)),
        };
        self.push_past(Step { memory, what: step.what });
        Some(after)
    }

    /// What undo would take back, in words.
    pub fn undoes(&self) -> Option<&'static str> {
        self.past.back().map(|step| step.what)
    }

    /// What redo would do again, in words.
    pub fn redoes(&self) -> Option<&'static str> {
        self.future.last().map(|step| step.what)
    }

    /// Bytes that the steps take, but for the newest state itself.
    pub fn bytes(&self) -> usize {
        self.bytes
    }

    fn push_past(&mut self, step: Step<S>) {
        self.bytes += step.bytes();
        self.past.push_back(step);
    }

    fn pop_past(&mut self) -> Option<Step<S>> {
        let step = self.past.pop_back()?;
        self.bytes -= step.bytes();
        Some(step)
    }
}

/// The state to which changes lead from another.
fn led<S: Kept>(from: &S, text: &str, lead: fn(&mut Value, &[difference::Step]) -> Option<()>) -> Option<S> {
    let steps = difference::read(text)?;
    let mut value = from.to_value();
    lead(&mut value, &steps)?;
    S::from_value(value, from)
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Kept for usize {
        fn to_value(&self) -> Value {
            serde_json::json!({ "is": self })
        }
        fn from_value(value: Value, _near: &Self) -> Option<Self> {
            value["is"].as_u64().map(|number| number as usize)
        }
    }

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
        assert_eq!((history.undoes(), history.bytes()), (None, 0));
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
    fn there_and_back_over_many_steps() {
        let mut history = History::default();
        for value in 0..20 {
            history.record(&value, "edit");
        }
        let mut now = 20;
        for _ in 0..2 {
            for wanted in (0..20).rev() {
                now = history.undo(&now).unwrap();
                assert_eq!(now, wanted);
            }
            for wanted in 1..=20 {
                now = history.redo(&now).unwrap();
                assert_eq!(now, wanted);
            }
        }
        while let Some(before) = history.undo(&now) {
            now = before;
        }
        history.record(&now, "edit");
        assert_eq!(history.bytes(), STEP_BYTES, "what lay ahead is forgotten, and its bytes with it");
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
