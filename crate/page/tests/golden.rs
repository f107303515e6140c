//! One result on every engine: the closed-form values and the demo cases' numbers, computed by
//! WebAssembly in a browser, against the native ones.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]
#![cfg(target_arch = "wasm32")]

#[path = "../../core/tests/common/check_values.rs"]
mod check_values;
#[path = "../../core/tests/common/golden_cases.rs"]
mod golden_cases;

use serde_json::Value;
use std::collections::BTreeMap;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// Sine and cosine differ between C libraries by a unit in the last place; nothing else may.
const ENGINES: f64 = 1e-9;

#[wasm_bindgen_test]
fn closed_form_values_equal_the_native_ones() {
    let native: BTreeMap<String, f64> =
        serde_json::from_str(include_str!("../../../tests/reference/native.json")).unwrap();
    let here = check_values::all();
    assert_eq!(here.len(), native.len());
    for value in here {
        let expected = native[&value.key];
        if value.sine_free {
            assert_eq!(value.value.to_bits(), expected.to_bits(), "{}", value.key);
        } else {
            assert!((value.value - expected).abs() <= ENGINES, "{}: {} {expected}", value.key, value.value);
        }
    }
}

#[wasm_bindgen_test]
fn closed_form_values_stand_at_their_digits() {
    let reference: BTreeMap<String, Value> =
        serde_json::from_str(include_str!("../../../tests/reference/check_values.json")).unwrap();
    for value in check_values::all() {
        let entry = &reference[&value.key];
        let (expected, accuracy) = (entry["value"].as_f64().unwrap(), entry["accuracy"].as_f64().unwrap());
        let tolerance = accuracy.max(5e-12 * expected.abs()).max(ENGINES);
        assert!((value.value - expected).abs() <= tolerance, "{}: {} {expected}", value.key, value.value);
    }
}

#[wasm_bindgen_test]
fn demo_cases_give_the_native_numbers_and_words() {
    let native: Value = serde_json::from_str(include_str!("../../../tests/reference/golden-cases.json")).unwrap();
    golden_cases::compare(&golden_cases::all(), &native);
}

#[wasm_bindgen_test]
fn frames_carried_here_are_as_fine() {
    let error = check_values::error_of_the_library_s_own_steps();
    assert!(error.min(std::f64::consts::TAU - error) < 1e-7, "{error:e}");
}
