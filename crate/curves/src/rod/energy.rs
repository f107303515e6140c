//! The energy of a chain of straight pieces, with its gradient and its full second derivatives.
//!
//! At the joint of pieces a and b the curvature is |b̂ − â| over their mean length, so the joint
//! carries ½|b̂ − â|² / ((|a| + |b|)/2) = 2(1 − â·b̂)/(|a| + |b|). On a circle that curvature is exact.
//! The pieces' true lengths are in it: dropping them (second differences in the tube's parameter) would
//! pull the rod inward. At an end whose direction d is given half a piece counts: 2(1 − d·b̂)/|b|. Each
//! piece adds −λ|a|.

use super::banded::Banded;
use super::{End, Offset, Rod};
use crate::{Point3, Vec3};
use nalgebra::Matrix3;

/// Energy of the chain, term by term.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Energy {
    /// ½∫κ² ds, per mm.
    pub bending_per_mm: f64,
    /// Length of the chain, mm.
    pub length_mm: f64,
}

impl Energy {
    /// Bending less push times length, per mm.
    pub fn total(&self, push_per_mm2: f64) -> f64 {
        self.bending_per_mm - push_per_mm2 * self.length_mm
    }
}

/// Joints of the rod at these offsets.
pub fn joints(rod: &Rod, offsets: &[Offset], into: &mut Vec<Point3>) {
    into.clear();
    into.extend(offsets.iter().enumerate().map(|(i, w)| rod.joint(i, w)));
}

/// 1 − â·b̂ without loss of digits where the two are nearly alike.
fn turn(a: &Vec3, b: &Vec3) -> f64 {
    (b - a).norm_squared() / 2.0
}

/// The energy alone.
pub fn energy(rod: &Rod, joints: &[Point3]) -> Energy {
    let mut sum = Energy::default();
    let mut before: Option<(Vec3, f64)> = None;
    for pair in joints.windows(2) {
        let piece = pair[1] - pair[0];
        let length = piece.norm();
        let direction = piece / length;
        sum.length_mm += length;
        sum.bending_per_mm += match (&before, &rod.ends[0]) {
            (Some((last, last_length)), _) => 2.0 * turn(last, &direction) / (last_length + length),
            (None, End::Along(given)) => 2.0 * turn(given, &direction) / length,
            (None, End::Free) => 0.0,
        };
        before = Some((direction, length));
    }
    if let (Some((last, length)), End::Along(given)) = (before, &rod.ends[1]) {
        sum.bending_per_mm += 2.0 * turn(&last, given) / length;
    }
    sum
}

/// A piece of the chain: unit direction, length, and the projector square to it.
struct Piece {
    direction: Vec3,
    length: f64,
    square: Matrix3<f64>,
}

impl Piece {
    fn new(from: &Point3, to: &Point3) -> Self {
        let piece = to - from;
        let length = piece.norm();
        let direction = piece / length;
        Piece { direction, length, square: Matrix3::identity() - direction * direction.transpose() }
    }
}

/// Adds the energy's gradient and second derivatives by the offsets: two unknowns a plane.
pub fn derivatives(rod: &Rod, joints: &[Point3], gradient: &mut [f64], second: &mut Banded) -> Energy {
    let mut sum = Energy::default();
    let mut into = Into { rod, gradient, second };
    let mut before: Option<Piece> = None;
    for (i, pair) in joints.windows(2).enumerate() {
        let piece = Piece::new(&pair[0], &pair[1]);
        sum.length_mm += piece.length;
        into.length(i, &piece);
        match (&before, &rod.ends[0]) {
            (Some(last), _) => sum.bending_per_mm += into.bend(i, last, &piece),
            (None, End::Along(given)) => sum.bending_per_mm += into.end(i, &piece, given),
            (None, End::Free) => {}
        }
        before = Some(piece);
    }
    if let (Some(last), End::Along(given)) = (before, &rod.ends[1]) {
        sum.bending_per_mm += into.end(joints.len() - 2, &last, given);
    }
    sum
}

struct Into<'a> {
    rod: &'a Rod,
    gradient: &'a mut [f64],
    second: &'a mut Banded,
}

impl Into<'_> {
    fn add_gradient(&mut self, joint: usize, force: &Vec3) {
        for (k, across) in self.rod.planes[joint].across.iter().enumerate() {
            self.gradient[2 * joint + k] += across.dot(force);
        }
    }

    /// Adds a block of second derivatives by two joints' positions, the later joint in the rows.
    fn add_second(&mut self, late: usize, early: usize, block: &Matrix3<f64>) {
        for (l, column) in self.rod.planes[early].across.iter().enumerate() {
            let moved = block * column;
            for (k, row) in self.rod.planes[late].across.iter().enumerate() {
                let (i, j) = (2 * late + k, 2 * early + l);
                if i >= j {
                    self.second.add(i, j, row.dot(&moved));
                }
            }
        }
    }

    /// Two joints of one piece: the block is that of the piece as a vector.
    fn add_piece(&mut self, i: usize, force: &Vec3, block: &Matrix3<f64>) {
        self.add_gradient(i, &-force);
        self.add_gradient(i + 1, force);
        self.add_second(i, i, block);
        self.add_second(i + 1, i, &-block);
        self.add_second(i + 1, i + 1, block);
    }

    /// −λ|a| of the piece from joint `i`.
    fn length(&mut self, i: usize, piece: &Piece) {
        let push = self.rod.push_per_mm2;
        self.add_piece(i, &(piece.direction * -push), &(piece.square * (-push / piece.length)));
    }

    /// 2(1 − d·b̂)/|b| of the piece from joint `i`.
    fn end(&mut self, i: usize, piece: &Piece, given: &Vec3) -> f64 {
        let (b, l) = (&piece.direction, piece.length);
        let n = turn(given, b);
        let q = given - b * given.dot(b);
        let force = (q + b * n) * (-2.0 / (l * l));
        let bq = b * q.transpose();
        let block = ((bq + bq.transpose()) * 2.0 + piece.square * (1.0 - 2.0 * n) + b * b.transpose() * (2.0 * n))
            * (2.0 / (l * l * l));
        self.add_piece(i, &force, &block);
        2.0 * n / l
    }

    /// 2(1 − â·b̂)/(|a| + |b|) at joint `i`, a the piece before it and b the piece after.
    fn bend(&mut self, i: usize, before: &Piece, after: &Piece) -> f64 {
        let (a, b) = (&before.direction, &after.direction);
        let (la, lb) = (before.length, after.length);
        let s = la + lb;
        let n = turn(a, b);
        let c = 1.0 - n;
        let (p, q) = (b - a * c, a - b * c);
        let by_a = p * (-2.0 / (la * s)) - a * (2.0 * n / (s * s));
        let by_b = q * (-2.0 / (lb * s)) - b * (2.0 * n / (s * s));
        let own = |u: &Vec3, x: &Vec3, l: f64, square: &Matrix3<f64>| {
            let ux = u * x.transpose();
            (ux + ux.transpose()) * (2.0 / (l * l * s) + 2.0 / (l * s * s))
                + square * (2.0 * c / (l * l * s) - 2.0 * n / (l * s * s))
                + u * u.transpose() * (4.0 * n / (s * s * s))
        };
        let aa = own(a, &p, la, &before.square);
        let bb = own(b, &q, lb, &after.square);
        let ab = (after.square - a * q.transpose()) * (-2.0 / (la * lb * s))
            + p * b.transpose() * (2.0 / (la * s * s))
            + a * q.transpose() * (2.0 / (lb * s * s))
            + a * b.transpose() * (4.0 * n / (s * s * s));
        let ba = ab.transpose();
        self.add_gradient(i - 1, &-by_a);
        self.add_gradient(i, &(by_a - by_b));
        self.add_gradient(i + 1, &by_b);
        self.add_second(i - 1, i - 1, &aa);
        self.add_second(i, i - 1, &(ba - aa));
        self.add_second(i, i, &(aa - ab - ba + bb));
        self.add_second(i + 1, i - 1, &-ba);
        self.add_second(i + 1, i, &(ba - bb));
        self.add_second(i + 1, i + 1, &bb);
        2.0 * n / s
    }
}

#[cfg(test)]
mod tests {
    use super::super::Plane;
    use super::energy as chain;
    use super::*;

    fn crooked() -> (Rod, Vec<Offset>) {
        let plane = |k: usize| {
            let x = k as f64;
            let t = Vec3::new((0.2 * x).cos(), (0.2 * x).sin(), 0.3 * (0.5 * x).sin()).normalize();
            let u = t.cross(&Vec3::z()).normalize();
            Plane {
                centre: Point3::new(9.0 * (0.2 * x).sin(), -9.0 * (0.2 * x).cos(), (0.5 * x).cos()),
                across: [u, t.cross(&u)],
                room_mm: 5.0,
            }
        };
        let ends =
            [End::Along(Vec3::new(0.9, 0.1, 0.3).normalize()), End::Along(Vec3::new(-0.2, 0.9, 0.1).normalize())];
        let rod = Rod { planes: (0..9).map(plane).collect(), push_per_mm2: 0.01, ends };
        let offsets = (0..9).map(|k| [(k as f64).sin() * 0.6, (1.7 * k as f64).cos() * 0.5]).collect();
        (rod, offsets)
    }

    /// Energy, gradient, and the second derivatives as a dense matrix.
    fn all(rod: &Rod, offsets: &[Offset]) -> (f64, Vec<f64>, Banded) {
        let mut points = Vec::new();
        joints(rod, offsets, &mut points);
        let size = 2 * offsets.len();
        let (mut gradient, mut second) = (vec![0.0; size], Banded::default());
        second.reset(size);
        let energy = derivatives(rod, &points, &mut gradient, &mut second);
        assert_eq!(energy, chain(rod, &points));
        (energy.total(rod.push_per_mm2), gradient, second)
    }

    // Centred differences of the energy and of the gradient.
    #[test]
    fn derivatives_are_those_of_the_energy() {
        for free in [false, true] {
            let (mut rod, offsets) = crooked();
            if free {
                rod.ends = [End::Free, End::Free];
            }
            let (_, gradient, second) = all(&rod, &offsets);
            let step = 1e-5;
            for k in 0..2 * offsets.len() {
                let at = |sign: f64| {
                    let mut moved = offsets.clone();
                    moved[k / 2][k % 2] += sign * step;
                    all(&rod, &moved)
                };
                let (up, down) = (at(1.0), at(-1.0));
                let slope = (up.0 - down.0) / (2.0 * step);
                assert!((slope - gradient[k]).abs() < 1e-8, "{k}: {slope} {}", gradient[k]);
                // A column of the matrix by solving would hide faults: it is read through a unit
                // vector's product instead, from the entries themselves.
                for i in 0..2 * offsets.len() {
                    let change = (up.1[i] - down.1[i]) / (2.0 * step);
                    let entry = second.entry(i.max(k), i.min(k));
                    assert!((change - entry).abs() < 1e-7, "{i} {k}: {change} {entry}");
                }
            }
        }
    }

    // A circle's chain has the circle's curvature: ½ κ² times its own length.
    #[test]
    fn a_circle_is_exact() {
        let point = |k: usize| {
            let a = k as f64 * 0.025;
            Point3::new(40.0 * a.cos(), 40.0 * a.sin(), 0.0)
        };
        let points: Vec<Point3> = (0..100).map(point).collect();
        let rod = Rod { planes: Vec::new(), push_per_mm2: 0.0, ends: [End::Free, End::Free] };
        let energy = chain(&rod, &points);
        let piece = energy.length_mm / 99.0;
        let curvature = (2.0 * energy.bending_per_mm / (energy.length_mm - piece)).sqrt();
        assert!((curvature - 1.0 / 40.0).abs() < 1e-12);
    }
}
