//! Where a graft's axis comes to rest as an elastic rod in the lumen.
//!
//! The rod runs from the annulus (or as far upstream as data and 60 mm beyond the graft reach) to 60 mm
//! beyond the graft downstream; beyond the fabric it is the carrier. Its joints ride with the graft:
//! each stays at its `u` while their stations follow from the length that the graft keeps, so that the
//! answer moves smoothly with the placement. Turning the graft plays no part in it.
//!
//! Where its joints stand and what room each has is [`layout`]'s. Knows nothing of tunnels, ostia or clocks.

mod layout;

use super::axis::{Axis, Node};
use super::lie::KeptLine;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Graft, Wire};
use crate::message;
use crate::quantity::Unknown;
use crate::rod::solver::{Rest, Start, TOUCH_MM, solve};
use crate::rod::{End, Rod};
use crate::units::{Angle, Point3, Vec3};
use layout::{Beyond, Layout, PIECE_MM};
use std::sync::Arc;

/// How often joints are left out or taken in at the data's ends.
const MOST_LAYOUTS: usize = 5;
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

impl Layout<'_> {
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
