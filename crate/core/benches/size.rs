//! What a plan costs against its size: points of the centreline, tunnels, trials of the room. Prints medians;
//! judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod times;

use extrados::casefile::Document;
use extrados::casefile::case::{Case, Tunnel};
use extrados::plan::Plan;
use extrados::room::plane::{Grid, Move};
use extrados::room::trial::{self, PlanTrial};
use std::sync::Arc;
use times::{median_ms, note};

/// The demo that is made larger and smaller.
const CASE: &str = "plain-arch";

fn main() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../demo-data/{CASE}.json"));
    let case = (*Document::read(&std::fs::read(file).unwrap()).unwrap().case).clone();
    for points in [75, 150, 300, 600, 1200, 2400] {
        costs(&format!("{points} points"), with_points(case.clone(), points));
    }
    for tunnels in 1..=6 {
        costs(&format!("{tunnels} tunnels"), with_tunnels(case.clone(), tunnels));
    }
    let plan = Plan::new(Arc::new(case));
    let component = trial::moved(&plan.case).unwrap().id.clone();
    for nodes in [16, 31, 61, 121] {
        let trial = PlanTrial::of(&plan, &component, None).unwrap();
        let ms = median_ms(3, |_| {
            let mut trial = trial.clone();
            let mut grid = Grid::new(Move::new(-15.0, -60.0), Move::new(15.0, 60.0), nodes, nodes);
            let all: Vec<(isize, isize)> = grid.nodes().collect();
            for (i, j) in all {
                grid.tried(i, j, &mut trial);
            }
        });
        println!("{nodes:4} by {nodes:4} trials {ms:10.1} ms");
        note("trials of the room", &format!("{nodes} by {nodes}"), ms);
    }
}

/// A plan anew, and one step of a drag.
fn costs(of: &str, case: Case) {
    let case = Arc::new(case);
    let plan = Plan::new(case.clone());
    let anew = median_ms(9, |_| drop(Plan::new(case.clone())));
    let step = median_ms(40, |k| {
        let mut moved = (*case).clone();
        moved.components.iter_mut().filter_map(|c| c.placement.as_mut()).for_each(|p| p.station_mm += 0.05 * k as f64);
        drop(plan.follow(Arc::new(moved)));
    });
    println!("{of:14} anew {anew:9.2} ms, a step of a drag {step:8.3} ms");
    note("anew", of, anew);
    note("a step of a drag", of, step);
}

/// The same line by so many points, each on the straight between two neighbours.
fn with_points(mut case: Case, count: usize) -> Case {
    let line = Arc::make_mut(&mut case.anatomy).centreline.as_mut().unwrap();
    let before = line.points_lps_mm.clone();
    let at = |share: f64| {
        let place = share * (before.len() - 1) as f64;
        let first = (place.floor() as usize).min(before.len() - 2);
        let rest = place - first as f64;
        std::array::from_fn(|k| before[first][k] + rest * (before[first + 1][k] - before[first][k]))
    };
    line.points_lps_mm = (0..count).map(|k| at(k as f64 / (count - 1) as f64)).collect();
    case
}

/// The same graft with so many tunnels, one like the other, a little further along and around.
fn with_tunnels(mut case: Case, count: usize) -> Case {
    let moved = trial::moved(&case).unwrap().id.clone();
    let component = case.components.iter_mut().find(|c| c.id == moved).unwrap();
    let graft = Arc::make_mut(component.graft.as_mut().unwrap());
    let first = graft.tunnels[0].clone();
    graft.tunnels = (0..count)
        .map(|k| Tunnel {
            id: format!("t{k}"),
            mouth_u_mm: first.mouth_u_mm + k as f64,
            mouth_clock_deg: first.mouth_clock_deg + 5.0 * k as f64,
            ..first.clone()
        })
        .collect();
    case
}
