//! No result jumps: over 400 shifts of 0.05 mm and 400 turns of 0.1° the largest step of every
//! continuous number halves, within 1.6 to 2.4, when the step does; and a full turn changes nothing.
//! Source: what continuous means. Steps over which a state or what is covered changes are left out.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::casefile::Document;
use extrados::casefile::case::{Case, Fenestration, Scallop};
use extrados::plan::Plan;
use extrados::report::{build, fabric};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Parts of the report that follow the graft.
const PARTS: [&str; 5] = ["tunnels", "openings", "space_to_wall", "components", "overlaps"];
/// Keys that name an entry or say its state: a step over which one of them changes does not count.
const STATES: [&str; 4] = ["state", "covered", "covers", "inside"];
/// Numbers that are not continuous: areas counted point by point, and stock sizes.
const STEPPED: [&str; 3] = ["covered_share", "stock_length_mm", "oversize_"];
/// What changes by less over a step is rounding.
const ROUNDING: f64 = 1e-7;

fn demos() -> Vec<(String, Case)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data");
    let mut all = Vec::new();
    for name in ["common-trunk", "dissection", "plain-arch", "steep-arch"] {
        let bytes = std::fs::read(format!("{folder}/{name}.json")).unwrap();
        all.push((name.to_string(), (*Document::read(&bytes).unwrap().case).clone()));
    }
    // The same arch with a fenestration and a scallop instead of tunnels.
    let mut windowed = all[2].1.clone();
    let mut graft = (**windowed.components[0].graft.as_ref().unwrap()).clone();
    graft.tunnels.truncate(1);
    graft.fenestrations = vec![Fenestration {
        id: "f1".into(),
        serves: "LSA".into(),
        u_mm: 98.0,
        clock_deg: 5.0,
        along_mm: 12.0,
        across_mm: 11.0,
    }];
    graft.scallops =
        vec![Scallop { id: "s1".into(), serves: "LCCA".into(), clock_deg: 2.0, width_mm: 30.0, depth_mm: 20.0 }];
    windowed.components[0].graft = Some(Arc::new(graft));
    all.push(("windowed".into(), windowed));
    all
}

/// One placement's numbers: key to value, and the states of its entry.
type Numbers = BTreeMap<String, (f64, String)>;

fn numbers(plan: &Plan) -> Numbers {
    let report = serde_json::json!({
        "tunnels": build::tunnels(plan),
        "openings": fabric::openings(plan),
        "space_to_wall": fabric::spaces(plan),
        "components": fabric::components(plan),
        "overlaps": fabric::overlaps(plan),
    });
    let mut all = Numbers::new();
    for part in PARTS {
        for entry in report[part].as_array().into_iter().flatten() {
            let name = |key: &str| entry[key].as_str().unwrap_or_default().to_string();
            let id: Vec<String> =
                ["id", "at", "component", "upstream", "lie", "length_kept_by"].iter().map(|k| name(k)).collect();
            let state: String = STATES.iter().map(|key| entry[*key].to_string()).collect();
            for (key, value) in entry.as_object().unwrap() {
                if STEPPED.iter().any(|stepped| key.starts_with(stepped)) {
                    continue;
                }
                let values: Vec<f64> = match value {
                    Value::Number(n) => vec![n.as_f64().unwrap()],
                    Value::Array(list) => list.iter().filter_map(Value::as_f64).collect(),
                    _ => continue,
                };
                for (index, value) in values.into_iter().enumerate() {
                    assert!(value.is_finite(), "{part} {id:?} {key}");
                    all.insert(format!("{part}/{}/{key}/{index}", id.join(",")), (value, state.clone()));
                }
            }
        }
    }
    all
}

fn moved(case: &Case, shift_mm: f64, turn_deg: f64) -> Arc<Case> {
    let mut case = case.clone();
    for placement in case.components.iter_mut().filter_map(|c| c.placement.as_mut()) {
        placement.station_mm += shift_mm;
        placement.clock_deg += turn_deg;
    }
    Arc::new(case)
}

/// The largest step of each number over a path, in so many steps and in half as many of twice the size.
fn largest_steps(start: &Plan, case: &Case, steps: usize, shift_mm: f64, turn_deg: f64) -> [BTreeMap<String, f64>; 2] {
    let at = |k: usize| numbers(&start.follow(moved(case, shift_mm * k as f64, turn_deg * k as f64)));
    let mut fine = BTreeMap::new();
    let mut coarse = BTreeMap::new();
    let mut before = [at(0), at(0)];
    for k in 1..=steps {
        let now = at(k);
        note(&mut fine, &before[1], &now);
        if k % 2 == 0 {
            note(&mut coarse, &before[0], &now);
            before[0] = now.clone();
        }
        before[1] = now;
    }
    [coarse, fine]
}

/// Notes the steps between two placements where no state changed.
fn note(largest: &mut BTreeMap<String, f64>, before: &Numbers, now: &Numbers) {
    for (key, (value, state)) in now {
        let Some((old, _)) = before.get(key).filter(|(_, old)| old == state) else { continue };
        let mut step = (value - old).abs();
        if key.contains("_deg/") {
            step = step.min(360.0 - step);
        }
        let most = largest.entry(key.clone()).or_insert(0.0);
        *most = step.max(*most);
    }
}

fn halves(name: &str, case: &Case, shift_mm: f64, turn_deg: f64) -> (usize, Vec<String>) {
    let start = Plan::new(Arc::new(case.clone()));
    let [whole, half] = largest_steps(&start, case, 800, shift_mm / 2.0, turn_deg / 2.0);
    let mut misses = Vec::new();
    let mut looked_at = 0;
    for (key, step) in &whole {
        if *step < ROUNDING {
            continue;
        }
        looked_at += 1;
        let ratio = step / half[key];
        if !(1.6..=2.4).contains(&ratio) {
            misses.push(format!("{name} {key}: step {step:.3e}, halved {:.3e}", half[key]));
        }
    }
    (looked_at, misses)
}

#[test]
fn every_step_halves() {
    for (name, case) in demos() {
        for (shift_mm, turn_deg) in [(0.05, 0.0), (0.0, 0.1)] {
            let (looked_at, misses) = halves(&name, &case, shift_mm, turn_deg);
            println!("{name}: {looked_at} numbers by {shift_mm} mm and {turn_deg}°");
            assert!(looked_at > 10, "{name}: only {looked_at} numbers move");
            assert!(misses.is_empty(), "{}", misses.join("\n"));
        }
    }
}

#[test]
fn a_full_turn_changes_nothing() {
    for (name, case) in demos() {
        let start = Plan::new(Arc::new(case.clone()));
        let before = numbers(&start);
        for turn in [360.0, -360.0] {
            let after = numbers(&start.follow(moved(&case, 0.0, turn)));
            assert_eq!(before.len(), after.len());
            for (key, (value, state)) in &before {
                let (other, other_state) = &after[key];
                let difference = (value - other).abs();
                let difference = if key.contains("_deg/") { difference.min(360.0 - difference) } else { difference };
                assert!(difference < 1e-9, "{name} {key}: {value} {other}");
                assert_eq!(state, other_state, "{name} {key}");
            }
        }
    }
}
