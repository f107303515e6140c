//! Whether a graft can be made as it is drawn: what its tunnels, openings and edges leave each other.
//!
//! A tunnel's body is a tube of its own diameter that lies against the fabric from inside, at its
//! mouth's clock, from the mouth upstream (antegrade) or downstream (retrograde). Two bodies that
//! share a stretch of the graft lie side by side where their tubes do not meet; where they meet, one
//! can only run under the other, which needs both diameters across the graft. What the tubes leave
//! free is the through-lumen. Knows nothing of an aorta.

mod bodies;
mod holes;
#[cfg(test)]
mod tests;

use crate::casefile::case::Graft;
use crate::units::Angle;
use serde::Serialize;

/// Lengths that overlap by less do not, mm.
const SLACK_MM: f64 = 1e-9;

/// What can be said of a graft in a word, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Buildable {
    /// Something cannot be made so.
    No,
    /// A size is missing.
    Unknown,
    /// Only with one tunnel running under another.
    OneUnderAnother,
    /// Nothing stands against it.
    Yes,
}

/// Something that stands against making a graft so, or must be known first.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable name of the kind.
    pub code: &'static str,
    /// Ids of the tunnels and openings concerned.
    pub of: Vec<String>,
    /// What follows from it; `Yes` for what must only be minded.
    pub so: Buildable,
    /// The stretch of the graft concerned, mm from the proximal fabric edge.
    pub on_graft_mm: Option<(f64, f64)>,
    /// In one sentence.
    pub text: String,
}

/// Two mouths or openings, and the fabric between their edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Between {
    /// Ids of the two.
    pub of: [String; 2],
    /// Fabric between their edges, mm; negative where they run into each other; `None` where a size is
    /// not known.
    pub edges_mm: Option<f64>,
    /// Along the graft from centre to centre, mm.
    pub along_mm: f64,
    /// Clock of the second less that of the first.
    pub turn: Angle,
}

/// One mouth or opening, and the fabric up to the two edges of the graft.
#[derive(Clone, Debug, PartialEq)]
pub struct ToEdges {
    /// Its id.
    pub of: String,
    /// From its upstream edge to the proximal fabric edge, mm.
    pub proximal_mm: f64,
    /// From its downstream edge to the distal fabric edge, mm.
    pub distal_mm: f64,
}

/// The narrowest place of what the tunnels leave free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThroughLumen {
    /// Where, mm from the proximal fabric edge.
    pub u_mm: f64,
    /// Diameter of the largest circle that passes beside the tunnels, mm.
    pub free_mm: f64,
    /// Area that the tunnels leave, mm².
    pub free_mm2: f64,
}

/// What was found on a graft.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// In a word.
    pub buildable: Buildable,
    /// The narrowest through-lumen; `None` without sections or where a tunnel's size is not known.
    pub through: Option<ThroughLumen>,
    /// Every pair of mouths and openings.
    pub between: Vec<Between>,
    /// Every mouth and fenestration against the edges.
    pub edges: Vec<ToEdges>,
    /// What stands against it, in order.
    pub findings: Vec<Finding>,
}

/// Looks a graft over.
pub fn survey(graft: &Graft) -> Survey {
    let mut findings = Vec::new();
    bodies::bodies(graft, &mut findings);
    bodies::pairs(graft, &mut findings);
    let holes = holes::holes(graft);
    let between = holes::between(graft, &holes, &mut findings);
    let edges = holes::edges(graft, &holes, &mut findings);
    if let Some(steps) = &graft.maker_steps {
        holes::on_steps(graft, steps, &mut findings);
    }
    let buildable = findings.iter().map(|f| f.so).min().unwrap_or(Buildable::Yes);
    Survey { buildable, through: bodies::through(graft), between, edges, findings }
}

fn two_of<T>(all: &[T]) -> impl Iterator<Item = (&T, &T)> {
    all.iter().enumerate().flat_map(move |(index, first)| all[index + 1..].iter().map(move |second| (first, second)))
}
