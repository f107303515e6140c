//! The border of a room: where what holds ends, as closed rings, each place with what fails there.
//!
//! Marching squares on the grid of trials finds which edges are crossed; each crossing is then found
//! by further trials, and a stretch between two crossings is refined until its middle lies on the
//! border too. So the border does not hang on how coarse the grid was, as long as the grid saw the
//! piece at all.

use super::plane::{Grid, Move, Piece, Sample, Trial};
use crate::numeric::roots;
use std::collections::BTreeMap;

/// How near to the border a crossing is found and a stretch is refined: a unit is 0.1 mm of shift or
/// half a degree of turn.
pub const ACCURACY: Move = Move { shift_mm: 0.1, turn_deg: 0.5 };
/// A stretch is good where the border passes its middle within this share of [`ACCURACY`].
const NEAR: f64 = 0.3;
/// How often a stretch is halved at most.
const HALVINGS: u32 = 5;
/// A place this near to the straight way between its neighbours says nothing of its own, in units of
/// [`ACCURACY`].
const STRAIGHT: f64 = 0.1;
/// Farther than this from where it was first found a place of the border is not sought anew, in the same.
const FARTHEST_OFF: f64 = 4.0;

/// A place of the border.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BorderPoint {
    /// Where.
    pub at: Move,
    /// What fails beyond it; `None` at the edge of what was tried.
    pub by: Option<usize>,
}

/// A closed ring of the border, without its first point again at the end. What holds lies to one
/// side of it; holes are rings of their own.
pub type Ring = Vec<BorderPoint>;

/// An edge of the grid: its lower node, and whether it runs along the turn.
type Edge = (isize, isize, bool);

/// Tracing a border, a crossing or a stretch at a time.
#[derive(Clone, Debug)]
pub struct Tracing {
    level: f64,
    /// The edges that are crossed, ring by ring, last first.
    edges: Vec<Vec<Edge>>,
    /// Crossings of the ring that is traced.
    crossings: Vec<BorderPoint>,
    /// How many of its stretches are refined or being so.
    refined: usize,
    open: Vec<Stretch>,
    ring: Ring,
    rings: Vec<Ring>,
}

/// A stretch between two places of the border, and how often it may still be halved. Of those that are open the
/// last comes first along the ring; one that is good as it is gives its beginning to the ring.
type Stretch = (BorderPoint, BorderPoint, u32);

impl Tracing {
    /// Begins around a piece.
    pub fn new(grid: &Grid, piece: &Piece) -> Self {
        let mut edges = crossed(grid, piece);
        edges.reverse();
        let (crossings, open, ring, rings) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Tracing { level: piece.level, edges, crossings, refined: 0, open, ring, rings }
    }

    /// Does one more piece of it; the rings when all is done.
    pub fn go_on(&mut self, grid: &mut Grid, piece: &Piece, trial: &mut impl Trial) -> Option<Vec<Ring>> {
        let Some(edges) = self.edges.last() else { return Some(std::mem::take(&mut self.rings)) };
        if let Some(edge) = edges.get(self.crossings.len()) {
            let crossing = crossing(grid, *edge, piece, trial);
            if !trial.short() {
                self.crossings.push(crossing);
            }
            return None;
        }
        if let Some((a, b, left)) = self.open.pop() {
            let found = (left > 0).then(|| between(a, b, self.level, trial)).flatten();
            divide((a, b, left), found, trial, &mut self.open, &mut self.ring);
            return None;
        }
        let (from, count) = (self.refined, self.crossings.len());
        if from < count {
            self.open.push((self.crossings[from], self.crossings[(from + 1) % count], HALVINGS));
            self.refined += 1;
            return None;
        }
        self.rings.push(std::mem::take(&mut self.ring));
        self.crossings.clear();
        self.refined = 0;
        self.edges.pop();
        None
    }
}

/// The edges of the grid that the border of a piece crosses, ring by ring in order.
fn crossed(grid: &Grid, piece: &Piece) -> Vec<Vec<Edge>> {
    let holds = |i: isize, j: isize| piece.has(grid, i, j);
    let mut next: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for i in -1..grid.shifts as isize {
        for j in -1..grid.turns as isize {
            // Corners in turn, and the edge from each to the next.
            let corners = [holds(i, j), holds(i + 1, j), holds(i + 1, j + 1), holds(i, j + 1)];
            let edges: [Edge; 4] = [(i, j, false), (i + 1, j, true), (i, j + 1, false), (i, j, true)];
            // From where the way round leaves what holds to where it next came in: two corners that
            // only touch are parted, as nodes are joined by edges alone.
            for out in 0..4 {
                if !corners[out] || corners[(out + 1) % 4] {
                    continue;
                }
                let entered = (0..4).map(|back| (out + 4 - back) % 4).find(|c| !corners[(c + 3) % 4]);
                if let Some(corner) = entered {
                    next.entry(edges[out]).or_default().push(edges[(corner + 3) % 4]);
                }
            }
        }
    }
    let mut rings = Vec::new();
    while let Some((&start, _)) = next.first_key_value() {
        let mut ring = Vec::new();
        let mut edge = start;
        while let Some(mut ways) = next.remove(&edge) {
            ring.push(edge);
            let way = ways.remove(0);
            if !ways.is_empty() {
                next.insert(edge, ways);
            }
            edge = way;
        }
        rings.push(ring);
    }
    rings
}

/// Where the border crosses an edge.
fn crossing(grid: &mut Grid, (i, j, along_turn): Edge, piece: &Piece, trial: &mut impl Trial) -> BorderPoint {
    let far = if along_turn { (i, j + 1) } else { (i + 1, j) };
    let (inner, outer) = if piece.has(grid, i, j) { ((i, j), far) } else { (far, (i, j)) };
    let (from, to) = (grid.node(inner.0, inner.1), grid.node(outer.0, outer.1));
    match grid.tried(outer.0, outer.1, trial) {
        // The edge of what was tried.
        None => BorderPoint { at: from, by: None },
        Some(sample) => on_border(from, to, sample, piece.level, trial),
    }
}

/// The place of the border between a move that holds and one that does not.
fn on_border(from: Move, to: Move, beyond: Sample, level: f64, trial: &mut impl Trial) -> BorderPoint {
    let accuracy = 0.02 / steps(from, to).max(0.02);
    let mut by = beyond.by;
    let share = roots::bracketed(0.0, 1.0, accuracy, |share| {
        let sample = trial.at(from.towards(to, share));
        if sample.least < level {
            by = sample.by;
        }
        depth(sample.least - level)
    });
    BorderPoint { at: from.towards(to, share.unwrap_or(0.0)), by: Some(by) }
}

/// How far inside a border lies, for a search of it: what is unknown lies far outside, at a finite depth, and
/// what only the last digits part from the border lies on it. A search that went on from there would end
/// somewhere within its accuracy, as those digits decide.
pub fn depth(inside: f64) -> f64 {
    if inside.abs() < 1e-9 { 0.0 } else { inside.max(-1e6) }
}

/// How far apart two moves are, in units of [`ACCURACY`].
fn steps(a: Move, b: Move) -> f64 {
    ((a.shift_mm - b.shift_mm) / ACCURACY.shift_mm).hypot((a.turn_deg - b.turn_deg) / ACCURACY.turn_deg)
}

/// Divides a stretch at a place of the border that was found between its ends, or gives its beginning to the
/// ring; leaves it open where there was no time to look.
fn divide(
    (a, b, left): Stretch,
    found: Option<BorderPoint>,
    trial: &impl Trial,
    open: &mut Vec<Stretch>,
    ring: &mut Ring,
) {
    match found {
        _ if trial.short() => open.push((a, b, left)),
        Some(point) => open.extend([(point, b, left - 1), (a, point, left - 1)]),
        None => ring.push(a),
    }
}

/// Where the border lies off the straight way between two of its places.
fn between(a: BorderPoint, b: BorderPoint, level: f64, trial: &mut impl Trial) -> Option<BorderPoint> {
    // At the edge of what was tried the border is straight.
    if a.by.is_none() && b.by.is_none() || steps(a.at, b.at) < 1.0 {
        return None;
    }
    let middle = a.at.towards(b.at, 0.5);
    // Square to the stretch, in units of the accuracy, as far as the stretch is long.
    let along =
        [(b.at.shift_mm - a.at.shift_mm) / ACCURACY.shift_mm, (b.at.turn_deg - a.at.turn_deg) / ACCURACY.turn_deg];
    let aside = |share: f64| Move {
        shift_mm: middle.shift_mm - share * along[1] * ACCURACY.shift_mm,
        turn_deg: middle.turn_deg + share * along[0] * ACCURACY.turn_deg,
    };
    let here = trial.at(middle);
    let near = NEAR / steps(a.at, b.at);
    // Outwards where the middle holds, inwards where it does not: the first place that differs.
    let holds = here.least >= level;
    let (share, there) = [near, -near, 0.5, -0.5, 1.0, -1.0].into_iter().find_map(|share| {
        let there = trial.at(aside(share));
        (holds != (there.least >= level)).then_some((share, there))
    })?;
    if share.abs() <= near {
        return None;
    }
    let (from, to, beyond) = if holds { (middle, aside(share), there) } else { (aside(share), middle, here) };
    Some(on_border(from, to, beyond, level, trial))
}

/// A ring found anew, place by place, where a trial can tell more exactly than it did: each place along
/// the way square to its ring, then what lies between, while that is off.
#[derive(Clone, Debug)]
pub struct Anew {
    level: f64,
    ring: Ring,
    next: usize,
    open: Vec<Stretch>,
    fine: Ring,
}

impl Anew {
    /// Begins with a ring; places that lie on the straight way between their neighbours are left out.
    pub fn new(ring: &Ring, level: f64) -> Self {
        Anew { level, ring: thinned(ring), next: 0, open: Vec::new(), fine: Vec::new() }
    }

    /// Does one more place; the ring when all is done.
    pub fn go_on(&mut self, trial: &mut impl Trial) -> Option<Ring> {
        let count = self.ring.len();
        if self.next < count {
            let (before, after) = (self.ring[(self.next + count - 1) % count], self.ring[(self.next + 1) % count]);
            let place = self.ring[self.next];
            let found = place.by.and_then(|by| settled(place.at, [before.at, after.at], by, self.level, trial));
            if !trial.short() {
                self.ring[self.next].at = found.unwrap_or(place.at);
                self.next += 1;
            }
            return None;
        }
        if let Some((a, b, left)) = self.open.pop() {
            let found = (left > 0).then(|| bowed(a, b, self.level, trial)).flatten();
            divide((a, b, left), found, trial, &mut self.open, &mut self.fine);
            return None;
        }
        let from = self.next - count;
        if from < count {
            self.open.push((self.ring[from], self.ring[(from + 1) % count], HALVINGS));
            self.next += 1;
            return None;
        }
        Some(std::mem::take(&mut self.fine))
    }
}

/// Where, on the way through a place square to the way from one move to another, one of the judged is at
/// a level.
fn settled(at: Move, [a, b]: [Move; 2], by: usize, level: f64, trial: &mut impl Trial) -> Option<Move> {
    let along = [(b.shift_mm - a.shift_mm) / ACCURACY.shift_mm, (b.turn_deg - a.turn_deg) / ACCURACY.turn_deg];
    let length = along[0].hypot(along[1]);
    let aside = |units: f64| Move {
        shift_mm: at.shift_mm - units * along[1] / length * ACCURACY.shift_mm,
        turn_deg: at.turn_deg + units * along[0] / length * ACCURACY.turn_deg,
    };
    let margin = |units: f64| trial_anew(trial, aside(units), by, level);
    let found = roots::near(0.0, 0.3, [-FARTHEST_OFF, FARTHEST_OFF], 0.03, margin);
    found.filter(|_| length > 0.0).map(aside)
}

fn trial_anew(trial: &mut impl Trial, at: Move, by: usize, level: f64) -> f64 {
    trial.anew(at, by).map_or(f64::NAN, |least| least - level)
}

/// Where the border between two of its places, of one of the judged, bows out or in.
fn bowed(a: BorderPoint, b: BorderPoint, level: f64, trial: &mut impl Trial) -> Option<BorderPoint> {
    /// Shorter stretches are straight, in units of the accuracy.
    const SHORT: f64 = 8.0;
    let by = a.by.filter(|by| Some(*by) == b.by && steps(a.at, b.at) > SHORT)?;
    let middle = a.at.towards(b.at, 0.5);
    let at = settled(middle, [a.at, b.at], by, level, trial)?;
    (steps(middle, at) > NEAR).then_some(BorderPoint { at, by: Some(by) })
}

/// A ring without places that lie near the straight way between those that stay.
fn thinned(ring: &Ring) -> Ring {
    fn keep(ring: &Ring, from: usize, to: usize, kept: &mut Vec<usize>) {
        let (a, b) = (ring[from].at, ring[to % ring.len()].at);
        let scaled =
            |at: Move| [(at.shift_mm - a.shift_mm) / ACCURACY.shift_mm, (at.turn_deg - a.turn_deg) / ACCURACY.turn_deg];
        let along = scaled(b);
        let length = along[0].hypot(along[1]);
        let off = |i: usize| {
            let [x, y] = scaled(ring[i].at);
            if length > 0.0 { (x * along[1] - y * along[0]).abs() / length } else { x.hypot(y) }
        };
        let Some(farthest) = (from + 1..to).max_by(|i, j| off(*i).total_cmp(&off(*j))) else { return };
        let changes = (from..to).any(|i| ring[i].by != ring[(i + 1) % ring.len()].by);
        if off(farthest) > STRAIGHT || changes {
            // Where what fails changes both places stay.
            let change =
                (from + 1..to).find(|i| ring[*i].by != ring[i - 1].by || ring[*i].by != ring[(i + 1) % ring.len()].by);
            let split = if off(farthest) > STRAIGHT { farthest } else { change.unwrap_or(farthest) };
            keep(ring, from, split, kept);
            kept.push(split);
            keep(ring, split, to, kept);
        }
    }
    if ring.len() < 4 {
        return ring.clone();
    }
    let half = ring.len() / 2;
    let mut kept = vec![0];
    keep(ring, 0, half, &mut kept);
    kept.push(half);
    keep(ring, half, ring.len(), &mut kept);
    kept.into_iter().map(|i| ring[i]).collect()
}

/// Whether a move lies within rings: even-odd.
pub fn contains(rings: &[Ring], at: Move) -> bool {
    let mut inside = false;
    for ring in rings {
        for (place, point) in ring.iter().enumerate() {
            let (a, b) = (point.at, ring[(place + 1) % ring.len()].at);
            if (a.turn_deg > at.turn_deg) != (b.turn_deg > at.turn_deg) {
                let share = (at.turn_deg - a.turn_deg) / (b.turn_deg - a.turn_deg);
                inside ^= at.shift_mm < a.shift_mm + share * (b.shift_mm - a.shift_mm);
            }
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    fn border(trial: &mut impl Trial, nodes: usize) -> Vec<Ring> {
        let mut grid = Grid::new(Move::new(-20.0, -60.0), Move::new(20.0, 60.0), nodes, nodes);
        let mut piece = Piece::new(&grid, Move::default(), 0.0);
        while piece.grow(&mut grid, trial) {}
        let mut tracing = Tracing::new(&grid, &piece);
        loop {
            if let Some(rings) = tracing.go_on(&mut grid, &piece, trial) {
                return rings;
            }
        }
    }

    /// A box with a slanted side and a round end: 0 left, 1 right (slanted), 2 below, 3 the circle.
    fn shape(at: Move) -> Sample {
        let sides = [
            at.shift_mm + 6.13,
            8.37 - at.shift_mm - 0.05 * at.turn_deg,
            at.turn_deg + 21.7,
            30.2 - at.turn_deg.hypot(3.0 * at.shift_mm),
        ];
        let by = (0..4).min_by(|a, b| sides[*a].total_cmp(&sides[*b])).unwrap_or(0);
        Sample { least: sides[by], by }
    }

    #[test]
    fn every_point_that_is_told_wrongly_lies_at_a_border() {
        let rings = border(&mut shape, 31);
        assert_eq!(rings.len(), 1);
        let (mut wrong, mut all) = (0, 0);
        for i in -80..=80 {
            for j in -120..=120 {
                let at = Move::new(f64::from(i) * 0.25, f64::from(j) * 0.5);
                all += 1;
                if contains(&rings, at) != (shape(at).least >= 0.0) {
                    wrong += 1;
                    let around = [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.5), (0.0, -0.5)]
                        .map(|(shift, turn)| shape(Move::new(at.shift_mm + shift, at.turn_deg + turn)).least >= 0.0);
                    assert!(around.iter().any(|there| *there != (shape(at).least >= 0.0)), "{at:?}");
                }
            }
        }
        assert!(f64::from(wrong) < 0.005 * f64::from(all), "{wrong} of {all}");
        // Each side is named, and only by points that lie on it.
        let named: Vec<usize> = rings[0].iter().filter_map(|point| point.by).collect();
        assert!((0..4).all(|side| named.contains(&side)), "{named:?}");
        for point in &rings[0] {
            assert!(shape(point.at).least.abs() < 0.02, "{point:?}");
        }
    }

    #[test]
    fn a_hole_is_a_ring_of_its_own() {
        let mut holed = |at: Move| {
            let outer = 15.0 - at.shift_mm.hypot(at.turn_deg / 3.0);
            let hole = (at.shift_mm - 6.0).hypot(at.turn_deg / 3.0) - 3.0;
            Sample { least: outer.min(hole), by: usize::from(hole < outer) }
        };
        let rings = border(&mut holed, 41);
        assert_eq!(rings.len(), 2);
        assert!(contains(&rings, Move::new(0.0, 0.0)));
        assert!(!contains(&rings, Move::new(6.0, 0.0)));
    }

    #[test]
    fn what_has_no_border_ends_where_trying_ended() {
        let rings = border(&mut |_: Move| Sample { least: 5.0, by: 0 }, 11);
        assert_eq!(rings.len(), 1);
        assert!(rings[0].iter().all(|point| point.by.is_none()));
        assert!(contains(&rings, Move::new(19.9, -59.9)));
    }

    #[test]
    fn what_is_unknown_is_outside() {
        let mut half = |at: Move| Sample { least: if at.shift_mm > 3.3 { f64::NEG_INFINITY } else { 2.0 }, by: 7 };
        let rings = border(&mut half, 21);
        let right = rings[0].iter().map(|point| point.at.shift_mm).fold(f64::MIN, f64::max);
        assert!((right - 3.3).abs() < 0.02, "{right}");
        assert!(rings[0].iter().any(|point| point.by == Some(7)));
    }
}
