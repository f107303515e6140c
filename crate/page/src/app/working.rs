//! What takes longer than a frame: a little of it in each, and what is found is shown alone.

use super::App;
use crate::action::Action;
use crate::results::Results;
use crate::state::Notice;
use crate::view::Stage;
use crate::{files, host, panels};
use extrados::fault::Fault;
use extrados::quantity::Unknown;
use extrados::ranking::design::Designing;
use extrados::report::words;
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// How long of a frame is given to looking for the room, ms.
const ROOM_MS: f64 = 7.0;

/// The same while the graft is dragged, ms: no more than its step leaves of [`FRAME_MS`].
const DRAGGED_ROOM_MS: f64 = 4.0;

/// Work of a frame in a drag, ms: layout and paint have the rest of the screen's 16.7.
const FRAME_MS: f64 = 10.0;

/// After so many frames that left no time the room has a piece all the same, but not in one this much too long, ms.
const MOST_WAITED: u8 = 4;
const TOO_LONG_MS: f64 = 5.0;

/// What is said once tunnels were made.
const MADE: &str = "The graft's tunnels were made for this arch; Undo brings the old ones back.";

/// Whether there is time for one more piece, asked after each: the next may take as long as the longest did.
fn time_until(end: f64) -> impl FnMut() -> bool {
    let (mut last, mut longest) = (host::now(), 0.0_f64);
    move || {
        let now = host::now();
        longest = longest.max(now - last);
        last = now;
        now + longest < end
    }
}

impl App {
    /// Goes on with what takes longer: the release where it is looked at, then the room; what of the release
    /// the head line says comes next.
    pub(super) fn look_further(&mut self) {
        let looked_at = self.store.state().view.stage == Stage::Release;
        if !looked_at || self.work_on_release(true) {
            self.look_for_room();
        }
    }

    /// Works out the release a little: all of it where it is looked at, else what its steps leave. What is
    /// found is shown alone. Says whether nothing is left to do.
    fn work_on_release(&mut self, looked_at: bool) -> bool {
        let enough = !looked_at && self.results.release().is_some();
        if enough || self.store.in_gesture() || !self.fresh() {
            return true;
        }
        let view = &self.store.state().view;
        let deg = view.lies_deg;
        let known = |own: &Results| {
            let (turns, over_room) = (own.turns().is_some(), own.over_room().is_some());
            (own.release().is_some(), turns, own.lying().map(|lies| lies.deg), over_room)
        };
        let before = known(&self.results);
        let end = host::now() + ROOM_MS;
        let done = self.results.work_on_release_while(deg, || host::now() < end);
        let new = known(&self.results);
        if new != before {
            let stage = looked_at.then(|| panels::stages::stage(&self.facts(), true));
            let head = (new.0 != before.0).then(|| panels::head::head(&self.facts()));
            let stage = stage.map_or(Ok(()), |stage| self.mounts.stage.show(stage));
            if let Err(fault) = stage.and(head.map_or(Ok(()), |head| self.mounts.head.show(head))) {
                host::complain(&fault);
            }
        }
        let done = done || !looked_at && new.0;
        if !done {
            self.ask_for_frame();
        }
        done
    }

    /// Looks for what the placement forgives, a little in each frame: while it is dragged only coarsely,
    /// and with less time. What is found is shown alone.
    fn look_for_room(&mut self) {
        if self.results.revision() != self.store.state().revision {
            return;
        }
        let dragged = self.store.in_gesture();
        if !dragged && self.results.tilt().is_none() {
            // One direction of the wire a frame; what hangs on it is shown alone.
            if self.results.tilt_the_wire() {
                let lies = panels::possibilities::possibilities(&self.facts());
                if let Err(fault) = self.mounts.possibilities.show(lies) {
                    host::complain(&fault);
                }
            }
            self.ask_for_frame();
            return;
        }
        let whole = |results: &Results| {
            results.room().map(|found| {
                found.as_ref().is_ok_and(|own| own.whole).then(|| found.as_ref().is_ok_and(|own| own.chance.is_some()))
            })
        };
        let before = whole(&self.results);
        let ranked = |results: &Results| results.ranking().map(|(done, over)| (done.len(), over));
        let done = ranked(&self.results);
        let now = host::now();
        let left = if dragged { (self.frame_began + FRAME_MS - now).min(DRAGGED_ROOM_MS) } else { ROOM_MS };
        if left <= 0.0 && (self.room_waited < MOST_WAITED || left < -TOO_LONG_MS) {
            self.room_waited = self.room_waited.saturating_add(1);
            self.ask_for_frame();
            return;
        }
        self.room_waited = 0;
        let end = now + left;
        let mut time = time_until(end);
        let over = self.results.look_for_room_while(dragged, &mut time)
            && (dragged
                || self.work_on_release(false)
                    && self.go_on_designing(end)
                    && self.results.rank_while(self.store.state(), &mut time));
        // A room that is found is what the orders of the release wait for.
        if !over || whole(&self.results) != before {
            self.ask_for_frame();
        }
        if whole(&self.results) != before || ranked(&self.results) != done {
            let (room, head) = (self.room(), panels::head::head(&self.facts()));
            let sheets = if whole(&self.results) != before { self.show_sheets() } else { Ok(()) };
            if let Err(fault) = self.mounts.room.show(room).and(self.mounts.head.show(head)).and(sheets) {
                host::complain(&fault);
            }
        }
    }

    /// Begins to make the graft's tunnels for this arch.
    pub fn design(&mut self) {
        let plan = self.results.plan();
        let component = extrados::room::trial::moved(&plan.case).map_or_else(String::new, |own| own.id.clone());
        match Designing::of(plan, &component) {
            Ok(work) => self.designing = Some((self.store.state().revision, Box::new(work))),
            Err(unknown) => self.design_failed(unknown),
        }
        self.schedule();
    }

    /// Whether tunnels are being made.
    pub(super) fn designs(&self) -> bool {
        let now = self.store.state().revision;
        self.designing.as_ref().is_some_and(|(revision, _)| *revision == now)
    }

    fn design_failed(&mut self, Unknown(why): Unknown) {
        let fault = Fault::new("no_design", "", why, "");
        self.act(Action::Tell(Notice::refused("No tunnels were made: the graft stays as it is.", fault.into())));
    }

    /// Goes on with that until a time, as long as nothing changed; says whether nothing is left to do. What
    /// is made is one step.
    fn go_on_designing(&mut self, end: f64) -> bool {
        let state = self.store.state();
        let Some((_, mut work)) = self.designing.take().filter(|(revision, _)| *revision == state.revision) else {
            return true;
        };
        loop {
            match work.advance(1) {
                Progress::Done(Ok(graft)) => {
                    let made = graft.tunnels.iter().map(words::made_tunnel).collect();
                    let action = files::take_graft(state, Arc::new(graft));
                    self.act(action);
                    self.act(Action::Tell(Notice { assumed: made, ..Notice::news(MADE) }));
                    return true;
                }
                Progress::Done(Err(unknown)) => {
                    self.design_failed(unknown);
                    return true;
                }
                Progress::Working { .. } if host::now() < end => {}
                Progress::Working { .. } => {
                    self.designing = Some((state.revision, work));
                    return false;
                }
            }
        }
    }
}
