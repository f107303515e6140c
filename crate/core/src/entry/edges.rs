//! A distance that a sheet gives to an ostium's edge, as the centre that the case stores.
//!
//! An edge lies where the wall's length from the centre, at the ostium's own clock, reaches half of
//! the opening's length along the flow. The centre is found so that the edge comes to lie where it
//! was typed; the arch plane depends on the ostia a little, so all are found together.

use crate::anatomy::Anatomy;
use crate::anatomy::edges::Reach;
use crate::casefile::Case;
use crate::casefile::case::OstiumInput;
use crate::message;
use crate::quantity::Unknown;
use std::sync::Arc;

/// An edge that was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedEdge {
    /// Id of the ostium, which the case already has.
    pub ostium: String,
    /// Which of its edges.
    pub edge: Reach,
    /// Station of that edge, mm.
    pub station_mm: f64,
}

/// How little the centres may move in the last round, mm: far below what anyone measures, and the
/// digits to which they are kept.
const STILL_MM: f64 = 1e-6;

/// Most rounds. Each moves the arch plane, and with it the wall's lengths, a hundred times less.
const MOST_ROUNDS: usize = 12;

/// The case with the centres of these ostia where their typed edges put them.
///
/// # Errors
/// Why an edge is unknown: a missing hand, clock, size, lumen or arch.
pub fn centred(mut case: Case, typed: &[TypedEdge]) -> Result<Case, Unknown> {
    if typed.is_empty() {
        return Ok(case);
    }
    for _ in 0..MOST_ROUNDS {
        let mut farthest_mm = 0.0_f64;
        let anatomy = Anatomy::measure(&Arc::new(case.clone())).map_err(|fault| Unknown(fault.text))?;
        for edge in typed {
            let placed = anatomy.ostia.iter().find(|ostium| ostium.id == edge.ostium);
            let placed = placed.ok_or(Unknown::because(message::NO_OSTIUM))?;
            let (clock, along_mm) = (*placed.place.clock.get()?, *placed.along_mm.get()?);
            let centre_mm = anatomy.centre_of(edge.station_mm, edge.edge, clock, along_mm)?;
            let ostium = ostium_mut(&mut case, &edge.ostium)?;
            farthest_mm = farthest_mm.max((centre_mm - ostium.station_mm).abs());
            // What lies below the search's own nearness is noise.
            ostium.station_mm = (centre_mm * 1e6).round() / 1e6 + 0.0;
        }
        if farthest_mm < 1.5 * STILL_MM {
            return Ok(case);
        }
    }
    Err(Unknown::because(message::NO_CENTRE_OF_EDGE))
}

fn ostium_mut<'c>(case: &'c mut Case, id: &str) -> Result<&'c mut OstiumInput, Unknown> {
    let ostia = &mut Arc::make_mut(&mut case.anatomy).ostia;
    ostia.iter_mut().find(|ostium| ostium.id == id).ok_or(Unknown::because(message::NO_OSTIUM))
}
