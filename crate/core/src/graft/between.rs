//! Where a graft lies between places at which that was solved, and the same graft at another clock.
//!
//! How a graft lies changes evenly with how far it is slid: its axis at a station is taken between its
//! axes at four evenly spaced stations, point by point of the graft, by the cubic through the four.
//! Knows nothing of what is judged.

use super::axis::{Axis, Node};
use super::lie::{Bed, GraftLie, PlacedGraft, bedding, possibilities};
use super::riding::Bedding;
use super::shape;
use crate::anatomy::Anatomy;
use crate::casefile::case::{Case, Component, Graft, Placement};
use crate::graft::lie::Possibility;
use crate::quantity::Unknown;
use crate::units::{Angle, Vec3};
use std::sync::Arc;

/// Farthest apart two points of the axis are taken, mm of the graft: what the rod's pieces measure.
const APART_MM: f64 = 2.0;

/// Putting a graft somewhere, one possibility at a time.
#[derive(Clone, Debug)]
pub struct Laying {
    component: String,
    graft: Arc<Graft>,
    placement: Placement,
    left: Vec<(Possibility, Bedding)>,
    beds: Vec<Bed>,
}

impl Laying {
    /// Begins; `None` for what has no graft or no placement.
    pub fn of(component: &Component, case: &Case) -> Option<Self> {
        let graft = component.graft.clone()?;
        let placement = component.placement?;
        let mut left: Vec<(Possibility, Bedding)> =
            possibilities(&graft).into_iter().map(|p| (p, bedding(p, &graft, &placement, case))).collect();
        left.reverse();
        Some(Laying { component: component.id.clone(), graft, placement, left, beds: Vec::new() })
    }

    /// Solves one more possibility; the graft in place when that was the last.
    pub fn go_on(&mut self, anatomy: &Anatomy) -> Option<PlacedGraft> {
        if let Some((possibility, bedding)) = self.left.pop() {
            let bed = Bed::new(possibility, bedding, &self.graft, &self.beds, anatomy);
            self.beds.push(bed);
        }
        self.left.is_empty().then(|| {
            let beds = std::mem::take(&mut self.beds);
            PlacedGraft::on_beds(self.component.clone(), self.graft.clone(), self.placement, beds, anatomy)
        })
    }
}

impl PlacedGraft {
    fn on_beds(component: String, graft: Arc<Graft>, at: Placement, beds: Vec<Bed>, anatomy: &Anatomy) -> Self {
        let lies = beds.iter().map(|bed| GraftLie::new(bed, &at, anatomy)).collect();
        PlacedGraft { component, graft, placement: at, lies, beds }
    }

    /// The same graft, lying as it lies, turned to another clock.
    #[must_use]
    pub fn turned_to(&self, clock: Angle, anatomy: &Anatomy) -> Self {
        let placement = Placement { clock_deg: clock.to_deg(), ..self.placement };
        Self::on_beds(self.component.clone(), self.graft.clone(), placement, self.beds.clone(), anatomy)
    }

    /// Where another graft of the same shape lies at the same place, as another component: tunnels and
    /// openings play no part in that.
    #[must_use]
    pub fn with_graft(&self, component: &str, graft: Arc<Graft>) -> Self {
        PlacedGraft { component: component.into(), graft, ..self.clone() }
    }

    /// The same with every axis known at the same points of the graft, so that several can be taken
    /// between; `None` where not all of the graft lies within the data, and where a lie was not found.
    pub fn evenly(&self) -> Option<Self> {
        let mut borders = shape::events(&self.graft);
        borders.push(self.placement.held_u_mm.clamp(0.0, self.graft.length_mm));
        borders.sort_by(f64::total_cmp);
        borders.dedup_by(|a, b| *a - *b < 1e-6);
        let mut all = vec![0.0];
        for pair in borders.windows(2) {
            let count = ((pair[1] - pair[0]) / APART_MM).ceil().max(1.0);
            all.extend((1..=count as usize).map(|k| pair[0] + (pair[1] - pair[0]) * k as f64 / count));
        }
        let mut even = self.clone();
        for bed in &mut even.beds {
            let axis = bed.axis.as_ref().ok()?;
            let (first, last) = axis.range_mm();
            if first > 1e-9 || last < self.graft.length_mm - 1e-9 {
                return None;
            }
            let node = |u: &f64| {
                let spot = axis.at(*u);
                Node { u_mm: *u, station_mm: spot.station_mm, point: spot.point, tangent: spot.tangent }
            };
            bed.axis = Ok(Arc::new(Axis::new(all.iter().map(node).collect())?));
        }
        Some(even)
    }

    /// Between the middle two of four that were laid [`evenly`](Self::evenly), at evenly growing
    /// stations: `share` of the way from the second to the third. The clock is the first's.
    pub fn between(four: [&PlacedGraft; 4], share: f64, anatomy: &Anatomy) -> Option<Self> {
        let weights = cubic(share);
        let mix = |of: fn(&PlacedGraft) -> f64| four.iter().zip(weights).map(|(own, w)| w * of(own)).sum::<f64>();
        let placement = Placement { station_mm: mix(|own| own.placement.station_mm), ..four[0].placement };
        let mut beds = four[0].beds.clone();
        for (i, bed) in beds.iter_mut().enumerate() {
            let mut nodes: Vec<Node> = Vec::new();
            for (own, weight) in four.iter().zip(weights) {
                let axis = own.beds.get(i)?.axis.as_ref().ok()?;
                if nodes.is_empty() {
                    let none = |node: &Node| Node {
                        u_mm: node.u_mm,
                        station_mm: 0.0,
                        point: crate::units::Point3::origin(),
                        tangent: Vec3::zeros(),
                    };
                    nodes.extend(axis.nodes().iter().map(none));
                }
                if axis.nodes().len() != nodes.len() {
                    return None;
                }
                for (sum, node) in nodes.iter_mut().zip(axis.nodes()) {
                    sum.station_mm += weight * node.station_mm;
                    sum.point += node.point.coords * weight;
                    sum.tangent += node.tangent * weight;
                }
            }
            for node in &mut nodes {
                node.tangent = node.tangent.try_normalize(1e-9)?;
            }
            bed.bedding.held.1 = placement.station_mm;
            bed.axis = Axis::new(nodes).map(Arc::new).ok_or(Unknown::because(crate::message::NOT_PLACED));
        }
        Some(Self::on_beds(four[0].component.clone(), four[0].graft.clone(), placement, beds, anatomy))
    }
}

/// Weights of four evenly spaced values for a share of the way from the second to the third: the cubic
/// through all four.
pub fn cubic(x: f64) -> [f64; 4] {
    [
        -x * (x - 1.0) * (x - 2.0) / 6.0,
        (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
        -(x + 1.0) * x * (x - 2.0) / 2.0,
        (x + 1.0) * x * (x - 1.0) / 6.0,
    ]
}
