//! Where in the whole plane of placements a graft may hold at all.
//!
//! Every placement of an even grid is tried; of those that hold the one farthest from any that does not
//! is where its room is best looked for. Where none holds, the placement at which the fewest fail is
//! taken. Knows no graft and no rule.

use crate::room::FARTHEST;
use crate::room::plane::{Move, Trial};
use crate::room::ration::Ration;

/// Between placements along the aorta, mm.
const SHIFT_MM: f64 = 2.0;
/// Between placements around, degrees.
const TURN_DEG: f64 = 10.0;
const SHIFTS: usize = 61;
const TURNS: usize = 36;

/// What a placement of the grid gives.
#[derive(Clone, Copy, Debug)]
struct Node {
    /// How many of the judged fail.
    fail: usize,
    /// The least of all.
    least: f64,
}

/// Where to look on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seed {
    /// The placement.
    pub at: Move,
    /// Whether everything holds there.
    pub holds: bool,
}

/// Looking over the plane, a placement at a time.
#[derive(Clone, Debug)]
pub struct Search {
    /// Counts all that fail instead of stopping at the first.
    counts: bool,
    nodes: Vec<Node>,
}

impl Search {
    /// For placements that hold.
    pub fn holding() -> Self {
        Search { counts: false, nodes: Vec::new() }
    }

    /// For the placement at which the fewest fail.
    pub fn fewest() -> Self {
        Search { counts: true, nodes: Vec::new() }
    }

    fn at(place: usize) -> Move {
        let (shift, turn) = (place / TURNS, place % TURNS);
        Move::new(shift as f64 * SHIFT_MM - FARTHEST.shift_mm, turn as f64 * TURN_DEG - FARTHEST.turn_deg)
    }

    /// Tries one more; says whether all are tried. `quick` gives each of the judged that is quickly found.
    pub fn go_on<T: Trial>(&mut self, trial: &mut T, quick: impl FnOnce(&mut T, Move) -> Vec<f64>) -> bool {
        if self.nodes.len() >= SHIFTS * TURNS {
            return true;
        }
        let at = Self::at(self.nodes.len());
        trial.ration(Ration::PIECE);
        let node = if self.counts {
            let each = quick(trial, at);
            let worst = |value: &f64| if value.is_nan() { f64::NEG_INFINITY } else { *value };
            let fail = each.iter().filter(|value| worst(value) < 0.0).count();
            Node { fail, least: each.iter().map(worst).fold(f64::INFINITY, f64::min) }
        } else {
            let least = trial.at(at).least;
            Node { fail: usize::from(least < 0.0), least }
        };
        if !trial.short() {
            self.nodes.push(node);
        }
        trial.ration(Ration::ENDLESS);
        false
    }

    /// Where to look on, distances counted in errors of the landing; `None` before anything was tried.
    pub fn seed(&self, axes: Move) -> Option<Seed> {
        // The nearest that fails has one beside it that holds.
        let holds = |place: usize| self.nodes.get(place).is_some_and(|node| node.fail == 0);
        let beside = |place: usize| {
            let row = place - place % TURNS;
            let around = [(place + 1) % TURNS, (place + TURNS - 1) % TURNS].map(|turn| row + turn);
            around.into_iter().chain(place.checked_sub(TURNS)).chain([place + TURNS])
        };
        let fails = |place: &usize| !holds(*place) && beside(*place).any(holds);
        let outside: Vec<Move> = (0..self.nodes.len()).filter(fails).map(Self::at).collect();
        let apart = |a: Move, b: Move| {
            let turn = (a.turn_deg - b.turn_deg).abs();
            let turn = turn.min(360.0 - turn) / axes.turn_deg;
            ((a.shift_mm - b.shift_mm) / axes.shift_mm).hypot(turn)
        };
        let depth = |at: Move| outside.iter().map(|out| apart(at, *out)).fold(f64::INFINITY, f64::min);
        let mut deepest: Option<(Move, f64)> = None;
        for at in (0..self.nodes.len()).filter(|place| holds(*place)).map(Self::at) {
            let own = depth(at);
            if deepest.is_none_or(|(_, best)| own > best + 1e-9) {
                deepest = Some((at, own));
            }
        }
        if let Some((at, _)) = deepest {
            return Some(Seed { at, holds: true });
        }
        let better = |a: &Node, b: &Node| a.fail < b.fail || a.fail == b.fail && a.least > b.least + 1e-9;
        let mut best: Option<(usize, &Node)> = None;
        for (place, node) in self.nodes.iter().enumerate() {
            if best.is_none_or(|(_, known)| better(node, known)) {
                best = Some((place, node));
            }
        }
        best.map(|(place, _)| Seed { at: Self::at(place), holds: false })
    }
}

/// Looking around a placement at which nothing holds for one nearby at which everything does.
#[derive(Clone, Debug)]
pub struct Nearby {
    around: Move,
    next: i32,
    best: Option<(Move, f64)>,
}

impl Nearby {
    /// Steps to either side, along and around.
    const STEPS: i32 = 8;

    /// Begins.
    pub fn of(around: Move) -> Self {
        Nearby { around, next: 0, best: None }
    }

    /// Tries one more; says whether all are tried.
    pub fn go_on(&mut self, trial: &mut impl Trial) -> bool {
        let across = 2 * Self::STEPS + 1;
        if self.next >= across * across {
            return true;
        }
        let step = |k: i32, whole: f64| f64::from(k - Self::STEPS) * whole / f64::from(Self::STEPS);
        let (along, turned) = (step(self.next / across, SHIFT_MM), step(self.next % across, TURN_DEG));
        let at = Move::new(self.around.shift_mm + along, self.around.turn_deg + turned);
        trial.ration(Ration::PIECE);
        let least = trial.at(at).least;
        if !trial.short() {
            self.next += 1;
            if least >= 0.0 && self.best.is_none_or(|(_, known)| least > known) {
                self.best = Some((at, least));
            }
        }
        trial.ration(Ration::ENDLESS);
        false
    }

    /// The one found that holds by most.
    pub fn best(&self) -> Option<Move> {
        self.best.map(|(at, _)| at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::room::plane::Sample;

    const AXES: Move = Move { shift_mm: 4.0, turn_deg: 16.0 };

    fn found(mut trial: impl FnMut(Move) -> f64) -> Option<Seed> {
        let mut search = Search::holding();
        let mut trial = |at: Move| Sample { least: trial(at), by: 0 };
        while !search.go_on(&mut trial, |_, _| Vec::new()) {}
        search.seed(AXES)
    }

    #[test]
    fn the_wider_of_two_rooms_over_the_seam() {
        let seed = found(|at| {
            let narrow = 3.0 - at.shift_mm.abs().max((at.turn_deg / 4.0).abs());
            let turn = 180.0 - at.turn_deg.abs();
            narrow.max(9.0 - (at.shift_mm - 30.0).abs().max(turn / 4.0))
        });
        let seed = seed.expect("a seed");
        assert!(seed.holds && (seed.at.shift_mm - 30.0).abs() < 3.0 && seed.at.turn_deg.abs() > 165.0, "{seed:?}");
    }

    #[test]
    fn nothing_holds_and_what_lies_between_the_grid_is_found_nearby() {
        let hidden = |at: Move| 0.4 - (at.shift_mm - 7.1).abs().max((at.turn_deg - 14.0).abs() / 8.0);
        let seed = found(hidden).expect("the least bad");
        assert!(!seed.holds);
        let mut nearby = Nearby::of(seed.at);
        while !nearby.go_on(&mut |at: Move| Sample { least: hidden(at), by: 0 }) {}
        let at = nearby.best().expect("nearby");
        assert!(hidden(at) >= 0.0, "{at:?}");
    }
}
