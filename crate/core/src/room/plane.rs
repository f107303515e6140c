//! The plane of placements: how far a graft is slid and turned from where it is drawn.
//!
//! Knows no graft and no rule; what is judged comes in as a [`Trial`].

/// A move of the graft away from its drawn placement.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Move {
    /// Along the aorta, + = downstream.
    pub shift_mm: f64,
    /// About its axis, + = towards larger clock, the front-left.
    pub turn_deg: f64,
}

impl Move {
    /// A move.
    pub fn new(shift_mm: f64, turn_deg: f64) -> Self {
        Move { shift_mm, turn_deg }
    }

    /// The move a share of the way to another.
    pub fn towards(self, other: Move, share: f64) -> Move {
        Move {
            shift_mm: self.shift_mm + share * (other.shift_mm - self.shift_mm),
            turn_deg: self.turn_deg + share * (other.turn_deg - self.turn_deg),
        }
    }
}

/// What a trial of a move gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The least margin of all that is judged, each counted in its own errors: from 0 on everything
    /// holds, from 1 on it holds by at least the error. Negative infinity where something is unknown.
    pub least: f64,
    /// Which of the judged it is.
    pub by: usize,
}

impl Sample {
    /// The lesser of two; within 1e-9 the first.
    pub fn and(self, other: Sample) -> Sample {
        if other.least < self.least - 1e-9 { other } else { self }
    }
}

/// Something that can be tried at any move.
pub trait Trial {
    /// Judges one move by what is quickly found.
    fn cheap(&mut self, at: Move) -> Sample;

    /// Judges it by what costs more; `None` where there is nothing of the kind.
    fn costly(&mut self, _at: Move) -> Option<Sample> {
        None
    }

    /// Judges it by everything. Where the cheap part fails the rest is not asked.
    fn at(&mut self, at: Move) -> Sample {
        let cheap = self.cheap(at);
        match cheap.least >= 0.0 {
            true => self.costly(at).map_or(cheap, |costly| cheap.and(costly)),
            false => cheap,
        }
    }
}

impl<F: FnMut(Move) -> Sample> Trial for F {
    fn cheap(&mut self, at: Move) -> Sample {
        self(at)
    }
}

/// Trials on an even grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Lowest shift and turn.
    pub from: Move,
    /// Highest shift and turn.
    pub to: Move,
    /// Nodes along the shift.
    pub shifts: usize,
    /// Nodes along the turn.
    pub turns: usize,
    /// Node by node, shift by shift.
    pub samples: Vec<Sample>,
    /// The costly part of each, where it was asked.
    costly: Vec<Option<Sample>>,
}

impl Grid {
    /// A grid whose nodes are not tried yet; at least three nodes each way.
    pub fn new(from: Move, to: Move, shifts: usize, turns: usize) -> Self {
        let (shifts, turns) = (shifts.max(3), turns.max(3));
        Grid { from, to, shifts, turns, samples: Vec::new(), costly: Vec::new() }
    }

    /// The move of a node; nodes beyond the grid lie on its border.
    pub fn node(&self, shift: isize, turn: isize) -> Move {
        let share = |at: isize, count: usize| at.clamp(0, count as isize - 1) as f64 / (count - 1) as f64;
        Move {
            shift_mm: self.from.shift_mm + share(shift, self.shifts) * (self.to.shift_mm - self.from.shift_mm),
            turn_deg: self.from.turn_deg + share(turn, self.turns) * (self.to.turn_deg - self.from.turn_deg),
        }
    }

    /// Tries the next node; says whether there was one. Where a coarser grid knows the costly part all
    /// around, and that it holds there or fails there, it is taken from that.
    pub fn try_next(&mut self, trial: &mut impl Trial, coarser: Option<&Grid>) -> bool {
        let next = self.samples.len();
        if next >= self.shifts * self.turns {
            return false;
        }
        let at = self.node((next / self.turns) as isize, (next % self.turns) as isize);
        let cheap = trial.cheap(at);
        let costly = match cheap.least >= 0.0 {
            true => coarser.and_then(|grid| grid.costly_at(at)).or_else(|| trial.costly(at)),
            false => None,
        };
        self.samples.push(costly.map_or(cheap, |costly| cheap.and(costly)));
        self.costly.push(costly);
        true
    }

    /// The costly part between four nodes that agree about it.
    fn costly_at(&self, at: Move) -> Option<Sample> {
        let place = |value: f64, from: f64, to: f64, count: usize| {
            let place = (value - from) / (to - from) * (count - 1) as f64;
            let low = place.floor().clamp(0.0, (count - 2) as f64);
            (low as usize, place - low)
        };
        let (i, x) = place(at.shift_mm, self.from.shift_mm, self.to.shift_mm, self.shifts);
        let (j, y) = place(at.turn_deg, self.from.turn_deg, self.to.turn_deg, self.turns);
        let of = |i: usize, j: usize| self.costly.get(i * self.turns + j).copied().flatten();
        let corners = [of(i, j)?, of(i + 1, j)?, of(i, j + 1)?, of(i + 1, j + 1)?];
        let finite = corners.iter().all(|corner| corner.least.is_finite());
        let agree = [0.0, 1.0].iter().all(|level| corners.iter().all(|c| (c.least >= *level) == (corners[0].least >= *level)));
        let shares = [(1.0 - x) * (1.0 - y), x * (1.0 - y), (1.0 - x) * y, x * y];
        let least = corners.iter().zip(shares).map(|(corner, share)| corner.least * share).sum();
        let by = corners.iter().min_by(|a, b| a.least.total_cmp(&b.least)).map_or(0, |corner| corner.by);
        (finite && agree).then_some(Sample { least, by })
    }

    /// What the trial of a node gave; `None` beyond the grid and where it was not tried.
    pub fn sample(&self, shift: isize, turn: isize) -> Option<Sample> {
        let inside = (0..self.shifts as isize).contains(&shift) && (0..self.turns as isize).contains(&turn);
        if inside { self.samples.get(shift as usize * self.turns + turn as usize).copied() } else { None }
    }

    /// The node nearest to a move.
    pub fn nearest(&self, at: Move) -> (isize, isize) {
        let index = |value: f64, from: f64, to: f64, count: usize| {
            ((value - from) / (to - from) * (count - 1) as f64).round().clamp(0.0, (count - 1) as f64) as isize
        };
        (
            index(at.shift_mm, self.from.shift_mm, self.to.shift_mm, self.shifts),
            index(at.turn_deg, self.from.turn_deg, self.to.turn_deg, self.turns),
        )
    }

    /// Nodes that hold a level and are joined with the nodes next to a move by such nodes; node by
    /// node as the samples. Nodes are joined along the shift and along the turn.
    pub fn joined(&self, at: Move, level: f64) -> Vec<bool> {
        let mut joined = vec![false; self.samples.len()];
        let holds = |i: isize, j: isize| self.sample(i, j).is_some_and(|sample| sample.least >= level);
        let (i, j) = self.nearest(at);
        let mut open: Vec<(isize, isize)> = vec![(i, j)];
        while let Some((i, j)) = open.pop() {
            let place = i as usize * self.turns + j as usize;
            if !holds(i, j) || joined[place] {
                continue;
            }
            joined[place] = true;
            let around = [(i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)];
            open.extend(around.into_iter().filter(|(i, j)| self.sample(*i, *j).is_some()));
        }
        joined
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_pieces_are_not_joined() {
        // Two discs, 3 mm wide, 10 mm apart.
        let mut trial = |at: Move| {
            let near = |x: f64| 3.0 - (at.shift_mm - x).hypot(at.turn_deg);
            Sample { least: near(-5.0).max(near(5.0)), by: 0 }
        };
        let mut grid = Grid::new(Move::new(-10.0, -10.0), Move::new(10.0, 10.0), 41, 41);
        while grid.try_next(&mut trial, None) {}
        let joined = grid.joined(Move::new(5.0, 0.0), 0.0);
        for (place, joined) in joined.iter().enumerate() {
            let at = grid.node((place / 41) as isize, (place % 41) as isize);
            assert_eq!(*joined, trial(at).least >= 0.0 && at.shift_mm > 0.0, "{at:?}");
        }
        assert!(grid.joined(Move::new(0.0, 0.0), 0.0).iter().all(|joined| !joined));
    }
}
