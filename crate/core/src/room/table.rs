//! What is judged, known at knots of station and clock and taken between them.
//!
//! A value is how far inside its limit one of the judged lies in one possibility, counted in its own
//! error. Values change evenly with shift and turn, unlike the least of them; so each is taken between
//! the four by four knots around a placement, by cubics, and the least then. Where a knot is unknown
//! the caller asks for the placement itself. Knows no graft and no rule: what is at a knot is asked of
//! a [`Source`].

use crate::graft::between::cubic;
use crate::units::Angle;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

/// Between knots along the aorta, mm.
pub const SHIFT_MM: f64 = 4.0;
/// Knots around the clock.
pub const CLOCKS: usize = 24;
/// At how many stations what was taken between is kept.
const MOST_KEPT: usize = 128;

/// Values of one group of the judged at one place.
pub type Row = Arc<[f64]>;

/// Where values at knots come from. Groups are numbered from what is quickly found to what costs most.
pub trait Source {
    /// Whether a group changes as the graft is turned.
    fn turns(&self, group: usize) -> bool;
    /// Values of a group at a knot: `station` in steps of [`SHIFT_MM`], `clock` in parts of a turn.
    fn at_knot(&mut self, group: usize, station: i64, clock: usize) -> Row;
}

/// Values at knots, of which only those are asked for that are needed.
#[derive(Clone, Debug, Default)]
pub struct Table {
    knots: BTreeMap<(usize, i64, usize), Row>,
    kept: Vec<(f64, Column)>,
}

/// Values at one station, by group and knot of the clock.
type Column = BTreeMap<(usize, usize), Row>;

/// Where a station lies between knots that are so far apart: the second of four, and the share of the
/// way to the third.
pub fn between(station_mm: f64, apart_mm: f64) -> (i64, f64) {
    let steps = station_mm / apart_mm;
    (steps.floor() as i64, steps - steps.floor())
}

/// The same of a clock.
fn around(clock: Angle) -> (usize, f64) {
    let steps = clock.wrapped().to_deg() / 360.0 * CLOCKS as f64;
    ((steps.floor() as i64).rem_euclid(CLOCKS as i64) as usize, steps - steps.floor())
}

/// The knot that lies `by` after another around the clock, less one.
fn next(clock: usize, by: usize) -> usize {
    (clock + CLOCKS - 1 + by) % CLOCKS
}

impl Table {
    /// Forgets all values.
    pub fn clear(&mut self) {
        *self = Table::default();
    }

    /// Whether all that a placement's values are taken from is known; if not, one more knot is made so.
    pub fn ready(&mut self, group: usize, station_mm: f64, clock: Angle, source: &mut impl Source) -> bool {
        let (first, (at, _)) = (between(station_mm, SHIFT_MM).0 - 1, around(clock));
        let clocks = if source.turns(group) { 4 } else { 1 };
        for (i, j) in (0..4).flat_map(|i| (0..clocks).map(move |j| (first + i, j))) {
            let j = if clocks == 1 { 0 } else { next(at, j) };
            if let Entry::Vacant(knot) = self.knots.entry((group, i, j)) {
                knot.insert(source.at_knot(group, i, j));
                return false;
            }
        }
        true
    }

    /// Values of a group at a placement; not finite where a knot around it is not.
    pub fn values(&mut self, group: usize, station_mm: f64, clock: Angle, source: &mut impl Source) -> Row {
        let place = self.kept.iter().position(|(own, _)| *own == station_mm).unwrap_or_else(|| {
            if self.kept.len() >= MOST_KEPT {
                self.kept.remove(0);
            }
            self.kept.push((station_mm, BTreeMap::new()));
            self.kept.len() - 1
        });
        if !source.turns(group) {
            return self.row(place, group, 0, source);
        }
        let (at, share) = around(clock);
        let rows = [0, 1, 2, 3].map(|j| self.row(place, group, next(at, j), source));
        mixed(&rows, cubic(share))
    }

    /// Values at a station that was kept, at a knot of the clock.
    fn row(&mut self, place: usize, group: usize, clock: usize, source: &mut impl Source) -> Row {
        if let Some(row) = self.kept[place].1.get(&(group, clock)) {
            return row.clone();
        }
        let (second, share) = between(self.kept[place].0, SHIFT_MM);
        let rows = [-1, 0, 1, 2].map(|i| {
            let key = (group, second + i, clock);
            self.knots.entry(key).or_insert_with(|| source.at_knot(group, second + i, clock)).clone()
        });
        let row = mixed(&rows, cubic(share));
        self.kept[place].1.insert((group, clock), row.clone());
        row
    }
}

fn mixed(rows: &[Row; 4], weights: [f64; 4]) -> Row {
    let [a, b, c, d] = rows;
    let [p, q, r, s] = weights;
    let each = a.iter().zip(b.iter()).zip(c.iter()).zip(d.iter());
    each.map(|(((a, b), c), d)| p * a + q * b + r * c + s * d).collect()
}
