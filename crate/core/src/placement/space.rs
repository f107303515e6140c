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
/// A footprint whose stations lie farther than this from a graft's is not under it, mm: an end cut
/// square to a graft that lies askew reaches no further.
pub const FAR_MM: f64 = 15.0;

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
    /// Mean space over the same, mm.
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
            let ends = lie.places().first().zip(lie.places().last());
            let (first, last) = ends.ok_or(Unknown::because(message::NOT_PLACED))?;
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

/// Space between a wall point near a station and the fabric over it, mm; `None` where there is none.
pub fn fabric_over(point: &Point3, station_mm: f64, graft: &Graft, lie: &GraftLie) -> Option<f64> {
    let (first, last) = (lie.places().first()?, lie.places().last()?);
    if station_mm < first.1 - FAR_MM || station_mm > last.1 + FAR_MM {
        return None;
    }
    let over = over(point, station_mm, graft, lie).ok()?;
    on_fabric(&over, &shape::covered(graft)).then_some(over.space_mm)
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
                    footprint.range_mm.1 > first.1 - FAR_MM && footprint.range_mm.0 < last.1 + FAR_MM
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
        (Ok(seen), _) => seen.iter().any(|(_, over)| on_fabric(over, &covered)),
        (Err(_), Ok(centre)) => on_fabric(centre, &covered),
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
        mean_mm: known(seen.as_ref().map(|seen| mean(seen)).map_err(Clone::clone)),
        covered_share: match (&seen, &centre) {
            (Ok(seen), _) => Quantity::exact(share(seen)),
            // Of unknown size, but its centre is covered.
            (Err(_), Ok(centre)) if under_fabric(centre, graft, &covered) => Quantity::exact(1.0),
            (Err(Unknown(why)), _) => Quantity::Unknown { why: why.clone() },
        },
    })
}

/// Whether a place on the graft has fabric, openings or not.
fn on_fabric(over: &Over, covered: &[(f64, f64)]) -> bool {
    covered.iter().any(|(from, to)| over.u_mm >= *from && over.u_mm <= *to)
}

/// Whether a point lies under fabric and not under one of its openings.
fn under_fabric(over: &Over, graft: &Graft, covered: &[(f64, f64)]) -> bool {
    on_fabric(over, covered) && !in_opening(over, graft)
}

/// Whether a place on the graft lies in a fenestration or a scallop.
fn in_opening(over: &Over, graft: &Graft) -> bool {
    holes(graft).any(|hole| hole.contains(graft, over.u_mm, over.on_graft))
}

/// A fenestration or a scallop: an oval of its own size on the fabric.
#[derive(Clone, Copy, Debug)]
pub struct Hole<'a> {
    /// Its id.
    pub id: &'a str,
    u_mm: f64,
    clock_deg: f64,
    /// Half its size along and around.
    half_mm: (f64, f64),
}

impl Hole<'_> {
    /// Whether a place on the graft lies in it.
    pub fn contains(&self, graft: &Graft, u_mm: f64, on_graft: Angle) -> bool {
        let Some(section) = shape::section_at(graft, u_mm) else { return false };
        let radius = shape::fabric_mm(section, u_mm, on_graft);
        let around = (on_graft - Angle::deg(self.clock_deg)).wrapped().arc_mm(radius);
        ((u_mm - self.u_mm) / self.half_mm.0).powi(2) + (around / self.half_mm.1).powi(2) <= 1.0
    }
}

/// Every fenestration and scallop of a graft; a scallop is cut from its proximal edge.
pub fn holes(graft: &Graft) -> impl Iterator<Item = Hole<'_>> {
    let fenestrations = graft.fenestrations.iter().map(|f| Hole {
        id: &f.id,
        u_mm: f.u_mm,
        clock_deg: f.clock_deg,
        half_mm: (f.along_mm / 2.0, f.across_mm / 2.0),
    });
    let scallops = graft.scallops.iter().map(|s| Hole {
        id: &s.id,
        u_mm: 0.0,
        clock_deg: s.clock_deg,
        half_mm: (s.depth_mm, s.width_mm / 2.0),
    });
    fenestrations.chain(scallops)
}

/// Least space of all points, and of three more between each two of the outermost ring, where it
/// mostly lies, by cubics through its neighbours (Catmull and Rom). Every one of these moves without a
/// jump as the graft does, so the least does too.
fn least(seen: &[(Spot, Over)]) -> f64 {
    let of_points = seen.iter().map(|(_, over)| over.space_mm).fold(f64::INFINITY, f64::min);
    let rim = &seen[Footprint::rim_from(seen.len())..];
    let space = |i: usize| rim[i % rim.len()].1.space_mm;
    let between = (0..rim.len()).flat_map(|i| {
        let [a, b, c, d] = [0, 1, 2, 3].map(|k| space(i + k));
        [0.25, 0.5, 0.75].map(|t| {
            let (first, second, third) = (c - a, 2.0 * a - 5.0 * b + 4.0 * c - d, 3.0 * (b - c) + d - a);
            b + 0.5 * t * (first + t * (second + t * third))
        })
    });
    between.fold(of_points, f64::min).max(0.0)
}

/// Mean space of all points, each by the area it stands for.
fn mean(seen: &[(Spot, Over)]) -> f64 {
    let area: f64 = seen.iter().map(|(spot, _)| spot.area_mm2).sum();
    let sum: f64 = seen.iter().map(|(spot, over)| spot.area_mm2 * over.space_mm).sum();
    if area > 0.0 { sum / area } else { 0.0 }
}
