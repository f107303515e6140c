//! Closed-form values of curves, frames, walls and splines, at the digits they are given with.
//! Sources stand beside each value in `tests/reference/check_values.json`.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

#[path = "common/check_values.rs"]
mod check_values;
mod outside;

use serde_json::Value;
use std::collections::BTreeMap;

/// Half a unit of the twelfth digit, in which the values are printed.
const PRINTED: f64 = 5e-12;
/// What the five-point panels of the arc-length table and the fine frames are good for, mm or rad.
const COMPUTED: f64 = 1e-10;

fn reference() -> BTreeMap<String, Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/check_values.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn at_their_digits() {
    let reference = reference();
    let computed = check_values::all();
    assert!(computed.len() >= 60, "only {} values were computed", computed.len());
    let mut misses = Vec::new();
    for value in &computed {
        let expected = reference[&value.key]["value"].as_f64().unwrap();
        let accuracy = reference[&value.key]["accuracy"].as_f64().unwrap();
        let tolerance = accuracy.max(PRINTED * expected.abs()).max(COMPUTED);
        let text = |key: &str| reference[&value.key][key].as_str().unwrap();
        let noted = outside::outside("closed forms (tests/reference/check_values.json)", text("source"));
        if !noted.note(&value.key, value.value, expected, tolerance, text("unit")) {
            misses.push(format!("{}: {} instead of {expected} ± {tolerance:e}", value.key, value.value));
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn frame_error_falls_sixteenfold() {
    let computed = check_values::all();
    let error = |name: &str, steps: usize| {
        let key = format!("{name}.double_reflection_error_{steps}_steps_rad");
        computed.iter().find(|v| v.key == key).unwrap().value
    };
    for (name, steps) in [("helix", [20, 40, 80, 160]), ("trefoil", [100, 200, 400, 0])] {
        for pair in steps.windows(2).filter(|p| p[1] > 0) {
            let ratio = error(name, pair[0]) / error(name, pair[1]);
            assert!(ratio >= 14.0, "{name} {pair:?}: {ratio}");
        }
    }
}

// The frame the library carries for itself errs by far less than the 1e-4° that anything shows.
#[test]
fn the_library_s_own_steps_are_fine_enough() {
    let error = check_values::error_of_the_library_s_own_steps();
    let error = error.min(std::f64::consts::TAU - error);
    assert!(error < 1e-7, "{error:e}");
}

/// The native results, bit by bit, that every other engine must give: `tests/reference/native.json`.
/// To renew it after a change of the computation, run this test with `EXTRADOS_RENEW=1`.
#[test]
fn native_results_stand_as_recorded() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/native.json");
    let now: BTreeMap<String, f64> = check_values::all().into_iter().map(|v| (v.key, v.value)).collect();
    if std::env::var_os("EXTRADOS_RENEW").is_some() {
        std::fs::write(path, serde_json::to_string_pretty(&now).unwrap() + "\n").unwrap();
    }
    let recorded: BTreeMap<String, f64> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(now.keys().collect::<Vec<_>>(), recorded.keys().collect::<Vec<_>>());
    for value in check_values::all() {
        let recorded = recorded[&value.key];
        if value.sine_free {
            assert_eq!(value.value, recorded, "{}", value.key);
        } else {
            // Another C library may differ by a unit in the last place of sine and cosine.
            assert!((value.value - recorded).abs() <= 1e-9, "{}", value.key);
        }
    }
}
