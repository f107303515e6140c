//! Times plans and drags, natively and in both browsers, and writes them beside their budgets.
//!
//! Benches leave a line for each time in the file that `EXTRADOS_TIMES` names (`crate/core/benches/times`,
//! `tests/browser/bench.py`, `tests/oracles/timing.py`). Here the lines become `dist/benchmark.md`. No test:
//! machines differ, and so a time beyond its budget fails nothing.

use std::fmt::Write as _;
use std::fs::File;
use std::io::Write as _;
use std::path::Path;

use serde::Deserialize;

use crate::build;
use crate::house::House;
use crate::run;
use crate::tools;
use crate::verify;

/// What a time should stay within: where the line begins so, and where it ends, ms. The budgets are those of
/// the project's plan, for a desktop of today.
const BUDGETS: [(&str, &str, f64); 8] = [
    ("chromium: computed", "half of them", 16.0),
    ("firefox: computed", "half of them", 16.0),
    ("chromium: drawn", "95 % of them", 16.0),
    ("firefox: drawn", "95 % of them", 16.0),
    ("chromium: the room, 31 by 31", "31", 60.0),
    ("chromium: the room, 121 by 121", "121", 400.0),
    ("chromium: the room, longest piece", "", 8.0),
    ("chromium: frame", "95 % of them", 32.0),
];

/// One time, as it was left.
#[derive(Clone, Debug, Deserialize, PartialEq)]
struct Time {
    what: String,
    of: String,
    ms: f64,
}

impl Time {
    fn budget(&self) -> Option<f64> {
        let own = BUDGETS.iter().find(|(from, to, _)| self.what.starts_with(from) && self.what.ends_with(to));
        own.map(|(_, _, ms)| *ms)
    }
}

/// Builds the file, runs every bench and writes `dist/benchmark.md`.
///
/// # Errors
/// Where something is missing or a run breaks off.
pub fn bench(house: &House) -> Result<(), String> {
    let packed = build::build(house)?;
    let times = house.target.join("times.jsonl");
    std::fs::write(&times, "").map_err(|fault| format!("{} cannot be written: {fault}.", times.display()))?;
    println!("Natively:");
    for name in ["plan", "paths", "room", "size"] {
        let mut cargo = house.cargo();
        cargo.args(["bench", "--quiet", "--package", "extrados", "--bench", name]);
        run::live(cargo.env("EXTRADOS_TIMES", &times))?;
    }
    println!("The independent reference in Python:");
    run::live(verify::python(house)?.arg("tests/oracles/timing.py").env("EXTRADOS_TIMES", &times))?;
    println!("Rooms in Chromium, compiled as the page is:");
    append(&times, &rooms(house)?)?;
    println!("In the browsers:");
    let mut python = verify::python(house)?;
    python.arg("tests/browser/bench.py").env("EXTRADOS_TIMES", &times);
    run::live(verify::with_browsers(&mut python, &tools::browsers(house)?))?;
    let lines = std::fs::read_to_string(&times).map_err(|fault| format!("{fault}."))?;
    let text = report(&read(&lines)?, &packed);
    let file = house.page_file().with_file_name("benchmark.md");
    std::fs::write(&file, text).map_err(|fault| format!("{} cannot be written: {fault}.", file.display()))?;
    println!("{}", house.shown(&file));
    Ok(())
}

/// Times of rooms in Chromium, a line each.
fn rooms(house: &House) -> Result<String, String> {
    let mut tests = verify::wasm_tests(house, &["--profile", "page", "--test", "room_times"])?;
    tests.args(["--", "--include-ignored", "--nocapture"]).env("WASM_BINDGEN_TEST_TIMEOUT", "600");
    let said = run::answer(&mut tests)?;
    Ok(said
        .lines()
        .map(str::trim)
        .filter(|line| line.starts_with("{\"what\""))
        .map(|line| format!("{line}\n"))
        .collect())
}

fn append(file: &Path, lines: &str) -> Result<(), String> {
    print!("{lines}");
    let open = || File::options().append(true).open(file)?.write_all(lines.as_bytes());
    open().map_err(|fault| format!("{} cannot be written: {fault}.", file.display()))
}

fn read(lines: &str) -> Result<Vec<Time>, String> {
    let line = |line| serde_json::from_str(line).map_err(|fault| format!("A time cannot be read: {fault}: {line}"));
    lines.lines().map(line).collect()
}

/// The tables; `weights` is what the build says of the packed file.
fn report(times: &[Time], weights: &str) -> String {
    let mut out = String::from(
        "# Benchmarks\n\nWritten by `cargo run -p extrados-pack -- bench`. Medians on the machine that ran it; other work on it makes them longer.\n",
    );
    out.push_str("\n## Beside their budgets\n\n| what | of | ms | budget, ms |\n| --- | --- | ---: | ---: |\n");
    for time in times {
        if let Some(budget) = time.budget() {
            let mark = if time.ms <= budget { "" } else { " **beyond**" };
            let _ = writeln!(out, "| {} | {} | {}{mark} | {budget} |", time.what, time.of, shown(time.ms));
        }
    }
    out.push_str("\n## Beside the Python reference\n\nThe reference knows one way to lie of three, and no paths.\n\n| case | program, anew, ms | reference, ms | times as long |\n| --- | ---: | ---: | ---: |\n");
    for reference in times.iter().filter(|time| time.what == "the Python reference") {
        let own = times.iter().find(|time| time.what == "anew" && time.of == reference.of);
        if let Some(own) = own {
            let ratio = reference.ms / own.ms;
            let _ = writeln!(out, "| {} | {} | {} | {ratio:.0} |", reference.of, shown(own.ms), shown(reference.ms));
        }
    }
    out.push_str("\n## Natively, and against size\n\n| what | of | ms |\n| --- | --- | ---: |\n");
    let browser = |time: &&Time| ["chromium", "firefox"].iter().any(|engine| time.what.starts_with(engine));
    for time in times.iter().filter(|time| !browser(time) && time.what != "the Python reference") {
        let _ = writeln!(out, "| {} | {} | {} |", time.what, time.of, shown(time.ms));
    }
    out.push_str("\n## In the browsers\n\n| what | of | ms |\n| --- | --- | ---: |\n");
    for time in times.iter().filter(browser) {
        let _ = writeln!(out, "| {} | {} | {} |", time.what, time.of, shown(time.ms));
    }
    let _ = write!(out, "\n## What each part of the page weighs\n\n```\n{weights}```\n");
    out
}

/// A time to two digits that count.
fn shown(ms: f64) -> String {
    if ms < 10.0 { format!("{ms:.2}") } else { format!("{ms:.0}") }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn times_stand_beside_their_budgets_and_the_reference() {
        let lines = r#"{"what": "anew", "of": "a.json", "ms": 20}
{"what": "the Python reference", "of": "a.json", "ms": 900}
{"what": "chromium: drawn, 95 % of them", "of": "a", "ms": 17.2}
{"what": "chromium: computed, half of them", "of": "a", "ms": 7}"#;
        let text = report(&read(lines).unwrap(), "weights\n");
        for line in [
            "| chromium: drawn, 95 % of them | a | 17 **beyond** | 16 |",
            "| chromium: computed, half of them | a | 7.00 | 16 |",
            "| a.json | 20 | 900 | 45 |",
            "| anew | a.json | 20 |",
            "weights",
        ] {
            assert!(text.lines().any(|own| own == line), "{line} is not in\n{text}");
        }
        assert!(read("{").is_err());
    }
}
