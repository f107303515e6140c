//! From pointer events to grips, moves and clicks.
//!
//! A small machine without a browser: it is told what happened and says what that means. One finger
//! counts, the left button counts, a press is a click until it has gone 3 px. What a move does to
//! the graft is decided elsewhere ([`crate::drag`]).

use crate::drag::Lock;

/// CSS pixels a press must go before it is a drag.
const SLOP_PX: f64 = 3.0;

/// A position in CSS pixels.
pub type Spot = [f64; 2];

/// What a pointer event says.
#[derive(Clone, Copy, Debug)]
pub struct Pointer {
    /// Which pointer.
    pub id: i32,
    /// Where.
    pub at: Spot,
    /// Whether Shift is held.
    pub shift: bool,
}

/// What it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meaning {
    /// Nothing.
    Nothing,
    /// The pointer is over a place, without a button.
    Over(Spot),
    /// A drag begins at the place that was pressed.
    Grip(Spot),
    /// The drag goes on.
    Drag(Spot, Lock),
    /// The drag ends where it is.
    Drop,
    /// A press that went nowhere.
    Click(Spot),
}

/// Follows one pointer.
#[derive(Clone, Copy, Debug, Default)]
pub struct Follower {
    press: Option<Press>,
}

#[derive(Clone, Copy, Debug)]
struct Press {
    id: i32,
    at: Spot,
    dragging: bool,
}

impl Follower {
    /// A button or finger goes down on something that can be gripped. Says whether it is followed
    /// from now on, so that the pointer is to be captured. The second finger is not.
    pub fn down(&mut self, pointer: Pointer, left_button: bool, ctrl: bool) -> bool {
        // A click with Ctrl is a right click on some machines.
        if self.press.is_some() || !left_button || ctrl {
            return false;
        }
        self.press = Some(Press { id: pointer.id, at: pointer.at, dragging: false });
        true
    }

    /// It moves. A press that becomes a drag says so first; the caller asks again for the move.
    pub fn moved(&mut self, pointer: Pointer) -> Meaning {
        let Some(press) = &mut self.press else { return Meaning::Over(pointer.at) };
        if press.id != pointer.id {
            return Meaning::Nothing;
        }
        let [dx, dy] = [pointer.at[0] - press.at[0], pointer.at[1] - press.at[1]];
        if !press.dragging {
            if dx.hypot(dy) < SLOP_PX {
                return Meaning::Nothing;
            }
            press.dragging = true;
            return Meaning::Grip(press.at);
        }
        let lock = match pointer.shift {
            false => Lock::Free,
            true if dx.abs() >= dy.abs() => Lock::Along,
            true => Lock::Around,
        };
        Meaning::Drag(pointer.at, lock)
    }

    /// It goes up, or the browser takes it away: both end the drag where it is.
    pub fn up(&mut self, pointer: Pointer) -> Meaning {
        match self.press {
            Some(press) if press.id == pointer.id => {
                self.press = None;
                if press.dragging { Meaning::Drop } else { Meaning::Click(press.at) }
            }
            _ => Meaning::Nothing,
        }
    }

    /// The drag is given up by key; the finger may still be down.
    pub fn give_up(&mut self) {
        self.press = None;
    }

    /// Whether a drag is going on.
    pub fn dragging(&self) -> bool {
        self.press.is_some_and(|press| press.dragging)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pointer(id: i32, x: f64, y: f64) -> Pointer {
        Pointer { id, at: [x, y], shift: false }
    }

    #[test]
    fn a_press_is_a_click_until_it_has_gone_three_pixels() {
        let mut follower = Follower::default();
        assert!(follower.down(pointer(1, 10.0, 10.0), true, false));
        assert_eq!(follower.moved(pointer(1, 12.0, 11.0)), Meaning::Nothing);
        assert_eq!(follower.up(pointer(1, 12.0, 11.0)), Meaning::Click([10.0, 10.0]));
        assert!(follower.down(pointer(1, 10.0, 10.0), true, false));
        assert_eq!(follower.moved(pointer(1, 13.0, 10.0)), Meaning::Grip([10.0, 10.0]));
        assert_eq!(follower.moved(pointer(1, 13.0, 10.0)), Meaning::Drag([13.0, 10.0], Lock::Free));
        assert_eq!(follower.up(pointer(1, 14.0, 10.0)), Meaning::Drop);
        assert_eq!(follower.moved(pointer(1, 20.0, 10.0)), Meaning::Over([20.0, 10.0]));
    }

    #[test]
    fn a_second_finger_does_not_count() {
        let mut follower = Follower::default();
        assert!(follower.down(pointer(1, 0.0, 0.0), true, false));
        assert!(!follower.down(pointer(2, 50.0, 0.0), true, false));
        assert_eq!(follower.moved(pointer(2, 90.0, 0.0)), Meaning::Nothing);
        assert_eq!(follower.up(pointer(2, 90.0, 0.0)), Meaning::Nothing);
        assert_eq!(follower.moved(pointer(1, 9.0, 0.0)), Meaning::Grip([0.0, 0.0]));
    }

    #[test]
    fn other_buttons_and_ctrl_do_not_grip() {
        let mut follower = Follower::default();
        assert!(!follower.down(pointer(1, 0.0, 0.0), false, false));
        assert!(!follower.down(pointer(1, 0.0, 0.0), true, true));
    }

    #[test]
    fn shift_locks_the_way_that_has_gone_farther() {
        let mut follower = Follower::default();
        assert!(follower.down(pointer(1, 0.0, 0.0), true, false));
        assert_eq!(follower.moved(pointer(1, 9.0, 0.0)), Meaning::Grip([0.0, 0.0]));
        let shifted = |x, y| Pointer { id: 1, at: [x, y], shift: true };
        assert_eq!(follower.moved(shifted(9.0, 2.0)), Meaning::Drag([9.0, 2.0], Lock::Along));
        assert_eq!(follower.moved(shifted(1.0, -7.0)), Meaning::Drag([1.0, -7.0], Lock::Around));
    }
}
