//! Fenestrations and scallops against their ostia, as areas in the tangent map at the ostium.
//!
//! The tangent map lays the wall flat about the ostium's centre: x is the length of wall along the
//! flow at the ostium's clock, y the turn from the ostium's clock times the lumen's radius there, + to
//! larger clock. The ostium is the oval of its own two lengths at the origin. An opening is put where
//! its centre's station and clock fall, with its own two lengths on the fabric; a scallop is half an
//! oval that hangs from the proximal edge, and upstream of that edge there is no fabric at all. Where
//! fabric stands off the wall this says nothing of what lies between: see the space to the wall.

use super::space::SpaceResult;
use crate::anatomy::Anatomy;
use crate::anatomy::openings::Ostium;
use crate::casefile::case::{Fenestration, Scallop};
use crate::graft::lie::{GraftLie, PlacedGraft, Possibility};
use crate::graft::shape;
use crate::message;
use crate::numeric::quadrature::panel;
use crate::quantity::{Quantity, Unknown};
use crate::units::Angle;
use std::f64::consts::{PI, TAU};

/// Panels of quadrature over half a turn.
const PANELS: usize = 64;
/// Points of an outline whose distance is looked for.
const OUTLINE: usize = 96;
/// The fabric's edge beside a scallop is followed this far, mm.
const BESIDE_MM: f64 = 200.0;

/// An opening against its ostium in one possibility.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningResult {
    /// The opening's id.
    pub id: String,
    /// The component's id.
    pub component: String,
    /// Id of the vessel it serves.
    pub serves: String,
    /// Whether it is a scallop.
    pub scallop: bool,
    /// Which possibility.
    pub possibility: Possibility,
    /// Area of the ostium that no fabric covers, mm².
    pub overlap_mm2: Quantity,
    /// The same as a share of the ostium.
    pub uncovered_share: Quantity,
    /// From the ostium's edge to the fabric's, mm: the least where the ostium lies in the opening; below
    /// zero by how far the ostium reaches under the fabric.
    pub edge_distance_mm: Quantity,
    /// Space between fabric and wall at the ostium's centre, mm.
    pub wall_distance_mm: Quantity,
    /// The opening's clock less the ostium's.
    pub clock_error: Quantity<Angle>,
    /// Depth that a scallop takes from the seal, mm; `None` for a fenestration.
    pub taken_from_seal_mm: Option<f64>,
    /// What it leaves of the seal's length at its clock, mm.
    pub left_of_seal_mm: Option<f64>,
}

/// Every opening of a placed graft in every possibility: opening by opening, possibilities in order.
pub fn openings(placed: &PlacedGraft, spaces: &[SpaceResult], anatomy: &Anatomy) -> Vec<OpeningResult> {
    let windows = placed.graft.fenestrations.iter().map(Opening::Window);
    let notches = placed.graft.scallops.iter().map(Opening::Notch);
    let all = windows.chain(notches);
    all.flat_map(|opening| placed.lies.iter().map(move |lie| one(opening, placed, lie, spaces, anatomy))).collect()
}

#[derive(Clone, Copy)]
enum Opening<'a> {
    Window(&'a Fenestration),
    Notch(&'a Scallop),
}

impl<'a> Opening<'a> {
    fn id(self) -> &'a str {
        match self {
            Opening::Window(f) => &f.id,
            Opening::Notch(s) => &s.id,
        }
    }

    fn serves(self) -> &'a str {
        match self {
            Opening::Window(f) => &f.serves,
            Opening::Notch(s) => &s.serves,
        }
    }

    /// Its place on the graft; of a scallop, on the edge.
    fn on_graft(self) -> (f64, Angle) {
        match self {
            Opening::Window(f) => (f.u_mm, Angle::deg(f.clock_deg)),
            Opening::Notch(s) => (0.0, Angle::deg(s.clock_deg)),
        }
    }
}

fn one(
    opening: Opening<'_>,
    placed: &PlacedGraft,
    lie: &GraftLie,
    spaces: &[SpaceResult],
    anatomy: &Anatomy,
) -> OpeningResult {
    let ostium = anatomy.ostium_of(opening.serves()).ok_or(Unknown::because(message::NO_OSTIUM));
    let place = || -> Result<([f64; 2], Quantity<Angle>), Unknown> {
        let ostium = ostium.clone()?;
        let (u_mm, on_graft) = opening.on_graft();
        let fabric = lie.fabric(&placed.graft, u_mm, on_graft, anatomy)?;
        let line = ostium.place.line.as_ref().map_err(Clone::clone)?;
        let x = anatomy.wall()?.between(line, ostium.place.station_mm, fabric.station_mm)?;
        let turn = (fabric.clock - line.clock).wrapped();
        let radius = anatomy.lumen()?.radius_along(ostium.place.station_mm, line.clock).0;
        Ok(([x, turn.arc_mm(radius)], ostium.place.clock.map(|_| turn)))
    };
    let place = place();
    let areas = || -> Result<(Quantity, Quantity, Quantity), Unknown> {
        let ostium = ostium.clone()?;
        let (at, _) = place.clone()?;
        let half = (*ostium.along_mm.get()? / 2.0, *ostium.across_mm.get()? / 2.0);
        let hole = match opening {
            Opening::Window(f) => Hole { at, half: (f.along_mm / 2.0, f.across_mm / 2.0), open_upstream: false },
            Opening::Notch(s) => Hole { at, half: (s.depth_mm, s.width_mm / 2.0), open_upstream: true },
        };
        let whole = PI * half.0 * half.1;
        let overlap = hole.overlap(half);
        // A typed position moves the ostium by its error along or around; the edge that is nearest
        // moves by as much, and the area by the length of that edge inside the ostium at most.
        let error = moved_mm(ostium, anatomy)?;
        let across = 2.0 * half.0.max(half.1);
        Ok((
            Quantity::known(overlap, error * across),
            Quantity::known(overlap / whole, error * across / whole),
            Quantity::known(hole.edge_distance(half), error),
        ))
    };
    let unknown = |Unknown(why): Unknown| {
        let no = || Quantity::Unknown { why: why.clone() };
        (no(), no(), no())
    };
    let (overlap_mm2, uncovered_share, edge_distance_mm) = areas().unwrap_or_else(unknown);
    let seal = match opening {
        Opening::Notch(scallop) => seal_taken(placed, scallop),
        Opening::Window(_) => None,
    };
    OpeningResult {
        id: opening.id().into(),
        component: placed.component.clone(),
        serves: opening.serves().into(),
        scallop: matches!(opening, Opening::Notch(_)),
        possibility: lie.possibility,
        overlap_mm2,
        uncovered_share,
        edge_distance_mm,
        wall_distance_mm: space_at(ostium.clone(), placed, lie, spaces),
        clock_error: match place {
            Ok((_, error)) => error,
            Err(Unknown(why)) => Quantity::Unknown { why },
        },
        taken_from_seal_mm: seal.map(|(taken, _)| taken),
        left_of_seal_mm: seal.map(|(_, left)| left),
    }
}

/// How far the ostium's centre may lie elsewhere on the wall, one standard deviation in the worse of
/// the two directions, mm.
fn moved_mm(ostium: &Ostium, anatomy: &Anatomy) -> Result<f64, Unknown> {
    let clock = *ostium.place.clock.get()?;
    let along = ostium.place.station_sd_mm * anatomy.wall()?.scale(ostium.place.station_mm, clock)?;
    let radius = anatomy.lumen()?.radius_along(ostium.place.station_mm, clock).0;
    let around = match &ostium.place.clock {
        Quantity::Known { error, .. } => Angle::deg(*error).arc_mm(radius),
        Quantity::Unknown { .. } => 0.0,
    };
    Ok(along.max(around))
}

/// The space at the ostium's centre under this very graft.
fn space_at(
    ostium: Result<&Ostium, Unknown>,
    placed: &PlacedGraft,
    lie: &GraftLie,
    spaces: &[SpaceResult],
) -> Quantity {
    let Ok(ostium) = ostium else { return Quantity::unknown(message::NO_OSTIUM) };
    let own = |s: &&SpaceResult| {
        s.at == ostium.id && s.component.as_deref() == Some(&placed.component) && s.possibility == Some(lie.possibility)
    };
    spaces.iter().find(own).map_or(Quantity::unknown(message::NO_FABRIC_THERE), |s| s.centre_mm.clone())
}

/// Depth a scallop takes from the seal at the proximal edge, and what it leaves of it, mm; `None`
/// where no seal begins there.
fn seal_taken(placed: &PlacedGraft, scallop: &Scallop) -> Option<(f64, f64)> {
    let (from, to) = *shape::seals(&placed.graft).first()?;
    let taken = (scallop.depth_mm.min(to) - from).max(0.0);
    Some((taken, to - from - taken))
}

/// An opening in the tangent map.
#[derive(Clone, Copy)]
struct Hole {
    /// Its centre; of a scallop, the middle of its mouth on the edge.
    at: [f64; 2],
    /// Half lengths along and around; of a scallop, depth and half width.
    half: (f64, f64),
    /// Whether there is no fabric upstream of its centre.
    open_upstream: bool,
}

impl Hole {
    /// Half width around at a place along, mm; below zero where it does not reach.
    fn half_width(&self, x: f64) -> f64 {
        let along = (x - self.at[0]) / self.half.0;
        match 1.0 - along * along {
            _ if self.open_upstream && along <= 0.0 => f64::INFINITY,
            inside if inside >= 0.0 => self.half.1 * inside.sqrt(),
            _ => -1.0,
        }
    }

    /// Area shared with an oval about the origin, mm²: ∫ of the shared width, with x = a sin t so that
    /// the oval's ends are smooth.
    fn overlap(&self, (a, b): (f64, f64)) -> f64 {
        let shared = |t: f64| {
            let x = a * t.sin();
            let own = b * t.cos();
            let half = self.half_width(x);
            let width = (self.at[1] + half).min(own) - (self.at[1] - half).max(-own);
            width.max(0.0) * a * t.cos()
        };
        // Panels end where the opening does.
        let mut ends: Vec<f64> = (0..=PANELS).map(|k| PI * (k as f64 / PANELS as f64 - 0.5)).collect();
        for x in [self.at[0] - self.half.0, self.at[0], self.at[0] + self.half.0] {
            if x.abs() < a {
                ends.push((x / a).asin());
            }
        }
        ends.sort_by(f64::total_cmp);
        ends.windows(2).map(|w| panel(w[0], w[1], shared)).sum()
    }

    /// How far inside the opening a point lies, mm; negative outside.
    fn depth(&self, p: [f64; 2], edge: &[[f64; 2]]) -> f64 {
        let away = edge.windows(2).map(|w| to_segment(p, w[0], w[1])).fold(f64::INFINITY, f64::min);
        if (p[1] - self.at[1]).abs() <= self.half_width(p[0]) { away } else { -away }
    }

    /// The fabric's edge as a chain of points.
    fn edge(&self) -> Vec<[f64; 2]> {
        let [x, y] = self.at;
        let (a, b) = self.half;
        let turned = |t: f64| [x + a * t.cos(), y + b * t.sin()];
        if self.open_upstream {
            let arc = (0..=OUTLINE / 2).map(|k| turned(PI * (k as f64 / (OUTLINE / 2) as f64 - 0.5)));
            let before = std::iter::once([x, y - b - BESIDE_MM]);
            before.chain(arc).chain(std::iter::once([x, y + b + BESIDE_MM])).collect()
        } else {
            (0..=OUTLINE).map(|k| turned(TAU * k as f64 / OUTLINE as f64)).collect()
        }
    }

    /// The least depth in the opening of an oval's outline about the origin, mm.
    fn edge_distance(&self, (a, b): (f64, f64)) -> f64 {
        let edge = self.edge();
        (0..OUTLINE)
            .map(|k| {
                let (sin, cos) = (TAU * k as f64 / OUTLINE as f64).sin_cos();
                self.depth([a * cos, b * sin], &edge)
            })
            .fold(f64::INFINITY, f64::min)
    }
}

/// Distance of a point from a straight piece.
fn to_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (along, to) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let length2 = along[0] * along[0] + along[1] * along[1];
    let share = if length2 > 0.0 { ((to[0] * along[0] + to[1] * along[1]) / length2).clamp(0.0, 1.0) } else { 0.0 };
    (to[0] - share * along[0]).hypot(to[1] - share * along[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window(at: [f64; 2], along: f64, across: f64) -> Hole {
        Hole { at, half: (along / 2.0, across / 2.0), open_upstream: false }
    }

    // Two circles of radius 5 whose centres lie 6 apart: 2 r² acos(d/2r) − d/2 √(4r² − d²) = 22.3648.
    // Source: the lens formula.
    #[test]
    fn overlap_of_two_circles() {
        for at in [[6.0, 0.0], [0.0, 6.0], [3.6, -4.8]] {
            let got = window(at, 10.0, 10.0).overlap((5.0, 5.0));
            assert!((got - 22.364_756).abs() < 2e-3, "{at:?}: {got}");
        }
        assert_eq!(window([20.0, 0.0], 10.0, 10.0).overlap((5.0, 5.0)), 0.0);
        let within = window([1.0, 0.0], 20.0, 20.0).overlap((5.0, 4.0));
        assert!((within - PI * 20.0).abs() < 1e-6);
    }

    #[test]
    fn edge_distance_inside_and_out() {
        // Concentric circles of radius 8 and 5, then moved by 1, then by 5: 8 − 5 − moved.
        for moved in [0.0, 1.0, 5.0] {
            let got = window([moved, 0.0], 16.0, 16.0).edge_distance((5.0, 5.0));
            assert!((got - (3.0 - moved)).abs() < 0.01, "{moved}: {got}");
        }
    }

    // A scallop 10 deep and 20 wide whose edge lies 4 mm upstream of the ostium's centre leaves a
    // circle of radius 5 free but for nothing: its farthest point lies 9 deep on the middle line.
    #[test]
    fn scallop() {
        let notch = Hole { at: [-4.0, 0.0], half: (10.0, 10.0), open_upstream: true };
        assert!((notch.overlap((5.0, 5.0)) - 25.0 * PI).abs() < 1e-6);
        assert!((notch.edge_distance((5.0, 5.0)) - 1.0).abs() < 0.01);
        // Without depth, half the circle is free.
        let edge = Hole { at: [0.0, 0.0], half: (1e-9, 10.0), open_upstream: true };
        assert!((edge.overlap((5.0, 5.0)) - 12.5 * PI).abs() < 1e-3);
        assert!((edge.edge_distance((5.0, 5.0)) + 5.0).abs() < 0.01);
    }
}
