//! How far a placement may be moved along one thing alone, and what fails first there.

use super::border::depth;
use super::plane::{Move, Sample, Trial};
use crate::numeric::roots;

/// A way out of the drawn placement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Against the blood.
    Upstream,
    /// With the blood.
    Downstream,
    /// Towards larger clock.
    Front,
    /// Towards smaller clock.
    Back,
}

impl Way {
    /// All four, in the order in which they are said.
    pub const ALL: [Way; 4] = [Way::Upstream, Way::Downstream, Way::Front, Way::Back];

    /// As reports and sentences name it.
    pub fn as_str(self) -> &'static str {
        match self {
            Way::Upstream => "upstream",
            Way::Downstream => "downstream",
            Way::Front => "front",
            Way::Back => "back",
        }
    }

    /// The move this far along the way, mm or degrees.
    pub fn by(self, far: f64) -> Move {
        match self {
            Way::Upstream => Move::new(-far, 0.0),
            Way::Downstream => Move::new(far, 0.0),
            Way::Front => Move::new(0.0, far),
            Way::Back => Move::new(0.0, -far),
        }
    }

    /// Farthest looked, and the step in which is looked: mm or degrees.
    fn looks(self) -> (f64, f64) {
        match self {
            Way::Upstream | Way::Downstream => (super::FARTHEST.shift_mm, 1.0),
            Way::Front | Way::Back => (super::FARTHEST.turn_deg, 3.0),
        }
    }
}

/// How far one way goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Which way.
    pub way: Way,
    /// How far everything holds, mm or degrees.
    pub far: f64,
    /// What fails just beyond; `None` where nothing fails as far as was looked.
    pub by: Option<usize>,
}

/// Going one way until something fails, a look at a time. At the drawn placement everything must hold.
#[derive(Clone, Copy, Debug)]
pub struct Reaching {
    way: Way,
    held: f64,
}

impl Reaching {
    /// Begins at the drawn placement.
    pub fn new(way: Way) -> Self {
        Reaching { way, held: 0.0 }
    }

    /// Looks once more; how far it goes when that is found.
    pub fn go_on(&mut self, trial: &mut impl Trial) -> Option<Reach> {
        let (way, held) = (self.way, self.held);
        let (farthest, step) = way.looks();
        let next = f64::min(held + step, farthest);
        let there: Sample = trial.at(way.by(next));
        if there.least < 0.0 {
            let mut by = there.by;
            let far = roots::bracketed(held, next, 1e-4, |far| {
                let sample = trial.at(way.by(far));
                if sample.least < 0.0 {
                    by = sample.by;
                }
                depth(sample.least)
            });
            return (!trial.short()).then_some(Reach { way, far: far.unwrap_or(held), by: Some(by) });
        }
        if trial.short() {
            return None;
        }
        self.held = next;
        (next >= farthest).then_some(Reach { way, far: farthest, by: None })
    }
}

impl Reach {
    /// The same found anew, by what a trial can tell of the one that fails.
    pub fn anew(mut self, trial: &mut impl Trial) -> Self {
        /// Farther than this the first answer was not off, mm or degrees.
        const NEAR: f64 = 1.0;
        let Some(by) = self.by else { return self };
        let mut margin = |far: f64| trial.anew(self.way.by(far), by).map_or(f64::NAN, |margin| margin.max(-1e6));
        let within = [(self.far - NEAR).max(0.0), self.far + NEAR];
        if let Some(far) = roots::near(self.far, 0.02, within, 1e-4, &mut margin) {
            self.far = far;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_to_its_own_end() {
        let mut trial = |at: Move| {
            let sides = [at.shift_mm + 6.04, 9.0 - at.shift_mm, 25.3 - at.turn_deg];
            let by = (0..3).min_by(|a, b| sides[*a].total_cmp(&sides[*b])).unwrap_or(0);
            Sample { least: sides[by], by }
        };
        let far = Way::ALL.map(|way| {
            let mut reaching = Reaching::new(way);
            loop {
                if let Some(reach) = reaching.go_on(&mut trial) {
                    return reach;
                }
            }
        });
        for (reach, (far, by)) in far.iter().zip([(6.04, Some(0)), (9.0, Some(1)), (25.3, Some(2)), (180.0, None)]) {
            assert!((reach.far - far).abs() < 1e-3 && reach.by == by, "{reach:?}");
        }
    }
}
