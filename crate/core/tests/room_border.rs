//! The border of a room against placements tried one by one, with the graft's lies solved at every one.
//! Every placement of 0.25 mm and 0.5° within 0.8 mm or 5° of the border is tried: farther away the border
//! would have to be off by that much.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::casefile::Document;
use extrados::casefile::case::Placement;
use extrados::plan::Plan;
use extrados::room::border::contains;
use extrados::room::plane::Move;
use extrados::room::{self, PlanTrial};
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

fn every_placement_at_the_border(plan: &Plan) {
    let found = room::forgives(plan).unwrap();
    assert!(found.holds() && !found.room.holds.is_empty());
    let rings = &found.room.holds;
    let mut trial = PlanTrial::of(plan, &found.component, None).unwrap();
    let all = || rings.iter().flatten().map(|point| point.at);
    let ends = |of: fn(Move) -> f64| all().map(of).fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
    let (shifts, turns) = (ends(|at| at.shift_mm), ends(|at| at.turn_deg));
    let near = |at: Move| {
        let there = contains(rings, at);
        let around = [(0.8, 0.0), (-0.8, 0.0), (0.0, 5.0), (0.0, -5.0)];
        around.iter().any(|(mm, deg)| contains(rings, Move::new(at.shift_mm + mm, at.turn_deg + deg)) != there)
    };
    let (mut tried, mut wrong) = (0, Vec::new());
    let holds = |trial: &mut PlanTrial, at: Move| trial.solved(at).iter().all(|value| *value >= 0.0);
    let steps = |from: f64, to: f64, step: f64| ((from / step).floor() as i32 - 4)..=((to / step).ceil() as i32 + 4);
    for i in steps(shifts.0, shifts.1, 0.25) {
        for j in steps(turns.0, turns.1, 0.5) {
            let at = Move::new(f64::from(i) * 0.25, f64::from(j) * 0.5);
            if near(at) {
                tried += 1;
                let told = contains(rings, at);
                if holds(&mut trial, at) != told {
                    wrong.push((at, told));
                }
            }
        }
    }
    assert!(tried > 500, "{tried}");
    assert!(wrong.len() * 200 <= tried, "{} of {tried}: {wrong:?}", wrong.len());
    for (at, told) in wrong {
        let around = [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.5), (0.0, -0.5)];
        let border =
            around.iter().any(|(mm, deg)| holds(&mut trial, Move::new(at.shift_mm + mm, at.turn_deg + deg)) == told);
        assert!(border, "{at:?} is not at a border");
    }
}

#[test]
fn of_the_plain_arch() {
    every_placement_at_the_border(&plan("plain-arch", None));
}

#[test]
fn of_the_dissection() {
    every_placement_at_the_border(&plan("dissection", None));
}

#[test]
fn of_three_tunnels_in_the_steep_arch() {
    every_placement_at_the_border(&plan("steep-arch", Some((-3.6, 19.0))));
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
