//! A graft's axis as a curve in space: its points by the position `u` on the graft, with a direction
//! that is carried along it without twist.
//!
//! It is a chain of nodes, joined by cubics that have the nodes' tangents: over steps of 2 mm on an
//! arch this is good to 1e-4 mm. It does not depend on how the graft is turned, and knows nothing of
//! fabric, walls or clocks.

use crate::frame::{any_square_to, carry};
use crate::{Point3, Vec3};

/// A point of the axis that was computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// Position on the graft, mm.
    pub u_mm: f64,
    /// Station of its nearest centreline point, mm.
    pub station_mm: f64,
    /// The point, LPS mm.
    pub point: Point3,
    /// Unit tangent, downstream.
    pub tangent: Vec3,
}

/// A place on the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Position on the graft, mm.
    pub u_mm: f64,
    /// Station of its nearest centreline point, mm.
    pub station_mm: f64,
    /// The point, LPS mm.
    pub point: Point3,
    /// Unit tangent, downstream.
    pub tangent: Vec3,
    /// Unit direction square to the tangent, carried without twist.
    pub carried: Vec3,
}

/// The axis of a graft.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    nodes: Vec<Node>,
    carried: Vec<Vec3>,
    /// (u, station) of each node, as most ask for it.
    places: Vec<(f64, f64)>,
}

/// Steps of the search for a nearest point are at most this many.
const MOST_STEPS: usize = 30;

impl Axis {
    /// From nodes in order of `u`; at least one is needed, and `None` is returned without.
    pub fn new(nodes: Vec<Node>) -> Option<Self> {
        let mut carried = vec![any_square_to(&nodes.first()?.tangent)];
        for i in 1..nodes.len() {
            let (a, b) = (&nodes[i - 1], &nodes[i]);
            carried.push(carry((&a.point, &a.tangent), (&b.point, &b.tangent), &carried[i - 1]));
        }
        let places = nodes.iter().map(|n| (n.u_mm, n.station_mm)).collect();
        Some(Axis { nodes, carried, places })
    }

    /// Its nodes, upstream first.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// (u, station) of its nodes, upstream first.
    pub fn places(&self) -> &[(f64, f64)] {
        &self.places
    }

    /// First and last `u` of the axis.
    pub fn range_mm(&self) -> (f64, f64) {
        (self.places[0].0, self.places[self.places.len() - 1].0)
    }

    /// The axis at `u`; beyond its ends, its nearer end.
    pub fn at(&self, u_mm: f64) -> Spot {
        let i = self.places.partition_point(|p| p.0 <= u_mm + 1e-9).max(1) - 1;
        let (u0, u1) = (self.places[i].0, self.places[(i + 1).min(self.places.len() - 1)].0);
        let share = if u1 > u0 { ((u_mm - u0) / (u1 - u0)).clamp(0.0, 1.0) } else { 0.0 };
        self.between(i, if (u_mm - u0).abs() <= 1e-9 { 0.0 } else { share })
    }

    /// The place a share of the way from one node to the next.
    fn between(&self, i: usize, share: f64) -> Spot {
        let a = &self.nodes[i];
        let here = |n: &Node, carried| Spot {
            u_mm: n.u_mm,
            station_mm: n.station_mm,
            point: n.point,
            tangent: n.tangent,
            carried,
        };
        let Some(b) = self.nodes.get(i + 1).filter(|_| share > 0.0) else { return here(a, self.carried[i]) };
        let (point, tangent) = piece(a, b, share);
        Spot {
            u_mm: a.u_mm + share * (b.u_mm - a.u_mm),
            station_mm: a.station_mm + share * (b.station_mm - a.station_mm),
            point,
            tangent,
            carried: carry((&a.point, &a.tangent), (&point, &tangent), &self.carried[i]),
        }
    }

    /// The place of the axis that is nearest to a point, sought from the node nearest to a station
    /// downhill; `None` where the point lies beyond an end of the axis.
    pub fn nearest(&self, point: &Point3, station_mm: f64) -> Option<Spot> {
        let last = self.nodes.len() - 1;
        let apart = |i: usize| (self.nodes[i].point - point).norm_squared();
        let mut i = self.places.partition_point(|p| p.1 < station_mm).min(last);
        let mut here = apart(i);
        loop {
            let up = if i > 0 { apart(i - 1) } else { f64::INFINITY };
            let down = if i < last { apart(i + 1) } else { f64::INFINITY };
            if up.min(down) >= here {
                break;
            }
            if up < down {
                i -= 1
            } else {
                i += 1
            }
            here = up.min(down);
        }
        let ahead = |p: &Point3, t: &Vec3| (point - p).dot(t);
        let from = if ahead(&self.nodes[i].point, &self.nodes[i].tangent) >= 0.0 { i } else { i.checked_sub(1)? };
        let (a, b) = (&self.nodes[from], self.nodes.get(from + 1)?);
        // Where the two ends point away from it the nearest place is the kink between two pieces.
        let (mut low, mut high) = (0.0, 1.0);
        let (mut f_low, mut f_high) = (ahead(&a.point, &a.tangent), ahead(&b.point, &b.tangent));
        if f_low < 0.0 || f_high > 0.0 {
            return Some(self.between(i, 0.0));
        }
        let (cubic, sought) = (Cubic::between(a, b), point.coords.data.0[0]);
        let mut share = 0.5;
        for _ in 0..MOST_STEPS {
            share = if f_low > f_high { low + (high - low) * f_low / (f_low - f_high) } else { low };
            let f = cubic.ahead(share, &sought);
            if f.abs() < 1e-10 {
                break;
            }
            // Illinois: the end that stays is halved, so that both ends move.
            if f > 0.0 {
                (low, f_low, f_high) = (share, f, f_high / 2.0);
            } else {
                (high, f_high, f_low) = (share, f, f_low / 2.0);
            }
        }
        Some(self.between(from, share))
    }
}

/// The cubic between two nodes by its share of the way, coefficient by coefficient. Plain numbers: a
/// drag asks it some ten thousand times, and compiled for size each operation on vectors would be a call.
struct Cubic([[f64; 3]; 4]);

impl Cubic {
    fn between(a: &Node, b: &Node) -> Self {
        let chord = b.point - a.point;
        // Arc over chord of a circle that turns as the tangents do.
        let turn2 = (b.tangent - a.tangent).norm_squared();
        let length = chord.norm() * (1.0 + turn2 / 24.0);
        let [from, chord, t0, t1] = [a.point.coords, chord, a.tangent, b.tangent].map(|v| v.data.0[0]);
        let mut own = [[0.0; 3]; 4];
        for c in 0..3 {
            let (d0, d1) = (t0[c] * length, t1[c] * length);
            [own[0][c], own[1][c]] = [from[c], d0];
            [own[2][c], own[3][c]] = [3.0 * chord[c] - 2.0 * d0 - d1, d0 + d1 - 2.0 * chord[c]];
        }
        Cubic(own)
    }

    /// Point, and derivative by the share.
    fn at(&self, x: f64) -> ([f64; 3], [f64; 3]) {
        let (mut point, mut along) = ([0.0; 3], [0.0; 3]);
        for c in 0..3 {
            let [c0, c1, c2, c3] = [self.0[0][c], self.0[1][c], self.0[2][c], self.0[3][c]];
            point[c] = c0 + (c1 + (c2 + c3 * x) * x) * x;
            along[c] = c1 + (2.0 * c2 + 3.0 * c3 * x) * x;
        }
        (point, along)
    }

    /// How far a point lies ahead of the place, along the tangent there, mm.
    fn ahead(&self, x: f64, point: &[f64; 3]) -> f64 {
        let (here, along) = self.at(x);
        let (mut sum, mut speed2) = (0.0, 0.0);
        for c in 0..3 {
            sum += (point[c] - here[c]) * along[c];
            speed2 += along[c] * along[c];
        }
        if speed2 > 0.0 { sum / speed2.sqrt() } else { 0.0 }
    }
}

/// Point and unit tangent of the cubic between two nodes.
fn piece(a: &Node, b: &Node, x: f64) -> (Point3, Vec3) {
    let (point, along) = Cubic::between(a, b).at(x);
    let along = Vec3::from(along);
    let speed = along.norm();
    (Point3::from(point), if speed > 0.0 { along / speed } else { a.tangent })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc(step_mm: f64) -> Axis {
        let node = |k: usize| {
            let s = k as f64 * step_mm;
            let (sin, cos) = (s / 40.0).sin_cos();
            Node {
                u_mm: s,
                station_mm: s,
                point: Point3::new(40.0 * cos, 40.0 * sin, 0.0),
                tangent: Vec3::new(-sin, cos, 0.0),
            }
        };
        Axis::new((0..=(80.0 / step_mm) as usize).map(node).collect()).unwrap()
    }

    // A circle of radius 40 in closed form.
    #[test]
    fn between_nodes_it_follows_a_circle() {
        let axis = arc(2.0);
        for k in 0..790 {
            let u = f64::from(k) * 0.1 + 0.03;
            let spot = axis.at(u);
            let (sin, cos) = (u / 40.0).sin_cos();
            assert!((spot.point - Point3::new(40.0 * cos, 40.0 * sin, 0.0)).norm() < 1e-6, "{u}");
            assert!((spot.tangent - Vec3::new(-sin, cos, 0.0)).norm() < 1e-5, "{u}");
        }
    }

    #[test]
    fn nearest_place_from_any_guess() {
        let axis = arc(2.0);
        for guess in [-50.0, 0.0, 33.0, 80.0, 500.0] {
            for k in 1..16 {
                let u = f64::from(k) * 4.9;
                let (sin, cos) = (u / 40.0).sin_cos();
                let point = Point3::new(52.0 * cos, 52.0 * sin, 5.0);
                let spot = axis.nearest(&point, guess).unwrap();
                assert!((spot.u_mm - u).abs() < 1e-5, "{guess} {u}: {}", spot.u_mm);
            }
        }
        assert!(axis.nearest(&Point3::new(40.0, -1.0, 0.0), 0.0).is_none());
        assert!(axis.nearest(&Point3::new(40.0, 1e-6, 0.0), 0.0).is_some());
        assert!(Axis::new(Vec::new()).is_none());
    }
}
