//! The room of a placement: how far it may be slid and turned with every required rule still met.
//!
//! [`plane`] is the plane of shift and rotation with trials on a grid; [`trial`] tries a plan there;
//! [`border`] finds where what holds ends; [`reach`] goes one way alone; [`ellipse`] finds the placement
//! that forgives most; [`rooming`] does it all in pieces; [`shifting`] what a shift costs besides; [`chance`] that the rules hold, if
//! errors were entered, on [`normal`]; [`table`] keeps what was judged at knots.
//! Only [`trial`] knows plans and rules.

pub mod border;
pub mod chance;
pub mod ellipse;
mod lies;
pub mod normal;
pub mod plane;
pub mod ration;
pub mod reach;
mod reading;
pub mod rooming;
pub mod shifting;
pub mod table;
pub mod trial;

use crate::casefile::case::{Case, Placement};
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::rules::verdict::Word;
use crate::task::{Progress, Task};
use crate::units::Angle;
use chance::{Chance, Chancing};
use ellipse::Ellipse;
use plane::Move;
use reach::Way;
use rooming::{Room, Rooming};
use shifting::Shifted;
pub use trial::{Judged, PlanTrial};

/// Farthest move looked at, to either side.
pub const FARTHEST: Move = Move { shift_mm: 60.0, turn_deg: 180.0 };

/// The room of a plan's placement, with what its numbers mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Forgiveness {
    /// Id of the component that is moved.
    pub component: String,
    /// Where it is drawn.
    pub drawn: Placement,
    /// The room.
    pub room: Room,
    /// What is judged, as the room names it.
    pub judged: Vec<Judged>,
    /// Required rules that are unmet wherever the graft lies or unknown where it is drawn: while there
    /// are any, nothing holds anywhere, and the room is that of the other rules.
    pub barred: Vec<(Judged, Word)>,
    /// Errors of the landing, one standard deviation.
    pub errors: Move,
    /// What sliding the graft changes, once the room is found.
    pub shifted: Vec<Shifted>,
    /// The chance that the rules hold, once it is found; never before errors were entered.
    pub chance: Option<Chance>,
    /// Whether that is all; if not, the border is that of a coarse grid.
    pub whole: bool,
}

impl Forgiveness {
    /// Whether every required rule holds where the graft is drawn.
    pub fn holds(&self) -> bool {
        self.barred.is_empty() && !self.room.reaches.is_empty()
    }

    /// What is unknown and alone keeps from saying whether the placement holds.
    pub fn unknown(&self) -> Option<&Judged> {
        let known = self.room.reaches.is_empty() || self.barred.iter().any(|(_, word)| *word == Word::Unmet);
        self.barred.first().filter(|_| !known).map(|(judged, _)| judged)
    }

    /// The placement that forgives most among those so far upstream of the best, mm.
    pub fn upstream_of_best(&self, by_mm: f64) -> Option<Ellipse> {
        let best = self.room.best?;
        ellipse::at_shift(&self.room.holds, self.errors, best.centre.shift_mm - by_mm)
    }

    /// Station and clock of a placement that is moved.
    pub fn placed(&self, at: Move) -> (f64, Angle) {
        let clock = Angle::deg(self.drawn.clock_deg + at.turn_deg).wrapped();
        (self.drawn.station_mm + at.shift_mm, clock)
    }

    /// The landing's error one way, mm or degrees.
    pub fn error(&self, way: Way) -> f64 {
        match way {
            Way::Upstream | Way::Downstream => self.errors.shift_mm,
            Way::Front | Way::Back => self.errors.turn_deg,
        }
    }
}

/// Finding what a plan forgives, in pieces.
#[derive(Debug)]
pub struct Forgiving {
    component: String,
    drawn: Placement,
    errors: Move,
    rooming: Rooming<PlanTrial>,
    /// The room, while what a shift costs besides is still looked for.
    room: Option<Room>,
    shifted: Vec<Shifted>,
}

impl Forgiving {
    /// Of a plan, moving the graft that carries its tunnels.
    ///
    /// What was found for another placement of the same graft is gone on with.
    ///
    /// # Errors
    /// Why it cannot be known.
    pub fn of(plan: &Plan, before: Option<PlanTrial>) -> Result<Self, Unknown> {
        let nothing = || Unknown::because(crate::message::NOT_PLACED);
        let component = trial::moved(&plan.case).ok_or_else(nothing)?;
        let drawn = component.placement.ok_or_else(nothing)?;
        let errors = landing(&plan.case);
        let trial = PlanTrial::of(plan, &component.id, before)?;
        Ok(Forgiving {
            component: component.id.clone(),
            drawn,
            errors,
            rooming: Rooming::new(trial, errors),
            room: None,
            shifted: Vec::new(),
        })
    }

    /// What is known while the work goes on: how far each way goes, then a border on a coarse grid.
    pub fn so_far(&self) -> Option<Forgiveness> {
        self.known().map(|room| self.with(room.clone(), false))
    }

    /// Whether a border is known, be it coarse.
    pub fn has_border(&self) -> bool {
        self.known().is_some_and(|room| !room.holds.is_empty())
    }

    fn known(&self) -> Option<&Room> {
        self.room.as_ref().or_else(|| self.rooming.so_far())
    }

    /// What is tried.
    pub fn trial(&self) -> &PlanTrial {
        self.rooming.trial()
    }

    /// What was tried, for the next placement.
    pub fn into_trial(self) -> PlanTrial {
        self.rooming.into_trial()
    }

    fn with(&self, room: Room, whole: bool) -> Forgiveness {
        Forgiveness {
            component: self.component.clone(),
            drawn: self.drawn,
            room,
            judged: self.rooming.trial().judged.clone(),
            barred: self.rooming.trial().barred.clone(),
            errors: self.errors,
            shifted: self.shifted.clone(),
            chance: None,
            whole,
        }
    }
}

impl Task for Forgiving {
    type Output = Forgiveness;

    fn advance(&mut self, operations: u64) -> Progress<Forgiveness> {
        let Some(room) = self.room.take() else {
            return match self.rooming.advance(operations) {
                Progress::Working { done, of } => Progress::Working { done, of },
                Progress::Done(room) => {
                    self.room = Some(room);
                    Progress::Working { done: 1, of: 2 }
                }
            };
        };
        let trial = self.rooming.trial_mut();
        if shifting::PLACES.into_iter().all(|at| trial.lies_ready(at)) {
            self.shifted = shifting::shifted(trial);
            return Progress::Done(self.with(room, true));
        }
        self.room = Some(room);
        Progress::Working { done: 1, of: 2 }
    }
}

/// What a plan forgives, with the chance where errors were entered, without pause.
///
/// # Errors
/// Why it cannot be known.
pub fn forgives(plan: &Plan) -> Result<Forgiveness, Unknown> {
    let mut looking = Forgiving::of(plan, None)?;
    loop {
        if let Progress::Done(mut found) = looking.advance(u64::MAX) {
            found.chance = Chancing::of(plan, &found, looking.trial()).and_then(Task::finish);
            return Ok(found);
        }
    }
}

/// Errors of the landing, by which distances in the plane are weighed: along the aorta, and the standard
/// deviation of the rotation's mixture. No less than the accuracy of a border: without any error the best
/// placement is the middle of the room.
pub fn landing(case: &Case) -> Move {
    let rotation = &case.errors.rotation;
    let share = rotation.large_share;
    let variance = (1.0 - share) * rotation.small_sd_deg.powi(2) + share * rotation.large_sd_deg.powi(2);
    let least = border::ACCURACY;
    Move::new(case.errors.axial_sd_mm.max(least.shift_mm), variance.sqrt().max(least.turn_deg))
}
