//! What a shift costs besides the room: what sliding the graft upstream or downstream gives and takes.
//!
//! Sliding upstream gives antegrade tunnels clearance and takes it from retrograde ones, comes nearer to
//! coronaries and vein grafts, and puts the seal on other wall. Knows no limits: these are lengths.

use super::plane::Move;
use super::trial::PlanTrial;
use crate::quantity::Quantity;

/// How far the graft is slid to either side, mm.
pub const BY_MM: f64 = 5.0;
/// What is looked at: lengths, each the better the longer.
const MEASURES: [&str; 3] = ["tunnel.edge_clearance_mm", "keep_clear.distance_mm", "graft.proximal_seal_mm"];

/// One length at three places: the least over all ways the graft may lie, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Shifted {
    /// The measure's id.
    pub measure: &'static str,
    /// Of what.
    pub of: String,
    /// Slid upstream, as drawn, slid downstream.
    pub mm: [Quantity; 3],
}

/// Where the graft is looked at: slid upstream, as drawn, slid downstream.
pub const PLACES: [Move; 3] = [
    Move { shift_mm: -BY_MM, turn_deg: 0.0 },
    Move { shift_mm: 0.0, turn_deg: 0.0 },
    Move { shift_mm: BY_MM, turn_deg: 0.0 },
];

/// What sliding changes: clearances, distances to what is kept clear, the seal.
pub fn shifted(trial: &mut PlanTrial) -> Vec<Shifted> {
    let [upstream, drawn, downstream] = PLACES.map(|at| trial.lengths(at, &MEASURES));
    let rows = upstream.into_iter().zip(drawn).zip(downstream);
    // What is known nowhere is left to the verdicts to explain.
    let known = |row: &Shifted| row.mm.iter().any(|mm| mm.value().is_some());
    rows.map(|(((measure, of, a), (_, _, b)), (_, _, c))| Shifted { measure, of, mm: [a, b, c] })
        .filter(known)
        .collect()
}
