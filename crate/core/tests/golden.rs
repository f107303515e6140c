//! The demo cases' numbers as recorded: a change of any of them is a change for the user and stands in
//! the README. To renew the record run this test with `EXTRADOS_RENEW=1`.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

#[path = "common/golden_cases.rs"]
mod golden_cases;

const RECORD: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/golden-cases.json");

#[test]
fn demo_cases_stand_as_recorded() {
    let now = golden_cases::all();
    if std::env::var_os("EXTRADOS_RENEW").is_some() {
        std::fs::write(RECORD, serde_json::to_string_pretty(&now).unwrap() + "\n").unwrap();
    }
    let recorded = serde_json::from_str(&std::fs::read_to_string(RECORD).unwrap()).unwrap();
    golden_cases::compare(&now, &recorded);
}

#[test]
fn two_runs_give_the_same_bytes() {
    assert_eq!(golden_cases::all().to_string(), golden_cases::all().to_string());
}
