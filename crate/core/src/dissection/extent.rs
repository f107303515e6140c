//! How much of the aorta is covered, how much stays free above the coeliac artery, and where a waist leaves
//! no space in the true lumen.
//!
//! Lengths run along the centreline. Over the possibilities each is a range, least and most.

use super::words;
use crate::anatomy::Anatomy;
use crate::graft::lie::PlacedGraft;
use crate::graft::shape;
use crate::message;
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

/// One piece on its way down to the coeliac artery.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Id of the component.
    pub component: String,
    /// Station of its proximal fabric edge, mm.
    pub from_mm: Range,
    /// Station of its distal fabric edge, mm.
    pub to_mm: Range,
    /// The piece before it, and how long the two overlap, mm; negative for a gap.
    pub overlap_mm: Option<(String, Range)>,
    /// Least and largest oversize of its distal seal over the lumen it lies in, per cent.
    pub distal_percent: Range,
    /// The largest over the whole aorta, per cent; `None` where that was not measured.
    pub whole_percent: Option<f64>,
}

/// Every placed graft, as its fabric begins along the aorta.
pub fn pieces(plan: &Plan) -> Vec<Piece> {
    let seals = plan.seals();
    let over = |values: Vec<&Quantity>| -> Range {
        let all: Result<Vec<f64>, Unknown> = values.into_iter().map(|value| value.get().copied()).collect();
        all.map(|all| {
            let least = all.iter().copied().fold(f64::INFINITY, f64::min);
            [least, all.into_iter().fold(f64::NEG_INFINITY, f64::max)]
        })
        .into()
    };
    let one = |component: &str| {
        let own = || plan.fabric.extents.iter().filter(|extent| extent.component == component);
        let before = plan.fabric.overlaps.iter().filter(|overlap| overlap.downstream == component);
        let up = before.clone().map(|overlap| overlap.upstream.clone()).next();
        let overlap = over(before.map(|overlap| &overlap.overlap_mm).collect());
        let seal = seals.iter().find(|seal| seal.component == component && seal.end == "distal");
        let unsealed = || Err(Unknown::because(message::NO_SEAL));
        Piece {
            component: component.into(),
            from_mm: over(own().map(|extent| &extent.from_mm).collect()),
            to_mm: over(own().map(|extent| &extent.to_mm).collect()),
            overlap_mm: up.map(|up| (up, overlap)),
            distal_percent: seal
                .map_or_else(unsealed, |seal| seal.oversize_percent.clone())
                .map(|(least, most)| [least, most])
                .into(),
            whole_percent: seal.and_then(|seal| seal.oversize_whole_percent),
        }
    };
    let mut placed: Vec<_> = plan.grafts.iter().collect();
    let begins = |graft: &PlacedGraft| graft.placement.station_mm - graft.placement.held_u_mm;
    placed.sort_by(|a, b| begins(a).total_cmp(&begins(b)));
    placed.into_iter().map(|graft| one(&graft.component)).collect()
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
