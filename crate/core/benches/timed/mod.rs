//! How long the room of a placement takes, part by part: for the native bench and for the same in a browser,
//! which differ only in their clock. Judges nothing.

use extrados::casefile::Document;
use extrados::casefile::case::{Case, Graft, LengthKeptBy, Placement};
use extrados::casefile::document::read_graft;
use extrados::plan::Plan;
use extrados::room::plane::{Grid, Move, Trial};
use extrados::room::ration::Ration;
use extrados::room::{self, Forgiving, PlanTrial};
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// Times each grid and room is taken.
const TIMES: usize = 5;

/// What is timed: a demo case, with another graft and placement if not as it is drawn.
pub struct Timed {
    name: &'static str,
    case: &'static str,
    graft: Option<&'static str>,
    at: Option<(f64, f64)>,
}

/// Two tunnels, three in every way they may lie, and three near the end of what has a bridging path.
pub const CASES: [Timed; 3] = [
    Timed { name: "plain arch", case: include_str!("../../../../demo-data/plain-arch.json"), graft: None, at: None },
    Timed {
        name: "common trunk, its own graft",
        case: include_str!("../../../../demo-data/common-trunk.json"),
        graft: Some(include_str!("../../../../demo-data/graft-three-tunnel-made.json")),
        at: Some((11.8, 2.9)),
    },
    Timed {
        name: "steep arch",
        case: include_str!("../../../../demo-data/steep-arch.json"),
        graft: None,
        at: Some((-3.6, 19.0)),
    },
];

impl Timed {
    fn case(&self) -> Case {
        let mut case = (*Document::read(self.case.as_bytes()).unwrap().case).clone();
        let moved = room::trial::moved(&case).unwrap().id.clone();
        let component = case.components.iter_mut().find(|c| c.id == moved).unwrap();
        if let Some((station_mm, clock_deg)) = self.at {
            component.placement = component.placement.map(|own| Placement { station_mm, clock_deg, ..own });
        }
        if let Some(text) = self.graft {
            let graft = read_graft(text.as_bytes()).unwrap();
            // In every way a graft may lie.
            component.graft = Some(Arc::new(Graft { length_kept_by: LengthKeptBy::Unknown, ..graft }));
        }
        // How far stents may bend is known, so that bridging paths are judged.
        case.stock.get_or_insert_default().least_bend_radius_mm.get_or_insert(3.0);
        case
    }
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

/// The least of what each piece took, over all times: a piece is the same every time, and what a machine does
/// beside it is not.
struct Pieces {
    taken: Vec<f64>,
    next: usize,
}

impl Pieces {
    fn note(&mut self, ms: f64) {
        match self.taken.get_mut(self.next) {
            Some(known) => *known = known.min(ms),
            None => self.taken.push(ms),
        }
        self.next += 1;
    }

    fn longest(&self) -> f64 {
        self.taken.iter().copied().fold(0.0, f64::max)
    }
}

/// A grid of trials around the drawn placement, in pieces, ms.
fn grid(plan: &Plan, component: &str, nodes: usize, pieces: &mut Pieces, now: &dyn Fn() -> f64) -> f64 {
    let start = now();
    let mut trial = PlanTrial::of(plan, component, None).unwrap();
    pieces.next = 0;
    let mut grid = Grid::new(Move::new(-15.0, -60.0), Move::new(15.0, 60.0), nodes, nodes);
    let all: Vec<(isize, isize)> = grid.nodes().collect();
    let mut next = all.into_iter();
    let mut node = next.next();
    while let Some((i, j)) = node {
        let from = now();
        trial.ration(Ration::PIECE);
        grid.tried(i, j, &mut trial);
        if !trial.short() {
            node = next.next();
        }
        pieces.note(now() - from);
    }
    now() - start
}

/// The whole room in pieces: to a coarse border, and to the end, ms.
fn whole(plan: &Plan, pieces: &mut Pieces, now: &dyn Fn() -> f64) -> [f64; 2] {
    let start = now();
    pieces.next = 0;
    let mut looking = Forgiving::of(plan, None).unwrap();
    pieces.note(now() - start);
    let mut coarse = 0.0;
    loop {
        let from = now();
        let done = matches!(looking.advance(1), Progress::Done(_));
        pieces.note(now() - from);
        if coarse == 0.0 && looking.has_border() {
            coarse = now() - start;
        }
        if done {
            return [coarse, now() - start];
        }
    }
}

/// Times one case: what half of the times took, and the longest piece. `says` is told what, of what, and how
/// many ms.
pub fn times(timed: &Timed, now: &dyn Fn() -> f64, says: &mut dyn FnMut(&str, &str, f64)) {
    let plan = Plan::new(Arc::new(timed.case()));
    let moved = room::trial::moved(&plan.case).unwrap().id.clone();
    let mut without = (*plan.case).clone();
    let paths = ["tunnel.bend", "tunnel.path", "tunnel.stent"];
    without.rules.retain(|rule| !paths.iter().any(|own| rule.measure.starts_with(own)));
    let without = plan.follow(Arc::new(without));
    let graft = plan.grafts.iter().find(|own| own.component == moved).unwrap();
    let of = format!("{}, {} tunnels in {} ways", timed.name, graft.graft.tunnels.len(), graft.lies.len());
    let pieces = || Pieces { taken: Vec::new(), next: 0 };
    for nodes in [31, 121] {
        for (plan, with) in [(&without, ""), (&plan, ", with bridging paths")] {
            let mut pieces = pieces();
            let all = median((0..TIMES).map(|_| grid(plan, &moved, nodes, &mut pieces, now)).collect());
            says(&format!("the room, {nodes} by {nodes}{with}"), &of, all);
            says(&format!("the room, longest piece of {nodes} by {nodes}{with}"), &of, pieces.longest());
        }
    }
    let mut pieces = pieces();
    let taken: Vec<[f64; 2]> = (0..TIMES).map(|_| whole(&plan, &mut pieces, now)).collect();
    let [coarse, all] = [0, 1].map(|k: usize| median(taken.iter().map(|own| own[k]).collect()));
    says("the room, to a coarse border", &of, coarse);
    says("the room, whole", &of, all);
    says("the room, longest piece", &of, pieces.longest());
}
