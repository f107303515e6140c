//! The case file as a whole: every described key is read, every kind of fault is named with its
//! place, and hostile text is refused in bounded time and depth.
#![allow(clippy::unwrap_used, clippy::panic)]

use extrados::casefile::document::{RuleSet, read_graft, read_rules, write, write_graft, write_rules};
use extrados::casefile::{Document, check, edit, fields, json, report_fields};
use extrados::fault::{Fault, Faults, MOST_FAULTS};
use extrados::plan::Plan;
use extrados::report::build::report;
use serde_json::{Value, json};
use std::sync::Arc;

/// A consistent case in which every key of version 1 stands at least once.
const EVERY_KEY: &[u8] = include_bytes!("../../../tests/reference/every-key.case.json");
/// The case as its description shows it: one point, one radius, references left open.
const AS_DESCRIBED: &str = include_str!("../../../tests/reference/case-as-described.json");

fn every_key() -> Value {
    serde_json::from_slice(EVERY_KEY).unwrap()
}

fn read(bytes: &[u8]) -> Document {
    Document::read(bytes).unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn the_described_case_has_no_fault_of_shape() {
    let value: Value = serde_json::from_str(AS_DESCRIBED).unwrap();
    let faults = check::check(&value, &fields::CASE);
    assert!(faults.is_empty(), "{faults}");
}

#[test]
fn a_case_reads_back_as_it_was_written() {
    let document = read(EVERY_KEY);
    let text = write(&document.case);
    let again = read(text.as_bytes());
    assert_eq!(document.case, again.case);
    assert_eq!(write(&again.case), text);
    assert_eq!(Document::of(again.case.as_ref().clone()).sha256, again.sha256);
    assert!(text.ends_with("}\n") && text.lines().any(|line| line.trim() == "[0, 0, 10],"), "{text}");
}

// Written out, numbers are the shortest text that reads back to the very same bits.
#[test]
fn numbers_read_back_exactly() {
    let mut value = every_key();
    let numbers: [f64; 5] = [0.1 + 0.2, 1.0 / 3.0, 97.000_000_000_000_01, 5e-324, 123_456.789_012_345_67 / 128.0];
    for (index, number) in numbers.iter().enumerate() {
        value["anatomy"]["centreline"]["points_lps_mm"][index][0] = json!(number);
    }
    let first = Document::from_value(value).unwrap();
    let again = read(first.text().as_bytes());
    for (index, number) in numbers.iter().enumerate() {
        let kept = again.case.anatomy.centreline.as_ref().unwrap().points_lps_mm[index][0];
        assert_eq!(kept.to_bits(), number.to_bits());
    }
}

#[test]
fn an_empty_case_reads() {
    let started = br#"{"format": "extrados-case", "version": 1}"#;
    assert_eq!(*read(started).case, extrados::casefile::Case::default());
    let marked = [b"\xEF\xBB\xBF".as_slice(), started].concat();
    assert_eq!(read(&marked).case, read(started).case);
    // The hash is of the bytes as they were read: FIPS 180-4, by an outside implementation.
    assert_ne!(read(&marked).sha256, read(started).sha256);
    assert_eq!(read(started).sha256, "1db55ae352aea8ea6706a298e0bac3e0fca895fd380e737aad18c51f44d49ada");
}

#[test]
fn grafts_and_rules_read_back_as_they_were_written() {
    let case = read(EVERY_KEY).case;
    let graft = case.components[0].graft.clone().unwrap();
    assert_eq!(read_graft(write_graft(&graft).as_bytes()).unwrap(), *graft);
    let set = RuleSet { name: "n".into(), sources: vec!["s".into()], rules: case.rules.clone(), ..RuleSet::default() };
    assert_eq!(read_rules(write_rules(&set).as_bytes()).unwrap(), set);
}

#[test]
fn clocks_are_stored_within_half_a_turn() {
    for (typed, stored) in
        [(270.0, -90.0), (-180.0, 180.0), (360.0, 0.0), (359.5, -0.5), (-12.25, -12.25), (180.0, 180.0)]
    {
        let mut value = every_key();
        value["anatomy"]["ostia"][0]["clock_deg"] = json!(typed);
        let case = Document::from_value(value).unwrap().case;
        assert_eq!(case.anatomy.ostia[0].clock_deg, Some(stored), "{typed}");
    }
}

fn faults_of(change: impl FnOnce(&mut Value)) -> Faults {
    let mut value = every_key();
    change(&mut value);
    Document::from_value(value).map(|_| ()).unwrap_err()
}

/// Puts a value at a pointer whose parent exists.
fn put(case: &mut Value, pointer: &str, value: Value) {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    match case.pointer_mut(parent).unwrap() {
        Value::Object(map) => {
            map.insert(key.into(), value);
        }
        Value::Array(items) => match key.parse::<usize>() {
            Ok(index) if index < items.len() => items[index] = value,
            _ => items.push(value),
        },
        _ => panic!("{pointer}"),
    }
}

// One row a kind of fault: what is put where, the code, and the place that is named.
#[test]
fn every_kind_of_fault_is_named_with_its_place() {
    let lumen = "/anatomy/lumen";
    let arch = "/components/0/graft";
    let points = json!([[0, 0, 0], [0, 0, 1], [0, 0, 1], [0, 0, 2], [0, 0, 3]]);
    let tunnel = json!({ "id": "t9", "serves": "IA", "flow": "antegrade", "mouth_u_mm": 171, "mouth_clock_deg": 0 });
    let no_limit = json!({ "id": "r9", "measure": "m", "at_least": null });
    let rows: Vec<(&str, Value, &str, &str)> = vec![
        // Shape.
        ("/format", json!("extrados"), "unknown_word", "/format"),
        ("/format", json!("extrados-graft"), "other_format", "/format"),
        ("/version", json!(2), "later_version", "/version"),
        ("/version", json!(0), "out_of_range", "/version"),
        ("/version", json!("1"), "not_a_number", "/version"),
        ("/components/0/stage", json!(1.5), "not_a_whole_number", "/components/0/stage"),
        ("/lable", json!("x"), "unknown_key", "/lable"),
        ("/label", json!(7), "not_text", "/label"),
        ("/label", json!("x".repeat(201)), "too_long", "/label"),
        ("/label", Value::Null, "must_be_known", "/label"),
        ("/invented", json!("yes"), "not_a_flag", "/invented"),
        ("/ct/date", json!("2026-02-30"), "not_a_date", "/ct/date"),
        ("/ct", json!([]), "not_an_object", "/ct"),
        ("/notes", json!(1), "not_an_object", "/notes"),
        ("/anatomy/ostia", json!({}), "not_a_list", "/anatomy/ostia"),
        ("/anatomy/ostia/0/id", json!("o 1"), "bad_id", "/anatomy/ostia/0/id"),
        ("/anatomy/ostia/0/station_mm", json!("70"), "not_a_number", "/anatomy/ostia/0/station_mm"),
        ("/anatomy/ostia/0/station_mm", json!(1000.5), "out_of_range", "/anatomy/ostia/0/station_mm"),
        ("/anatomy/ostia/0/station_mm", Value::Null, "must_be_known", "/anatomy/ostia/0/station_mm"),
        ("/anatomy/ostia/0/clock_deg", json!(-361), "out_of_range", "/anatomy/ostia/0/clock_deg"),
        ("/anatomy/ostia/2", json!({ "id": "o3" }), "missing", "/anatomy/ostia/2"),
        ("/anatomy/centreline/points_lps_mm/3", json!([1, 2]), "wrong_count", "/anatomy/centreline/points_lps_mm/3"),
        ("/anatomy/centreline/points_lps_mm/3/1", json!(5001), "out_of_range", "/anatomy/centreline/points_lps_mm/3/1"),
        (
            "/anatomy/centreline/smoothing_length_mm",
            json!(51),
            "out_of_range",
            "/anatomy/centreline/smoothing_length_mm",
        ),
        ("/anatomy/lumen/0/kind", json!("aera"), "unknown_word", "/anatomy/lumen/0/kind"),
        ("/anatomy/lumen/0/largest_mm", json!(30), "unknown_key", "/anatomy/lumen/0/largest_mm"),
        ("/anatomy/lumen/0/diameter_mm", json!(0), "out_of_range", "/anatomy/lumen/0/diameter_mm"),
        ("/anatomy/lumen/3/radii_mm", json!([]), "too_few", "/anatomy/lumen/3/radii_mm"),
        ("/anatomy/lumen/3/radii_mm", json!(vec![17; 721]), "too_many", "/anatomy/lumen/3/radii_mm"),
        ("/anatomy/wall/0/signs/0", json!("disected"), "unknown_word", "/anatomy/wall/0/signs/0"),
        ("/errors/rotation/large_share", json!(1.1), "out_of_range", "/errors/rotation/large_share"),
        // One part against another.
        ("/anatomy/sheet_arch", json!({ "inner_mm": 49 }), "two_arches", "/anatomy"),
        ("/anatomy/centreline/points_lps_mm", points, "too_few_points", "/anatomy/centreline/points_lps_mm"),
        (lumen, json!([area(10), area(10)]), "given_twice", "/anatomy/lumen/1/station_mm"),
        (lumen, json!([area(20), area(10)]), "out_of_order", "/anatomy/lumen/1/station_mm"),
        ("/anatomy/lumen/1/smallest_mm", json!(36.5), "smallest_above_largest", "/anatomy/lumen/1/smallest_mm"),
        ("/anatomy/lumen/3/radii_mm", json!(vec![17; 7]), "too_few_radii", "/anatomy/lumen/3/radii_mm"),
        ("/anatomy/true_lumen/0/diameter_mm", json!(46), "part_above_whole", "/anatomy/true_lumen/0/diameter_mm"),
        ("/anatomy/wall/0/to_station_mm", json!(0), "empty_stretch", "/anatomy/wall/0/to_station_mm"),
        ("/anatomy/lesion/from_station_mm", json!(90), "empty_stretch", "/anatomy/lesion/to_station_mm"),
        ("/carm/primary_limit_deg", json!([100, -100]), "empty_stretch", "/carm/primary_limit_deg"),
        ("/anatomy/vessels/1/diameters/1/at_mm", json!(9), "out_of_order", "/anatomy/vessels/1/diameters/1/at_mm"),
        ("/anatomy/landmarks/0/id", json!("IA"), "doubled_id", "/anatomy/landmarks/0/id"),
        ("/rules/0/id", json!("each"), "reserved_id", "/rules/0/id"),
        ("/anatomy/vessels/0/from", json!("o9"), "no_such_id", "/anatomy/vessels/0/from"),
        ("/anatomy/vessels/0/from", json!("rca"), "wrong_part", "/anatomy/vessels/0/from"),
        ("/anatomy/vessels/0/from", json!("LCCA"), "circle", "/anatomy/vessels/0/from"),
        ("/anatomy/bypasses/0/to", json!("LCCA"), "leads_to_itself", "/anatomy/bypasses/0/to"),
        ("/anatomy/bypasses/0/to", json!("o1"), "wrong_part", "/anatomy/bypasses/0/to"),
        ("/anatomy/ways/0/in_vessel", json!("RSA"), "no_such_id", "/anatomy/ways/0/in_vessel"),
        ("/anatomy/ways/0/closed_by/0", json!("IA"), "wrong_part", "/anatomy/ways/0/closed_by/0"),
        ("/components/1/in", json!("t1"), "wrong_part", "/components/1/in"),
        ("/components/0/graft/tunnels/0/serves", json!("o1"), "wrong_part", "/components/0/graft/tunnels/0/serves"),
        ("/procedure/steps/0/on", json!("nothing"), "no_such_id", "/procedure/steps/0/on"),
        ("/rules/0/of", json!("t7"), "no_such_id", "/rules/0/of"),
        ("/rules/0/at_most", json!(4), "limits_crossed", "/rules/0/at_most"),
        ("/rules/1", no_limit, "no_limit", "/rules/1"),
        (
            "/components/0/graft/sections",
            json!([section(0, 40), section(50, 60)]),
            "gap",
            "/components/0/graft/sections/1/from_u_mm",
        ),
        (
            "/components/0/graft/sections",
            json!([section(0, 40), section(30, 60)]),
            "overlap",
            "/components/0/graft/sections/1/from_u_mm",
        ),
        (
            "/components/0/graft/sections",
            json!([section(0, 171)]),
            "off_fabric",
            "/components/0/graft/sections/0/to_u_mm",
        ),
        (
            "/components/0/graft/sections",
            json!([section(9, 9)]),
            "empty_stretch",
            "/components/0/graft/sections/0/to_u_mm",
        ),
        ("/components/0/graft/tunnels/1", tunnel, "off_fabric", "/components/0/graft/tunnels/1/mouth_u_mm"),
        ("/components/0/graft/format", json!("extrados-graft"), "unknown_key", "/components/0/graft/format"),
        ("/alternatives/0/changes", json!({ "version": 1 }), "bad_alternative", "/alternatives/0/changes/version"),
        (
            "/alternatives/0/changes",
            json!({ "clock": { "three_oclock_is": "back_right" } }),
            "bad_alternative",
            "/alternatives/0/changes/clock",
        ),
        ("/alternatives/0/changes", json!({ "clock": null }), "bad_alternative", "/alternatives/0/changes/clock"),
        ("/alternatives/0/changes", json!({ "lable": "" }), "unknown_key", "/alternatives/0/changes/lable"),
    ];
    assert!(every_key().pointer(arch).is_some());
    for (pointer, value, code, place) in rows {
        let faults = faults_of(|case| put(case, pointer, value.clone()));
        let named = |fault: &Fault| fault.code == code && fault.place == place;
        assert!(faults.faults.iter().any(named), "{pointer} {code}: {faults}");
        for fault in &faults.faults {
            assert!(fault.text.ends_with('.') && !fault.mend.is_empty(), "{fault:?}");
        }
    }
}

fn area(station_mm: i32) -> Value {
    json!({ "station_mm": station_mm, "kind": "area", "diameter_mm": 34 })
}

fn section(from: i32, to: i32) -> Value {
    json!({ "from_u_mm": from, "to_u_mm": to, "from_diameter_mm": 38, "to_diameter_mm": 38 })
}

#[test]
fn all_faults_come_at_once() {
    let faults = faults_of(|case| {
        put(case, "/label", json!(7));
        put(case, "/anatomy/ostia/0/clok_deg", json!(1));
        put(case, "/anatomy/vessels/0/from", json!("o9"));
        put(case, "/rules/0/at_most", json!(4));
    });
    let codes: Vec<&str> = faults.faults.iter().map(|fault| fault.code.as_str()).collect();
    assert_eq!(codes, ["not_text", "unknown_key", "no_such_id", "limits_crossed"], "{faults}");
}

#[test]
fn misspelt_words_get_the_nearest_known_one() {
    let mend = |pointer: &str, value: Value| faults_of(|case| put(case, pointer, value)).faults[0].mend.clone();
    assert!(mend("/anatomy/ostia/0/clok_deg", json!(3)).contains("\"clock_deg\""));
    assert!(mend("/anatomy/ostia/0/Station_mm", json!(3)).contains("\"station_mm\""));
    assert!(mend("/components/0/graft/tunnels/0/flow", json!("antigrade")).contains("\"antegrade\""));
    assert!(mend("/something_else_entirely", json!(3)).starts_with("Remove it"));
    assert!(mend("/anatomy/ostia/0/station_mm", json!(" 70.5 ")).contains("70.5 without quotation marks"));
    assert!(mend("/anatomy/ostia/0/station_mm", json!("70,5")).contains("decimal point"));
}

fn only_fault(bytes: &[u8]) -> Fault {
    let faults = Document::read(bytes).map(|_| ()).unwrap_err();
    assert_eq!(faults.faults.len(), 1, "{faults}");
    faults.faults[0].clone()
}

#[test]
fn text_that_is_no_case_is_refused_with_its_place() {
    let text = write(&read(EVERY_KEY).case);
    let with = |from: &str, to: &str| text.replacen(from, to, 1).into_bytes();
    let station = "\"station_mm\": 70";
    let rows: Vec<(Vec<u8>, &str, &str)> = vec![
        (vec![], "empty_file", ""),
        (b" \n ".to_vec(), "empty_file", ""),
        (vec![b'x'; json::MOST_BYTES + 1], "too_big", ""),
        (b"{\n\"label\": \"\xFF\"}".to_vec(), "not_utf8", "line 2"),
        (b"x,y,z\n1,2,3".to_vec(), "not_json", "line 1 column 1"),
        (b"[1, 2]".to_vec(), "not_an_object", ""),
        (text.as_bytes()[..text.len() / 2].to_vec(), "cut_off", "*"),
        (with(station, "\"station_mm\": 1e999"), "number_too_large", "*"),
        (with(station, "\"station_mm\": NaN"), "not_a_number", "*"),
        (with(station, "\"station_mm\": -Infinity"), "not_a_number", "*"),
        (with(station, "\"station_mm\": 70, \"station_mm\": 71"), "doubled_key", "/anatomy/ostia/0/station_mm"),
        (with("\"diagnosis\"", "\"label\": \"\", \"diagnosis\""), "doubled_key", "/label"),
        ([text.as_bytes(), b"}"].concat(), "not_json", "*"),
    ];
    for (bytes, code, place) in rows {
        let fault = only_fault(&bytes);
        assert_eq!(fault.code, code, "{fault}");
        assert!(place == "*" || fault.place == place, "{fault}");
    }
}

#[test]
fn deep_nesting_and_garbage_are_refused() {
    for opening in ["[", "{\"a\":", "{\"notes\":{\"a\":["] {
        let fault = only_fault(opening.repeat(100_000).as_bytes());
        assert_eq!(fault.code, "too_deep", "{fault}");
    }
    let nested = |levels: usize| {
        let inner = "[".repeat(levels) + &"]".repeat(levels);
        format!(r#"{{"format": "extrados-case", "version": 1, "notes": {{"a": {inner}}}}}"#)
    };
    assert!(Document::read(nested(check::MOST_DEPTH - 1).as_bytes()).is_ok());
    assert_eq!(only_fault(nested(check::MOST_DEPTH).as_bytes()).code, "too_deep");

    // 16 MB each: a list of numbers, a list of lists, one long key, many keys, one long text.
    let most = json::MOST_BYTES - 200;
    assert_eq!(only_fault(format!("[{}0]", "0,".repeat(most / 2)).as_bytes()).code, "too_many_values");
    assert_eq!(only_fault(format!("[{}0]", "[],".repeat(most / 3)).as_bytes()).code, "too_many_values");
    let head = r#"{"format": "extrados-case", "version": 1, "#;
    let fault = only_fault(format!("{head}\"{}\": 1}}", "k".repeat(most)).as_bytes());
    assert!(fault.code == "unknown_key" && fault.to_string().len() < 300);
    let keys: String = (0..400_000).map(|n| format!("\"key number {n}\": null, ")).collect();
    let faults = Document::read(format!("{head}{keys}\"label\": \"\"}}").as_bytes()).map(|_| ()).unwrap_err();
    assert_eq!(faults.faults.len(), MOST_FAULTS + 1);
    let doubled = "\"label\": \"\", ".repeat(900_000);
    let faults = Document::read(format!("{head}{doubled}\"label\": \"\"}}").as_bytes()).map(|_| ()).unwrap_err();
    assert_eq!(faults.faults.len(), MOST_FAULTS + 1);
    let fault = only_fault(format!("{head}\"label\": \"{}\"}}", "x".repeat(most)).as_bytes());
    assert!(fault.code == "too_long" && fault.to_string().len() < 300);
}

#[test]
fn a_million_points_are_refused() {
    let points = "[1,2,3],".repeat(400_000);
    let text = format!(
        r#"{{"format": "extrados-case", "version": 1, "anatomy": {{"centreline": {{"points_lps_mm": [{points}[0,0,0]]}}}}}}"#
    );
    let fault = only_fault(text.as_bytes());
    assert_eq!((fault.code.as_str(), fault.place.as_str()), ("too_many", "/anatomy/centreline/points_lps_mm"));
    let points = "[1,2,3],".repeat(1_000_000);
    let text = format!(
        r#"{{"format": "extrados-case", "anatomy": {{"centreline": {{"points_lps_mm": [{points}[0,0,0]]}}}}}}"#
    );
    assert_eq!(only_fault(text.as_bytes()).code, "too_many_values");
}

#[test]
fn a_graft_may_come_before_the_vessels() {
    let mut value = json!({ "format": "extrados-case", "version": 1 });
    value["components"] = json!([every_key()["components"][0]]);
    assert!(Document::from_value(value).is_ok());
}

#[test]
fn one_field_is_changed_and_the_rest_stays_shared() {
    let case = read(EVERY_KEY).case;
    let moved = edit::set(&case, "/components/0/placement/station_mm", json!(17.5)).unwrap();
    assert_eq!(moved.components[0].placement.unwrap().station_mm, 17.5);
    assert!(Arc::ptr_eq(&moved.anatomy, &case.anatomy));
    assert!(Arc::ptr_eq(moved.components[0].graft.as_ref().unwrap(), case.components[0].graft.as_ref().unwrap()));

    let measured = edit::set(&case, "/anatomy/ostia/1/clock_deg", json!(-12)).unwrap();
    assert_eq!(measured.anatomy.ostia[1].clock_deg, Some(-12.0));
    assert!(Arc::ptr_eq(measured.components[0].graft.as_ref().unwrap(), case.components[0].graft.as_ref().unwrap()));

    let refused = edit::set(&case, "/anatomy/ostia/1/clock_deg", json!(1000)).unwrap_err();
    assert_eq!(refused.faults[0].code, "out_of_range");
    // A mirrored hand puts every clock on the other side: a form must not slip it in.
    let mirrored = json!({ "three_oclock_is": "back_right", "twelve_oclock_is": "arch_plane" });
    for (pointer, value) in
        [("/clock/three_oclock_is", json!("back_right")), ("/clock/three_oclock_is", Value::Null), ("/clock", mirrored)]
    {
        assert_eq!(edit::set(&case, pointer, value).unwrap_err().faults[0].code, "turns_every_clock", "{pointer}");
    }
    for (pointer, value) in [
        ("/anatomy/ostya/1", json!(1)),
        ("", json!({})),
        ("anatomy", json!({})),
        ("/anatomy/ostia/9/clock_deg", json!(1)),
        ("/anatomy/ostia/9", json!({})),
    ] {
        assert_eq!(edit::set(&case, pointer, value).unwrap_err().faults[0].code, "no_such_field", "{pointer}");
    }
}

#[test]
fn missing_parts_are_made_and_emptied_fields_go() {
    let case = extrados::casefile::Case::default();
    let started = edit::set(&case, "/stock/least_bend_radius_mm", json!(8)).unwrap();
    assert_eq!(started.stock.as_ref().unwrap().least_bend_radius_mm, Some(8.0));
    let with_ostium = edit::set(&case, "/anatomy/ostia/-", json!({ "id": "o1", "station_mm": 70 })).unwrap();
    assert_eq!(with_ostium.anatomy.ostia.len(), 1);
    assert_eq!(edit::remove(&with_ostium, "/anatomy/ostia/0").unwrap().anatomy.ostia.len(), 0);
    assert!(edit::remove(&with_ostium, "/anatomy/ostia/1").is_err());
    let emptied = edit::set(&read(EVERY_KEY).case, "/anatomy/vessels/1/at_mm", Value::Null).unwrap();
    assert_eq!(emptied.anatomy.vessels[1].at_mm, 0.0);
    let refused = edit::remove(&read(EVERY_KEY).case, "/anatomy/vessels/1").unwrap_err();
    assert_eq!(refused.faults[0].code, "no_such_id");
}

#[test]
fn the_table_answers_by_pointer() {
    let place = fields::lookup("/anatomy/ostia/*/clock_deg").unwrap();
    assert_eq!(place.field.unwrap().label, "Clock");
    assert_eq!(fields::lookup("/components/0/graft/tunnels/3/flow").unwrap().field.unwrap().label, "Flow");
    assert_eq!(fields::lookup("/components/1/in").unwrap().field.unwrap().label, "In vessel");
    assert_eq!(fields::lookup("/anatomy/lumen/0/kind").unwrap().field.unwrap().label, "Kind of measurement");
    assert!(fields::lookup("/anatomy/ostia/x/clock_deg").is_none());
    assert!(fields::lookup("/notes/anything").is_none());
    let text = fields::markdown("Case", &fields::CASE);
    assert!(text.contains("| `/anatomy/ostia/*/clock_deg` | **Clock**."), "{text}");
}

// The reports of a case with every key, of an empty one and of the demos keep to the table.
#[test]
fn reports_keep_to_their_table() {
    let mut files = vec![EVERY_KEY.to_vec(), br#"{"format": "extrados-case", "version": 1}"#.to_vec()];
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.ends_with(".json") && !name.starts_with("graft-") {
            files.push(std::fs::read(path).unwrap());
        }
    }
    assert!(files.len() >= 6, "four demo cases are expected in {folder}");
    for bytes in &files {
        let document = read(bytes);
        let report = report(&Plan::new(Arc::clone(&document.case)), &document.sha256);
        let faults = check::check(&serde_json::to_value(&report).unwrap(), &report_fields::REPORT);
        assert!(faults.is_empty(), "{faults}");
    }
}
