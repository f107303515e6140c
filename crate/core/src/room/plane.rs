//! The plane of placements: how far a graft is slid and turned from where it is drawn.
//!
//! Knows no graft and no rule; what is judged comes in as a [`Trial`].

use super::ration::Ration;

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
    /// Judges one move.
    fn at(&mut self, at: Move) -> Sample;

    /// Judges one move by one of the judged alone, as exactly as it can be; `None` where a trial is
    /// exact already.
    fn anew(&mut self, _at: Move, _by: usize) -> Option<f64> {
        None
    }

    /// How much costly work comes now, until the next ration.
    fn ration(&mut self, _ration: Ration) {}

    /// Whether the ration ran out: then answers since are none, and the same is to be asked again.
    fn short(&self) -> bool {
        false
    }
}

impl<F: FnMut(Move) -> Sample> Trial for F {
    fn at(&mut self, at: Move) -> Sample {
        self(at)
    }
}

/// Trials on an even grid, of which only those are made that are asked for.
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
    samples: Vec<Option<Sample>>,
}

impl Grid {
    /// A grid whose nodes are not tried yet; at least three nodes each way.
    pub fn new(from: Move, to: Move, shifts: usize, turns: usize) -> Self {
        let (shifts, turns) = (shifts.max(3), turns.max(3));
        Grid { from, to, shifts, turns, samples: vec![None; shifts * turns] }
    }

    /// The move of a node; nodes beyond the grid lie on its border.
    pub fn node(&self, shift: isize, turn: isize) -> Move {
        let share = |at: isize, count: usize| at.clamp(0, count as isize - 1) as f64 / (count - 1) as f64;
        Move {
            shift_mm: self.from.shift_mm + share(shift, self.shifts) * (self.to.shift_mm - self.from.shift_mm),
            turn_deg: self.from.turn_deg + share(turn, self.turns) * (self.to.turn_deg - self.from.turn_deg),
        }
    }

    fn place(&self, shift: isize, turn: isize) -> Option<usize> {
        let inside = (0..self.shifts as isize).contains(&shift) && (0..self.turns as isize).contains(&turn);
        inside.then(|| shift as usize * self.turns + turn as usize)
    }

    /// Whether a node lies on the grid.
    pub fn has(&self, shift: isize, turn: isize) -> bool {
        self.place(shift, turn).is_some()
    }

    /// Tries a node where that was not done yet; `None` beyond the grid.
    pub fn tried(&mut self, shift: isize, turn: isize, trial: &mut impl Trial) -> Option<Sample> {
        let place = self.place(shift, turn)?;
        if let Some(known) = self.samples[place] {
            return Some(known);
        }
        let sample = trial.at(self.node(shift, turn));
        if !trial.short() {
            self.samples[place] = Some(sample);
        }
        Some(sample)
    }

    /// What the trial of a node gave; `None` beyond the grid and where it was not tried.
    pub fn sample(&self, shift: isize, turn: isize) -> Option<Sample> {
        self.samples[self.place(shift, turn)?]
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

    /// Every node in order, shift by shift.
    pub fn nodes(&self) -> impl Iterator<Item = (isize, isize)> + use<> {
        let (shifts, turns) = (self.shifts as isize, self.turns as isize);
        (0..shifts).flat_map(move |i| (0..turns).map(move |j| (i, j)))
    }
}

/// The nodes of a grid that hold a level and are joined with the node next to a move by such nodes,
/// along the shift or along the turn. Only they and their neighbours are tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The level.
    pub level: f64,
    /// Which nodes belong to it, in the order of [`Grid::nodes`].
    inside: Vec<bool>,
    open: Vec<(isize, isize)>,
}

impl Piece {
    /// Begins at the node next to a move.
    pub fn new(grid: &Grid, at: Move, level: f64) -> Self {
        Piece { level, inside: vec![false; grid.shifts * grid.turns], open: vec![grid.nearest(at)] }
    }

    /// Looks at one more node; says whether there was one.
    pub fn grow(&mut self, grid: &mut Grid, trial: &mut impl Trial) -> bool {
        let Some((i, j)) = self.open.pop() else { return false };
        let Some(place) = grid.place(i, j).filter(|place| !self.inside[*place]) else { return true };
        let holds = grid.tried(i, j, trial).is_some_and(|sample| sample.least >= self.level);
        if trial.short() {
            self.open.push((i, j));
        } else if holds {
            self.inside[place] = true;
            // Turning first: trials at one shift share more.
            self.open.extend([(i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)]);
        }
        true
    }

    /// Whether a node belongs to it.
    pub fn has(&self, grid: &Grid, shift: isize, turn: isize) -> bool {
        grid.place(shift, turn).is_some_and(|place| self.inside[place])
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
        let mut piece = Piece::new(&grid, Move::new(5.0, 0.0), 0.0);
        while piece.grow(&mut grid, &mut trial) {}
        for (i, j) in grid.nodes() {
            let at = grid.node(i, j);
            assert_eq!(piece.has(&grid, i, j), trial(at).least >= 0.0 && at.shift_mm > 0.0, "{at:?}");
        }
        let tried = grid.nodes().filter(|(i, j)| grid.sample(*i, *j).is_some()).count();
        assert!(tried < 41 * 41 / 4, "only the piece and what is around it: {tried}");
        let mut nothing = Piece::new(&grid, Move::new(0.0, 0.0), 0.0);
        while nothing.grow(&mut grid, &mut trial) {}
        assert!(grid.nodes().all(|(i, j)| !nothing.has(&grid, i, j)));
    }
}
