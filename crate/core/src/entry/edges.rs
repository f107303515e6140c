//! A distance that a sheet gives to an ostium's edge, as the centre that the case stores.
//!
//! An edge lies where the wall's length from the centre, at the ostium's own clock, reaches half of
//! the opening's length along the flow. The centre is found so that the edge comes to lie where it
//! was typed; the arch plane depends on the ostia a little, so all are found together.

use crate::anatomy::Anatomy;
use crate::casefile::Case;
use crate::message;
use crate::quantity::Unknown;
use std::sync::Arc;

/// Which edge of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The upstream one.
    Upstream,
    /// The downstream one.
    Downstream,
}

/// An edge that was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedEdge {
    /// Id of the ostium, which the case already has.
    pub ostium: String,
    /// Which edge.
    pub edge: Edge,
    /// Its station, mm.
    pub station_mm: f64,
}

/// How near the edge must come to what was typed, mm: far below what anyone measures.
const NEAR_MM: f64 = 1e-7;

/// Most rounds. Each brings an edge about ten times nearer; where the wall folds it may not come.
const MOST_ROUNDS: usize = 25;

/// The case with the centres of these ostia moved until their edges lie where they were typed.
///
/// # Errors
/// Why an edge is unknown: a missing hand, clock, size, lumen or arch.
pub fn centred(mut case: Case, typed: &[TypedEdge]) -> Result<Case, Unknown> {
    if typed.is_empty() {
        return Ok(case);
    }
    // From the nearest guess that needs no wall: half the opening along the centreline.
    for edge in typed {
        let half = |along_mm: f64| if edge.edge == Edge::Upstream { along_mm / 2.0 } else { -along_mm / 2.0 };
        let ostium = ostium_mut(&mut case, &edge.ostium)?;
        let along_mm = ostium.along_mm.ok_or(Unknown::because(message::NO_SIZE))?;
        ostium.clock_deg.ok_or(Unknown::because(message::NO_CLOCK))?;
        ostium.station_mm = edge.station_mm + half(along_mm);
    }
    for _ in 0..MOST_ROUNDS {
        let anatomy = Anatomy::measure(&Arc::new(case.clone())).map_err(|fault| Unknown(fault.text))?;
        let mut farthest_mm = 0.0_f64;
        for edge in typed {
            let placed = anatomy.ostia.iter().find(|ostium| ostium.id == edge.ostium);
            let edges = placed.ok_or(Unknown::because(message::NO_OSTIUM))?.edges_mm.clone()?;
            let miss_mm = edge.station_mm - if edge.edge == Edge::Upstream { edges.0 } else { edges.1 };
            ostium_mut(&mut case, &edge.ostium)?.station_mm += miss_mm;
            farthest_mm = farthest_mm.max(miss_mm.abs());
        }
        if farthest_mm < NEAR_MM {
            for edge in typed {
                let ostium = ostium_mut(&mut case, &edge.ostium)?;
                // What lies below the search's own nearness is noise.
                ostium.station_mm = (ostium.station_mm * 1e6).round() / 1e6 + 0.0;
            }
            return Ok(case);
        }
    }
    Err(Unknown::because(message::NO_CENTRE_OF_EDGE))
}

fn ostium_mut<'c>(
    case: &'c mut Case,
    id: &str,
) -> Result<&'c mut crate::casefile::case::OstiumInput, Unknown> {
    let ostia = &mut Arc::make_mut(&mut case.anatomy).ostia;
    ostia.iter_mut().find(|ostium| ostium.id == id).ok_or(Unknown::because(message::NO_OSTIUM))
}
