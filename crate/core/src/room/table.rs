//! What is judged, known at knots of station and clock and taken between them.
//!
//! A value is how far inside its limit one of the judged lies in one possibility, counted in its own
//! error. Values change evenly with shift and turn, unlike the least of them; so each is taken between
//! the four by four knots around a placement, by cubics, and the least then. Where some of these knots have
//! none (no bridging path) the placement lies near the end of what has one: knots half as far apart are
//! asked of that one alone, and a quarter; then the caller asks for the placement itself. Knows no graft and
//! no rule: what is at a knot is asked of a [`Source`].

use crate::graft::between::cubic;
use crate::units::Angle;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Between knots along the aorta, mm.
pub const SHIFT_MM: f64 = 4.0;
/// Knots around the clock.
pub const CLOCKS: usize = 24;
/// How often knots are halved.
pub const FINEST: u32 = 2;
/// At how many stations what was taken between is kept.
const MOST_KEPT: usize = 128;

/// Values at one place: of a group of the judged, or of one of them.
pub type Row = Arc<[f64]>;

/// Whose values are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asked {
    /// How often knots are halved.
    pub level: u32,
    /// Where they are not: which group. Else which of the judged.
    pub of: usize,
}

impl Asked {
    /// How many parts a step between knots is divided into.
    pub fn parts(self) -> u32 {
        1 << self.level
    }

    fn shift_mm(self) -> f64 {
        SHIFT_MM / f64::from(self.parts())
    }

    /// Knots around the clock.
    pub fn clocks(self) -> usize {
        CLOCKS << self.level
    }
}

/// Where values at knots come from.
pub trait Source {
    /// Whether what is asked for changes as the graft is turned.
    fn turns(&self, asked: Asked) -> bool;
    /// Values at a knot, `station` and `clock` counted in knots; `None` where there is no time for them now.
    fn at_knot(&mut self, asked: Asked, station: i64, clock: usize) -> Option<Row>;
}

/// Values at knots, of which only those are asked for that are needed.
#[derive(Clone, Debug, Default)]
pub struct Table {
    knots: BTreeMap<(Asked, i64, usize), Row>,
    kept: Vec<(f64, Column)>,
}

/// Values at one station, by what was asked and knot of the clock.
type Column = BTreeMap<(Asked, usize), Row>;

/// Where a station lies between knots that are so far apart: the second of four, and the share of the
/// way to the third.
pub fn between(station_mm: f64, apart_mm: f64) -> (i64, f64) {
    let steps = station_mm / apart_mm;
    (steps.floor() as i64, steps - steps.floor())
}

impl Table {
    /// Values at a placement: negative infinity where there is none all around, NaN where knots around it
    /// differ in that; `None` where there is no time to find them now.
    pub fn values(&mut self, asked: Asked, station_mm: f64, clock: Angle, source: &mut impl Source) -> Option<Row> {
        let place = self.kept.iter().position(|(own, _)| *own == station_mm).unwrap_or_else(|| {
            if self.kept.len() >= MOST_KEPT {
                self.kept.remove(0);
            }
            self.kept.push((station_mm, BTreeMap::new()));
            self.kept.len() - 1
        });
        if !source.turns(asked) {
            return self.row(place, asked, 0, source);
        }
        let clocks = asked.clocks();
        let steps = clock.wrapped().to_deg() / 360.0 * clocks as f64;
        let at = (steps.floor() as i64).rem_euclid(clocks as i64) as usize;
        let knot = |by: usize| (at + clocks - 1 + by) % clocks;
        let rows = [
            self.row(place, asked, knot(0), source)?,
            self.row(place, asked, knot(1), source)?,
            self.row(place, asked, knot(2), source)?,
            self.row(place, asked, knot(3), source)?,
        ];
        Some(mixed(&rows, steps - steps.floor(), asked.level))
    }

    /// Values at a station that was kept, at a knot of the clock.
    fn row(&mut self, place: usize, asked: Asked, clock: usize, source: &mut impl Source) -> Option<Row> {
        if let Some(row) = self.kept[place].1.get(&(asked, clock)) {
            return Some(row.clone());
        }
        let (second, share) = between(self.kept[place].0, asked.shift_mm());
        let mut rows: [Row; 4] = Default::default();
        for (by, row) in (-1..=2).zip(&mut rows) {
            let key = (asked, second + by, clock);
            *row = match self.knots.get(&key) {
                Some(known) => known.clone(),
                None => {
                    let found = source.at_knot(asked, second + by, clock)?;
                    self.knots.insert(key, found.clone());
                    found
                }
            };
        }
        let row = mixed(&rows, share, asked.level);
        self.kept[place].1.insert((asked, clock), row.clone());
        Some(row)
    }
}

fn mixed(rows: &[Row; 4], share: f64, level: u32) -> Row {
    let [a, b, c, d] = rows;
    let [p, q, r, s] = cubic(share);
    let none = |value: &f64| *value == f64::NEG_INFINITY;
    let each = a.iter().zip(b.iter()).zip(c.iter()).zip(d.iter());
    each.map(|(((a, b), c), d)| {
        let (inner, outer) = ([b, c], [a, d]);
        match (inner.iter().all(|v| v.is_finite()), outer.iter().all(|v| v.is_finite())) {
            (true, true) => p * a + q * b + r * c + s * d,
            // At the end of what has a value it may stop at once: straight between the nearest two.
            (true, false) if level == FINEST => b + share * (c - b),
            _ if inner.into_iter().all(none) && (level == FINEST || outer.into_iter().all(none)) => f64::NEG_INFINITY,
            _ => f64::NAN,
        }
    })
    .collect()
}
