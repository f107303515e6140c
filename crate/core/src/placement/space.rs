//! Fabric against the wall: where it covers, and how far it stands off.
//!
//! The space to the wall at a wall point X is |X − L(u*)| less the fabric's distance from the axis at
//! (u*, φ*), u* the place of the graft's axis L that is nearest to X and φ* the clock of X about it.
//! Below 0.1 mm it is contact; fabric wider than the lumen lies on the wall, so it is never negative.
//! Beyond an end of the graft u* is that end, so that the space grows without a jump while an edge
//! passes a point; whether there is fabric at all is said by what is covered.

use super::footprint::{Footprint, Site, Spot};
use crate::casefile::case::Graft;
use crate::graft::lie::{GraftLie, NearestOnGraft, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3};

/// Fabric nearer to the wall than this touches it, mm.
pub const CONTACT_MM: f64 = 0.1;
/// The edge of the fabric is blurred over this length when covered area is weighed, mm: about the
/// distance of the points that stand for it.
const BLUR_MM: f64 = 3.0;
/// A footprint farther than this from a graft's ends, along the aorta, is not under it, mm.
const FAR_MM: f64 = 40.0;

/// Fabric against one footprint, in one possibility.
#[derive(Clone, Debug, PartialEq)]
pub struct SpaceResult {
    /// Id of the ostium, point or way.
    pub at: String,
    /// What it is.
    pub site: Site,
    /// The component whose fabric this is; `None` where none reaches it.
    pub component: Option<String>,
    /// Which possibility; `None` where no graft is placed.
    pub possibility: Option<Possibility>,
    /// Space at the centre, mm.
    pub centre_mm: Quantity,
    /// Least space over the footprint and 3 mm beyond, mm.
    pub least_mm: Quantity,
    /// Mean space over what fabric covers of the same, mm.
    pub mean_mm: Quantity,
    /// Share of the footprint that fabric covers; openings in the fabric do not cover.
    pub covered_share: Quantity,
}

impl SpaceResult {
    /// Whether fabric lies over any of it; `None` where that is not known.
    pub fn covered(&self) -> Option<bool> {
        self.covered_share.value().map(|share| *share > 0.0)
    }
}

/// What of a graft lies over a wall point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Over {
    /// Place on the graft, mm from the proximal fabric edge; beyond the ends, on along their tangent.
    pub u_mm: f64,
    /// Graft clock.
    pub on_graft: Angle,
    /// Space to the wall, mm.
    pub space_mm: f64,
}

/// What of a graft lies over a wall point near a station.
///
/// # Errors
/// Unknown without an arch plane, or where the graft has no section.
pub fn over(point: &Point3, station_mm: f64, graft: &Graft, lie: &GraftLie) -> Result<Over, Unknown> {
    let (u_mm, on_graft, distance_mm) = match lie.nearest(point, station_mm)? {
        Some(NearestOnGraft { axis, on_graft, distance_mm }) => (axis.u_mm, on_graft, distance_mm),
        None => {
            let places = lie.places();
            let (first, last) = (places[0], places[places.len() - 1]);
            let ends = [lie.axis(first.0)?, lie.axis(last.0)?];
            let apart = |i: usize| (point - ends[i].point).norm();
            let end = &ends[usize::from(apart(1) < apart(0))];
            let away = point - end.point;
            (end.u_mm + away.dot(&end.tangent), end.clock_of(&away), away.norm())
        }
    };
    let on = u_mm.clamp(0.0, graft.length_mm);
    let section = shape::section_at(graft, on).ok_or(Unknown::because(message::NO_SECTION))?;
    let space_mm = (distance_mm - shape::fabric_mm(section, on, on_graft)).max(0.0);
    Ok(Over { u_mm, on_graft, space_mm })
}

/// Every footprint against every graft that reaches it, in every possibility: footprint by footprint,
/// grafts in order, possibilities in order.
pub fn spaces(footprints: &[Footprint], grafts: &[PlacedGraft], diameter_sd_mm: f64) -> Vec<SpaceResult> {
    // The wall's distance from the axis errs by half of what a diameter does.
    let error = diameter_sd_mm / 2.0;
    let mut results = Vec::new();
    for footprint in footprints {
        let before = results.len();
        for placed in grafts {
            let near = |lie: &&GraftLie| {
                // A lie that could not be found has no places; it is asked, and says why.
                let ends = lie.places().first().zip(lie.places().last());
                ends.is_none_or(|(first, last)| {
                    footprint.station_mm > first.1 - FAR_MM && footprint.station_mm < last.1 + FAR_MM
                })
            };
            results.extend(placed.lies.iter().filter(near).filter_map(|lie| against(footprint, placed, lie, error)));
        }
        if results.len() == before {
            results.push(none(footprint, grafts.is_empty()));
        }
    }
    results
}

/// No fabric over a footprint, or no graft at all.
fn none(footprint: &Footprint, no_graft: bool) -> SpaceResult {
    let why = || Quantity::unknown(if no_graft { message::NOT_PLACED } else { message::NO_FABRIC_THERE });
    let known = footprint.centre.is_ok() && !no_graft;
    SpaceResult {
        at: footprint.id.clone(),
        site: footprint.site,
        component: None,
        possibility: None,
        centre_mm: why(),
        least_mm: why(),
        mean_mm: why(),
        covered_share: match &footprint.centre {
            Ok(_) if known => Quantity::exact(0.0),
            Ok(_) => why(),
            Err(Unknown(why)) => Quantity::Unknown { why: why.clone() },
        },
    }
}

/// One footprint under one graft; `None` where no fabric lies over it or beside it.
fn against(footprint: &Footprint, placed: &PlacedGraft, lie: &GraftLie, error: f64) -> Option<SpaceResult> {
    let graft = &placed.graft;
    let covered = shape::covered(graft);
    let look = |spot: &Spot| over(&spot.point, spot.station_mm, graft, lie);
    let centre = footprint.centre.as_ref().map_err(Clone::clone).and_then(look);
    let spots = footprint.spots.as_ref().map_err(Clone::clone);
    let seen: Result<Vec<(Spot, Over)>, Unknown> =
        spots.and_then(|spots| spots.iter().map(|spot| Ok((*spot, look(spot)?))).collect());
    // Beyond every edge by more than the footprint reaches: this graft is not over it.
    let touched = match (&seen, &centre) {
        (Ok(seen), _) => seen.iter().any(|(_, over)| weight(over, &covered) > 0.0),
        (Err(_), Ok(centre)) => weight(centre, &covered) > 0.0,
        (Err(_), Err(_)) => true,
    };
    if !touched {
        return None;
    }
    let known = |value: Result<f64, Unknown>| match value {
        Ok(mm) => Quantity::known(mm, error),
        Err(Unknown(why)) => Quantity::Unknown { why },
    };
    let share = |seen: &[(Spot, Over)]| {
        let own = seen.iter().filter(|(spot, _)| spot.own);
        let whole: f64 = own.clone().map(|(spot, _)| spot.area_mm2).sum();
        let under = own.filter(|(_, over)| under_fabric(over, graft, &covered));
        let under: f64 = under.map(|(spot, _)| spot.area_mm2).sum();
        if whole > 0.0 { under / whole } else { 0.0 }
    };
    Some(SpaceResult {
        at: footprint.id.clone(),
        site: footprint.site,
        component: Some(placed.component.clone()),
        possibility: Some(lie.possibility),
        centre_mm: known(centre.clone().map(|over| over.space_mm)),
        least_mm: known(seen.as_ref().map(|seen| least(seen)).map_err(Clone::clone)),
        mean_mm: known(seen.as_ref().map(|seen| mean(seen, &covered)).map_err(Clone::clone)),
        covered_share: match (&seen, &centre) {
            (Ok(seen), _) => Quantity::exact(share(seen)),
            // Of unknown size, but its centre is covered.
            (Err(_), Ok(centre)) if under_fabric(centre, graft, &covered) => Quantity::exact(1.0),
            (Err(Unknown(why)), _) => Quantity::Unknown { why: why.clone() },
        },
    })
}

/// How much of the area about a point is covered, 0 to 1: the fabric's edge is blurred.
fn weight(over: &Over, covered: &[(f64, f64)]) -> f64 {
    let inside = |(from, to): &(f64, f64)| {
        let depth = (over.u_mm - from).min(to - over.u_mm);
        (depth / BLUR_MM + 0.5).clamp(0.0, 1.0)
    };
    covered.iter().map(inside).fold(0.0, f64::max)
}

/// Whether a point lies under fabric and not under one of its openings.
fn under_fabric(over: &Over, graft: &Graft, covered: &[(f64, f64)]) -> bool {
    covered.iter().any(|(from, to)| over.u_mm >= *from && over.u_mm <= *to) && !in_opening(over, graft)
}

/// Whether a place on the graft lies in a fenestration or a scallop: ovals of their own sizes on the
/// fabric.
fn in_opening(over: &Over, graft: &Graft) -> bool {
    if graft.fenestrations.is_empty() && graft.scallops.is_empty() {
        return false;
    }
    let Some(section) = shape::section_at(graft, over.u_mm) else { return false };
    let radius = shape::fabric_mm(section, over.u_mm, over.on_graft);
    let inside = |u_mm: f64, clock_deg: f64, along: f64, across: f64| {
        let around = (over.on_graft - Angle::deg(clock_deg)).wrapped().arc_mm(radius);
        ((over.u_mm - u_mm) / along).powi(2) + (around / across).powi(2) <= 1.0
    };
    graft.fenestrations.iter().any(|f| inside(f.u_mm, f.clock_deg, f.along_mm / 2.0, f.across_mm / 2.0))
        || graft.scallops.iter().any(|s| inside(0.0, s.clock_deg, s.depth_mm, s.width_mm / 2.0))
}

/// Least space of all points; on the outermost ring, where it mostly lies, refined by a parabola.
fn least(seen: &[(Spot, Over)]) -> f64 {
    let space = |i: usize| seen[i].1.space_mm;
    let least = (0..seen.len()).fold(0, |best, i| if space(i) < space(best) { i } else { best });
    let rim = Footprint::rim_from(seen.len());
    if least < rim || seen.len() < 4 {
        return space(least);
    }
    let ring = seen.len() - rim;
    let beside = |step: usize| space(rim + (least - rim + step) % ring);
    let (before, here, after) = (beside(ring - 1), space(least), beside(1));
    let bend = before - 2.0 * here + after;
    if bend > 0.0 { (here - (before - after).powi(2) / (8.0 * bend)).max(0.0) } else { here }
}

/// Mean space over the covered area.
fn mean(seen: &[(Spot, Over)], covered: &[(f64, f64)]) -> f64 {
    let (mut sum, mut area) = (0.0, 0.0);
    for (spot, over) in seen {
        let own = spot.area_mm2 * weight(over, covered);
        sum += own * over.space_mm;
        area += own;
    }
    if area > 0.0 { sum / area } else { 0.0 }
}
