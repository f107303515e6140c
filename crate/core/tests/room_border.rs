//! The border of a room against placements tried one by one, with the graft's lies solved at every one: every
//! placement of 0.25 mm and 0.5° about the room and for two millimetres and eight degrees beyond.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::casefile::Document;
use extrados::casefile::case::Placement;
use extrados::plan::Plan;
use extrados::room::border::contains;
use extrados::room::plane::Move;
use extrados::room::{self, PlanTrial};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Most that lies between solved stations may be off, mm.
const LIES_MM: f64 = 0.05;

fn plan(name: &str, at: Option<(f64, f64)>) -> Plan {
    let path = format!("{}/../../demo-data/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let mut case = (*Document::read(&std::fs::read(path).unwrap()).unwrap().case).clone();
    if let Some((station_mm, clock_deg)) = at {
        let moved = room::trial::moved(&case).unwrap().id.clone();
        let component = case.components.iter_mut().find(|c| c.id == moved).unwrap();
        component.placement = component.placement.map(|own| Placement { station_mm, clock_deg, ..own });
    }
    Plan::new(Arc::new(case))
}

/// The placements of 0.25 mm and 0.5° that hold and are joined with the drawn one, along the shift or along
/// the turn, counted in steps from it: as far as `within` steps each way.
fn joined(plan: &Plan, component: &str, within: [i32; 2]) -> BTreeSet<(i32, i32)> {
    let mut trial = PlanTrial::of(plan, component, None).unwrap();
    let mut rows: BTreeMap<i32, Vec<(i32, bool)>> = BTreeMap::new();
    for i in -within[0]..=within[0] {
        let row = rows.entry(i).or_default();
        for j in -within[1]..=within[1] {
            row.push((j, holds(&mut trial, step(i, j))));
        }
    }
    let (mut found, mut open) = (BTreeSet::new(), vec![(0, 0)]);
    while let Some((i, j)) = open.pop() {
        let there = rows.get(&i).and_then(|row| row.get((j + within[1]) as usize)).is_some_and(|(_, holds)| *holds);
        if there && found.insert((i, j)) {
            open.extend([(i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)]);
        }
    }
    found
}

fn step(i: i32, j: i32) -> Move {
    Move::new(f64::from(i) * 0.25, f64::from(j) * 0.5)
}

fn holds(trial: &mut PlanTrial, at: Move) -> bool {
    trial.solved(at).iter().all(|value| *value >= 0.0)
}

fn every_placement(plan: &Plan) {
    let found = room::forgives(plan).unwrap();
    assert!(found.holds() && !found.room.holds.is_empty());
    let rings = &found.room.holds;
    let farthest = |of: fn(Move) -> f64| rings.iter().flatten().map(|point| of(point.at).abs()).fold(0.0, f64::max);
    // Two millimetres and eight degrees beyond.
    let within = [farthest(|at| at.shift_mm) / 0.25 + 8.0, farthest(|at| at.turn_deg) / 0.5 + 16.0];
    let within = within.map(|steps| steps as i32);
    let all = joined(plan, &found.component, within);
    let mut trial = PlanTrial::of(plan, &found.component, None).unwrap();
    let (mut near, mut wrong) = (0, Vec::new());
    for i in -within[0]..=within[0] {
        for j in -within[1]..=within[1] {
            let told = contains(rings, step(i, j));
            let around = [(3, 0), (-3, 0), (0, 10), (0, -10)];
            near += usize::from(around.iter().any(|(di, dj)| contains(rings, step(i + di, j + dj)) != told));
            if all.contains(&(i, j)) != told {
                wrong.push((step(i, j), told));
            }
        }
    }
    assert!(all.len() > 500, "{}", all.len());
    // Even of those near the border alone.
    assert!(wrong.len() * 200 <= near, "{} of {near}: {wrong:?}", wrong.len());
    for (at, told) in wrong {
        let around = [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.5), (0.0, -0.5)];
        let border =
            around.iter().any(|(mm, deg)| holds(&mut trial, Move::new(at.shift_mm + mm, at.turn_deg + deg)) == told);
        assert!(border, "{at:?} is not at a border");
    }
}

#[test]
fn of_the_plain_arch() {
    every_placement(&plan("plain-arch", None));
}

#[test]
fn of_the_dissection() {
    every_placement(&plan("dissection", None));
}

#[test]
fn of_three_tunnels_in_the_steep_arch() {
    every_placement(&plan("steep-arch", Some((-3.6, 19.0))));
}

#[test]
fn lies_between_solved_stations() {
    for name in ["plain-arch", "steep-arch", "dissection", "common-trunk"] {
        let plan = plan(name, None);
        let moved = room::trial::moved(&plan.case).unwrap().clone();
        let length = moved.graft.as_ref().unwrap().length_mm;
        let mut trial = PlanTrial::of(&plan, &moved.id, None).unwrap();
        let mut worst = 0.0_f64;
        for k in 0..16 {
            let [near, solved] = trial.lies_at(Move::new(f64::from(k) * 1.37 - 11.0, 10.0)).unwrap();
            for (a, b) in near.lies.iter().zip(&solved.lies) {
                for step in 0..=40 {
                    let u = length * f64::from(step) / 40.0;
                    let (a, b) = (a.axis(u).unwrap(), b.axis(u).unwrap());
                    worst = worst.max((a.point - b.point).norm());
                    assert!((a.reference - b.reference).norm() < 0.01, "{name} {u}");
                }
            }
        }
        assert!(worst < LIES_MM, "{name}: {worst}");
    }
}

// Engines differ in the last digit of a sine; so does a graft that is drawn a hundred-millionth of a
// micrometre farther on. The best placement then lies where it lay, and is as good.
#[test]
fn the_last_digits_of_a_placement_decide_nothing() {
    for name in ["plain-arch", "dissection"] {
        let best = |off: f64| {
            let mut case = (*plan(name, None).case).clone();
            let moved = room::trial::moved(&case).unwrap().id.clone();
            let component = case.components.iter_mut().find(|c| c.id == moved).unwrap();
            let drawn = component.placement.unwrap();
            let there = Placement { station_mm: drawn.station_mm + off, clock_deg: drawn.clock_deg + off, ..drawn };
            component.placement = Some(there);
            let found = room::forgives(&Plan::new(Arc::new(case))).unwrap().room.best.unwrap();
            [found.centre.shift_mm + there.station_mm, found.centre.turn_deg + there.clock_deg, found.size]
        };
        let drawn = best(0.0);
        for k in 1..=6 {
            let apart: Vec<f64> = best(f64::from(k) * 1e-11).iter().zip(drawn).map(|(a, b)| a - b).collect();
            assert!(apart.iter().all(|apart| apart.abs() < 1e-8), "{name}: {apart:?}");
        }
    }
}

// Without an error one way the place counts from which the other way goes farthest to both sides; without
// any, the middle of the room. No error counts as less than the border's accuracy.
#[test]
fn without_errors_there_is_a_best_placement_too() {
    let far = |(axial_sd_mm, sd_deg)| {
        let mut case = (*plan("plain-arch", None).case).clone();
        case.errors.axial_sd_mm = axial_sd_mm;
        (case.errors.rotation.small_sd_deg, case.errors.rotation.large_sd_deg) = (sd_deg, sd_deg);
        let found = room::forgives(&Plan::new(Arc::new(case))).unwrap();
        let best = found.room.best.unwrap();
        let ways = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        ways.map(|(mm, deg)| {
            let at = |far: f64| Move::new(best.centre.shift_mm + far * mm, best.centre.turn_deg + far * deg);
            let inside = (0..10_000).take_while(|k| contains(&found.room.holds, at(f64::from(*k) / 50.0)));
            inside.count() as f64 / 50.0
        })
    };
    let [_, _, front, back] = far((0.0, 10.0));
    assert!((front - back).abs() < 1.0 && front > 40.0, "{front} {back}");
    let [down, up, _, _] = far((4.0, 0.0));
    assert!((down - up).abs() < 0.5 && up > 6.0, "{down} {up}");
    // A millimetre weighs as much as five degrees.
    let [down, up, front, back] = far((0.0, 0.0));
    assert!((down - up).abs() < 0.5 && up > 6.0 && front.min(back) > 4.9 * up, "{down} {up} {front} {back}");
}
