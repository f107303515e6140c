//! Finding a room as resumable work: first how far each way goes, then the whole of it, coarse and
//! soon afterwards fine.

use super::border::{self, Ring};
use super::ellipse::{self, Ellipse};
use super::plane::{Grid, Move, Trial};
use super::reach::{self, Reach, Way};
use super::FARTHEST;
use crate::task::{Progress, Task};

/// Nodes of the coarse grid, each way.
pub const COARSE: usize = 31;
/// Nodes of the fine grid, each way.
pub const FINE: usize = 121;
/// What is looked at beyond the farthest reach at first.
const BEYOND: Move = Move { shift_mm: 12.0, turn_deg: 24.0 };

/// The room of a placement: the connected piece of moves that holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// How far each way alone goes, in the order of [`Way::ALL`]; none where the placement fails.
    pub reaches: Vec<Reach>,
    /// Its border: everything holds within.
    pub holds: Vec<Ring>,
    /// Where everything holds by at least the error.
    pub surely: Vec<Ring>,
    /// The largest ellipse inside it.
    pub best: Option<Ellipse>,
    /// Where the placement fails: the nearest move at which everything holds.
    pub nearest: Option<Move>,
    /// Whether the coarse grid was all that was looked at so far.
    pub coarse: bool,
}

/// The work. One operation is one trial, or about as much.
#[derive(Debug)]
pub struct Rooming<T> {
    trial: T,
    axes: Move,
    stage: Stage,
    done: u64,
}

#[derive(Debug)]
enum Stage {
    Ways(Vec<Reach>),
    Coarse { reaches: Vec<Reach>, grid: Grid, widened: u32 },
    Fine { room: Box<Room>, coarse: Grid, grid: Grid },
    Finished,
}

impl<T: Trial> Rooming<T> {
    /// Begins. `axes` are the errors of the landing by which the best placement is weighed.
    pub fn new(trial: T, axes: Move) -> Self {
        Rooming { trial, axes, stage: Stage::Ways(Vec::new()), done: 0 }
    }

    /// What is tried.
    pub fn trial(&self) -> &T {
        &self.trial
    }

    /// The room as far as the coarse grid shows it; `None` before that is done.
    pub fn so_far(&self) -> Option<&Room> {
        match &self.stage {
            Stage::Fine { room, .. } => Some(room),
            _ => None,
        }
    }

    fn step(&mut self) -> Option<Room> {
        match std::mem::replace(&mut self.stage, Stage::Finished) {
            Stage::Ways(mut reaches) => {
                let way = Way::ALL.into_iter().nth(reaches.len());
                let fails = reaches.is_empty() && self.trial.at(Move::default()).least < 0.0;
                match way.filter(|_| !fails) {
                    Some(way) => {
                        reaches.push(reach::reach(way, &mut self.trial));
                        self.done += 40;
                        self.stage = Stage::Ways(reaches);
                    }
                    None => {
                        let grid = around(&reaches);
                        self.stage = Stage::Coarse { reaches, grid, widened: 0 };
                    }
                }
                None
            }
            Stage::Coarse { reaches, mut grid, widened } => {
                if grid.try_next(&mut self.trial, None) {
                    self.stage = Stage::Coarse { reaches, grid, widened };
                    return None;
                }
                if reaches.is_empty() {
                    return Some(Room { nearest: nearest(&grid, self.axes), ..nowhere() });
                }
                match wider(&grid).filter(|_| widened < 3) {
                    Some(grid) => self.stage = Stage::Coarse { reaches, grid, widened: widened + 1 },
                    None => {
                        let room = self.room(reaches, &grid, true);
                        let fine = finer(&grid);
                        self.stage = Stage::Fine { room: Box::new(room), coarse: grid, grid: fine };
                    }
                }
                None
            }
            Stage::Fine { room, coarse, mut grid } => {
                if grid.try_next(&mut self.trial, Some(&coarse)) {
                    self.stage = Stage::Fine { room, coarse, grid };
                    return None;
                }
                Some(self.room(room.reaches, &grid, false))
            }
            Stage::Finished => None,
        }
    }

    fn room(&mut self, reaches: Vec<Reach>, grid: &Grid, coarse: bool) -> Room {
        let mut rings = |level: f64| {
            let inside = grid.joined(Move::default(), level);
            border::rings(grid, &inside, level, &mut self.trial)
        };
        let holds = rings(0.0);
        let surely = rings(1.0);
        let best = ellipse::largest(&holds, self.axes);
        Room { reaches, holds, surely, best, nearest: None, coarse }
    }
}

impl<T: Trial> Task for Rooming<T> {
    type Output = Room;

    fn advance(&mut self, operations: u64) -> Progress<Room> {
        let until = self.done.saturating_add(operations);
        loop {
            if let Some(room) = self.step() {
                return Progress::Done(room);
            }
            self.done += 1;
            if self.done >= until || matches!(self.stage, Stage::Finished) {
                let of = if matches!(self.stage, Stage::Finished) { 0 } else { (FINE * FINE + COARSE * COARSE) as u64 };
                return Progress::Working { done: self.done, of };
            }
        }
    }
}

fn nowhere() -> Room {
    Room {
        reaches: Vec::new(),
        holds: Vec::new(),
        surely: Vec::new(),
        best: None,
        nearest: None,
        coarse: false,
    }
}

/// A coarse grid around the ways out; all that may be looked at where the placement fails. The drawn
/// placement is its middle node.
fn around(reaches: &[Reach]) -> Grid {
    let far = |ways: [Way; 2]| {
        let of = reaches.iter().filter(|reach| ways.contains(&reach.way)).map(|reach| reach.far);
        of.fold(None, |most: Option<f64>, far| Some(most.map_or(far, |most| most.max(far))))
    };
    let shift = far([Way::Upstream, Way::Downstream]).map_or(FARTHEST.shift_mm, |far| far + BEYOND.shift_mm);
    let turn = far([Way::Front, Way::Back]).map_or(FARTHEST.turn_deg, |far| far + BEYOND.turn_deg);
    let to = Move::new(shift.min(FARTHEST.shift_mm), turn.min(FARTHEST.turn_deg));
    Grid::new(Move::new(-to.shift_mm, -to.turn_deg), to, COARSE, COARSE)
}

/// A wider grid, where the piece reaches the edge of this one and more may be looked at.
fn wider(grid: &Grid) -> Option<Grid> {
    let inside = grid.joined(Move::default(), 0.0);
    let (mut shift, mut turn) = (grid.to.shift_mm, grid.to.turn_deg);
    for (place, _) in inside.iter().enumerate().filter(|(_, inside)| **inside) {
        let (i, j) = (place / grid.turns, place % grid.turns);
        if (i == 0 || i + 1 == grid.shifts) && shift < FARTHEST.shift_mm {
            shift = FARTHEST.shift_mm;
        }
        if (j == 0 || j + 1 == grid.turns) && turn < FARTHEST.turn_deg {
            turn = FARTHEST.turn_deg;
        }
    }
    let changed = shift != grid.to.shift_mm || turn != grid.to.turn_deg;
    changed.then(|| Grid::new(Move::new(-shift, -turn), Move::new(shift, turn), grid.shifts, grid.turns))
}

/// A fine grid over the piece with a cell of the coarse one around it.
fn finer(grid: &Grid) -> Grid {
    let inside = grid.joined(Move::default(), 0.0);
    let nodes = inside.iter().enumerate().filter(|(_, inside)| **inside);
    let places = nodes.map(|(place, _)| ((place / grid.turns) as isize, (place % grid.turns) as isize));
    let start = grid.nearest(Move::default());
    let (low, high) = places.fold((start, start), |(low, high), (i, j)| {
        ((low.0.min(i), low.1.min(j)), (high.0.max(i), high.1.max(j)))
    });
    Grid::new(grid.node(low.0 - 1, low.1 - 1), grid.node(high.0 + 1, high.1 + 1), FINE, FINE)
}

/// The node nearest to the drawn placement at which everything holds, errors counted.
fn nearest(grid: &Grid, axes: Move) -> Option<Move> {
    let far = |at: &Move| (at.shift_mm / axes.shift_mm.max(1e-9)).hypot(at.turn_deg / axes.turn_deg.max(1e-9));
    let holding = grid.samples.iter().enumerate().filter(|(_, sample)| sample.least >= 0.0);
    holding
        .map(|(place, _)| grid.node((place / grid.turns) as isize, (place % grid.turns) as isize))
        .min_by(|a, b| far(a).total_cmp(&far(b)))
}

#[cfg(test)]
mod tests {
    use super::super::plane::Sample;
    use super::*;

    const AXES: Move = Move { shift_mm: 4.0, turn_deg: 16.0 };

    /// Three rules: not too far upstream, not too far downstream, not turned too far; the last leans.
    fn plan(at: Move) -> Sample {
        let sides = [(at.shift_mm + 6.2) / 2.0, (9.4 - at.shift_mm) / 2.0, (31.0 - (at.turn_deg - 2.0 * at.shift_mm).abs()) / 5.0];
        let by = (0..3).min_by(|a, b| sides[*a].total_cmp(&sides[*b])).unwrap_or(0);
        Sample { least: sides[by], by }
    }

    #[test]
    fn ways_border_and_best_of_a_known_room() {
        let room = Rooming::new(plan, AXES).finish().expect("a room");
        let far: Vec<f64> = room.reaches.iter().map(|reach| reach.far).collect();
        for (far, expected) in far.iter().zip([6.2, 9.4, 31.0, 31.0]) {
            assert!((far - expected).abs() < 1e-3, "{far} {expected}");
        }
        assert_eq!(room.reaches.iter().map(|reach| reach.by).collect::<Vec<_>>(), [Some(0), Some(1), Some(2), Some(2)]);
        assert!(!room.coarse);
        // The middle between the two straight sides, the leaning ones alike on both sides of it.
        let best = room.best.expect("a best placement").centre;
        assert!((best.shift_mm - 1.6).abs() < 0.02 && (best.turn_deg - 3.2).abs() < 0.1, "{best:?}");
        // Everything holds by its error in a smaller room inside.
        for ring in &room.surely {
            assert!(ring.iter().all(|point| border::contains(&room.holds, point.at)));
        }
        assert!(border::contains(&room.surely, Move::default()));
    }

    #[test]
    fn slices_change_nothing() {
        let whole = Rooming::new(plan, AXES).finish();
        let mut sliced = Rooming::new(plan, AXES);
        let mut coarse_seen = false;
        let found = loop {
            match sliced.advance(100) {
                Progress::Done(room) => break room,
                Progress::Working { .. } => coarse_seen |= sliced.so_far().is_some_and(|room| room.coarse),
            }
        };
        assert!(coarse_seen, "the coarse room is there before the fine one");
        assert_eq!(whole, Some(found));
        assert!(matches!(sliced.advance(1), Progress::Working { .. }));
    }

    #[test]
    fn where_the_placement_fails_the_nearest_that_holds_is_named() {
        let mut moved = |at: Move| plan(Move::new(at.shift_mm + 20.0, at.turn_deg));
        let room = Rooming::new(&mut moved, AXES).finish().expect("an answer");
        assert!(room.reaches.is_empty() && room.holds.is_empty() && room.best.is_none());
        let nearest = room.nearest.expect("one holds");
        assert!(plan(Move::new(nearest.shift_mm + 20.0, nearest.turn_deg)).least >= 0.0, "{nearest:?}");
        let nowhere = Rooming::new(|_: Move| Sample { least: -1.0, by: 0 }, AXES).finish().expect("an answer");
        assert_eq!(nowhere.nearest, None);
    }
}
