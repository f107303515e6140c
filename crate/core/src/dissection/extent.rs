//! How much of the aorta is covered, how much stays free above the coeliac artery, and where a waist leaves
//! no space in the true lumen.
//!
//! Lengths run along the centreline. Over the possibilities each is a range, least and most.

use super::words;
use crate::anatomy::Anatomy;
use crate::graft::shape;
use crate::plan::Plan;
use crate::quantity::{Quantity, Unknown};

/// Least and most over the possibilities, mm.
pub type Range = Quantity<[f64; 2]>;

/// What is covered once certain pieces are in.
#[derive(Clone, Debug)]
pub struct Covered {
    /// Length of the aorta under fabric, each mm once, mm.
    pub covered_mm: Range,
    /// That of it downstream of the left subclavian artery, mm.
    pub beyond_lsa_mm: Range,
    /// From the last fabric edge to the coeliac artery, mm; negative where fabric reaches beyond it.
    pub free_mm: Range,
}

/// A length read off the stretches that are covered.
type Length<'a> = &'a dyn Fn(&[(f64, f64)]) -> Result<f64, Unknown>;

/// Id of the landmark.
const COELIAC: &str = "coeliac";
/// Id of the vessel.
const LSA: &str = "LSA";

/// Of those pieces that `done` says.
pub fn covered(plan: &Plan, anatomy: &Anatomy, done: &dyn Fn(&str) -> bool) -> Covered {
    let sd = plan.case.errors.station_sd_mm;
    let lsa = anatomy.ostium_of(LSA).map(|o| o.edges_mm.as_ref().map_or(o.place.station_mm, |edges| edges.1));
    let coeliac = coeliac(plan);
    let by_possibility: Result<Vec<Vec<(f64, f64)>>, Unknown> = plan
        .possibilities()
        .into_iter()
        .map(|possibility| {
            let placed = plan.grafts.iter().filter(|graft| done(&graft.component));
            let lies = placed.filter_map(|graft| Some((graft, graft.lie_in(possibility)?)));
            lies.map(|(graft, lie)| {
                let covered = shape::covered(&graft.graft);
                let (Some(first), Some(last)) = (covered.first(), covered.last()) else { return Ok((0.0, 0.0)) };
                Ok((lie.station_mm(first.0)?, lie.station_mm(last.1)?))
            })
            .collect()
        })
        .collect();
    let over = |error: f64, of: Length<'_>| -> Range {
        let values: Result<Vec<f64>, Unknown> =
            by_possibility.clone().and_then(|all| all.iter().map(|pieces| of(pieces)).collect());
        match values {
            Ok(values) if values.is_empty() => Quantity::unknown(words::NO_FABRIC),
            Ok(values) => {
                let least = values.iter().copied().fold(f64::INFINITY, f64::min);
                let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                Quantity::known([least, most], error)
            }
            Err(Unknown(why)) => Quantity::Unknown { why },
        }
    };
    let lsa = lsa.ok_or(Unknown::because(words::NO_LSA));
    Covered {
        covered_mm: over(0.0, &|pieces| Ok(union_mm(pieces, f64::NEG_INFINITY))),
        beyond_lsa_mm: over(sd, &|pieces| Ok(union_mm(pieces, lsa.clone()?))),
        free_mm: over(sd, &|pieces| {
            let last = pieces.iter().map(|piece| piece.1).fold(f64::NEG_INFINITY, f64::max);
            if last.is_finite() { Ok(coeliac.clone()? - last) } else { Err(Unknown::because(words::NO_FABRIC)) }
        }),
    }
}

/// Station of the coeliac artery, mm.
fn coeliac(plan: &Plan) -> Result<f64, Unknown> {
    let mark = plan.case.anatomy.landmarks.iter().find(|mark| mark.id.eq_ignore_ascii_case(COELIAC));
    mark.map(|mark| mark.station_mm).ok_or(Unknown::because(words::NO_COELIAC))
}

/// Length of the union of stretches downstream of a station.
fn union_mm(stretches: &[(f64, f64)], beyond_mm: f64) -> f64 {
    let mut sorted: Vec<(f64, f64)> = stretches.iter().map(|(a, b)| (a.max(beyond_mm), *b)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut sum, mut end) = (0.0, f64::NEG_INFINITY);
    for (from, to) in sorted {
        sum += (to - from.max(end)).max(0.0);
        end = end.max(to);
    }
    sum
}

/// A place where a waist is at least as wide as the true lumen.
#[derive(Clone, Debug, PartialEq)]
pub struct Waist {
    /// The piece.
    pub component: String,
    /// Station, mm.
    pub station_mm: f64,
    /// Diameter of the waist there, mm.
    pub waist_mm: f64,
    /// Area-derived diameter of the true lumen there, mm.
    pub true_mm: f64,
}

/// Where fabric that is not meant to seal is at least as wide as the true lumen, at measured stations and
/// at ostia, in the first possibility; upstream first.
pub fn waists(plan: &Plan, anatomy: &Anatomy) -> Vec<Waist> {
    let mut stations: Vec<f64> = plan.case.anatomy.true_lumen.iter().map(|own| own.station_mm).collect();
    stations.extend(anatomy.ostia.iter().map(|ostium| ostium.place.station_mm));
    stations.sort_by(f64::total_cmp);
    let mut all = Vec::new();
    for graft in &plan.grafts {
        let Some(lie) = graft.lies.first() else { continue };
        for station_mm in &stations {
            let at = || {
                let u = lie.u_mm(*station_mm)?;
                let section = shape::section_at(&graft.graft, u).filter(|section| section.covered && !section.seals)?;
                let true_mm = super::lumens::true_mm(plan, *station_mm)?;
                Some((shape::diameter_mm(section, u), true_mm))
            };
            if let Some((waist_mm, true_mm)) = at().filter(|(waist, lumen)| waist >= lumen) {
                all.push(Waist { component: graft.component.clone(), station_mm: *station_mm, waist_mm, true_mm });
            }
        }
    }
    all
}
