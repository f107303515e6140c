//! The bridging path between two poses: the curve of least ∫κ² ds with free length.
//!
//! Such a curve is a local minimum: given room enough, a large loop would always bend less. Ours is
//! the one that the straight line between the two points becomes as its end directions turn, evenly,
//! from the line itself to the two asked for. Descent from an arc-line-arc ends in the same curve, and
//! where the turning ends in a fold descent runs away into a loop (both checked by
//! `tests/oracles`): there is then no gentle curve, and the state is [`NoCurve::WouldLoop`]. Each step of the turning
//! is solved by Newton's method on the four numbers of an [`elastica`](extrados_curves::elastica), so that the
//! result depends on the two poses alone and moves smoothly with them.
//!
//! Sources: Borbély and Johnson, *Elastic splines I* (arXiv 1302.5248), for existence; the equations
//! stand in [`elastica`](extrados_curves::elastica). Work is bounded: at most 128 steps of at most 12 rounds.

use crate::frame::any_square_to;
use crate::units::{Angle, Point3, Pose, Vec3};
use extrados_curves::elastica::{self, Node, Shot, Start};
use nalgebra::{Matrix4, Vector4};

/// Points nearer than this are one: there is no room for a path, mm.
pub const NO_ROOM_MM: f64 = 0.5;
/// A path longer than this many straight distances loops.
const LOOP_LENGTHS: f64 = 3.0;
/// A path that turns by more than this loops, degrees.
const LOOP_TURN_DEG: f64 = 270.0;
/// A radius this large is straight for every stent; larger ones are given as this, mm.
pub const STRAIGHT_RADIUS_MM: f64 = 1000.0;

/// Steps of the integration while the ends are turned, the same where few do not do, and of the result. Sixteen more change the
/// results by less than 1e-6 of themselves.
const ROUGH_STEPS: usize = 10;
const FINE_STEPS: usize = 20;
const STEPS: usize = 32;
/// Where the result lies farther than this from what few steps gave, or few steps find a fold, the ends
/// are turned again with all of them: a line that turns by more than half a circle is so badly integrated
/// in few steps that its fold comes too soon, and beside it another line is taken for it.
const ROUGHLY_THERE: f64 = 0.2;
/// The ends are turned by this much at once, degrees; halved where Newton's method fails.
const TURN_AT_ONCE_DEG: f64 = 25.0;
/// Smallest step of the turning, as a share of it: below lies a fold.
const LEAST_SHARE: f64 = 1.0 / 128.0;
/// Newton's method ends at these residuals (directions, dimensionless).
const ROUGH_RESIDUAL: f64 = 1e-4;
const RESIDUAL: f64 = 1e-12;
/// A step of Newton's method is at most this long: the four numbers are of the order of 1.
const LONGEST_STEP: f64 = 2.0;
/// On the brink of a loop: a line whose start would change this much for a change of its ends (numbers of
/// the start a radian, 21 for a straight line). Towards the fold where the gentle line ceases it grows
/// without bound, and every number with it.
const BRINK: f64 = 240.0;
/// Directions this near to opposite have no way to turn that is shorter than the others.
const OPPOSITE_SINE: f64 = 1e-6;

/// Why there is no path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoCurve {
    /// Only a loop would join the two: longer than three straight distances, turning by more than
    /// 270°, with no least ∫κ² at all, or so near to that that it would spring away.
    WouldLoop,
    /// The two points are one, or a direction is none.
    NoRoom,
}

/// A bridging path.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Points along it, evenly spaced, both ends included, LPS mm.
    pub points: Vec<Point3>,
    /// What can be said of it in numbers.
    pub shape: Shape,
}

/// A path in numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape {
    /// Length, mm.
    pub length_mm: f64,
    /// ∫κ² ds, per mm.
    pub bending_per_mm: f64,
    /// Least radius, mm; [`STRAIGHT_RADIUS_MM`] where it hardly bends.
    pub least_radius_mm: f64,
    /// ∫κ ds: all turning added up, whatever its direction.
    pub turn: Angle,
}

/// A solved path, from which neighbours follow at little cost.
#[derive(Clone, Debug)]
pub struct Solved {
    axes: Axes,
    start: Start,
    /// Inverse of the derivative of the residual by the four numbers.
    inverse: Matrix4<f64>,
    /// Bases that the residual was taken in.
    across: Across,
    /// End and heading of the line of length 1.
    reached: (Vec3, Vec3),
    from: Point3,
    distance_mm: f64,
}

/// The curve between two poses.
///
/// # Errors
/// A [`NoCurve`] where there is none.
pub fn between(from: &Pose, to: &Pose) -> Result<Solved, NoCurve> {
    let chord = to.point - from.point;
    let distance_mm = chord.norm();
    let directions = [from.direction, to.direction].map(|d| d.norm());
    // Written so that a NaN fails too.
    if !(distance_mm >= NO_ROOM_MM && distance_mm.is_finite() && directions.iter().all(|n| (n - 1.0).abs() < 1e-6)) {
        return Err(NoCurve::NoRoom);
    }
    let turning = Turning::new(&from.direction, &(chord / distance_mm), &to.direction).ok_or(NoCurve::WouldLoop)?;
    let ends = turning.ends(1.0);
    let across = Across::of(&ends);
    let settled = |rough: Start| newton(rough, &ends, &across, STEPS, 12, RESIDUAL);
    let near =
        |a: &Start, b: &Start| a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt() < ROUGHLY_THERE;
    let roughly = turning.follow(ROUGH_STEPS).and_then(|rough| settled(rough).filter(|found| near(&found.0, &rough)));
    let found = roughly.or_else(|| settled(turning.follow(FINE_STEPS)?));
    let (start, shot, inverse) = found.ok_or(NoCurve::WouldLoop)?;
    let solved = Solved {
        axes: turning.axes,
        start,
        inverse,
        across,
        reached: (shot.end, shot.heading),
        from: from.point,
        distance_mm,
    };
    let shape = solved.shape();
    let gentle = shape.length_mm <= LOOP_LENGTHS * distance_mm && shape.turn.to_deg() <= LOOP_TURN_DEG;
    if !(gentle && solved.inverse.norm() <= BRINK) {
        return Err(NoCurve::WouldLoop);
    }
    Ok(solved)
}

impl Solved {
    /// The path with its points.
    pub fn curve(&self) -> Curve {
        let length = self.distance_mm / self.reached.0.norm();
        let points =
            elastica::trace(&self.start, STEPS).map(|n| self.from + self.axes.to_patient(&n.place) * length).collect();
        Curve { points, shape: self.shape() }
    }

    /// The path in numbers.
    pub fn shape(&self) -> Shape {
        shape(&self.start, self.distance_mm, STEPS)
    }

    /// The path to a pose near the one it was solved for, in numbers, to first order: for errors.
    pub fn shape_near(&self, to: &Pose) -> Shape {
        let chord = to.point - self.from;
        let distance_mm = chord.norm();
        if distance_mm < NO_ROOM_MM {
            return self.shape();
        }
        let ends = Ends { chord: self.axes.to_own(&(chord / distance_mm)), heading: self.axes.to_own(&to.direction) };
        let residual =
            self.across.residual(&self.reached.0, &self.reached.1) - self.across.residual(&ends.chord, &ends.heading);
        let step = self.inverse * residual;
        let start = [0, 1, 2, 3].map(|i| self.start[i] - step[i]);
        shape(&start, distance_mm, STEPS)
    }
}

/// A line of length 1 in numbers, when its ends are this far apart.
fn shape(start: &Start, distance_mm: f64, steps: usize) -> Shape {
    let p = elastica::force(start);
    let h = 1.0 / steps as f64;
    let mut before: Option<Node> = None;
    let mut turn = 0.0;
    // κ² of the line of length 1 is −2 P·t; the largest lies at a node or between two.
    let mut sharpest: f64 = 0.0;
    let mut end = Vec3::zeros();
    for node in elastica::trace(start, steps) {
        let (here, slope) = (-2.0 * p.dot(&node.tangent), -2.0 * p.dot(&node.turn));
        sharpest = sharpest.max(here);
        if let Some(last) = before {
            turn += last.tangent.cross(&node.tangent).norm().atan2(last.tangent.dot(&node.tangent));
            let (there, rise) = (-2.0 * p.dot(&last.tangent), -2.0 * p.dot(&last.turn));
            if rise > 0.0 && slope < 0.0 {
                sharpest = sharpest.max(top_between(there, here, rise * h, slope * h));
            }
        }
        end = node.place;
        before = Some(node);
    }
    let length_mm = distance_mm / end.norm();
    let bending_per_mm = (-2.0 * p.dot(&end) / length_mm).max(0.0);
    let least_radius_mm = (length_mm / sharpest.sqrt()).min(STRAIGHT_RADIUS_MM);
    Shape { length_mm, bending_per_mm, least_radius_mm, turn: Angle::rad(turn) }
}

/// The highest value between two nodes, of a cubic that rises from the first and falls to the second.
fn top_between(y0: f64, y1: f64, d0: f64, d1: f64) -> f64 {
    let rise = y1 - y0;
    let (c2, c3) = (3.0 * rise - 2.0 * d0 - d1, d0 + d1 - 2.0 * rise);
    // 3 c3 x² + 2 c2 x + d0 = 0, the root at which the slope falls through 0.
    let x = d0 / ((c2 * c2 - 3.0 * c3 * d0).max(0.0).sqrt() - c2);
    if (0.0..=1.0).contains(&x) { y0 + x * (d0 + x * (c2 + x * c3)) } else { y0.max(y1) }
}

/// The line's own axes: x along its first tangent, y towards the chord.
#[derive(Clone, Copy, Debug)]
struct Axes([Vec3; 3]);

impl Axes {
    fn to_own(self, v: &Vec3) -> Vec3 {
        Vec3::new(self.0[0].dot(v), self.0[1].dot(v), self.0[2].dot(v))
    }

    fn to_patient(self, v: &Vec3) -> Vec3 {
        self.0[0] * v.x + self.0[1] * v.y + self.0[2] * v.z
    }
}

/// Where a line must go, in its own axes: direction of the chord and of the end.
#[derive(Clone, Copy, Debug)]
struct Ends {
    chord: Vec3,
    heading: Vec3,
}

/// The way from the straight line to the two directions asked for.
struct Turning {
    axes: Axes,
    /// Between first direction and chord, radians.
    first: f64,
    /// Between chord and last direction, radians.
    last: f64,
    /// The side to which the chord turns into the last direction: in the plane of the first two, and
    /// out of it.
    side: (f64, f64),
}

impl Turning {
    /// `None` where a direction is opposite to the chord: no way of turning is then shorter than another.
    fn new(from: &Vec3, chord: &Vec3, to: &Vec3) -> Option<Self> {
        let opposite = |a: &Vec3, b: &Vec3| a.dot(b) < 0.0 && a.cross(b).norm() < OPPOSITE_SINE;
        if opposite(from, chord) || opposite(chord, to) {
            return None;
        }
        let y = across(from, &(chord - from * from.dot(chord)));
        let axes = Axes([*from, y, from.cross(&y)]);
        let angle = |a: &Vec3, b: &Vec3| a.cross(b).norm().atan2(a.dot(b));
        let (first, last) = (angle(from, chord), angle(chord, to));
        let out = axes.to_own(&(to - chord * chord.dot(to)));
        let in_plane = out.y * first.cos() - out.x * first.sin();
        let size = in_plane.hypot(out.z);
        let side = if size > 0.0 { (in_plane / size, out.z / size) } else { (1.0, 0.0) };
        Some(Turning { axes, first, last, side })
    }

    /// Where the line must go when the ends are turned by a share of their way.
    fn ends(&self, share: f64) -> Ends {
        let (sin, cos) = (share * self.first).sin_cos();
        let chord = Vec3::new(cos, sin, 0.0);
        let away = Vec3::new(-sin, cos, 0.0) * self.side.0 + Vec3::z() * self.side.1;
        let (sin, cos) = (share * self.last).sin_cos();
        Ends { chord, heading: chord * cos + away * sin }
    }

    /// Turns the ends from none to all of their way, the line integrated in so many steps; `None` where
    /// it folds on it.
    fn follow(&self, steps: usize) -> Option<Start> {
        let widest = self.first.max(self.last);
        let mut step = (TURN_AT_ONCE_DEG.to_radians() / widest.max(1e-9)).min(1.0);
        // The last two solved shares.
        let mut solved: Option<(f64, Start)> = None;
        let mut earlier: (f64, Start) = (0.0, [0.0; 4]);
        let mut sign = 0.0;
        let mut share = 0.0;
        while share < 1.0 {
            let next = if share + step > 1.0 - 1e-9 { 1.0 } else { share + step };
            let ends = self.ends(next);
            let guess = match solved {
                None => beam(&ends),
                Some((at, start)) => {
                    let on = (next - at) / (at - earlier.0);
                    [0, 1, 2, 3].map(|i| start[i] + (start[i] - earlier.1[i]) * on)
                }
            };
            let found = newton(guess, &ends, &Across::of(&ends), steps, 7, ROUGH_RESIDUAL);
            // Beyond a fold the derivative's determinant has the other sign.
            match found.filter(|f| sign == 0.0 || f.2.determinant() * sign > 0.0) {
                Some((start, _, inverse)) => {
                    sign = inverse.determinant();
                    earlier = solved.unwrap_or((0.0, [0.0; 4]));
                    solved = Some((next, start));
                    share = next;
                }
                None => {
                    step /= 2.0;
                    if step < LEAST_SHARE {
                        return None;
                    }
                }
            }
        }
        Some(solved.map_or([0.0; 4], |s| s.1))
    }
}

/// The line of a thin beam between the ends: exact where they turn little.
fn beam(ends: &Ends) -> Start {
    let one = |chord: f64, heading: f64| {
        let force = 12.0 * (chord - heading / 2.0);
        (heading + force / 2.0, force)
    };
    let (y, z) = (one(ends.chord.y, ends.heading.y), one(ends.chord.z, ends.heading.z));
    [y.0, z.0, y.1, z.1]
}

/// A unit vector across a direction, nearest to the wanted one, or any where that says nothing.
fn across(direction: &Vec3, wanted: &Vec3) -> Vec3 {
    let size = wanted.norm();
    if size > 1e-9 {
        let unit = wanted / size;
        return (unit - direction * direction.dot(&unit)).normalize();
    }
    any_square_to(direction)
}

/// Two directions across the chord and two across the heading: the residual is taken in them.
#[derive(Clone, Copy, Debug)]
struct Across([Vec3; 4]);

impl Across {
    fn of(ends: &Ends) -> Self {
        let pair = |d: &Vec3| {
            let a = across(d, &Vec3::zeros());
            (a, d.cross(&a))
        };
        let ((a, b), (c, d)) = (pair(&ends.chord), pair(&ends.heading));
        Across([a, b, c, d])
    }

    /// How far an end and a heading are off, as parts of a unit vector.
    fn residual(&self, end: &Vec3, heading: &Vec3) -> Vector4<f64> {
        let end = end / end.norm();
        Vector4::new(self.0[0].dot(&end), self.0[1].dot(&end), self.0[2].dot(heading), self.0[3].dot(heading))
    }
}

/// Newton's method on the four numbers: the start that reaches the ends, what it reaches, and the
/// inverse of the derivative.
fn newton(
    mut start: Start,
    ends: &Ends,
    across: &Across,
    steps: usize,
    rounds: usize,
    residual: f64,
) -> Option<(Start, Shot, Matrix4<f64>)> {
    for _ in 0..rounds {
        let shot = elastica::shoot(&start, steps);
        let length = shot.end.norm();
        let off = across.residual(&shot.end, &shot.heading);
        let unit = shot.end / length;
        let mut by = Matrix4::zeros();
        for column in 0..4 {
            let end = shot.end_by[column];
            let turned = (end - unit * unit.dot(&end)) / length;
            let heading = shot.heading_by[column];
            by.set_column(
                column,
                &Vector4::new(
                    across.0[0].dot(&turned),
                    across.0[1].dot(&turned),
                    across.0[2].dot(&heading),
                    across.0[3].dot(&heading),
                ),
            );
        }
        let inverse = by.try_inverse()?;
        if off.norm() <= residual {
            // Small parts across also belong to the opposite directions.
            let ahead = unit.dot(&ends.chord) > 0.0 && shot.heading.dot(&ends.heading) > 0.0;
            return ahead.then_some((start, shot, inverse));
        }
        let step = inverse * off;
        let size = step.norm();
        if !size.is_finite() {
            return None;
        }
        let share = (LONGEST_STEP / size).min(1.0);
        for (number, change) in start.iter_mut().zip(step.iter()) {
            *number -= change * share;
        }
    }
    None
}
