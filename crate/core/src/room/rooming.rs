//! Finding a room as resumable work: how far each way goes, then which nodes of a grid belong to the
//! piece and its border, coarsely and then finely, and last the same border anew, as exactly as a trial
//! can tell, with the best placement.

use super::FARTHEST;
use super::border::{ACCURACY, Anew, Ring, Tracing};
use super::ellipse::{self, Ellipse};
use super::plane::{Grid, Move, Piece, Trial};
use super::ration::Ration;
use super::reach::{Reach, Reaching, Way};
use crate::task::{Progress, Task};

/// Nodes of the grid, each way, at first and in the end. The border is found between them; what is
/// narrower than a cell on all sides of the placement's own piece is not looked for.
pub const NODES: [usize; 2] = [31, 121];
/// What is looked at beyond the farthest reach at first.
const BEYOND: Move = Move { shift_mm: 6.0, turn_deg: 12.0 };
/// Trials of a room, about, for saying how far the work has come.
const ABOUT: u64 = 20_000;

/// The room of a placement: the connected piece of moves that holds it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Room {
    /// How far each way alone goes, in the order of [`Way::ALL`]; none where the placement fails.
    pub reaches: Vec<Reach>,
    /// Its border: everything holds within.
    pub holds: Vec<Ring>,
    /// Where everything holds by at least the error.
    pub surely: Vec<Ring>,
    /// The largest ellipse inside it.
    pub best: Option<Ellipse>,
    /// Where the placement fails: the nearest move found at which everything holds.
    pub nearest: Option<Move>,
}

/// The work. One operation is about one trial.
#[derive(Debug)]
pub struct Rooming<T> {
    trial: T,
    axes: Move,
    room: Room,
    stage: Stage,
    done: u64,
    nodes: [usize; 2],
}

#[derive(Debug)]
enum Stage {
    Ways(Option<Reaching>),
    /// The placement fails: every node is tried for the nearest that holds.
    Seeking(Grid, usize),
    /// From there nearer to it.
    Nearing(Nearing),
    Growing(Grid, Piece),
    Tracing(Grid, Piece, Box<Tracing>),
    /// What was found is found anew: ways, then the rings of both levels, last first.
    Anew(usize, Vec<Ring>, Option<Box<Anew>>),
    Finished,
}

impl<T: Trial> Rooming<T> {
    /// Begins. `axes` are the errors of the landing by which the best placement is weighed.
    pub fn new(trial: T, axes: Move) -> Self {
        Self::on(trial, axes, NODES)
    }

    /// On grids of other numbers of nodes.
    pub fn on(trial: T, axes: Move, nodes: [usize; 2]) -> Self {
        Rooming { trial, axes, room: Room::default(), stage: Stage::Ways(None), done: 0, nodes }
    }

    /// What is tried.
    pub fn trial(&self) -> &T {
        &self.trial
    }

    /// The same, to try more with it.
    pub fn trial_mut(&mut self) -> &mut T {
        &mut self.trial
    }

    /// What was tried, for other work.
    pub fn into_trial(self) -> T {
        self.trial
    }

    /// What is known so far: the ways are there first, then a border on the coarse grid. `None` before
    /// all four ways are.
    pub fn so_far(&self) -> Option<&Room> {
        (self.room.reaches.len() == Way::ALL.len()).then_some(&self.room)
    }

    fn step(&mut self) -> Option<Room> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Finished) {
            Stage::Ways(None) => {
                let fails = self.room.reaches.is_empty() && self.trial.at(Move::default()).least < 0.0;
                if self.trial.short() {
                    Stage::Ways(None)
                } else if fails {
                    Stage::Seeking(around(&self.room.reaches, self.nodes[0]), 0)
                } else if let Some(way) = Way::ALL.into_iter().nth(self.room.reaches.len()) {
                    Stage::Ways(Some(Reaching::new(way)))
                } else {
                    let grid = around(&self.room.reaches, self.nodes[0]);
                    let piece = Piece::new(&grid, Move::default(), 0.0);
                    Stage::Growing(grid, piece)
                }
            }
            Stage::Ways(Some(mut reaching)) => {
                let found = reaching.go_on(&mut self.trial);
                let over = found.is_some();
                self.room.reaches.extend(found);
                Stage::Ways((!over).then_some(reaching))
            }
            Stage::Seeking(mut grid, next) => match grid.nodes().nth(next) {
                Some((i, j)) => {
                    grid.tried(i, j, &mut self.trial);
                    Stage::Seeking(grid, next + usize::from(!self.trial.short()))
                }
                None => match nearest(&grid, self.axes) {
                    Some(at) => Stage::Nearing(Nearing::from(at, &grid)),
                    // A room narrower than the nodes are apart.
                    None if grid.shifts < self.nodes[1] => Stage::Seeking(around(&[], self.nodes[1]), 0),
                    None => return Some(std::mem::take(&mut self.room)),
                },
            },
            Stage::Nearing(mut nearing) => {
                if nearing.go_on(&mut self.trial, self.axes) {
                    self.room.nearest = Some(nearing.at);
                    return Some(std::mem::take(&mut self.room));
                }
                Stage::Nearing(nearing)
            }
            Stage::Growing(mut grid, mut piece) => {
                if piece.grow(&mut grid, &mut self.trial) {
                    Stage::Growing(grid, piece)
                } else if let Some(grid) = wider(&grid, &piece) {
                    let piece = Piece::new(&grid, Move::default(), piece.level);
                    Stage::Growing(grid, piece)
                } else {
                    let tracing = Box::new(Tracing::new(&grid, &piece));
                    Stage::Tracing(grid, piece, tracing)
                }
            }
            Stage::Tracing(mut grid, piece, mut tracing) => match tracing.go_on(&mut grid, &piece, &mut self.trial) {
                None => Stage::Tracing(grid, piece, tracing),
                Some(rings) if piece.level == 0.0 => {
                    self.room.best = ellipse::largest(&rings, self.axes);
                    self.room.holds = rings;
                    // The same again on the fine grid, then what holds by its error.
                    let (grid, level) = match grid.shifts < self.nodes[1] {
                        true => (Grid::new(grid.from, grid.to, self.nodes[1], self.nodes[1]), 0.0),
                        false => (grid, 1.0),
                    };
                    let piece = Piece::new(&grid, Move::default(), level);
                    Stage::Growing(grid, piece)
                }
                Some(rings) => {
                    self.room.surely = rings;
                    Stage::Anew(0, Vec::new(), None)
                }
            },
            Stage::Anew(done, mut rings, anew) => {
                let (ways, holds) = (Way::ALL.len(), self.room.holds.len());
                match anew {
                    Some(mut anew) => match anew.go_on(&mut self.trial) {
                        None => Stage::Anew(done, rings, Some(anew)),
                        Some(ring) => {
                            rings.push(ring);
                            Stage::Anew(done + 1, rings, None)
                        }
                    },
                    None if done < ways => {
                        let reach = self.room.reaches[done].anew(&mut self.trial);
                        if self.trial.short() {
                            Stage::Anew(done, rings, None)
                        } else {
                            self.room.reaches[done] = reach;
                            Stage::Anew(done + 1, rings, None)
                        }
                    }
                    None => {
                        let ring = done - ways;
                        let next = self.room.holds.get(ring).map(|ring| (ring, 0.0));
                        let next = next.or_else(|| Some((self.room.surely.get(ring - holds)?, 1.0)));
                        if let Some((ring, level)) = next {
                            let anew = Box::new(Anew::new(ring, level));
                            Stage::Anew(done, rings, Some(anew))
                        } else {
                            self.room.surely = rings.split_off(holds);
                            self.room.best = ellipse::largest(&rings, self.axes);
                            self.room.holds = rings;
                            return Some(std::mem::take(&mut self.room));
                        }
                    }
                }
            }
            Stage::Finished => Stage::Finished,
        };
        None
    }
}

impl<T: Trial> Task for Rooming<T> {
    type Output = Room;

    fn advance(&mut self, operations: u64) -> Progress<Room> {
        let until = self.done.saturating_add(operations);
        let ration = if operations == u64::MAX { Ration::ENDLESS } else { Ration::PIECE };
        loop {
            self.trial.ration(ration);
            let found = self.step();
            self.trial.ration(Ration::ENDLESS);
            if let Some(room) = found {
                return Progress::Done(room);
            }
            self.done += 1;
            if matches!(self.stage, Stage::Finished) {
                return Progress::Working { done: self.done, of: 0 };
            }
            if self.done >= until {
                return Progress::Working { done: self.done, of: ABOUT.max(self.done + 1) };
            }
        }
    }
}

/// A grid around the ways out, or all that may be looked at where the placement fails. The drawn
/// placement is its middle node.
fn around(reaches: &[Reach], nodes: usize) -> Grid {
    let far = |ways: [Way; 2]| {
        let of = reaches.iter().filter(|reach| ways.contains(&reach.way)).map(|reach| reach.far);
        of.fold(None, |most: Option<f64>, far| Some(most.map_or(far, |most| most.max(far))))
    };
    let shift = far([Way::Upstream, Way::Downstream]).map_or(FARTHEST.shift_mm, |far| far + BEYOND.shift_mm);
    let turn = far([Way::Front, Way::Back]).map_or(FARTHEST.turn_deg, |far| far + BEYOND.turn_deg);
    let to = Move::new(shift.min(FARTHEST.shift_mm), turn.min(FARTHEST.turn_deg));
    Grid::new(Move::new(-to.shift_mm, -to.turn_deg), to, nodes, nodes)
}

/// A wider grid, where the piece reaches the edge of this one and more may be looked at.
fn wider(grid: &Grid, piece: &Piece) -> Option<Grid> {
    if piece.level != 0.0 {
        return None;
    }
    let (mut shift, mut turn) = (grid.to.shift_mm, grid.to.turn_deg);
    for (i, j) in grid.nodes().filter(|(i, j)| piece.has(grid, *i, *j)) {
        if i == 0 || i + 1 == grid.shifts as isize {
            shift = (2.0 * grid.to.shift_mm).min(FARTHEST.shift_mm);
        }
        if j == 0 || j + 1 == grid.turns as isize {
            turn = (2.0 * grid.to.turn_deg).min(FARTHEST.turn_deg);
        }
    }
    let changed = shift != grid.to.shift_mm || turn != grid.to.turn_deg;
    changed.then(|| Grid::new(Move::new(-shift, -turn), Move::new(shift, turn), grid.shifts, grid.turns))
}

/// How far a move is from the drawn placement, errors counted.
fn far(at: Move, axes: Move) -> f64 {
    (at.shift_mm / axes.shift_mm).hypot(at.turn_deg / axes.turn_deg)
}

/// The node nearest to the drawn placement at which everything holds, errors counted.
fn nearest(grid: &Grid, axes: Move) -> Option<Move> {
    let holding = grid.nodes().filter(|(i, j)| grid.sample(*i, *j).is_some_and(|sample| sample.least >= 0.0));
    holding.map(|(i, j)| grid.node(i, j)).min_by(|a, b| far(*a, axes).total_cmp(&far(*b, axes)))
}

/// From a placement that holds to the nearest one about it that does, in ever smaller steps.
#[derive(Debug)]
struct Nearing {
    at: Move,
    step: Move,
    way: usize,
    moved: bool,
}

impl Nearing {
    const WAYS: [[f64; 2]; 8] =
        [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0], [1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0]];

    /// Begins at a node of a grid.
    fn from(at: Move, grid: &Grid) -> Self {
        let nodes = |from: f64, to: f64, count: usize| (to - from) / (count - 1) as f64;
        let step = Move::new(
            nodes(grid.from.shift_mm, grid.to.shift_mm, grid.shifts),
            nodes(grid.from.turn_deg, grid.to.turn_deg, grid.turns),
        );
        Nearing { at, step, way: 0, moved: false }
    }

    /// Tries one way more; says whether it is as near as a border is exact.
    fn go_on(&mut self, trial: &mut impl Trial, axes: Move) -> bool {
        let Some([along, around]) = Self::WAYS.get(self.way) else {
            if !self.moved {
                self.step = Move::default().towards(self.step, 0.5);
            }
            (self.way, self.moved) = (0, false);
            return self.step.shift_mm < ACCURACY.shift_mm && self.step.turn_deg < ACCURACY.turn_deg;
        };
        let there =
            Move::new(self.at.shift_mm + along * self.step.shift_mm, self.at.turn_deg + around * self.step.turn_deg);
        let nearer = far(there, axes) < far(self.at, axes) - 1e-9;
        let holds = nearer && trial.at(there).least >= 0.0;
        if trial.short() {
            return false;
        }
        if holds {
            (self.at, self.moved) = (there, true);
        } else {
            self.way += 1;
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::super::border;
    use super::super::plane::Sample;
    use super::*;

    const AXES: Move = Move { shift_mm: 4.0, turn_deg: 16.0 };

    /// Three rules: not too far upstream, not too far downstream, not turned too far; the last leans.
    fn plan(at: Move) -> Sample {
        let sides = [
            (at.shift_mm + 6.2) / 2.0,
            (9.4 - at.shift_mm) / 2.0,
            (31.0 - (at.turn_deg - 2.0 * at.shift_mm).abs()) / 5.0,
        ];
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
        let mut ways_seen = false;
        let found = loop {
            match sliced.advance(100) {
                Progress::Done(room) => break room,
                Progress::Working { .. } => ways_seen |= sliced.so_far().is_some_and(|room| room.holds.is_empty()),
            }
        };
        assert!(ways_seen, "the ways are there before the border");
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
        // Downstream it holds up to 9.4 mm and 31° about twice that. The nearest to 20 mm, counted in errors of
        // 4 mm and 16°, by all placements of 0.02 mm and 0.1°.
        let size = |at: Move| (at.shift_mm / AXES.shift_mm).hypot(at.turn_deg / AXES.turn_deg);
        let least = (0..1500).flat_map(|i| (-900..900).map(move |j| (i, j))).filter_map(|(i, j)| {
            let at = Move::new(-0.02 * f64::from(i), 0.1 * f64::from(j));
            (plan(Move::new(at.shift_mm + 20.0, at.turn_deg)).least >= 0.0).then(|| size(at))
        });
        let least = least.fold(f64::INFINITY, f64::min);
        assert!(size(nearest) < least + 0.03, "{nearest:?} {} {least}", size(nearest));
        // A room narrower than the coarse nodes are apart, and between them.
        let narrow =
            |at: Move| Sample { least: 1.5 - (at.shift_mm + 14.1).abs().max((at.turn_deg - 18.0).abs() / 4.0), by: 0 };
        let room = Rooming::new(narrow, AXES).finish().expect("an answer");
        assert!(room.nearest.is_some_and(|at| narrow(at).least >= 0.0), "{:?}", room.nearest);
        let nowhere = Rooming::new(|_: Move| Sample { least: -1.0, by: 0 }, AXES).finish().expect("an answer");
        assert_eq!(nowhere.nearest, None);
    }
}
