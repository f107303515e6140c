//! One graft at its own best placement, as resumable work: where in the whole plane it holds, what it
//! forgives at its best, and which vessel costs most of that.

use super::Standing;
use super::search::{Nearby, Search, Seed};
use crate::casefile::case::{Case, Component, ComponentKind, Flow, Graft, Placement};
use crate::message;
use crate::plan::Plan;
use crate::room::plane::Move;
use crate::room::rooming::{NODES, Rooming};
use crate::room::{Forgiving, PlanTrial, landing};
use crate::rules::verdict::{Verdict, Word};
use crate::task::{Progress, Task};
use crate::units::Angle;
use std::sync::Arc;

/// How far upstream of its ostium an antegrade tunnel's mouth is first put, mm; a retrograde one as far
/// downstream.
const FIRST_MM: f64 = 20.0;

/// The work on one graft.
#[derive(Debug)]
pub struct Fitting {
    base: Arc<Plan>,
    component: String,
    standing: Standing,
    stage: Stage,
    /// Whether two vessels at once are still to be left out.
    pairs: bool,
}

#[derive(Debug)]
enum Stage {
    Begin,
    /// Placements that hold are looked for, then the one at which the fewest fail.
    Search(Box<Plan>, Box<PlanTrial>, Search, bool),
    /// Around a placement at which something fails; whether the fewest were counted to find it.
    Nearby(Box<Plan>, Box<PlanTrial>, Seed, Nearby, bool),
    /// Its room from somewhere inside, then once more from its best placement.
    Room(Box<Plan>, Box<Forgiving>, bool),
    /// What each vessel costs: its rules left out, one vessel after another; where that gives no room,
    /// those of two.
    Costs(Box<PlanTrial>, Vec<Vec<String>>, Costing),
    Finished,
}

#[derive(Debug)]
enum Costing {
    Next,
    Search(Box<Search>),
    Room(Box<Rooming<PlanTrial>>),
}

impl Fitting {
    /// Begins with a graft, in the place of a plan's own.
    pub fn new(base: Arc<Plan>, name: String, graft: Arc<Graft>) -> Self {
        let component = crate::room::trial::moved(&base.case).map_or_else(|| "arch".to_owned(), |c| c.id.clone());
        let standing = Standing::new(name, component.clone(), graft, base.case.clone());
        Fitting { base, component, standing, stage: Stage::Begin, pairs: true }
    }

    /// The plan with the graft at a placement.
    fn plan(&self, placement: Placement) -> Plan {
        self.base.follow(Arc::new(with_graft(&self.base.case, &self.component, &self.standing.graft, placement)))
    }

    fn moved(&self, plan: &Plan, by: Move) -> Placement {
        let drawn = plan.grafts.iter().find(|g| g.component == self.component).map(|g| g.placement);
        let drawn = drawn.unwrap_or(Placement { held_u_mm: 0.0, station_mm: 0.0, clock_deg: 0.0 });
        Placement {
            station_mm: drawn.station_mm + by.shift_mm,
            clock_deg: Angle::deg(drawn.clock_deg + by.turn_deg).wrapped().to_deg(),
            ..drawn
        }
    }

    fn forgiving(&mut self, placement: Placement, tried: PlanTrial, again: bool) -> Stage {
        let plan = self.plan(placement);
        match Forgiving::of(&plan, Some(tried)) {
            Ok(forgiving) => Stage::Room(Box::new(plan), Box::new(forgiving), again),
            Err(unknown) => self.fails(unknown.0),
        }
    }

    fn fails(&mut self, why: String) -> Stage {
        self.standing.why = Some(why);
        Stage::Finished
    }

    /// Takes over what stands against a placement: what is unmet there.
    fn stand(&mut self, plan: &Plan) {
        self.standing.case = plan.case.clone();
        self.standing.placement =
            plan.grafts.iter().find(|graft| graft.component == self.component).map(|graft| graft.placement);
        let failing = |v: &&Verdict| v.required && v.word <= Word::Unknown;
        self.standing.given_up = plan.verdicts.iter().filter(failing).cloned().collect();
    }

    fn step(&mut self) -> Option<Standing> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Finished) {
            Stage::Begin => {
                let plan = self.plan(self.first());
                match PlanTrial::of(&plan, &self.component, None) {
                    Ok(trial) => Stage::Search(Box::new(plan), Box::new(trial), Search::holding(), false),
                    Err(unknown) => self.fails(unknown.0),
                }
            }
            Stage::Search(plan, mut trial, mut search, fewest) => {
                if !search.go_on(&mut *trial, |trial, at| trial.each_quick(at)) {
                    Stage::Search(plan, trial, search, fewest)
                } else {
                    match search.seed(landing(&plan.case)) {
                        Some(seed) if seed.holds && !fewest => {
                            let placement = self.moved(&plan, seed.at);
                            self.forgiving(placement, *trial, false)
                        }
                        Some(seed) => Stage::Nearby(plan, trial, seed, Nearby::of(seed.at), fewest),
                        None => self.fails(message::NO_PLACEMENT_HOLDS.into()),
                    }
                }
            }
            Stage::Nearby(plan, mut trial, seed, mut nearby, fewest) => {
                if !nearby.go_on(&mut *trial) {
                    Stage::Nearby(plan, trial, seed, nearby, fewest)
                } else if let Some(at) = nearby.best() {
                    let placement = self.moved(&plan, at);
                    self.forgiving(placement, *trial, false)
                } else if !fewest {
                    Stage::Search(plan, trial, Search::fewest(), true)
                } else {
                    let there = self.plan(self.moved(&plan, seed.at));
                    self.stand(&there);
                    self.costs(*trial)
                }
            }
            Stage::Room(plan, mut forgiving, again) => match forgiving.advance(1) {
                Progress::Working { .. } => Stage::Room(plan, forgiving, again),
                Progress::Done(found) => {
                    let best = found.room.best.map(|best| best.centre);
                    let trial = forgiving.into_trial();
                    match best {
                        Some(at) if !again => {
                            let placement = self.moved(&plan, at);
                            self.forgiving(placement, trial, true)
                        }
                        _ => {
                            self.stand(&plan);
                            self.standing.size = found.room.best.map_or(0.0, |best| best.size);
                            self.standing.found = Some(found);
                            self.costs(trial)
                        }
                    }
                }
            },
            Stage::Costs(mut trial, mut left, costing) => match costing {
                Costing::Next => match left.last() {
                    None if self.pairs && self.standing.costs.is_empty() && self.standing.found.is_none() => {
                        self.pairs = false;
                        let all = subjects(&trial);
                        let pair = |i: usize| all.iter().skip(i + 1).map(move |b| (i, b.clone()));
                        let pairs = (0..all.len()).flat_map(pair).map(|(i, b)| vec![all[i].clone(), b]).collect();
                        Stage::Costs(trial, pairs, Costing::Next)
                    }
                    None => return Some(self.finished()),
                    Some(of) => {
                        trial.mute(|judged| of.contains(&judged.of));
                        let next = match self.standing.found.is_some() {
                            true => Costing::Room(Box::new(self.coarse(*trial.clone()))),
                            false => Costing::Search(Box::new(Search::holding())),
                        };
                        Stage::Costs(trial, left, next)
                    }
                },
                Costing::Search(mut search) => {
                    if !search.go_on(&mut *trial, |_, _| Vec::new()) {
                        Stage::Costs(trial, left, Costing::Search(search))
                    } else {
                        match search.seed(landing(&self.base.case)).filter(|seed| seed.holds) {
                            Some(seed) => {
                                let from = trial.moved_by(seed.at);
                                let room = Costing::Room(Box::new(self.coarse(from)));
                                Stage::Costs(trial, left, room)
                            }
                            None => {
                                left.pop();
                                Stage::Costs(trial, left, Costing::Next)
                            }
                        }
                    }
                }
                Costing::Room(mut rooming) => {
                    let over = matches!(rooming.advance(1), Progress::Done(_));
                    let size = rooming.so_far().and_then(|room| room.best).map(|best| best.size);
                    if size.is_some() || over {
                        let of = left.pop();
                        self.standing.costs.extend(of.zip(size));
                        // What was read on the way serves the next.
                        trial.learn(rooming.into_trial());
                        Stage::Costs(trial, left, Costing::Next)
                    } else {
                        Stage::Costs(trial, left, Costing::Room(rooming))
                    }
                }
            },
            Stage::Finished => return Some(self.finished()),
        };
        None
    }

    fn coarse(&self, trial: PlanTrial) -> Rooming<PlanTrial> {
        Rooming::on(trial, landing(&self.base.case), [NODES[0]; 2])
    }

    /// Begins with what costs the room: everything that is judged, by what it is of.
    fn costs(&mut self, trial: PlanTrial) -> Stage {
        let each = subjects(&trial).into_iter().rev().map(|of| vec![of]).collect();
        Stage::Costs(Box::new(trial), each, Costing::Next)
    }

    fn finished(&mut self) -> Standing {
        self.stage = Stage::Finished;
        let size = self.standing.size;
        // Within a thousandth of an error it costs nothing.
        self.standing.costs.retain(|(_, without)| *without > size + 1e-3);
        self.standing.costs.sort_by(|a, b| b.1.total_cmp(&a.1));
        self.standing.clone()
    }

    /// A first placement: the mean over the tunnels of where each by itself would have it.
    fn first(&self) -> Placement {
        let drawn = self.base.case.components.iter().find(|c| c.id == self.component).and_then(|c| c.placement);
        let known = drawn.unwrap_or(Placement { held_u_mm: 0.0, station_mm: 0.0, clock_deg: 0.0 });
        let graft = &self.standing.graft;
        let Ok(anatomy) = &self.base.anatomy else { return known };
        let wished = graft.tunnels.iter().filter_map(|tunnel| {
            let ostium = anatomy.ostium_of(&tunnel.serves)?;
            let aside = match tunnel.flow {
                Flow::Antegrade => -FIRST_MM,
                Flow::Retrograde => FIRST_MM,
            };
            Some(ostium.place.station_mm + aside - tunnel.mouth_u_mm)
        });
        let over = graft
            .fenestrations
            .iter()
            .filter_map(|own| Some(anatomy.ostium_of(&own.serves)?.place.station_mm - own.u_mm));
        let all: Vec<f64> = wished.chain(over).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        // Held at its proximal edge, which every graft has.
        match mean.is_finite() {
            true => Placement { held_u_mm: 0.0, station_mm: mean, clock_deg: 0.0 },
            false => Placement { held_u_mm: 0.0, ..known },
        }
    }
}

impl Task for Fitting {
    type Output = Standing;

    fn advance(&mut self, operations: u64) -> Progress<Standing> {
        for _ in 0..operations.max(1) {
            if let Some(standing) = self.step() {
                return Progress::Done(standing);
            }
        }
        Progress::Working { done: 0, of: 1 }
    }
}

/// What is judged, by what it is of, each once.
fn subjects(trial: &PlanTrial) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for judged in &trial.judged {
        if !all.contains(&judged.of) {
            all.push(judged.of.clone());
        }
    }
    all
}

/// A case with another graft in a component, at a placement; the component is added where there is none.
pub fn with_graft(case: &Case, component: &str, graft: &Arc<Graft>, placement: Placement) -> Case {
    let mut case = case.clone();
    match case.components.iter_mut().find(|own| own.id == component) {
        Some(own) => {
            own.graft = Some(graft.clone());
            own.placement = Some(placement);
        }
        None => case.components.push(Component {
            graft: Some(graft.clone()),
            placement: Some(placement),
            ..Component::new(component.into(), ComponentKind::ArchGraft)
        }),
    }
    case
}
