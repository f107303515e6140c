//! Everything that is said of fabric in place: space to the wall, openings, overlaps, what is covered.

use super::components::{self, Extent, Overlap, Wrong};
use super::footprint::{Footprint, footprints};
use super::openings::{self, OpeningResult};
use super::space::{self, SpaceResult};
use crate::anatomy::Anatomy;
use crate::casefile::case::Case;
use crate::graft::lie::{PlacedGraft, Possibility};
use std::sync::Arc;

/// The fabric of all grafts against the anatomy.
#[derive(Clone, Debug, Default)]
pub struct FabricInPlace {
    /// What it is looked at against; depends on what was measured alone.
    pub footprints: Arc<Vec<Footprint>>,
    /// Space to the wall at each of them.
    pub spaces: Vec<SpaceResult>,
    /// Fenestrations and scallops.
    pub openings: Vec<OpeningResult>,
    /// Where each piece begins and ends.
    pub extents: Vec<Extent>,
    /// Overlaps of neighbours.
    pub overlaps: Vec<Overlap>,
    /// What is covered and must not be, and the reverse.
    pub wrong: Vec<Wrong>,
}

impl FabricInPlace {
    /// Of placed grafts; `known` are the footprints of this very anatomy where they are known already.
    pub fn of(
        case: &Case,
        anatomy: &Anatomy,
        grafts: &[PlacedGraft],
        possibilities: &[Possibility],
        known: Option<Arc<Vec<Footprint>>>,
    ) -> Self {
        let footprints = known.unwrap_or_else(|| Arc::new(footprints(case, anatomy)));
        let spaces = space::spaces(&footprints, grafts, case.errors.diameter_sd_mm);
        FabricInPlace {
            openings: grafts.iter().flat_map(|placed| openings::openings(placed, &spaces, anatomy)).collect(),
            extents: components::extents(grafts),
            overlaps: components::overlaps(case, grafts, possibilities, anatomy),
            wrong: components::wrongly(case, anatomy, &spaces),
            footprints,
            spaces,
        }
    }
}
