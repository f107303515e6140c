//! The command as a shell sees it: what it prints where, and with which exit status.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn house() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn demo(name: &str) -> String {
    house().join("demo-data").join(name).display().to_string()
}

/// A place for a file of this test run that no other test uses.
fn scratch(name: &str) -> String {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name).display().to_string()
}

fn extrados(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_extrados")).args(words).output().unwrap()
}

fn said(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn a_report_is_json_with_its_hash_and_two_runs_give_the_same_bytes() {
    let case = demo("common-trunk.json");
    let (first, second) = (extrados(&["report", &case, "--json"]), extrados(&["report", &case, "--json"]));
    assert!(first.status.success());
    assert_eq!(first.stdout, second.stdout);
    let report: Value = serde_json::from_slice(&first.stdout).unwrap();
    assert_eq!(report["format"], "extrados-report");
    // Three tunnels, three ways to lie, two lines that may keep their length.
    assert_eq!(report["tunnels"].as_array().unwrap().len(), 18);
    assert_eq!(report["case_sha256"].as_str().unwrap().len(), 64);
}

#[test]
fn a_report_in_words_carries_the_cautions_and_the_sources() {
    let words = said(&extrados(&["report", &demo("plain-arch.json")]).stdout);
    for piece in ["not a medical device", "Licensed physicians decide", "common practice, no source", "from memory"] {
        assert!(words.contains(piece), "{piece}");
    }
}

#[test]
fn faults_name_file_place_and_mend_and_end_with_two() {
    let file = scratch("bad.json");
    std::fs::write(&file, r#"{"format":"extrados-case","version":1,"anatomy":{"ostia":[{"id":"o1","station":3}]}}"#)
        .unwrap();
    let plain = extrados(&["report", &file]);
    assert_eq!(plain.status.code(), Some(2));
    let lines = said(&plain.stderr);
    assert!(plain.stdout.is_empty());
    assert!(lines.lines().count() >= 2, "all faults at once: {lines}");
    assert!(lines.lines().all(|line| line.starts_with(&file) && line.contains("/anatomy/ostia/0")), "{lines}");
    let json = extrados(&["report", &file, "--json"]);
    assert_eq!(json.status.code(), Some(2));
    let faults: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(faults["faults"].as_array().unwrap().len(), lines.lines().count());
    for key in ["code", "where", "text", "mend"] {
        assert!(faults["faults"][0][key].is_string(), "{key}");
    }
}

#[test]
fn what_is_missing_or_unknown_is_said() {
    for words in [
        &["report", "no-such-file.json"][..],
        &["report"],
        &["map", "a.json"],
        &["import", "-o", "x.json"],
        &["schema", "nothing"],
        &["fly"],
        &["report", "--wings", "a"],
    ] {
        let output = extrados(words);
        assert_eq!(output.status.code(), Some(2), "{words:?}");
        assert_eq!(said(&output.stderr).lines().count(), 1, "{words:?}");
    }
}

#[test]
fn an_import_writes_a_case_and_says_what_it_assumed() {
    let (table, case) = (scratch("line.csv"), scratch("line.json"));
    let points: Vec<String> = (0..120)
        .map(|k| {
            let a = f64::from(k) / 40.0;
            format!("{:.3},{:.3},{:.3},15", 20.0 * a, 40.0 - 40.0 * a.cos(), 40.0 * a.sin())
        })
        .collect();
    std::fs::write(&table, format!("x_mm,y_mm,z_mm,radius_mm\n{}\n", points.join("\n"))).unwrap();
    let output = extrados(&["import", &table, "-o", &case]);
    assert!(output.status.success(), "{}", said(&output.stderr));
    assert!(said(&output.stderr).lines().all(|line| line.starts_with("Assumed: ")));
    let report = extrados(&["report", &case, "--json"]);
    let report: Value = serde_json::from_slice(&report.stdout).unwrap();
    // 119 chords of an arc of radius 40 that drifts 20 mm a radian to the left.
    let length = 119.0 / 40.0 * (40f64 * 40.0 + 20.0 * 20.0).sqrt();
    assert!((report["centreline"]["length_mm"].as_f64().unwrap() - length).abs() < 0.5);
}

#[test]
fn a_best_placement_so_far_upstream_of_the_best() {
    let case = demo("plain-arch.json");
    let room = |mm: &str| {
        let told = extrados(&["report", &case, "--json", "--upstream", mm]);
        let report: Value = serde_json::from_slice(&told.stdout).unwrap();
        report["room"].clone()
    };
    let there = room("3");
    let apart = |at: &Value| there["best"]["station_mm"].as_f64().unwrap() - at["station_mm"].as_f64().unwrap();
    let found = &there["best_upstream"];
    assert!((apart(&found["placement"]) - 3.0).abs() < 1e-9, "{found}");
    // Less than at the best itself, which is the one upstream of it by nothing.
    let best = &room("0")["best_upstream"];
    assert!(apart(&best["placement"]).abs() < 1e-9, "{best}");
    let half = |own: &Value| own["half_mm"].as_f64().unwrap();
    assert!(half(found) > 0.5 && half(found) < half(best), "{found} {best}");
    assert_eq!(room("50")["best_upstream"]["placement"], Value::Null);
    let words = said(&extrados(&["report", &case, "--upstream", "50"]).stdout);
    assert!(words.contains("50.0 mm upstream of it: nothing holds there."), "{words}");
    let refused = extrados(&["report", &case, "--upstream", "61"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(said(&refused.stderr).contains("between -60 and 60 mm"));
}

#[test]
fn own_errors_come_from_records() {
    let mut case: Value = serde_json::from_slice(&std::fs::read(demo("plain-arch.json")).unwrap()).unwrap();
    let planned = case["components"][0]["placement"]["station_mm"].as_f64().unwrap();
    let mut records = vec!["records".to_owned()];
    for (index, off) in [0.0, 2.0, -1.0, 3.0, 1.0].into_iter().enumerate() {
        case["done"] = serde_json::json!({ "landing_station_mm": planned + off });
        records.push(scratch(&format!("record-{index}.json")));
        std::fs::write(&records[index + 1], case.to_string()).unwrap();
    }
    let words: Vec<&str> = records.iter().map(String::as_str).collect();
    let told = extrados(&words);
    assert!(told.status.success(), "{}", said(&told.stderr));
    // Mean of 1 mm and standard deviation of √2.5, where the proximal edge lies as planned.
    assert!(
        said(&told.stdout).contains("Landing of 5: mean 1.0 mm, standard deviation 1.6 mm"),
        "{}",
        said(&told.stdout)
    );
    assert!(said(&told.stdout).contains("\"axial_sd_mm\": 1.6"));
    assert!(!extrados(&words[..3]).status.success(), "two are too few");
}

#[test]
fn every_schema_is_printed() {
    for of in ["case", "graft", "rules", "report"] {
        let schema: Value = serde_json::from_slice(&extrados(&["schema", of]).stdout).unwrap();
        assert!(schema["properties"].is_object(), "{of}");
    }
    assert!(said(&extrados(&["schema", "fields"]).stdout).contains("clock_deg"));
}

// The picture in the README is what the command draws today.
#[test]
fn the_readme_s_picture_is_current() {
    let drawn = scratch("common-trunk.svg");
    assert!(extrados(&["map", &demo("common-trunk.json"), "-o", &drawn, "--height", "130"]).status.success());
    assert!(
        std::fs::read(&drawn).unwrap() == std::fs::read(demo("common-trunk.svg")).unwrap(),
        "draw it anew: extrados map demo-data/common-trunk.json -o demo-data/common-trunk.svg --height 130"
    );
}

#[test]
fn an_arch_from_a_measuring_sheet_is_headed_rough_in_report_and_map() {
    let case = house().join("tests/reference/sheet-arch.json").display().to_string();
    let words = said(&extrados(&["report", &case]).stdout);
    for piece in ["ROUGH: ", "Not for ordering a graft", "ROUGH · ", "difference", "cannot be known"] {
        assert!(words.contains(piece), "{piece}");
    }
    let report: Value = serde_json::from_slice(&extrados(&["report", &case, "--json"]).stdout).unwrap();
    assert_eq!(report["rough"]["shape"], "circle");
    assert_eq!(report["rough"]["residuals"].as_array().unwrap().len(), 7);
    let map = scratch("rough.svg");
    assert!(extrados(&["map", &case, "-o", &map]).status.success());
    assert!(std::fs::read_to_string(&map).unwrap().contains("not for ordering a graft"));
}

#[test]
fn the_shipped_rule_sets_are_listed_and_one_is_a_file_by_itself() {
    let list = said(&extrados(&["rules"]).stdout);
    assert!(list.lines().count() >= 8 && list.contains("common practice, no source") && list.contains("NCT06915545"));
    let set: Value = serde_json::from_slice(&extrados(&["rules", "inner_branch"]).stdout).unwrap();
    assert_eq!(set["format"], "extrados-rules");
    assert_eq!(extrados(&["rules", "generic"]).status.code(), Some(2));
}

// The simulated projection, its points and the chart; what is no view is refused in one sentence.
#[test]
fn a_view_is_drawn_told_and_refused() {
    let case = demo("common-trunk.json");
    let out = scratch("view.svg");
    let done = extrados(&["view", &case, "--at", "LAO 45 / CAU 8", "--turn", "20", "--beam", "750,1150", "-o", &out]);
    assert!(done.status.success(), "{}", said(&done.stderr));
    let picture = std::fs::read_to_string(&out).unwrap();
    for piece in ["LAO 45 / CAU 8", "turned 20°", "10 mm", "to detector 1150 mm"] {
        assert!(picture.contains(piece), "{piece}");
    }
    let told = extrados(&["view", &case, "--at", "LAO 45 / CAU 8", "--json"]);
    let told: Value = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(told["view"], "LAO 45 / CAU 8");
    assert_eq!(told["ostia"].as_array().unwrap().len(), 2);
    let done = extrados(&["view", &case, "--chart=o1", "-o", &out]);
    assert!(done.status.success(), "{}", said(&done.stderr));
    assert!(std::fs::read_to_string(&out).unwrap().contains("IA + LCCA ostium: how much shorter it looks"));
    for (words, piece) in [
        (vec!["--at", "sideways", "-o", out.as_str()], "Write it as LAO 42 / CRA 8."),
        (vec!["-o", out.as_str()], "--at"),
        (vec!["--at", "LAO 1"], "-o FILE"),
        (vec!["--chart=o9", "-o", out.as_str()], "There is no view of \"o9\""),
        (vec!["--at", "LAO 1", "--beam", "1150,750", "-o", out.as_str()], "the detector lies farther"),
        (vec!["--at", "LAO 1", "--turn", "much", "-o", out.as_str()], "see `extrados help`"),
    ] {
        let done = extrados(&[&["view", case.as_str()], words.as_slice()].concat());
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        assert!(said(&done.stderr).contains(piece), "{words:?}: {}", said(&done.stderr));
    }
}

#[test]
fn a_map_at_true_size_is_as_long_as_the_outer_curve() {
    let svg = scratch("true-size.svg");
    assert!(extrados(&["map", &demo("plain-arch.json"), "-o", &svg, "--true-size"]).status.success());
    let drawn = std::fs::read_to_string(&svg).unwrap();
    let width: f64 = drawn.split("width=\"").nth(1).unwrap().split("mm").next().unwrap().parse().unwrap();
    let report = extrados(&["report", &demo("plain-arch.json"), "--json"]);
    let report: Value = serde_json::from_slice(&report.stdout).unwrap();
    let length = report["centreline"]["length_mm"].as_f64().unwrap();
    // The outer curve is longer than the centreline by the turn times the radius, and margins lie beside it.
    assert!(width > length && width < 2.0 * length, "{width} mm for {length} mm");
    let refused = extrados(&["map", &demo("plain-arch.json"), "-o", &svg, "--true-size", "--width", "300"]);
    assert_eq!(refused.status.code(), Some(2));
}

#[test]
fn an_option_that_a_command_would_not_heed_is_refused() {
    let case = demo("plain-arch.json");
    let (out, pdf) = (scratch("unheeded.json"), scratch("unheeded.pdf"));
    for words in [
        &["report", &case, "--true-size"][..],
        &["report", &case, "--json", "-o", &out],
        &["sheet", &case, "-o", &pdf, "--around", "mm"],
        &["rank", &case, &demo("graft-two-tunnel.json"), "--csv"],
    ] {
        let refused = extrados(words);
        assert_eq!(refused.status.code(), Some(2), "{words:?}");
        assert!(refused.stdout.is_empty() || words.contains(&"--json"), "{words:?}");
    }
    assert!(!Path::new(&out).exists() && !Path::new(&pdf).exists());
}

#[test]
fn every_command_gives_its_faults_as_json_where_asked() {
    let missing = scratch("nowhere.json");
    for words in [
        &["report", &missing, "--json"][..],
        &["import", &missing, "-o", &missing, "--json"],
        &["records", &missing, "--json"],
        &["frob", "--json"],
    ] {
        let failed = extrados(words);
        assert_eq!(failed.status.code(), Some(2), "{words:?}");
        let faults: Value = serde_json::from_slice(&failed.stdout).unwrap();
        assert!(!faults["faults"][0]["text"].as_str().unwrap().is_empty(), "{words:?}");
    }
}
