//! The one table of measures: id, unit, sentence, what it needs, and how it is read.
//!
//! Rules, room, ranking, sheet and exports read measures only from here. A measure gives one reading
//! for each possibility, and along a stretch one for each place; the verdict is passed on the worst.

pub mod arch;
pub mod graft;
pub mod landing;
pub mod tunnel;
pub mod vessels;

use crate::anatomy::Anatomy;
use crate::anatomy::openings::Ostium;
use crate::bridging::stent::StentOrder;
use crate::casefile::case::{Case, Flow, Line, Rule};
use crate::graft::buildable::Survey;
use crate::graft::lie::{PlacedGraft, Possibility};
use crate::message;
use crate::placement::fabric::FabricInPlace;
use crate::placement::tunnel::TunnelResult;
use crate::quantity::{Quantity, Unknown};
use crate::units::Angle;

/// What measures are read from.
#[derive(Clone, Copy)]
pub struct Scope<'a> {
    /// The case.
    pub case: &'a Case,
    /// The anatomy, where it can be had.
    pub anatomy: &'a Result<std::sync::Arc<Anatomy>, Unknown>,
    /// Grafts that are placed.
    pub grafts: &'a [PlacedGraft],
    /// Their tunnels.
    pub tunnels: &'a [TunnelResult],
    /// The stents of those.
    pub stents: &'a [StentOrder],
    /// Their fabric against the wall.
    pub fabric: &'a FabricInPlace,
    /// What was found on each graft by itself.
    pub surveys: &'a [(String, std::sync::Arc<Survey>)],
}

impl<'a> Scope<'a> {
    fn anatomy(&self) -> Result<&'a Anatomy, Unknown> {
        self.anatomy.as_deref().map_err(Clone::clone)
    }

    /// Whether it is known where station 0 lies.
    fn origin(&self) -> Result<(), Unknown> {
        self.anatomy()?.origin()
    }

    fn first_ostium(&self) -> Result<&'a Ostium, Unknown> {
        self.anatomy()?.first_ostium().ok_or(Unknown::because(message::NO_OSTIA))
    }
}

/// The kind of a subject that nobody said: rules on any kind concern it, and it must be unknown.
pub const UNSAID_KIND: &str = "?";

/// One thing a measure can be taken of.
#[derive(Clone, Debug, PartialEq)]
pub struct Subject {
    /// Its id in the case.
    pub id: String,
    /// Flow, of a tunnel.
    pub flow: Option<Flow>,
    /// Kind, of a keep-clear point or component.
    pub kind: Option<String>,
}

/// One value of a measure.
#[derive(Clone, Debug)]
pub struct Reading {
    /// In which possibility; `None` where it does not depend on one.
    pub possibility: Option<Possibility>,
    /// The value with its error.
    pub value: Quantity,
    /// Why it can be borderline at best, where it rests on uncertain ends of the data.
    pub doubt: Option<&'static str>,
}

/// What must be computed before a measure can be read, from what is known without a graft to what costs
/// most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// What was measured on the CT.
    Anatomy,
    /// A graft by itself.
    Graft,
    /// Where it lies.
    Lies,
    /// Its tunnels against their ostia, without what joins them.
    Tunnels,
    /// Its fabric against the wall.
    Fabric,
    /// The bridging paths.
    Paths,
}

/// A measure.
pub struct Measure {
    /// Its id, as rules name it.
    pub id: &'static str,
    /// What must be computed for it.
    pub hangs_on: Part,
    /// Its unit, as rules name it.
    pub unit: &'static str,
    /// Its name, in two or three words.
    pub name: &'static str,
    /// What it says, in the trade's words.
    pub sentence: &'static str,
    /// What must be entered for it.
    pub needs: &'static [&'static str],
    /// What is said where there is nothing it could be taken of.
    pub nothing: &'static str,
    /// What it can be taken of.
    pub subjects: fn(&Scope<'_>) -> Vec<Subject>,
    /// Its values for one of these under a rule (which may name a line and an edge).
    pub read: fn(&Scope<'_>, &Rule, &Subject) -> Vec<Reading>,
}

/// All measures, subject by subject.
pub fn all() -> impl Iterator<Item = &'static Measure> {
    [tunnel::MEASURES, graft::MEASURES, arch::MEASURES, vessels::MEASURES, landing::MEASURES].into_iter().flatten()
}

/// Of a measure whose rule is silent where there is nothing to measure: what a graft does not have
/// cannot lie wrongly.
pub const SILENT: &str = "";

/// The measure with an id.
pub fn find(id: &str) -> Option<&'static Measure> {
    all().find(|m| m.id == id)
}

/// Whether a rule's unit is its measure's: by the same word, its sign, or unsaid.
pub fn same_unit(given: &str, needed: &str) -> bool {
    let word = |unit: &str| match unit {
        "percent" => "%".to_string(),
        "°" | "degrees" => "deg".to_string(),
        other => other.to_string(),
    };
    given.is_empty() || word(given) == word(needed)
}

fn one_subject(id: Option<&str>) -> Vec<Subject> {
    id.map(|id| Subject { id: id.into(), flow: None, kind: None }).into_iter().collect()
}

/// A reading that does not depend on a possibility; where it is not certain it is borderline at best.
fn reading(value: Quantity, certain: bool) -> Reading {
    Reading { possibility: None, value, doubt: (!certain).then_some(message::UNCERTAIN_END) }
}

/// Length between two stations along a rule's line, with the error of two typed positions. A rule that
/// names no line is judged on the inner curve, the shortest.
fn measured_length(scope: &Scope<'_>, line: Option<Line>, from_mm: f64, to_mm: f64) -> Result<Quantity, Unknown> {
    let anatomy = scope.anatomy()?;
    let line = line.unwrap_or(Line::Inner);
    let length = anatomy.length_along(line, from_mm, to_mm)?;
    let clock = match line {
        Line::Centre => return Ok(Quantity::known(length, scope.case.errors.station_sd_mm * 2f64.sqrt())),
        Line::Inner => Angle::HALF_TURN,
        Line::Outer => Angle::ZERO,
    };
    // Each position counts times the wall's scale where it lies.
    let wall = anatomy.wall()?;
    let (a, b) = (wall.scale(from_mm, clock)?, wall.scale(to_mm, clock)?);
    Ok(Quantity::known(length, scope.case.errors.station_sd_mm * a.hypot(b)))
}

fn unknown(Unknown(why): Unknown) -> Vec<Reading> {
    vec![Reading { possibility: None, value: Quantity::Unknown { why }, doubt: None }]
}
