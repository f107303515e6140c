//! The case file as a whole: every described key is read, and every kind of fault is named.

use extrados::casefile::document::{RuleSet, read_graft, read_rules, write, write_graft, write_rules};
use extrados::casefile::{Document, check, fields};
use extrados::fault::Faults;
use serde_json::{Value, json};

/// A consistent case in which every key of version 1 stands at least once.
const EVERY_KEY: &[u8] = include_bytes!("../../../tests/reference/every-key.case.json");
/// The case as its description shows it: one point, one radius, references left open.
const AS_DESCRIBED: &str = include_str!("../../../tests/reference/case-as-described.json");

fn every_key() -> Value {
    serde_json::from_slice(EVERY_KEY).unwrap()
}

#[test]
fn the_described_case_has_no_fault_of_shape() {
    let value: Value = serde_json::from_str(AS_DESCRIBED).unwrap();
    let faults = check::check(&value, &fields::CASE);
    assert!(faults.is_empty(), "{faults}");
}

#[test]
fn a_case_reads_back_as_it_was_written() {
    let document = Document::read(EVERY_KEY).unwrap_or_else(|faults| panic!("{faults}"));
    let text = write(&document.case);
    let again = Document::read(text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(document.case, again.case);
    assert_eq!(write(&again.case), text);
    assert_eq!(Document::of(again.case.as_ref().clone()).sha256, again.sha256);
}

#[test]
fn grafts_and_rules_read_back_as_they_were_written() {
    let case = Document::read(EVERY_KEY).unwrap().case;
    let graft = case.components[0].graft.clone().unwrap();
    assert_eq!(read_graft(write_graft(&graft).as_bytes()).unwrap(), *graft);
    let set = RuleSet { name: "n".into(), sources: vec!["s".into()], rules: case.rules.clone() };
    assert_eq!(read_rules(write_rules(&set).as_bytes()).unwrap(), set);
}

fn faults_of(change: impl FnOnce(&mut Value)) -> Faults {
    let mut value = every_key();
    change(&mut value);
    Document::from_value(value).map(|_| ()).unwrap_err()
}

#[test]
fn misspelt_keys_are_named_with_the_nearest_known_one() {
    let faults = faults_of(|case| case["anatomy"]["ostia"][0]["clok_deg"] = json!(3));
    assert_eq!(faults.faults.len(), 1);
    assert_eq!(faults.faults[0].code, "unknown_key");
    assert_eq!(faults.faults[0].place, "/anatomy/ostia/0/clok_deg");
    assert!(faults.faults[0].mend.contains("\"clock_deg\""), "{faults}");
}
