//! How long the room of a placement takes, part by part, and how far lies between knots are off. Prints;
//! judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod times;

use extrados::casefile::Document;
use extrados::casefile::case::{Case, Flow, Tunnel};
use extrados::graft::lie::PlacedGraft;
use extrados::placement::tunnel::{Paths, tunnels};
use extrados::plan::Plan;
use extrados::room::plane::{Grid, Move};
use extrados::room::{self, Forgiving, trial::PlanTrial};
use extrados::task::{Progress, Task};
use std::sync::Arc;
use std::time::Instant;
use times::{median_ms, note, once_ms as ms};

/// A third tunnel, so that three are judged in six possibilities.
fn third(case: &mut Case) {
    let moved = room::trial::moved(case).unwrap().id.clone();
    let component = case.components.iter_mut().find(|c| c.id == moved).unwrap();
    let graft = Arc::make_mut(component.graft.as_mut().unwrap());
    let like = graft.tunnels[1].clone();
    graft.tunnels.push(Tunnel {
        id: "t3".into(),
        serves: "LSA".into(),
        flow: Flow::Retrograde,
        mouth_u_mm: 137.0,
        mouth_clock_deg: 0.0,
        ..like
    });
}

/// A grid of trials around the drawn placement.
fn grid(plan: &Plan, component: &str, nodes: usize) -> [f64; 3] {
    let mut without = (*plan.case).clone();
    let paths = |measure: &str| measure.starts_with("tunnel.bend") || measure.starts_with("tunnel.path");
    without.rules.retain(|rule| !paths(&rule.measure));
    let without = plan.follow(Arc::new(without));
    let try_all = |trial: &mut PlanTrial| {
        let mut grid = Grid::new(Move::new(-15.0, -60.0), Move::new(15.0, 60.0), nodes, nodes);
        let all: Vec<(isize, isize)> = grid.nodes().collect();
        for (i, j) in all {
            grid.tried(i, j, trial);
        }
    };
    let mut trial = PlanTrial::of(&without, component, None).unwrap();
    let first = ms(|| try_all(&mut trial));
    let again = ms(|| try_all(&mut trial.clone()));
    let mut whole = PlanTrial::of(plan, component, None).unwrap();
    let all = ms(|| try_all(&mut whole));
    [first, again, all]
}

fn main() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data");
    for (name, more) in [("plain-arch", false), ("dissection", false), ("plain-arch", true)] {
        let text = std::fs::read(folder.join(format!("{name}.json"))).unwrap();
        let mut case = (*Document::read(&text).unwrap().case).clone();
        if more {
            third(&mut case);
        }
        let plan = Plan::new(Arc::new(case));
        let moved = room::trial::moved(&plan.case).unwrap().clone();
        let anatomy = plan.anatomy.clone().unwrap();
        let lies = median_ms(20, |k| {
            let mut component = moved.clone();
            component.placement.as_mut().unwrap().station_mm += 0.3 * k as f64;
            drop(PlacedGraft::new(&component, &plan.case, &anatomy, None));
        });
        let own = plan.grafts.iter().find(|g| g.component == moved.id).unwrap();
        let mouths = median_ms(100, |_| drop(tunnels(own, &anatomy, 1.5, Paths::Left)));
        let paths = median_ms(40, |_| drop(tunnels(own, &anatomy, 1.5, Paths::Found)));
        println!(
            "{name}, {} tunnels in {} ways: lies {lies:.2} ms, mouths {mouths:.3}, with paths {paths:.3}",
            own.graft.tunnels.len(),
            own.lies.len()
        );
        for nodes in [31, 121] {
            let [first, again, all] = grid(&plan, &moved.id, nodes);
            note("trials of the room, lies known", &format!("{name}, {nodes} by {nodes}"), again);
            println!("  {nodes} by {nodes}: {first:.0} ms, lies known {again:.0}; with paths {all:.0}");
        }
        let mut trial = PlanTrial::of(&plan, &moved.id, None).unwrap();
        let mut off = 0.0_f64;
        for k in 0..40 {
            let [near, solved] = trial.lies_at(Move::new(f64::from(k) * 0.77 - 15.0, 10.0)).unwrap();
            for (a, b) in near.lies.iter().zip(&solved.lies) {
                for step in 0..=40 {
                    let u = moved.graft.as_ref().unwrap().length_mm * f64::from(step) / 40.0;
                    if let (Ok(a), Ok(b)) = (a.axis(u), b.axis(u)) {
                        off = off.max((a.point - b.point).norm());
                    }
                }
            }
        }
        println!("  lies between knots are off by {off:.4} mm at most");
        let (mut coarse, mut longest, mut ops) = (0.0, 0.0_f64, 0);
        let start = Instant::now();
        let mut looking = Forgiving::of(&plan, None).unwrap();
        loop {
            let mut done = false;
            longest = longest.max(ms(|| done = matches!(looking.advance(1), Progress::Done(_))));
            ops += 1;
            if coarse == 0.0 && looking.so_far().is_some_and(|own| !own.room.holds.is_empty()) {
                coarse = start.elapsed().as_secs_f64() * 1e3;
            }
            if done {
                break;
            }
        }
        let whole = start.elapsed().as_secs_f64() * 1e3;
        note("the room, whole", name, whole);
        note("the room, longest piece", name, longest);
        let again = ms(|| drop(Forgiving::of(&plan, Some(looking.into_trial())).unwrap().finish()));
        println!(
            "  the room: coarse {coarse:.0} ms, whole {whole:.0} in {ops} pieces, the longest {longest:.1} ms; once more {again:.0}"
        );
        if let Ok(own) = room::forgives(&plan) {
            println!(
                "  {:?} best {:?} points {}",
                own.room.reaches,
                own.room.best,
                own.room.holds.iter().map(Vec::len).sum::<usize>()
            );
        }
    }
}
