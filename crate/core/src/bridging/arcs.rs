//! The widest bend that two poses allow: arcs and a line between them.
//!
//! An arc-line-arc leaves the first pose on a circle, runs straight, and enters the second pose on a
//! circle. Its radius is largest where the straight part is gone: two arcs that meet. With tangent
//! lengths a and b at the two poses, chord D and directions t₀ and t₁, they meet where
//! |D − a t₀ − b t₁| = a + b, so b follows from a, and the radii are a cot(½θ₀) and b cot(½θ₁), θ the
//! turn of each arc. The largest possible radius is the largest over a of the smaller of the two.

use super::curve::STRAIGHT_RADIUS_MM;
use crate::units::{Angle, Pose, Vec3};

/// Tangent lengths are looked for up to this many chords.
const LONGEST_TANGENT: f64 = 4.0;
/// Looks over that range before the best is narrowed down.
const LOOKS: usize = 48;
/// Looks between the neighbours of the best: there can be two peaks, and beside a peak arcs of no use.
const CLOSER_LOOKS: usize = 12;
/// How often it is looked closer.
const CLOSER: usize = 2;
/// Rounds of narrowing: each leaves 0.62 of the range, all of them nothing but rounding.
const ROUNDS: usize = 64;

/// Two arcs that meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arcs {
    /// The smaller of their radii, mm.
    pub radius_mm: f64,
    /// Length of both, mm.
    pub length_mm: f64,
}

/// The arcs of largest least radius between two poses; `None` where no two arcs under half a turn
/// each join them.
pub fn widest(from: &Pose, to: &Pose) -> Option<Arcs> {
    let chord = to.point - from.point;
    let distance = chord.norm();
    let directed = [from.direction, to.direction].iter().all(|d| (d.norm() - 1.0).abs() < 1e-6);
    // Written so that a NaN fails too.
    if !(distance.is_finite() && distance > 0.0 && directed) {
        return None;
    }
    let pair = Pair { chord: chord / distance, from: from.direction, to: to.direction };
    let radius = |a: f64| pair.arcs(a).map_or(0.0, |arcs| arcs.radius_mm);
    // Short tangents matter as much as long ones, so the looks are spaced by the square.
    let at = |k: usize| LONGEST_TANGENT * (k as f64 / LOOKS as f64).powi(2);
    let best = (1..LOOKS).fold((0.0, 0), |best: (f64, usize), k| {
        let r = radius(at(k));
        if r > best.0 { (r, k) } else { best }
    });
    if best.1 == 0 {
        return None;
    }
    let (mut low, mut high) = (at(best.1 - 1), at(best.1 + 1));
    for _ in 0..CLOSER {
        let at = |k: usize| low + (high - low) * k as f64 / CLOSER_LOOKS as f64;
        let best = (1..CLOSER_LOOKS).map(|k| (radius(at(k)), k));
        let best = best.fold((0.0, 0), |best: (f64, usize), next| if next.0 > best.0 { next } else { best });
        if best.1 > 0 {
            (low, high) = (at(best.1 - 1), at(best.1 + 1));
        }
    }
    // Golden section about the best look.
    let share = (5f64.sqrt() - 1.0) / 2.0;
    let (mut x, mut y) = (high - share * (high - low), low + share * (high - low));
    let (mut at_x, mut at_y) = (radius(x), radius(y));
    for _ in 0..ROUNDS {
        if at_x > at_y {
            (high, y, at_y) = (y, x, at_x);
            x = high - share * (high - low);
            at_x = radius(x);
        } else {
            (low, x, at_x) = (x, y, at_y);
            y = low + share * (high - low);
            at_y = radius(y);
        }
    }
    let arcs = pair.arcs(if at_x > at_y { x } else { y })?;
    let length_mm = arcs.length_mm * distance;
    Some(Arcs { radius_mm: (arcs.radius_mm * distance).min(STRAIGHT_RADIUS_MM), length_mm })
}

/// Two poses a distance of 1 apart.
struct Pair {
    chord: Vec3,
    from: Vec3,
    to: Vec3,
}

impl Pair {
    /// The arcs whose first tangent has this length.
    fn arcs(&self, a: f64) -> Option<Arcs> {
        let below = 2.0 * (self.chord.dot(&self.to) + a * (1.0 - self.from.dot(&self.to)));
        let b = (1.0 - 2.0 * a * self.chord.dot(&self.from)) / below;
        if !(below > 0.0 && b > 0.0) {
            return None;
        }
        let joint = (self.chord - self.from * a - self.to * b) / (a + b);
        let (first, last) = (Arc::new(a, &self.from, &joint), Arc::new(b, &joint, &self.to));
        Some(Arcs { radius_mm: first.radius.min(last.radius), length_mm: first.length + last.length })
    }
}

struct Arc {
    radius: f64,
    length: f64,
}

impl Arc {
    /// With a tangent length and the directions at its ends.
    fn new(tangent: f64, from: &Vec3, to: &Vec3) -> Self {
        // cot(½θ) = |t₀ + t₁| / |t₀ − t₁|: near half a turn, where the tangent is long, 1 + cos θ has no digits.
        let (along, apart) = ((from + to).norm(), (from - to).norm());
        let turn = Angle::atan2(apart, along) * 2.0;
        if apart <= 1e-12 {
            return Arc { radius: f64::INFINITY, length: 2.0 * tangent };
        }
        let radius = tangent * along / apart;
        Arc { radius, length: turn.arc_mm(radius) }
    }
}
