//! The chance that the placement rules hold if errors are as entered: where the graft lands, how it comes
//! to lie turned, and what the CT was misread by.
//!
//! Landings and errors of the CT are drawn from a fixed seed and each drawn placement is judged. An ostium
//! that lies elsewhere than it was measured is judged as the graft moved the other way against it; what else
//! was misread moves a margin by its own error. The same draws serve every question, so that what one error
//! costs is not blurred by chance. Errors that nobody entered give no chance.

use super::Forgiveness;
use super::normal;
use super::plane::Move;
use super::trial::PlanTrial;
use crate::casefile::case::{Errors, Rule};
use crate::plan::Plan;
use crate::task::{Progress, Task};
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::sync::Arc;

/// Draws for each question.
pub const DRAWS: u32 = 4096;

/// An error that can be thought away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Uncertainty {
    /// Where the graft lands along the aorta.
    Landing,
    /// How it is turned when it has landed.
    Rotation,
    /// Stations on the CT.
    Station,
    /// Clock positions on the CT.
    Clock,
    /// Diameters on the CT.
    Diameter,
    /// Bridging paths, by take-off and place of the ostium.
    Path,
}

impl Uncertainty {
    /// All of them.
    pub const ALL: [Uncertainty; 6] = [
        Uncertainty::Landing,
        Uncertainty::Rotation,
        Uncertainty::Station,
        Uncertainty::Clock,
        Uncertainty::Diameter,
        Uncertainty::Path,
    ];

    /// As reports name it.
    pub fn as_str(self) -> &'static str {
        match self {
            Uncertainty::Landing => "landing",
            Uncertainty::Rotation => "rotation",
            Uncertainty::Station => "station",
            Uncertainty::Clock => "clock",
            Uncertainty::Diameter => "diameter",
            Uncertainty::Path => "path",
        }
    }
}

/// The chance, with what it hangs on. Shares of 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Chance {
    /// That every required rule holds.
    pub holds: f64,
    /// One standard deviation of that by the finite number of draws.
    pub drawing_error: f64,
    /// With all errors half as large.
    pub half: f64,
    /// With all errors twice as large.
    pub double: f64,
    /// By the landing alone, as if the CT were exact: the room's own share.
    pub landing_alone: f64,
    /// With one error thought away, that which costs most first.
    pub without: Vec<(Uncertainty, f64)>,
}

/// Finding the chance, in pieces. An operation is one draw.
#[derive(Debug)]
pub struct Chancing {
    trial: PlanTrial,
    errors: Errors,
    landing_alone: f64,
    /// Of each of the judged: what of its error is drawn.
    hangs_on: Vec<HangsOn>,
    ostia: usize,
    points: usize,
    /// Questions: all errors times this, with one thought away.
    questions: Vec<(f64, Option<Uncertainty>)>,
    /// How many of the draws of each question hold.
    held: Vec<u32>,
    drawn: u32,
    random: Random,
}

/// What moves the margin of one of the judged.
#[derive(Clone, Copy, Debug)]
enum HangsOn {
    /// Where its ostium lies.
    Ostium(usize),
    /// A number of its own: which error, and which of the numbers drawn.
    Own(Uncertainty, usize),
}

impl Chancing {
    /// Of a plan whose room was found; `None` where errors were not entered, or where nothing holds or
    /// something is unknown. `tried` is what the room was found with.
    pub fn of(plan: &Plan, found: &Forgiveness, tried: &PlanTrial) -> Option<Self> {
        let errors = plan.case.errors.clone();
        if !errors.entered_by_user || !found.holds() || !found.whole {
            return None;
        }
        // A rule with two limits is two: an error goes one way.
        let split = plan.rules.iter().flat_map(|rule| match (rule.at_least, rule.at_most) {
            (Some(_), Some(_)) => {
                let other = |end: &str, rule: Rule| Rule { id: format!("{} {end}", rule.id), ..rule };
                let (lower, upper) = (Rule { at_most: None, ..rule.clone() }, Rule { at_least: None, ..rule.clone() });
                vec![other("least", lower), other("most", upper)]
            }
            _ => vec![rule.clone()],
        });
        let mut case = (*plan.case).clone();
        case.rules = split.collect();
        let plan = plan.follow(Arc::new(case));
        let trial = PlanTrial::of(&plan, &found.component, Some(tried.clone())).ok()?;
        let anatomy = plan.anatomy.as_ref().ok()?;
        let grafts = || plan.case.components.iter().filter_map(|component| component.graft.as_deref());
        let serves = |id: &str| {
            let tunnel = grafts().flat_map(|graft| &graft.tunnels).find(|own| own.id == id).map(|own| &own.serves);
            let opening = || grafts().flat_map(|graft| &graft.fenestrations).find(|own| own.id == id);
            let ostium =
                tunnel.or_else(|| opening().map(|own| &own.serves)).and_then(|vessel| anatomy.ostium_of(vessel));
            anatomy.ostia.iter().position(|own| Some(&own.id) == ostium.map(|ostium| &ostium.id))
        };
        // Numbers drawn for what is of its own: one for all diameters, one for each point and path.
        let mut own: BTreeMap<String, usize> = BTreeMap::new();
        let mut number = |name: String| {
            let next = own.len();
            *own.entry(name).or_insert(next)
        };
        let hangs_on: Vec<HangsOn> = trial
            .judged
            .iter()
            .map(|judged| {
                let starts = |words: &[&str]| words.iter().any(|word| judged.measure.starts_with(word));
                match serves(&judged.of) {
                    Some(ostium) if starts(&["tunnel.edge", "tunnel.clock", "opening."]) => HangsOn::Ostium(ostium),
                    Some(_) if starts(&["tunnel.bend", "tunnel.path", "tunnel.stent"]) => {
                        HangsOn::Own(Uncertainty::Path, number(judged.of.clone()))
                    }
                    _ if starts(&["keep_clear.", "valve.", "graft.proximal_seal"]) => {
                        HangsOn::Own(Uncertainty::Station, number(judged.of.clone()))
                    }
                    _ => HangsOn::Own(Uncertainty::Diameter, number(String::new())),
                }
            })
            .collect();
        let axial = [errors.axial_mean_mm, errors.axial_sd_mm];
        // What is aimed at is the drawn placement; the room lies around it.
        let landing_alone = normal::landing_within(&found.room.holds, Move::default(), axial, &errors.rotation, 1.0);
        let without = Uncertainty::ALL.map(|of| (1.0, Some(of)));
        let questions: Vec<(f64, Option<Uncertainty>)> =
            [(1.0, None), (0.5, None), (2.0, None)].into_iter().chain(without).collect();
        Some(Chancing {
            held: vec![0; questions.len()],
            points: own.len(),
            ostia: anatomy.ostia.len(),
            trial,
            errors,
            landing_alone,
            hangs_on,
            questions,
            drawn: 0,
            random: Random::new(),
        })
    }

    /// Draws once and puts every question.
    fn draw(&mut self) {
        let landing = self.random.normal();
        let rotation = self.random.normal();
        let wide = self.random.even() < self.errors.rotation.large_share;
        let ostia: Vec<[f64; 2]> = (0..self.ostia).map(|_| [self.random.normal(), self.random.normal()]).collect();
        let points: Vec<f64> = (0..self.points).map(|_| self.random.normal()).collect();
        for question in 0..self.questions.len() {
            let (times, without) = self.questions[question];
            let of = |which: Uncertainty| if without == Some(which) { 0.0 } else { times };
            let turn_sd = if wide { self.errors.rotation.large_sd_deg } else { self.errors.rotation.small_sd_deg };
            let at = Move {
                shift_mm: self.errors.axial_mean_mm + of(Uncertainty::Landing) * self.errors.axial_sd_mm * landing,
                turn_deg: self.errors.rotation.mean_deg + of(Uncertainty::Rotation) * turn_sd * rotation,
            };
            let off: Vec<Move> = ostia
                .iter()
                .map(|[station, clock]| Move {
                    shift_mm: at.shift_mm - of(Uncertainty::Station) * self.errors.station_sd_mm * station,
                    turn_deg: at.turn_deg - of(Uncertainty::Clock) * self.errors.clock_sd_deg * clock,
                })
                .collect();
            let moved = |hangs: HangsOn, lower: bool| match hangs {
                HangsOn::Ostium(ostium) => (off[ostium], 0.0),
                HangsOn::Own(which, number) => (at, of(which) * if lower { points[number] } else { -points[number] }),
            };
            let hangs_on = &self.hangs_on;
            if self.trial.hold_moved(|by, lower| moved(hangs_on[by], lower)) {
                self.held[question] += 1;
            }
        }
        self.drawn += 1;
    }

    fn chance(&self) -> Chance {
        let share = |question: usize| f64::from(self.held[question]) / f64::from(self.drawn.max(1));
        let holds = share(0);
        let mut without: Vec<(Uncertainty, f64)> =
            self.questions.iter().enumerate().filter_map(|(k, (_, of))| Some(((*of)?, share(k)))).collect();
        without.sort_by(|a, b| b.1.total_cmp(&a.1));
        Chance {
            holds,
            drawing_error: (holds * (1.0 - holds) / f64::from(self.drawn.max(1))).sqrt(),
            half: share(1),
            double: share(2),
            landing_alone: self.landing_alone,
            without,
        }
    }
}

impl Task for Chancing {
    type Output = Chance;

    fn advance(&mut self, operations: u64) -> Progress<Chance> {
        for _ in 0..operations.max(1) {
            if self.drawn >= DRAWS {
                return Progress::Done(self.chance());
            }
            self.draw();
        }
        Progress::Working { done: u64::from(self.drawn), of: u64::from(DRAWS) + 1 }
    }
}

/// Numbers from a fixed seed.
#[derive(Clone, Debug)]
struct Random {
    state: u64,
    spare: Option<f64>,
}

impl Random {
    fn new() -> Self {
        Random { state: 0x9E37_79B9_7F4A_7C15, spare: None }
    }

    /// Even in (0, 1): the splitmix generator.
    fn even(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (((z ^ (z >> 31)) >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Standard normal, by Box and Muller.
    fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let (radius, turn) = ((-2.0 * self.even().ln()).sqrt(), TAU * self.even());
        self.spare = Some(radius * turn.sin());
        radius * turn.cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawn_numbers_are_normal() {
        let mut random = Random::new();
        let all: Vec<f64> = (0..100_000).map(|_| random.normal()).collect();
        let moment = |k: i32| all.iter().map(|x| x.powi(k)).sum::<f64>() / all.len() as f64;
        // Moments of the standard normal within four standard errors: 1, √2, √15, √96 over √n.
        for (k, expected, error) in [(1, 0.0, 1.0), (2, 1.0, 1.4143), (3, 0.0, 3.873), (4, 3.0, 9.798)] {
            assert!((moment(k) - expected).abs() < 4.0 * error / 100_000f64.sqrt(), "{k}: {}", moment(k));
        }
    }
}
