//! The largest ellipse inside a room, its axes in a given ratio: the placement at its centre is the
//! one farthest from every border, errors counted.
//!
//! Scaled by the axes the ellipse is a circle, and its centre the point of the region farthest from
//! its rings. Squares are searched best first: the distance at a square's centre and half its diagonal
//! bound what it can hold. Where a whole stretch of centres is as good, the middle of it is taken,
//! which keeps the far borders at bay too.

use super::border::Ring;
use super::plane::Move;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The search ends where no square can hold a circle larger than the best by this share.
const GAIN: f64 = 1e-6;
/// Circles smaller by at most this share are as good.
const AS_GOOD: f64 = 1e-5;
/// Most squares looked at.
const MOST: usize = 20_000;

/// An ellipse in the plane of placements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its centre.
    pub centre: Move,
    /// Its size: it reaches this many times the axes.
    pub size: f64,
}

/// The largest ellipse within rings (even-odd) whose half axes are `axes` times one size; `None`
/// where nothing lies within.
pub fn largest(rings: &[Ring], axes: Move) -> Option<Ellipse> {
    let scaled = Scaled::new(rings, axes)?;
    let [low, high] = scaled.extent();
    let side = (high[0] - low[0]).min(high[1] - low[1]).max(1e-9);
    let mut open = BinaryHeap::new();
    let (columns, rows) = (((high[0] - low[0]) / side).ceil(), ((high[1] - low[1]) / side).ceil());
    for i in 0..(columns.clamp(1.0, 200.0) as usize) {
        for j in 0..(rows.clamp(1.0, 200.0) as usize) {
            open.push(scaled.square([low[0] + (i as f64 + 0.5) * side, low[1] + (j as f64 + 0.5) * side], side / 2.0));
        }
    }
    let mut best: Option<Square> = None;
    for _ in 0..MOST {
        let Some(square) = open.pop() else { break };
        let known = best.map_or(0.0, |best| best.depth);
        if square.depth > known {
            best = Some(square);
        }
        let known = best.map_or(0.0, |best| best.depth);
        if square.most <= known * (1.0 + GAIN) {
            break;
        }
        let half = square.half / 2.0;
        for [x, y] in [[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]] {
            let quarter = scaled.square([square.at[0] + x * half, square.at[1] + y * half], half);
            if quarter.most > known {
                open.push(quarter);
            }
        }
    }
    let best = best.filter(|best| best.depth > 0.0)?;
    let at = scaled.middle(best);
    Some(Ellipse { centre: Move::new(at[0] * axes.shift_mm, at[1] * axes.turn_deg), size: scaled.depth(at) })
}

/// Rings in units of the axes.
struct Scaled {
    sides: Vec<[[f64; 2]; 2]>,
}

impl Scaled {
    fn new(rings: &[Ring], axes: Move) -> Option<Self> {
        if !(axes.shift_mm > 0.0 && axes.turn_deg > 0.0) {
            return None;
        }
        let spot = |at: Move| [at.shift_mm / axes.shift_mm, at.turn_deg / axes.turn_deg];
        let sides: Vec<[[f64; 2]; 2]> = rings
            .iter()
            .flat_map(|ring| (0..ring.len()).map(|i| [spot(ring[i].at), spot(ring[(i + 1) % ring.len()].at)]))
            .collect();
        (!sides.is_empty()).then_some(Scaled { sides })
    }

    fn extent(&self) -> [[f64; 2]; 2] {
        let ends = self.sides.iter().map(|side| side[0]);
        ends.fold([[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]], |[low, high], at| {
            [[low[0].min(at[0]), low[1].min(at[1])], [high[0].max(at[0]), high[1].max(at[1])]]
        })
    }

    /// How far inside a point lies; negative outside.
    fn depth(&self, at: [f64; 2]) -> f64 {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for [a, b] in &self.sides {
            if (a[1] > at[1]) != (b[1] > at[1]) {
                inside ^= at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
            }
            let along = [b[0] - a[0], b[1] - a[1]];
            let square = along[0] * along[0] + along[1] * along[1];
            let share = ((at[0] - a[0]) * along[0] + (at[1] - a[1]) * along[1]) / square;
            let share = if square > 0.0 { share.clamp(0.0, 1.0) } else { 0.0 };
            nearest = nearest.min((at[0] - a[0] - share * along[0]).hypot(at[1] - a[1] - share * along[1]));
        }
        if inside { nearest } else { -nearest }
    }

    fn square(&self, at: [f64; 2], half: f64) -> Square {
        let depth = self.depth(at);
        Square { at, half, depth, most: depth + half * 2f64.sqrt() }
    }

    /// The middle of the stretch of centres that are as good, along each axis in turn.
    fn middle(&self, best: Square) -> [f64; 2] {
        let mut at = best.at;
        let good = best.depth * (1.0 - AS_GOOD);
        for _ in 0..4 {
            for axis in [0, 1] {
                let end = |way: f64| {
                    let reach = |by: f64| {
                        let mut there = at;
                        there[axis] += way * by;
                        self.depth(there) >= good
                    };
                    // Doubled until it is too far, then halved to a thousandth of the circle.
                    let mut far = best.depth * 1e-3;
                    while reach(far) && far < 1e6 {
                        far *= 2.0;
                    }
                    let (mut near, mut far) = (far / 2.0, far);
                    if !reach(near) {
                        near = 0.0;
                    }
                    while far - near > best.depth * 1e-4 {
                        let middle = (near + far) / 2.0;
                        if reach(middle) { near = middle } else { far = middle }
                    }
                    near
                };
                let (up, down) = (end(1.0), end(-1.0));
                at[axis] += (up - down) / 2.0;
            }
        }
        // Never worse than what was found.
        if self.depth(at) >= good { at } else { best.at }
    }
}

/// A square of the search.
#[derive(Clone, Copy, Debug)]
struct Square {
    at: [f64; 2],
    half: f64,
    /// How far inside its centre lies.
    depth: f64,
    /// How far inside any point of it can lie.
    most: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.most.total_cmp(&other.most)
    }
}

#[cfg(test)]
mod tests {
    use super::super::border::BorderPoint;
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Ring {
        points.iter().map(|(x, y)| BorderPoint { at: Move::new(*x, *y), by: Some(0) }).collect()
    }

    #[test]
    fn the_centre_of_a_pentagon() {
        // Chebyshev centre with axes of 3 and 8, by a linear programme (check values of the geometry,
        // "Probabilities"; shapely's maximum inscribed circle agrees).
        let pentagon = ring(&[(-6.0, -20.0), (5.0, -25.0), (8.0, 5.0), (2.0, 22.0), (-7.0, 12.0)]);
        let found = largest(&[pentagon], Move::new(3.0, 8.0)).expect("a centre");
        assert!((found.size - 2.306_209_183_75).abs() < 1e-4, "{found:?}");
        assert!((found.centre.shift_mm - 0.322_845_226_852).abs() < 1e-4, "{found:?}");
        assert!((found.centre.turn_deg + 0.167_559_222_049).abs() < 1e-4, "{found:?}");
    }

    #[test]
    fn in_a_long_room_the_middle() {
        let long = ring(&[(-10.0, -5.0), (30.0, -5.0), (30.0, 5.0), (-10.0, 5.0)]);
        let found = largest(&[long], Move::new(1.0, 1.0)).expect("a centre");
        assert!((found.centre.shift_mm - 10.0).abs() < 0.05 && found.centre.turn_deg.abs() < 0.05, "{found:?}");
        assert!((found.size - 5.0).abs() < 0.01);
    }

    #[test]
    fn a_hole_is_kept_away_from() {
        let outer = ring(&[(-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0)]);
        let hole = ring(&[(-1.0, -9.0), (1.0, -9.0), (1.0, 9.0), (-1.0, 9.0)]);
        let found = largest(&[outer, hole], Move::new(1.0, 1.0)).expect("a centre");
        assert!((found.centre.shift_mm.abs() - 5.5).abs() < 0.05, "{found:?}");
        assert!((found.size - 4.5).abs() < 0.01);
    }

    #[test]
    fn nothing_within_nothing() {
        assert_eq!(largest(&[], Move::new(1.0, 1.0)), None);
        assert_eq!(largest(&[ring(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)])], Move::new(1.0, 1.0)), None);
        assert_eq!(largest(&[ring(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)])], Move::new(0.0, 1.0)), None);
    }
}
