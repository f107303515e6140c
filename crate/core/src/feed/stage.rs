//! The grafts of a plan as they lie at a step, with the chamber between them and the wall: found once for
//! each way they stand, kept for the next step that stands alike.

use super::chamber::{Chamber, Ground, Piece};
use super::flow::{self, Extra, Feed};
use super::standing::Standing;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Component, Placement};
use crate::graft::lie::{Lie, PlacedGraft, Possibility};
use crate::message;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::room::plane::Move;
use crate::room::trial;
use crate::units::Angle;
use std::sync::Arc;

/// Most grounds and chambers that are kept.
const MOST_KEPT: usize = 256;

/// What a chamber hangs on.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    possibility: Option<Possibility>,
    pieces: Vec<(usize, Placement)>,
}

/// How far pieces are open, and turned.
#[derive(Clone, Debug, PartialEq)]
struct Held {
    open: Vec<(Option<f64>, Option<f64>)>,
    turn_deg: f64,
}

/// The grafts of a plan at its steps.
#[derive(Debug)]
pub struct Staging {
    plan: Arc<Plan>,
    placed: Vec<(usize, Placement, Arc<PlacedGraft>)>,
    grounds: Vec<(Key, Result<Arc<Ground>, Unknown>)>,
    chambers: Vec<(Key, Held, Result<Arc<Chamber>, Unknown>)>,
}

/// Lies that are possible while a wire is in, out, or nobody knows.
pub fn possible(plan: &Plan, wire_in: Option<bool>) -> Vec<Possibility> {
    let fits = |p: &Possibility| match (wire_in, p.lie) {
        (_, Lie::Middle) | (None, _) | (Some(false), Lie::Relaxed) | (Some(true), Lie::Pushed) => true,
        (Some(true), Lie::Relaxed) | (Some(false), Lie::Pushed) => false,
    };
    plan.possibilities().into_iter().filter(fits).collect()
}

impl Staging {
    /// Of a plan.
    pub fn of(plan: Arc<Plan>) -> Self {
        Staging { plan, placed: Vec::new(), grounds: Vec::new(), chambers: Vec::new() }
    }

    /// The plan.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What feeds each vessel while things stand so, with the moved graft lying elsewhere.
    pub fn feeds(
        &mut self,
        standing: &Standing,
        possibility: Option<Possibility>,
        at: Move,
        extra: &Extra,
    ) -> Vec<Feed> {
        let case = self.plan.case.clone();
        match self.chamber(standing, possibility, at) {
            Ok(chamber) => flow::feeds(&case, &chamber, standing, extra),
            Err(Unknown(why)) => flow::unknown(&case, &why),
        }
    }

    /// The chamber while things stand so.
    ///
    /// # Errors
    /// Unknown where the anatomy or a lie is.
    pub fn chamber(
        &mut self,
        standing: &Standing,
        possibility: Option<Possibility>,
        at: Move,
    ) -> Result<Arc<Chamber>, Unknown> {
        let anatomy = self.plan.anatomy.clone()?;
        let case = &self.plan.case;
        let moved = trial::moved(case).map(|component| component.id.as_str());
        let mut pieces = Vec::new();
        let mut open = Vec::new();
        for (index, component) in case.components.iter().enumerate() {
            let Some(released) = standing.released.iter().find(|r| r.component == component.id) else { continue };
            if component.graft.is_none() {
                continue;
            }
            let otherwise = standing.placed.iter().find(|(id, _)| *id == component.id).map(|(_, placement)| *placement);
            let mut lies = otherwise.or(component.placement).ok_or(Unknown::because(message::NOT_PLACED))?;
            if moved == Some(component.id.as_str()) {
                lies.station_mm += at.shift_mm;
            }
            pieces.push((index, lies));
            open.push((released.open_to_mm, released.held_diameter_mm));
        }
        let key = Key { possibility, pieces };
        let held = Held { open, turn_deg: at.turn_deg };
        if let Some((.., chamber)) = self.chambers.iter().find(|(k, h, _)| *k == key && *h == held) {
            return chamber.clone();
        }
        let placed = key.pieces.iter().map(|(index, placement)| self.place(&anatomy, *index, *placement));
        let placed = placed.collect::<Result<Vec<_>, Unknown>>()?;
        let chamber = self.made(&anatomy, &placed, &key, &held);
        if self.chambers.len() >= MOST_KEPT {
            drop(self.chambers.remove(0));
        }
        self.chambers.push((key, held, chamber.clone()));
        chamber
    }

    fn made(
        &mut self,
        anatomy: &Anatomy,
        placed: &[Arc<PlacedGraft>],
        key: &Key,
        held: &Held,
    ) -> Result<Arc<Chamber>, Unknown> {
        let case = &self.plan.case;
        let moved = trial::moved(case).map(|component| component.id.as_str());
        let pieces = pieces(placed, key.possibility, held, moved)?;
        let known = self.grounds.iter().find(|(own, _)| own == key).map(|(_, ground)| ground.clone());
        let ground = match known {
            Some(ground) => ground,
            None => {
                let error_mm = case.errors.diameter_sd_mm / 2.0;
                let ground = Ground::of(anatomy, &self.plan.fabric.footprints, &pieces, error_mm).map(Arc::new);
                if self.grounds.len() >= MOST_KEPT {
                    drop(self.grounds.remove(0));
                }
                self.grounds.push((key.clone(), ground.clone()));
                ground
            }
        };
        Ok(Arc::new(ground?.chamber(anatomy, &pieces)?))
    }

    /// A component's graft at a placement; where it is drawn, that of the plan.
    fn place(&mut self, anatomy: &Anatomy, index: usize, placement: Placement) -> Result<Arc<PlacedGraft>, Unknown> {
        let known = self.placed.iter().find(|(own, at, _)| *own == index && *at == placement);
        if let Some((.., placed)) = known {
            return Ok(placed.clone());
        }
        let case = &self.plan.case;
        let component = case.components.get(index).ok_or(Unknown::because(message::NOT_PLACED))?;
        let drawn = self.plan.grafts.iter().find(|graft| graft.component == component.id);
        let placed = match drawn.filter(|graft| graft.placement == placement) {
            Some(graft) => graft.clone(),
            None => {
                let there = Component { placement: Some(placement), ..component.clone() };
                let placed = PlacedGraft::new(&there, case, anatomy, drawn);
                placed.ok_or(Unknown::because(message::NOT_PLACED))?
            }
        };
        let placed = Arc::new(placed);
        if self.placed.len() >= MOST_KEPT {
            self.placed.remove(0);
        }
        self.placed.push((index, placement, placed.clone()));
        Ok(placed)
    }
}

/// Placed grafts as pieces of the chamber.
fn pieces<'a>(
    placed: &'a [Arc<PlacedGraft>],
    possibility: Option<Possibility>,
    held: &Held,
    moved: Option<&str>,
) -> Result<Vec<Piece<'a>>, Unknown> {
    let mut pieces = Vec::with_capacity(placed.len());
    for (placed, (to, width)) in placed.iter().zip(&held.open) {
        let lie = possibility.map_or(placed.lies.first(), |p| placed.lie_in(p));
        let part = to.filter(|to| *to < placed.graft.length_mm);
        pieces.push(Piece {
            graft: &placed.graft,
            lie: lie.ok_or(Unknown::because(message::NOT_PLACED))?,
            open_to_mm: part.unwrap_or(f64::INFINITY),
            held_mm: width.or(placed.graft.carrier_outer_mm).map(|mm| mm / 2.0),
            carried: part.is_some() && width.is_none(),
            turned: if moved == Some(placed.component.as_str()) { Angle::deg(held.turn_deg) } else { Angle::ZERO },
        });
    }
    Ok(pieces)
}
