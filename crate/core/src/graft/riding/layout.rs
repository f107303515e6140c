//! Where the joints of a graft's rod stand and what room each has: along the fabric, and beyond its edges
//! as far as the rod goes on.
//!
//! Knows nothing of how the rod bends: how far along each joint lies is given, and moves with what [`super`] finds.

use super::{Bedding, CARRIER_MM};
use crate::anatomy::Anatomy;
use crate::casefile::case::Graft;
use crate::graft::shape;
use crate::rod::{End, Plane, Rod};

/// Longest piece of the rod inside the graft, mm: offsets err by about a thousandth of a mm.
pub(super) const PIECE_MM: f64 = 2.0;
/// How far the rod is followed beyond the graft, mm.
const BEYOND_MM: f64 = 60.0;
/// Pieces beyond an end of the graft.
const PIECES_BEYOND: usize = 20;
/// The same where less than [`SHORT_MM`] of data lies there.
const PIECES_SHORT: usize = 6;
/// What counts as short, mm.
const SHORT_MM: f64 = 12.0;
/// No piece is shorter than this at the data's ends, mm.
const LEAST_PIECE_MM: f64 = 0.3;
/// A disc's radius is smoothed while it is smaller than this, mm.
const SMOOTHED_MM: f64 = 0.5;
/// A disc stays this share of the way to the centre of curvature: beyond it cross planes meet.
const TO_CENTRE: f64 = 0.9;

/// How the rod goes on beyond a fabric edge.
#[derive(Clone, Copy, Debug)]
pub(super) enum Beyond {
    /// As the carrier, in so many pieces, to a station or as far as 60 mm.
    Carrier { pieces: usize, limit_mm: f64 },
    /// The fabric itself goes on beyond the data, which end at this station.
    Cut { at_mm: f64 },
    /// Not at all: the edge lies at the data's end.
    Nothing,
}

impl Beyond {
    pub(super) fn planes(&self) -> usize {
        match self {
            Beyond::Carrier { pieces, .. } => *pieces,
            Beyond::Cut { .. } => 1,
            Beyond::Nothing => 0,
        }
    }
}

/// A piece of the rod inside the fabric.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    /// Length on the graft, mm.
    pub(super) u_mm: f64,
    /// Half the diameter at its two ends, mm.
    pub(super) radii_mm: [f64; 2],
    /// Whether it begins or ends a section: where the fabric begins to fill the lumen the axis may bend
    /// as at a clamp, and its curvature jumps.
    pub(super) border: [bool; 2],
}

/// The rod's joints along the graft and beyond.
pub(super) struct Layout<'a> {
    pub(super) bedding: &'a Bedding,
    pub(super) anatomy: &'a Anatomy,
    /// `u` of the joints inside the fabric, with the fabric's farthest reach there.
    pub(super) fabric: Vec<(f64, f64)>,
    pub(super) pieces: Vec<Piece>,
    /// Which of them is held.
    pub(super) held: usize,
    /// Stations of the fabric's joints.
    pub(super) stations: Vec<f64>,
    pub(super) beyond: [Beyond; 2],
    carrier_mm: f64,
}

impl<'a> Layout<'a> {
    /// `None` where fewer than two joints of the graft lie within the data. `places` says about where
    /// they lie: (u, station), growing.
    pub(super) fn new(
        bedding: &'a Bedding,
        graft: &Graft,
        anatomy: &'a Anatomy,
        places: &[(f64, f64)],
    ) -> Option<Self> {
        let (first, last) = anatomy.course.line().range_mm();
        let (joints, pieces) = divide(graft, bedding.held.0);
        let inside = |s: &f64| *s >= first + LEAST_PIECE_MM && *s <= last - LEAST_PIECE_MM;
        let known: Vec<Option<f64>> = joints.iter().map(|(u, _)| between(places, *u).filter(inside)).collect();
        let held = joints.iter().position(|(u, _)| (u - bedding.held.0).abs() < 1e-6)?;
        known[held]?;
        let from = known[..held].iter().rposition(Option::is_none).map_or(0, |i| i + 1);
        let to = known[held..].iter().position(Option::is_none).map_or(joints.len() - 1, |i| held + i - 1);
        if to <= from {
            return None;
        }
        let stations: Vec<f64> = known[from..=to].iter().flatten().copied().collect();
        let edges = (stations[0], stations[stations.len() - 1]);
        let annulus = bedding.annulus.map(|a| a.0).filter(|s| *s > first && *s < edges.0);
        let upstream = beyond(from > 0, edges.0 - annulus.unwrap_or(first), annulus.unwrap_or(first));
        let downstream = beyond(to + 1 < joints.len(), last - edges.1, last);
        Some(Layout {
            bedding,
            anatomy,
            fabric: joints[from..=to].to_vec(),
            pieces: pieces[from..to].to_vec(),
            held: held - from,
            stations,
            beyond: [upstream, downstream],
            carrier_mm: graft.carrier_outer_mm.unwrap_or(CARRIER_MM) / 2.0,
        })
    }

    pub(super) fn planes(&self) -> usize {
        self.beyond[0].planes() + self.fabric.len() + self.beyond[1].planes()
    }

    /// Stations and reach of every plane.
    pub(super) fn places(&self) -> Vec<(f64, f64)> {
        let mut places = Vec::with_capacity(self.planes());
        let last = self.fabric.len() - 1;
        let edges = [self.stations[0], self.stations[last]];
        let further = |side: usize, step: usize| -> (f64, f64) {
            match self.beyond[side] {
                Beyond::Carrier { pieces, limit_mm } => {
                    let end =
                        if side == 0 { limit_mm.max(edges[0] - BEYOND_MM) } else { limit_mm.min(edges[1] + BEYOND_MM) };
                    let share = step as f64 / pieces as f64;
                    (edges[side] + (end - edges[side]) * share, self.carrier_mm)
                }
                Beyond::Cut { at_mm } => (at_mm, self.fabric[if side == 0 { 0 } else { last }].1),
                Beyond::Nothing => (edges[side], 0.0),
            }
        };
        places.extend((1..=self.beyond[0].planes()).rev().map(|k| further(0, k)));
        places.extend(self.stations.iter().zip(&self.fabric).map(|(s, f)| (*s, f.1)));
        places.extend((1..=self.beyond[1].planes()).map(|k| further(1, k)));
        places
    }

    pub(super) fn plane(&self, station_mm: f64, reach_mm: f64) -> Plane {
        let here = self.anatomy.course.cross_plane(station_mm);
        let free = self.anatomy.lumen().map_or(0.0, |l| l.inscribed_mm(station_mm)) - reach_mm;
        let to_centre = TO_CENTRE / here.curvature_per_mm.max(1e-9);
        Plane { centre: here.point, across: here.across, room_mm: room_mm(free).min(to_centre) }
    }

    pub(super) fn rod(&self) -> Rod {
        let places = self.places();
        let planes: Vec<Plane> = places.iter().map(|(s, reach)| self.plane(*s, *reach)).collect();
        Rod { ends: self.ends(&places), planes, push_per_mm2: self.bedding.push_per_mm2 }
    }

    /// The rod goes on along the aorta at both ends, but for the wire's tilt at the annulus.
    pub(super) fn ends(&self, places: &[(f64, f64)]) -> [End; 2] {
        let along = |place: Option<&(f64, f64)>| {
            let station = place.map_or(0.0, |p| p.0);
            (station, self.anatomy.course.cross_plane(station).tangent)
        };
        let (first, mut upstream) = along(places.first());
        if let Some((station, tilt)) = self.bedding.annulus
            && (station - first).abs() < 1e-6
            && let Ok(frame) = self.anatomy.course.frame(station)
        {
            upstream = upstream * tilt.by.cos() + frame.towards(tilt.towards) * tilt.by.sin();
        }
        [End::Along(upstream), End::Along(along(places.last()).1)]
    }

    /// Whether the fabric's joints lie within what is beyond them.
    pub(super) fn within(&self) -> bool {
        let (first, last) = self.anatomy.course.line().range_mm();
        let limit = |side: usize, end: f64| match self.beyond[side] {
            Beyond::Carrier { limit_mm, .. } => limit_mm,
            Beyond::Cut { at_mm } => at_mm,
            Beyond::Nothing => end,
        };
        let clear = LEAST_PIECE_MM / 3.0;
        self.stations[0] >= limit(0, first - clear) + clear
            && self.stations[self.stations.len() - 1] <= limit(1, last + clear) - clear
    }
}

/// Joints along the whole graft: `u` and reach, and the pieces between.
fn divide(graft: &Graft, held_u_mm: f64) -> (Vec<(f64, f64)>, Vec<Piece>) {
    let mut borders = vec![0.0, graft.length_mm, held_u_mm];
    borders.extend(graft.sections.iter().flat_map(|s| [s.from_u_mm, s.to_u_mm]));
    borders.retain(|u| (0.0..=graft.length_mm).contains(u));
    borders.sort_by(f64::total_cmp);
    borders.dedup_by(|a, b| *a - *b < 1e-6);
    let mut joints: Vec<(f64, f64)> = vec![(0.0, 0.0)];
    let mut pieces = Vec::new();
    for pair in borders.windows(2) {
        let count = ((pair[1] - pair[0]) / PIECE_MM).ceil().max(1.0) as usize;
        // A gap between sections has no fabric: the axis alone goes on there.
        let section = shape::section_at(graft, (pair[0] + pair[1]) / 2.0);
        let radius = |u: f64| section.map_or(0.0, |s| shape::diameter_mm(s, u) / 2.0);
        let reach = |u: f64| section.map_or(0.0, |s| radius(u) + s.offset_mm);
        let at = |k: usize| pair[0] + (pair[1] - pair[0]) * k as f64 / count as f64;
        // At a border the wider of its two sides must find room.
        if let Some(last) = joints.last_mut() {
            last.1 = last.1.max(reach(pair[0]));
        }
        for k in 0..count {
            // Curvature is carried to a border from two joints within the section.
            let border = [k == 0 && count > 2, k + 1 == count && count > 2];
            pieces.push(Piece { u_mm: at(k + 1) - at(k), radii_mm: [radius(at(k)), radius(at(k + 1))], border });
            joints.push((at(k + 1), reach(at(k + 1))));
        }
    }
    (joints, pieces)
}

/// Station of a `u` among places; `None` outside them.
fn between(places: &[(f64, f64)], u_mm: f64) -> Option<f64> {
    let i = places.partition_point(|p| p.0 <= u_mm + 1e-6).checked_sub(1)?;
    let (u0, s0) = places[i];
    match places.get(i + 1) {
        Some((u1, s1)) => Some(s0 + (s1 - s0) * ((u_mm - u0) / (u1 - u0)).max(0.0)),
        None => (u_mm - u0 < 1e-6).then_some(s0),
    }
}

/// How the rod goes on from a fabric edge with this much of the data beyond it, to which station at most.
fn beyond(fabric_goes_on: bool, room_mm: f64, limit_mm: f64) -> Beyond {
    if room_mm < LEAST_PIECE_MM {
        Beyond::Nothing
    } else if fabric_goes_on {
        Beyond::Cut { at_mm: limit_mm }
    } else {
        Beyond::Carrier { pieces: if room_mm < SHORT_MM { PIECES_SHORT } else { PIECES_BEYOND }, limit_mm }
    }
}

/// Largest offset where the lumen's inscribed radius is this much wider than the fabric's reach:
/// max(0, free), from 0 to 0.5 mm by a cubic that stays below it and has its slopes at both ends.
fn room_mm(free_mm: f64) -> f64 {
    let x = free_mm / SMOOTHED_MM;
    if x <= 0.0 {
        0.0
    } else if x >= 1.0 {
        free_mm
    } else {
        SMOOTHED_MM * x * x * (2.0 - x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_is_smoothed_within_half_a_millimetre_and_never_too_wide() {
        for k in -100..200 {
            let free = f64::from(k) * 0.01;
            let room = room_mm(free);
            assert!(room >= 0.0 && room <= free.max(0.0) + 1e-15);
            assert!(free < 0.5 || room == free);
            let slope = (room_mm(free + 1e-7) - room_mm(free - 1e-7)) / 2e-7;
            assert!((-1e-6..1.34).contains(&slope), "{free} {slope}");
        }
    }
}
