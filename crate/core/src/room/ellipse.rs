//! The largest ellipse inside a room, its axes in a given ratio: the placement at its centre is the
//! one farthest from every border, errors counted.
//!
//! Scaled by the axes the ellipse is a circle, and its centre the point of the region farthest from
//! its rings. Squares are searched best first (the distance at a square's centre and half its diagonal
//! bound what it can hold) until the place is known roughly; then the sides nearest in every direction
//! are taken as straight lines, between which the largest circle is a linear programme, again and again
//! until it moves no more. Where a whole stretch of centres is as good, the middle of it is taken.

use super::border::Ring;
use super::plane::Move;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// The search for the place ends where no square can hold a circle larger than the best by this share.
const ROUGHLY: f64 = 0.02;
/// Most squares looked at.
const MOST: usize = 4000;
/// Directions in each of which the nearest side counts.
const SECTORS: usize = 24;
/// Most times the nearest sides are taken anew.
const ROUNDS: usize = 40;
/// Circles smaller by at most this share are as good.
const AS_GOOD: f64 = 1e-6;

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
        if square.most <= known * (1.0 + ROUGHLY) {
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
    let at = scaled.middle(scaled.polished(best));
    Some(Ellipse { centre: Move::new(at[0] * axes.shift_mm, at[1] * axes.turn_deg), size: scaled.depth(at) })
}

/// The largest ellipse whose centre is at a shift; `None` where nothing there lies within. Good to a
/// thousandth of the axes.
pub fn at_shift(rings: &[Ring], axes: Move, shift_mm: f64) -> Option<Ellipse> {
    let scaled = Scaled::new(rings, axes)?;
    let x = shift_mm / axes.shift_mm;
    let [low, high] = scaled.extent();
    let (mut from, mut to) = (low[1], high[1]);
    let mut best = ([x, from], f64::NEG_INFINITY);
    // The best of an even row, and of ever finer rows about it.
    for _ in 0..6 {
        let step = (to - from) / 60.0;
        for k in 0..=60 {
            let at = [x, from + f64::from(k) * step];
            let depth = scaled.depth(at);
            if depth > best.1 {
                best = (at, depth);
            }
        }
        (from, to) = (best.0[1] - step, best.0[1] + step);
    }
    let (at, size) = best;
    (size > 0.0).then(|| Ellipse { centre: Move::new(shift_mm, at[1] * axes.turn_deg), size })
}

/// Size of the largest ellipse with its centre at a place; negative outside.
pub fn size_at(rings: &[Ring], axes: Move, at: Move) -> f64 {
    let spot = [at.shift_mm / axes.shift_mm, at.turn_deg / axes.turn_deg];
    Scaled::new(rings, axes).map_or(f64::NEG_INFINITY, |scaled| scaled.depth(spot))
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

    /// The nearest point of the rings in every direction, as seen from a point: how far, and the unit
    /// direction to it.
    fn nearest(&self, at: [f64; 2]) -> Vec<Near> {
        let mut nearest = [None::<Near>; SECTORS];
        for [a, b] in &self.sides {
            let along = [b[0] - a[0], b[1] - a[1]];
            let square = along[0] * along[0] + along[1] * along[1];
            let share = ((at[0] - a[0]) * along[0] + (at[1] - a[1]) * along[1]) / square;
            let share = if square > 0.0 { share.clamp(0.0, 1.0) } else { 0.0 };
            let away = [a[0] + share * along[0] - at[0], a[1] + share * along[1] - at[1]];
            let far = away[0].hypot(away[1]);
            if far <= 0.0 {
                continue;
            }
            let turn = away[1].atan2(away[0]) / std::f64::consts::TAU + 0.5;
            let sector = ((turn * SECTORS as f64) as usize).min(SECTORS - 1);
            if nearest[sector].is_none_or(|near| far < near.far) {
                nearest[sector] = Some(Near { far, towards: [away[0] / far, away[1] / far] });
            }
        }
        nearest.into_iter().flatten().collect()
    }

    /// The centre of the largest circle near a place.
    fn polished(&self, found: Square) -> Square {
        let mut best = found;
        // How far a step may go: halved where a step did not gain.
        let mut reach = best.depth;
        for _ in 0..ROUNDS {
            // What lies beyond all that the step may reach does not hold it.
            let mut sides = self.nearest(best.at);
            sides.retain(|near| near.far <= best.depth + 3.0 * reach);
            let Some(step) = step(&sides, reach) else { break };
            let next = self.square([best.at[0] + step[0], best.at[1] + step[1]], best.half);
            if next.depth > best.depth * (1.0 + 1e-12) {
                best = next;
            } else {
                reach /= 4.0;
            }
            if reach < best.depth * 1e-9 {
                break;
            }
        }
        best
    }

    /// The middle of the stretch of centres that are as good: where only two sides that face each
    /// other touch the circle, it may roll along them.
    fn middle(&self, best: Square) -> [f64; 2] {
        let touching: Vec<Near> =
            self.nearest(best.at).into_iter().filter(|near| near.far <= best.depth * (1.0 + 1e-4)).collect();
        let facing = touching.iter().find(|near| {
            let dot = |other: &Near| near.towards[0] * other.towards[0] + near.towards[1] * other.towards[1];
            touching.iter().any(|other| dot(other) < -1.0 + 1e-6)
        });
        let Some(Near { towards: normal, .. }) = facing else { return best.at };
        let good = best.depth * (1.0 - AS_GOOD);
        let there = |by: f64| [best.at[0] - by * normal[1], best.at[1] + by * normal[0]];
        let end = |way: f64| {
            let holds = |by: f64| self.depth(there(way * by)) >= good;
            let mut far = best.depth * 1e-3;
            while holds(far) && far < 1e6 {
                far *= 2.0;
            }
            let mut near = if holds(far / 2.0) { far / 2.0 } else { 0.0 };
            while far - near > best.depth * 1e-6 {
                let middle = (near + far) / 2.0;
                if holds(middle) { near = middle } else { far = middle }
            }
            near
        };
        let at = there((end(1.0) - end(-1.0)) / 2.0);
        if self.depth(at) >= good { at } else { best.at }
    }
}

/// A point of the rings as seen from a centre.
#[derive(Clone, Copy, Debug)]
struct Near {
    far: f64,
    towards: [f64; 2],
}

/// The step, within a square of half side `reach`, after which the least distance to straight sides is
/// largest: a linear programme in three unknowns, whose answer lies where three of its bounds meet.
fn step(sides: &[Near], reach: f64) -> Option<[f64; 2]> {
    // Each bound: a x + b y + r <= c for a side, a x + b y <= c for the square.
    let mut bounds: Vec<[f64; 4]> =
        sides.iter().map(|near| [near.towards[0], near.towards[1], 1.0, near.far]).collect();
    bounds.extend([[1.0, 0.0, 0.0, reach], [-1.0, 0.0, 0.0, reach], [0.0, 1.0, 0.0, reach], [0.0, -1.0, 0.0, reach]]);
    let mut best: Option<[f64; 3]> = None;
    for i in 0..bounds.len() {
        for j in i + 1..bounds.len() {
            for k in j + 1..bounds.len() {
                let Some(at) = meet(&bounds[i], &bounds[j], &bounds[k]) else { continue };
                let slack = 1e-12 * reach.max(1e-12);
                let within = |[a, b, r, c]: &[f64; 4]| a * at[0] + b * at[1] + r * at[2] <= c + slack;
                if best.is_none_or(|best| at[2] > best[2]) && bounds.iter().all(within) {
                    best = Some(at);
                }
            }
        }
    }
    best.map(|[x, y, _]| [x, y])
}

/// Where three planes meet, by Cramer's rule.
fn meet(p: &[f64; 4], q: &[f64; 4], s: &[f64; 4]) -> Option<[f64; 3]> {
    let of = |i: usize, j: usize, k: usize| {
        p[i] * (q[j] * s[k] - q[k] * s[j]) - p[j] * (q[i] * s[k] - q[k] * s[i]) + p[k] * (q[i] * s[j] - q[j] * s[i])
    };
    let whole = of(0, 1, 2);
    (whole.abs() > 1e-12).then(|| [of(3, 1, 2) / whole, of(0, 3, 2) / whole, of(0, 1, 3) / whole])
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
    fn in_a_pentagon_at_a_shift() {
        // The place farthest from the sides on a line across the pentagon above: shapely's distance under
        // scipy's bounded minimum.
        let pentagon = ring(&[(-6.0, -20.0), (5.0, -25.0), (8.0, 5.0), (2.0, 22.0), (-7.0, 12.0)]);
        for (mm, deg, size) in [(-2.0, 3.890_577_420, 1.576_728_235_9), (3.0, 1.634_456_775, 1.501_994_717_5)] {
            let found = at_shift(std::slice::from_ref(&pentagon), Move::new(3.0, 8.0), mm).expect("inside");
            assert!(found.centre.shift_mm == mm && (found.centre.turn_deg - deg).abs() < 1e-3, "{found:?}");
            assert!((found.size - size).abs() < 1e-4, "{found:?}");
        }
    }

    #[test]
    fn at_a_shift_the_middle_of_what_is_there() {
        let leaning = ring(&[(-12.0, -29.0), (12.0, -5.0), (12.0, 5.0), (-12.0, -19.0)]);
        let found = at_shift(std::slice::from_ref(&leaning), Move::new(1.0, 1.0), -3.0).expect("inside");
        assert!((found.centre.turn_deg + 15.0).abs() < 1e-2, "{found:?}");
        assert!((found.size - 5.0 / 2f64.sqrt()).abs() < 1e-2);
        assert_eq!(at_shift(&[leaning], Move::new(1.0, 1.0), 13.0), None);
    }

    #[test]
    fn in_a_long_room_the_middle() {
        let long = ring(&[(-10.0, -5.0), (30.0, -5.0), (30.0, 5.0), (-10.0, 5.0)]);
        let found = largest(&[long], Move::new(1.0, 1.0)).expect("a centre");
        assert!((found.centre.shift_mm - 10.0).abs() < 0.05 && found.centre.turn_deg.abs() < 0.05, "{found:?}");
        assert!((found.size - 5.0).abs() < 0.01);
    }

    #[test]
    fn in_a_leaning_room_the_middle_and_in_a_wedge_its_wide_end() {
        let leaning = ring(&[(-12.0, -29.0), (12.0, -5.0), (12.0, 5.0), (-12.0, -19.0)]);
        let found = largest(&[leaning], Move::new(1.0, 1.0)).expect("a centre");
        assert!(found.centre.shift_mm.abs() < 1e-3 && (found.centre.turn_deg + 12.0).abs() < 1e-3, "{found:?}");
        assert!((found.size - 5.0 / 2f64.sqrt()).abs() < 1e-6);
        // Sides that part by one in a thousand: the circle lies against the wide end.
        let wedge = ring(&[(0.0, -5.0), (40.0, -5.04), (40.0, 5.04), (0.0, 5.0)]);
        let found = largest(&[wedge], Move::new(1.0, 1.0)).expect("a centre");
        assert!((found.centre.shift_mm + found.size - 40.0).abs() < 1e-3, "{found:?}");
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
