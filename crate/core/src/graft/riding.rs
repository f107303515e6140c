//! Where a graft's axis comes to rest as an elastic rod in the lumen.
//!
//! The rod runs from the annulus (or as far upstream as data and 60 mm beyond the graft reach) to 60 mm
//! beyond the graft downstream; beyond the fabric it is the carrier. Its joints ride with the graft:
//! each stays at its `u` while their stations follow from the length that the graft keeps, so that the
//! answer moves smoothly with the placement. Turning the graft plays no part in it.
//!
//! Knows nothing of tunnels, ostia or clocks.

use super::axis::{Axis, Node};
use super::lie::KeptLine;
use super::shape;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Graft, Wire};
use crate::message;
use crate::quantity::Unknown;
use crate::rod::solver::{Rest, Start, TOUCH_MM, solve};
use crate::rod::{End, Plane, Rod};
use crate::units::{Angle, Point3, Vec3};
use std::sync::Arc;

/// Longest piece of the rod inside the graft, mm: offsets err by about a thousandth of a mm.
const PIECE_MM: f64 = 2.0;
/// How often joints are left out or taken in at the data's ends.
const MOST_LAYOUTS: usize = 5;
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
/// Outer diameter of a carrier that nobody measured, mm; from memory.
pub const CARRIER_MM: f64 = 8.0;

/// What the rod depends on besides anatomy and shape of the graft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bedding {
    /// Which line keeps its length.
    pub kept: KeptLine,
    /// (u, station) of the held point.
    pub held: (f64, f64),
    /// Push over bending stiffness, per mm².
    pub push_per_mm2: f64,
    /// Station of the annulus and tilt of the wire there.
    pub annulus: Option<(f64, Tilt)>,
}

/// A direction that leans from the centreline's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tilt {
    /// By how much.
    pub by: Angle,
    /// Towards which clock.
    pub towards: Angle,
}

impl Tilt {
    /// Of the wire that the case describes; none described: along the aorta.
    pub fn of(wire: Option<&Wire>) -> Self {
        match wire {
            Some(w) => Tilt { by: Angle::deg(w.annulus_tilt_deg), towards: Angle::deg(w.annulus_towards_clock_deg) },
            None => Tilt { by: Angle::ZERO, towards: Angle::ZERO },
        }
    }
}

/// A graft's axis at rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Ridden {
    /// The axis within the fabric.
    pub axis: Arc<Axis>,
    /// What can be said of the rod as a whole.
    pub rod: RodFacts,
}

impl Ridden {
    /// Whether a stretch that the data cut off is so long that joints must be taken in.
    fn cut_long(&self) -> bool {
        let nodes = self.axis.places();
        let long = |pair: &[(f64, f64)]| pair[1].0 - pair[0].0 > 1.6 * PIECE_MM;
        nodes.windows(2).next().is_some_and(long) || nodes.windows(2).last().is_some_and(long)
    }
}

/// What can be said of a rod as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RodFacts {
    /// Push over bending stiffness, per mm².
    pub push_per_mm2: f64,
    /// ½∫κ² ds, per mm.
    pub bending_per_mm: f64,
    /// Its length, mm.
    pub length_mm: f64,
    /// First and last station that it was followed to, mm.
    pub range_mm: (f64, f64),
    /// How far one more step of the search would move it, mm.
    pub error_mm: f64,
    /// Share of the graft's length along which it touches, or fills the lumen.
    pub contact_share: f64,
    /// Largest distance of the graft's axis from the centreline, mm.
    pub largest_offset_mm: f64,
}

/// Finds the rest of a graft's axis, from where it lies on the centreline (`middle`): always from there
/// and never from the last answer of a drag, so that the same placement gives the same numbers whichever
/// way it was reached. Where the axis at rest reaches less or more of the data than on the centreline,
/// joints are left out or taken in and the search begins again.
///
/// # Errors
/// Unknown without a lumen, where the graft does not lie within the data, and where the search does not
/// settle.
pub fn ride(bedding: &Bedding, graft: &Graft, middle: &Axis, anatomy: &Anatomy) -> Result<Ridden, Unknown> {
    anatomy.lumen()?;
    let mut places = middle.places().to_vec();
    let mut found = None;
    for _ in 0..MOST_LAYOUTS {
        let Some(layout) = Layout::new(bedding, graft, anatomy, &places) else { break };
        let start = Start::middle(layout.planes());
        match layout.ride(&start) {
            Ok(ridden) => {
                let again = ridden.cut_long();
                places = ridden.axis.places().to_vec();
                found = Some(ridden);
                if !again {
                    break;
                }
            }
            Err(left) => places = left,
        }
    }
    found.ok_or(Unknown::because(message::NO_REST))
}

/// How the rod goes on beyond a fabric edge.
#[derive(Clone, Copy, Debug)]
enum Beyond {
    /// As the carrier, in so many pieces, to a station or as far as 60 mm.
    Carrier { pieces: usize, limit_mm: f64 },
    /// The fabric itself goes on beyond the data, which end at this station.
    Cut { at_mm: f64 },
    /// Not at all: the edge lies at the data's end.
    Nothing,
}

impl Beyond {
    fn planes(&self) -> usize {
        match self {
            Beyond::Carrier { pieces, .. } => *pieces,
            Beyond::Cut { .. } => 1,
            Beyond::Nothing => 0,
        }
    }
}

/// A piece of the rod inside the fabric.
#[derive(Clone, Copy, Debug)]
struct Piece {
    /// Length on the graft, mm.
    u_mm: f64,
    /// Half the diameter at its two ends, mm.
    radii_mm: [f64; 2],
    /// Whether it begins or ends a section: where the fabric begins to fill the lumen the axis may bend
    /// as at a clamp, and its curvature jumps.
    border: [bool; 2],
}

/// The rod's joints along the graft and beyond.
struct Layout<'a> {
    bedding: &'a Bedding,
    anatomy: &'a Anatomy,
    /// `u` of the joints inside the fabric, with the fabric's farthest reach there.
    fabric: Vec<(f64, f64)>,
    pieces: Vec<Piece>,
    /// Which of them is held.
    held: usize,
    /// Stations of the fabric's joints.
    stations: Vec<f64>,
    beyond: [Beyond; 2],
    carrier_mm: f64,
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

impl<'a> Layout<'a> {
    /// `None` where fewer than two joints of the graft lie within the data. `places` says about where
    /// they lie: (u, station), growing.
    fn new(bedding: &'a Bedding, graft: &Graft, anatomy: &'a Anatomy, places: &[(f64, f64)]) -> Option<Self> {
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

    fn planes(&self) -> usize {
        self.beyond[0].planes() + self.fabric.len() + self.beyond[1].planes()
    }

    /// Stations and reach of every plane.
    fn places(&self) -> Vec<(f64, f64)> {
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

    fn plane(&self, station_mm: f64, reach_mm: f64) -> Plane {
        let here = self.anatomy.course.cross_plane(station_mm);
        let free = self.anatomy.lumen().map_or(0.0, |l| l.inscribed_mm(station_mm)) - reach_mm;
        let to_centre = TO_CENTRE / here.curvature_per_mm.max(1e-9);
        Plane { centre: here.point, across: here.across, room_mm: room_mm(free).min(to_centre) }
    }

    fn rod(&self) -> Rod {
        let places = self.places();
        let planes: Vec<Plane> = places.iter().map(|(s, reach)| self.plane(*s, *reach)).collect();
        Rod { ends: self.ends(&places), planes, push_per_mm2: self.bedding.push_per_mm2 }
    }

    /// The rod goes on along the aorta at both ends, but for the wire's tilt at the annulus.
    fn ends(&self, places: &[(f64, f64)]) -> [End; 2] {
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

    /// Solves, with the joints riding along. Where joints would leave the data, those that stay: (u,
    /// station).
    fn ride(mut self, start: &Start) -> Result<Ridden, Vec<(f64, f64)>> {
        let mut rod = self.rod();
        let rest = solve(&mut rod, start, &mut |rod, joints| self.follow(rod, joints));
        let settled = rest.filter(|rest| rest.settled).and_then(|rest| self.ridden(&rod, rest));
        settled.ok_or_else(|| self.fabric.iter().zip(&self.stations).map(|(f, s)| (f.0, *s)).collect())
    }

    /// Moves the joints to where the graft's length puts them on this axis; returns the farthest move,
    /// mm, or infinity where one would leave the data.
    fn follow(&mut self, rod: &mut Rod, joints: &[Point3]) -> f64 {
        let stations = self.stations_on(joints);
        let moved = |(a, b): (&f64, &f64)| (a - b).abs();
        let farthest = stations.iter().zip(&self.stations).map(moved).fold(0.0, f64::max);
        if farthest > 1e-12 {
            self.stations = stations;
            if !self.within() {
                return f64::INFINITY;
            }
            let places = self.places();
            for (plane, (s, reach)) in rod.planes.iter_mut().zip(&places) {
                *plane = self.plane(*s, *reach);
            }
            rod.ends = self.ends(&places);
        }
        farthest
    }

    /// Whether the fabric's joints lie within what is beyond them.
    fn within(&self) -> bool {
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

    /// Stations of the fabric's joints if the axis were to keep the shape it has.
    fn stations_on(&self, joints: &[Point3]) -> Vec<f64> {
        let bends = bends(joints);
        let ratio = |i: usize| {
            let piece = self.arc(i, joints, &bends);
            let wanted = self.pieces[i].u_mm / self.rate(i, self.bends_of(i, &bends));
            (wanted / piece).clamp(0.5, 2.0)
        };
        let mut stations = self.stations.clone();
        stations[self.held] = self.bedding.held.1;
        for i in self.held..self.pieces.len() {
            let step = (self.stations[i + 1] - self.stations[i]) * ratio(i);
            stations[i + 1] = stations[i] + step;
        }
        for i in (0..self.held).rev() {
            let step = (self.stations[i + 1] - self.stations[i]) * ratio(i);
            stations[i] = stations[i + 1] - step;
        }
        stations
    }

    /// Length of the axis along a piece of the fabric, mm: the chord of an arc that bends as it does.
    fn arc(&self, piece: usize, joints: &[Point3], bends: &[f64]) -> f64 {
        let i = self.beyond[0].planes() + piece;
        let chord = (joints[i + 1] - joints[i]).norm();
        chord * (1.0 + (0.5 * (bends[i] + bends[i + 1]) * chord).powi(2) / 24.0)
    }

    /// Curvature at the two ends of a piece, per mm, as its own section has it.
    fn bends_of(&self, piece: usize, bends: &[f64]) -> [f64; 2] {
        let i = self.beyond[0].planes() + piece;
        let border = self.pieces[piece].border;
        let carried =
            |near: usize, far: usize| bends.get(far).map_or(bends[near], |b| (2.0 * bends[near] - b).max(0.0));
        [
            if border[0] { carried(i + 1, i + 2) } else { bends[i] },
            if border[1] { carried(i, i - 1) } else { bends[i + 1] },
        ]
    }

    /// Mean du/ds along a piece.
    fn rate(&self, piece: usize, bends: [f64; 2]) -> f64 {
        match self.bedding.kept {
            KeptLine::Axis => 1.0,
            KeptLine::OuterLine => {
                let room = |i: usize| self.anatomy.lumen().map_or(f64::INFINITY, |l| l.inscribed_mm(self.stations[i]));
                let [a, b] = self.pieces[piece].radii_mm;
                1.0 + 0.5 * (bends[0] * a.min(room(piece)) + bends[1] * b.min(room(piece + 1)))
            }
        }
    }

    fn ridden(&self, rod: &Rod, rest: Rest) -> Option<Ridden> {
        let shift = self.beyond[0].planes();
        let tangents = tangents(&rest.joints, &rod.ends);
        let node = |i: usize, u_mm: f64, station_mm: f64| Node {
            u_mm,
            station_mm,
            point: rest.joints[i],
            tangent: tangents[i],
        };
        let mut nodes: Vec<Node> =
            (0..self.fabric.len()).map(|k| node(shift + k, self.fabric[k].0, self.stations[k])).collect();
        // Where the fabric goes on beyond the data its last point within them follows from the length.
        let bends = bends(&rest.joints);
        let cut = |inner: usize, outer: usize, piece: usize| {
            let chord = (rest.joints[outer] - rest.joints[inner]).norm();
            let bend = bends[inner];
            chord * (1.0 + (bend * chord).powi(2) / 24.0) * self.rate(piece, [bend; 2])
        };
        if let Beyond::Cut { at_mm } = self.beyond[0] {
            nodes.insert(0, node(0, self.fabric[0].0 - cut(1, 0, 0), at_mm));
        }
        if let Beyond::Cut { at_mm } = self.beyond[1] {
            let last = rest.joints.len() - 1;
            let u = self.fabric[self.fabric.len() - 1].0 + cut(last - 1, last, self.pieces.len() - 1);
            nodes.push(node(last, u, at_mm));
        }
        let mut touching = 0.0;
        let mut whole = 0.0;
        let mut largest = 0.0_f64;
        for (k, pair) in rest.joints.windows(2).enumerate().skip(shift).take(self.pieces.len()) {
            let length = (pair[1] - pair[0]).norm();
            for i in [k, k + 1] {
                let far = rest.offsets[i][0].hypot(rest.offsets[i][1]);
                largest = largest.max(far);
                whole += length / 2.0;
                if rod.planes[i].room_mm - far < TOUCH_MM {
                    touching += length / 2.0;
                }
            }
        }
        let places = self.places();
        let facts = RodFacts {
            push_per_mm2: rod.push_per_mm2,
            bending_per_mm: rest.energy.bending_per_mm,
            length_mm: rest.energy.length_mm,
            range_mm: (places.first()?.0, places.last()?.0),
            error_mm: rest.error_mm,
            contact_share: touching / whole,
            largest_offset_mm: largest,
        };
        Some(Ridden { axis: Arc::new(Axis::new(nodes)?), rod: facts })
    }
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

/// Curvature at each joint, per mm; at the ends that of the neighbour.
fn bends(joints: &[Point3]) -> Vec<f64> {
    let mut bends = vec![0.0; joints.len()];
    // Plain numbers, for compiled for size each operation on vectors would be a call.
    let step = |a: &Point3, b: &Point3| {
        let ([ax, ay, az], [bx, by, bz]) = (a.coords.data.0[0], b.coords.data.0[0]);
        let (x, y, z) = (bx - ax, by - ay, bz - az);
        let length = (x * x + y * y + z * z).sqrt();
        ([x / length, y / length, z / length], length)
    };
    for (i, pair) in joints.windows(3).enumerate() {
        let ((a, la), (b, lb)) = (step(&pair[0], &pair[1]), step(&pair[1], &pair[2]));
        let turn2 = (b[0] - a[0]).powi(2) + (b[1] - a[1]).powi(2) + (b[2] - a[2]).powi(2);
        bends[i + 1] = 2.0 * turn2.sqrt() / (la + lb);
    }
    let last = joints.len() - 1;
    bends[0] = bends[1];
    bends[last] = bends[last - 1];
    bends
}

/// Unit tangent at each joint: that of the circle through it and its neighbours; at the ends the given
/// direction.
fn tangents(joints: &[Point3], ends: &[End; 2]) -> Vec<Vec3> {
    let last = joints.len() - 1;
    let end = |end: &End, from: usize| match end {
        End::Along(given) => *given,
        End::Free => (joints[from + 1] - joints[from]).normalize(),
    };
    (0..joints.len())
        .map(|i| {
            if i == 0 {
                return end(&ends[0], 0);
            }
            if i == last {
                return end(&ends[1], last - 1);
            }
            let (a, b) = (joints[i] - joints[i - 1], joints[i + 1] - joints[i]);
            (a * b.norm_squared() + b * a.norm_squared()).normalize()
        })
        .collect()
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
