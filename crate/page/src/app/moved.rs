//! What pointer and keys do to the state.

use super::{App, Surface};
use crate::action::Action;
use crate::canvas::PX_PER_MM;
use crate::keys::Does;
use crate::moving::{Moving, Press};
use crate::pointer::{Follower, Meaning, Spot};
use crate::state::Notice;
use crate::view::{LookAt, Show, Stage};
use crate::{drag, hit, panels};
use extrados::carm::angles::Positioner;
use extrados::casefile::case::Placement;

impl App {
    /// Whether a press here takes something: the graft, a mouth, or what was measured.
    pub fn grips(&self, surface: Surface, at: Spot) -> bool {
        self.taken(surface, at).is_some()
    }

    fn taken(&self, surface: Surface, at: Spot) -> Option<Moving> {
        let view = &self.store.state().view;
        let at = at.map(|px| px / PX_PER_MM);
        let press = Press { plan: self.results.plan(), drawn: self.results.drawn(), chosen: view.component, at };
        match surface {
            Surface::Map => Moving::on_map(press, self.drawn.as_ref()?, view.drags),
            Surface::Side => Moving::on_side(press),
        }
    }

    /// The follower of the pointer.
    pub fn follower(&mut self) -> &mut Follower {
        &mut self.follower
    }

    /// Does what a pointer's movement means. Where a drag begins it says so.
    pub fn pointer(&mut self, surface: Surface, meaning: Meaning) -> bool {
        match meaning {
            Meaning::Nothing => {}
            Meaning::Over(at) | Meaning::Click(at) => {
                let tie = self.drawn.as_ref().and_then(|map| hit::tie_at(&map.scene, at.map(|px| px / PX_PER_MM)));
                let tie = tie.map(str::to_owned);
                // On the side view the shapes themselves say what they are tied to.
                if surface == Surface::Map {
                    self.act(Action::Tie(tie));
                }
            }
            Meaning::Grip(at) => {
                self.moving = self.taken(surface, at);
                if self.moving.is_some() {
                    self.act(Action::BeginGesture);
                    return true;
                }
            }
            Meaning::Drag(at, lock) => {
                let moved = self.moving.as_ref().and_then(|moving| moving.to(at.map(|px| px / PX_PER_MM), lock));
                if let Some(action) = moved {
                    self.act(action);
                }
            }
            Meaning::Drop => {
                self.moving = None;
                self.act(Action::EndGesture);
            }
        }
        false
    }

    /// Does what a key means on the state; what needs the browser is left to the caller.
    pub fn key(&mut self, does: Does) {
        match does {
            // A drag that goes on is not undone under the hand; Escape gives it up.
            Does::Undo | Does::Redo if self.follower.dragging() => {}
            Does::Undo => self.act(Action::Undo),
            Does::Redo => self.act(Action::Redo),
            Does::Escape => {
                if self.follower.dragging() {
                    self.follower.give_up();
                    self.moving = None;
                    self.act(Action::GiveUpGesture);
                } else {
                    self.act(Action::CancelImport);
                    self.act(Action::Dismiss);
                }
            }
            Does::Nudge { along_mm, around_deg } => self.nudge(along_mm, around_deg),
            Does::Swing([primary, secondary]) => {
                let [p, s] = panels::stage_carm::looked_at(&self.facts());
                self.act(Action::Show(Show::LookAt(LookAt::At([p + primary, s + secondary]))));
            }
            Does::Stage(place) => {
                if let Some((stage, _, _)) = Stage::ALL.get(place) {
                    self.act(Action::Show(Show::Stage(*stage)));
                }
            }
            Does::Open | Does::Save | Does::Print | Does::Help => {}
        }
    }

    /// The C-arm swings to a place of the chart, given by its shares of width and height.
    pub fn swing_to(&mut self, at: Spot) {
        if let Some(to) = panels::stage_carm::pointed_at(&self.facts(), at) {
            self.act(Action::Show(Show::LookAt(LookAt::At(to))));
        }
    }

    /// A view was typed.
    pub fn look_at_typed(&mut self, typed: &str) {
        match Positioner::read(typed) {
            Ok(at) => self.act(Action::Show(Show::LookAt(LookAt::At(panels::stage_carm::whole(&at))))),
            Err(fault) => self.act(Action::Tell(Notice::refused("That view was not taken.", fault.into()))),
        }
    }

    /// One step by key; a key held down is one step of undo.
    fn nudge(&mut self, along_mm: f64, around_deg: f64) {
        if self.follower.dragging() {
            return;
        }
        let Some((component, _, placement)) = self.store.state().moved() else { return };
        let moved: Placement = drag::nudged(placement, along_mm, around_deg, hit::reach(self.results.plan()));
        if !self.store.in_gesture() {
            self.act(Action::BeginGesture);
        }
        self.act(Action::Place { component, placement: moved });
    }

    /// A key was let go.
    pub fn key_up(&mut self) {
        if self.store.in_gesture() && !self.follower.dragging() {
            self.act(Action::EndGesture);
        }
    }
}
