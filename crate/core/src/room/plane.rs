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

/// Something that can be tried at any move.
pub trait Trial {
    /// Judges one move.
    fn at(&mut self, at: Move) -> Sample;
}

impl<F: FnMut(Move) -> Sample> Trial for F {
    fn at(&mut self, at: Move) -> Sample {
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
}

impl Grid {
    /// A grid whose nodes are not tried yet; at least three nodes each way.
    pub fn new(from: Move, to: Move, shifts: usize, turns: usize) -> Self {
        let (shifts, turns) = (shifts.max(3), turns.max(3));
        Grid { from, to, shifts, turns, samples: Vec::with_capacity(shifts * turns) }
    }

    /// The move of a node; nodes beyond the grid lie on its border.
    pub fn node(&self, shift: isize, turn: isize) -> Move {
        let share = |at: isize, count: usize| at.clamp(0, count as isize - 1) as f64 / (count - 1) as f64;
        Move {
            shift_mm: self.from.shift_mm + share(shift, self.shifts) * (self.to.shift_mm - self.from.shift_mm),
            turn_deg: self.from.turn_deg + share(turn, self.turns) * (self.to.turn_deg - self.from.turn_deg),
        }
    }

    /// Tries the next node; says whether there was one.
    pub fn try_next(&mut self, trial: &mut impl Trial) -> bool {
        let next = self.samples.len();
        if next >= self.shifts * self.turns {
            return false;
        }
        let at = self.node((next / self.turns) as isize, (next % self.turns) as isize);
        self.samples.push(trial.at(at));
        true
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
        while grid.try_next(&mut trial) {}
        let joined = grid.joined(Move::new(5.0, 0.0), 0.0);
        for (place, joined) in joined.iter().enumerate() {
            let at = grid.node((place / 41) as isize, (place % 41) as isize);
            assert_eq!(*joined, trial(at).least >= 0.0 && at.shift_mm > 0.0, "{at:?}");
        }
        assert!(grid.joined(Move::new(0.0, 0.0), 0.0).iter().all(|joined| !joined));
    }
}
