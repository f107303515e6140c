//! Several pieces in one aorta: how far neighbours overlap once each keeps its length, which lies
//! inside, and what each covers.
//!
//! Neighbours follow each other by where their fabric begins. The overlap runs from the later one's
//! upstream edge to the earlier one's downstream edge; below zero it is a gap. The piece that goes in
//! later (by stage, then by place in the case) lies inside.

use super::footprint::Site;
use super::space::SpaceResult;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, ComponentKind, WayKind};
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::message;
use crate::quantity::{Quantity, Unknown};

/// Two neighbours in one possibility.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlap {
    /// Id of the piece that begins further upstream.
    pub upstream: String,
    /// Id of the next.
    pub downstream: String,
    /// Id of the one that lies inside the other.
    pub inside: String,
    /// Which possibility.
    pub possibility: Possibility,
    /// Length of both on the centreline, mm; negative for a gap.
    pub overlap_mm: Quantity,
    /// The same along the inner curve, mm.
    pub inner_mm: Quantity,
    /// Least and largest oversize of the inside piece over the other, per cent; `None` without overlap.
    pub oversize_percent: Option<(f64, f64)>,
}

/// Where the fabric of a piece begins and ends, in one possibility.
#[derive(Clone, Debug, PartialEq)]
pub struct Extent {
    /// Id of the component.
    pub component: String,
    /// Which possibility.
    pub possibility: Possibility,
    /// Station of the proximal fabric edge, mm.
    pub from_mm: Quantity,
    /// Station of the distal fabric edge, mm.
    pub to_mm: Quantity,
}

/// Whether something may be covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Should {
    /// It must stay free.
    BeFree,
    /// It must be covered.
    BeCovered,
    /// Either may be.
    Either,
}

/// Where every piece lies: pieces in order, possibilities in order.
pub fn extents(grafts: &[PlacedGraft]) -> Vec<Extent> {
    let one = |placed: &PlacedGraft, lie: &GraftLie| {
        let edge = |u_mm: f64| lie.station_mm(u_mm).into();
        let (from, to) = ends(placed);
        Extent {
            component: placed.component.clone(),
            possibility: lie.possibility,
            from_mm: edge(from),
            to_mm: edge(to),
        }
    };
    grafts.iter().flat_map(|placed| placed.lies.iter().map(move |lie| one(placed, lie))).collect()
}

/// Overlaps of neighbours, in every possibility of either; a piece whose graft says more about which
/// line keeps its length lends its nearest possibility to the others.
pub fn overlaps(case: &Case, grafts: &[PlacedGraft], possibilities: &[Possibility], anatomy: &Anatomy) -> Vec<Overlap> {
    // Where a piece is held says in which order they follow; that does not change with the lie.
    let mut order: Vec<&PlacedGraft> = grafts.iter().collect();
    let begin = |placed: &PlacedGraft| placed.placement.station_mm - placed.placement.held_u_mm;
    order.sort_by(|a, b| begin(a).total_cmp(&begin(b)));
    let mut all = Vec::new();
    for pair in order.windows(2) {
        for possibility in possibilities {
            let (Some(up), Some(down)) = (pair[0].lie_in(*possibility), pair[1].lie_in(*possibility)) else { continue };
            all.push(one(case, (pair[0], up), (pair[1], down), *possibility, anatomy));
        }
    }
    all
}

fn one(
    case: &Case,
    (upstream, up): (&PlacedGraft, &GraftLie),
    (downstream, down): (&PlacedGraft, &GraftLie),
    possibility: Possibility,
    anatomy: &Anatomy,
) -> Overlap {
    let stretch = || -> Result<(f64, f64), Unknown> {
        let (from, to) = (down.station_mm(ends(downstream).0)?, up.station_mm(ends(upstream).1)?);
        // A piece whose far end lies beyond the data reaches further than its neighbour.
        Ok((from, to.min(down.station_mm(ends(downstream).1).unwrap_or(f64::INFINITY))))
    };
    let stretch = stretch();
    let inner = || -> Result<f64, Unknown> {
        let (from, to) = stretch.clone()?;
        anatomy.wall()?.between(anatomy.inner.as_ref().map_err(Clone::clone)?, from, to)
    };
    let second_inside = goes_in(case, &downstream.component) >= goes_in(case, &upstream.component);
    let (inside, outside) =
        if second_inside { ((downstream, down), (upstream, up)) } else { ((upstream, up), (downstream, down)) };
    let oversize_percent = stretch.clone().ok().and_then(|(from, to)| {
        let inside_it = inside.1.places().iter().filter(|(_, s)| *s >= from && *s <= to);
        let over = inside_it.filter_map(|(u, s)| {
            let inner = shape::diameter_mm(shape::section_at(&inside.0.graft, *u)?, *u);
            let at = outside.1.u_mm(*s)?;
            let outer = shape::diameter_mm(shape::section_at(&outside.0.graft, at)?, at);
            (outer > 0.0).then(|| 100.0 * (inner - outer) / outer)
        });
        over.fold(None, |range: Option<(f64, f64)>, x| {
            Some(range.map_or((x, x), |(least, most)| (least.min(x), most.max(x))))
        })
    });
    Overlap {
        upstream: upstream.component.clone(),
        downstream: downstream.component.clone(),
        inside: inside.0.component.clone(),
        possibility,
        inner_mm: inner().into(),
        overlap_mm: stretch.map(|(from, to)| to - from).into(),
        oversize_percent,
    }
}

/// First and last covered place of a graft, mm from its proximal edge.
fn ends(placed: &PlacedGraft) -> (f64, f64) {
    let covered = shape::covered(&placed.graft);
    match (covered.first(), covered.last()) {
        (Some(first), Some(last)) => (first.0, last.1),
        _ => (0.0, placed.graft.length_mm),
    }
}

/// When a component goes in: its stage, then its place in the case.
fn goes_in(case: &Case, component: &str) -> (u32, usize) {
    let place = case.components.iter().position(|c| c.id == component).unwrap_or(usize::MAX);
    (case.components.get(place).and_then(|c| c.stage).unwrap_or(0), place)
}

/// Whether something on the wall may be covered, and why, in a sentence.
///
/// A point to keep clear must stay free; an ostium too, unless each of its vessels is served through
/// the graft, fed by a bypass, or closed by a plug; a way in (entry, suture line) must be covered
/// unless it is left on purpose or closed by a plug in its vessel.
pub fn should(case: &Case, anatomy: &Anatomy, site: Site, id: &str) -> (Should, &'static str) {
    match site {
        Site::KeepClear => (Should::BeFree, message::MUST_STAY_CLEAR),
        Site::Ostium => {
            let vessels = anatomy.ostia.iter().find(|o| o.id == id).map_or(&[][..], |o| &o.vessels);
            let open = |vessel: &String| !(served(case, vessel) || fed(case, vessel) || plugged(case, vessel));
            // An ostium without a vessel is not known to be needless.
            if vessels.is_empty() || vessels.iter().any(open) {
                (Should::BeFree, message::OSTIUM_NOT_SERVED)
            } else {
                (Should::Either, message::OSTIUM_SERVED)
            }
        }
        Site::Way => match case.anatomy.ways.iter().find(|w| w.id == id) {
            Some(way) if matches!(way.kind, WayKind::Entry | WayKind::SutureLine) && !way.left_on_purpose => {
                (Should::BeCovered, message::WAY_IN_MUST_BE_COVERED)
            }
            _ => (Should::Either, message::WAY_MAY_STAY),
        },
    }
}

fn served(case: &Case, vessel: &str) -> bool {
    case.components.iter().filter_map(|c| c.graft.as_deref()).any(|g| {
        g.tunnels.iter().any(|t| t.serves == vessel)
            || g.fenestrations.iter().any(|f| f.serves == vessel)
            || g.scallops.iter().any(|s| s.serves == vessel)
    })
}

fn fed(case: &Case, vessel: &str) -> bool {
    case.anatomy.bypasses.iter().any(|b| b.to == vessel)
}

fn plugged(case: &Case, vessel: &str) -> bool {
    case.components.iter().any(|c| c.kind == ComponentKind::Plug && c.in_vessel.as_deref() == Some(vessel))
}

/// What is covered and must not be, and what is not and must be: each site once, with the share of it
/// that is covered in the worst possibility.
pub fn wrongly(case: &Case, anatomy: &Anatomy, spaces: &[SpaceResult]) -> Vec<Wrong> {
    let mut wrong: Vec<Wrong> = Vec::new();
    for space in spaces {
        if wrong.iter().any(|w| w.at == space.at) {
            continue;
        }
        let (should, why) = should(case, anatomy, space.site, &space.at);
        // In one possibility the pieces cover together what one of them covers.
        let mut by_possibility: Vec<(Option<Possibility>, f64)> = Vec::new();
        for own in spaces.iter().filter(|s| s.at == space.at) {
            let Some(share) = own.covered_share.value() else { continue };
            match by_possibility.iter_mut().find(|(p, _)| *p == own.possibility) {
                Some((_, most)) => *most = most.max(*share),
                None => by_possibility.push((own.possibility, *share)),
            }
        }
        let shares = by_possibility.iter().map(|(_, share)| *share);
        let (least, most) = (shares.clone().fold(f64::INFINITY, f64::min), shares.fold(0.0, f64::max));
        let share = match should {
            Should::BeFree if most > 0.0 => most,
            Should::BeCovered if least < 1.0 - 1e-9 => least,
            _ => continue,
        };
        wrong.push(Wrong { at: space.at.clone(), site: space.site, should, covered_share: share, why });
    }
    wrong
}

/// Something that is covered and must not be, or the reverse.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong {
    /// Its id.
    pub at: String,
    /// What it is.
    pub site: Site,
    /// What it should be.
    pub should: Should,
    /// Share of it that is covered, in the worst possibility.
    pub covered_share: f64,
    /// Why, in a sentence.
    pub why: &'static str,
}
