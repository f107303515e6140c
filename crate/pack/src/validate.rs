//! Writes the validation report from the runs themselves.
//!
//! The native tests and the oracles are run with `EXTRADOS_OUTSIDE` naming a file, to which each check
//! against something outside the project adds a line (`crate/core/tests/outside`, `tests/oracles/outside.py`). Here
//! the lines become tables. Nothing in the report is written by hand: limits and changes are the
//! README's own sections.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use serde::Deserialize;

use crate::house::House;
use crate::run;
use crate::tally::Tally;
use crate::verify;

/// The steps of `cargo verify` whose tests hold the program against something outside it.
const STEPS: [&str; 2] = ["native", "oracles"];

/// One check, as it left itself.
#[derive(Clone, Debug, Deserialize, PartialEq)]
struct Check {
    source: String,
    /// The quantity.
    check: String,
    input: String,
    expected: serde_json::Value,
    got: serde_json::Value,
    /// None where words are compared.
    tolerance: Option<f64>,
    unit: String,
    /// Of a comparison with another computation: how many numbers it stands for; else 0.
    #[serde(default)]
    compared: usize,
    /// It shows a reference right and asks nothing of the program.
    #[serde(default)]
    beside: bool,
}

impl Check {
    /// The difference of numbers; not a number where one is missing.
    fn difference(&self) -> Option<f64> {
        self.tolerance?;
        let number = |value: &serde_json::Value| value.as_f64().unwrap_or(f64::NAN);
        Some((number(&self.got) - number(&self.expected)).abs())
    }

    /// Whether the check holds, by its own tolerance.
    fn holds(&self) -> bool {
        match (self.difference(), self.tolerance) {
            (Some(difference), Some(tolerance)) => difference <= tolerance,
            _ => self.got == self.expected,
        }
    }
}

/// Runs the checks and writes `dist/validation.md`; `true` where all passed.
///
/// # Errors
/// Where a file cannot be read or written, or no check left a line.
pub fn validate(house: &House) -> Result<bool, String> {
    let record = house.target.join("outside.jsonl");
    std::fs::write(&record, "").map_err(|fault| format!("{} cannot be written: {fault}.", record.display()))?;
    let steps = verify::recorded(house, &STEPS, &record)?;
    let checks = read(&std::fs::read_to_string(&record).map_err(|fault| format!("{fault}."))?)?;
    if checks.is_empty() {
        return Err("No check left a line, so there is nothing to report: see the logs of the steps.".into());
    }
    let program = run::answer(house.cargo().args(["pkgid", "--package", "extrados"]))?;
    let version = program.trim().rsplit(['#', '@']).next().unwrap_or_default();
    let text = report(version, &steps, &checks, &house.read("README.md")?);
    let file = house.page_file().with_file_name("validation.md");
    write(&file, &text)?;
    let failed = steps.iter().map(|(_, _, tally)| tally.failed).sum::<usize>();
    let beyond = checks.iter().filter(|check| !check.holds()).count();
    println!("{} lines of outside checks, {beyond} beyond their tolerance: {}", checks.len(), house.shown(&file));
    Ok(failed == 0 && beyond == 0)
}

fn write(file: &Path, text: &str) -> Result<(), String> {
    let folder = file.parent().unwrap_or(file);
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(file, text))
        .map_err(|fault| format!("{} cannot be written: {fault}.", file.display()))
}

/// Reads the lines; in an order of their own, for tests run side by side.
fn read(lines: &str) -> Result<Vec<Check>, String> {
    let mut checks: Vec<Check> = lines
        .lines()
        .map(|line| {
            serde_json::from_str(line)
                .map_err(|fault| format!("A check left a line that cannot be read: {fault}: {line}"))
        })
        .collect::<Result<_, String>>()?;
    checks.sort_by(|a, b| (&a.source, &a.check, &a.input).cmp(&(&b.source, &b.check, &b.input)));
    Ok(checks)
}

/// The whole report.
fn report(version: &str, steps: &[(&str, &str, Tally)], checks: &[Check], readme: &str) -> String {
    let (compared, single): (Vec<&Check>, Vec<&Check>) = checks.iter().partition(|check| check.compared > 0);
    let mut out = format!(
        "# Validation of Extrados {version}\n\n\
         Written by `cargo run -p extrados-pack -- validate` from the runs it names; no line is written by hand. A difference is \
         that between what the program gives and what stands outside it; a tolerance is the one that the test itself asserts.\n\n\
         ## What was run\n\n| step | what | passed | failed | not run |\n| --- | --- | ---: | ---: | ---: |\n"
    );
    for (name, what, tally) in steps {
        let _ = writeln!(out, "| {name} | {what} | {} | {} | {} |", tally.passed, tally.failed, tally.not_run.len());
    }
    let beyond = checks.iter().filter(|check| !check.holds()).count();
    let _ = writeln!(
        out,
        "\n{} checks one by one against published figures, closed forms and other programs; {} comparisons with independent \
         recomputation; {beyond} beyond their tolerance.\n",
        single.len(),
        compared.len()
    );
    out.push_str(
        "## Accuracy of each quantity\n\nOver every check below: the largest difference seen, its tolerance, and where it was.\n\n",
    );
    out.push_str("| quantity | unit | checks | largest difference | its tolerance | where |\n| --- | --- | ---: | ---: | ---: | --- |\n");
    for ((quantity, unit), of) in
        grouped(checks.iter().filter(|check| check.tolerance.is_some() && !check.beside), |check| {
            (check.check.clone(), check.unit.clone())
        })
    {
        out.push_str(&largest(&[&quantity, &unit], &of, |worst| format!("{}: {}", worst.source, worst.input)));
    }
    out.push_str("\n## Outside checks, by source\n");
    for (source, of) in grouped(single.iter().copied().filter(|check| !check.beside), |check| check.source.clone()) {
        one_by_one(&mut out, &source, &of);
    }
    out.push_str("\n## Comparisons with independent recomputation\n");
    for (source, of) in grouped(compared.iter().copied().filter(|check| !check.beside), |check| check.source.clone()) {
        largest_of_each(&mut out, &source, of);
    }
    out.push_str("\n## The references themselves\n\nWhat shows that they are right; nothing here asks the program.\n");
    for (source, of) in grouped(checks.iter().filter(|check| check.beside), |check| check.source.clone()) {
        if of.iter().all(|check| check.compared > 0) {
            largest_of_each(&mut out, &source, of);
        } else {
            one_by_one(&mut out, &source, &of);
        }
    }
    let _ = write!(out, "\n## Known limits\n\nFrom the README.\n\n{}", section(readme, "Its limits"));
    let _ = write!(
        out,
        "\n## Changes that change a number\n\nFrom the README.\n\n{}",
        section(readme, "Changes that change a number")
    );
    out.push_str("\n## Not run\n\n");
    for (_, _, tally) in steps {
        for check in &tally.not_run {
            let _ = writeln!(out, "- {check}");
        }
    }
    let others: Vec<&str> = verify::step_names().into_iter().filter(|name| !STEPS.contains(name)).collect();
    let _ = writeln!(
        out,
        "- for this report: the steps {} of `cargo verify`, among them the comparison of every engine in `browser`",
        others.join(", ")
    );
    out
}

/// Every check of a source, a row each.
fn one_by_one(out: &mut String, source: &str, of: &[&Check]) {
    let _ = writeln!(out, "\n### {}\n", cell(source));
    out.push_str("| quantity | input | expected | got | difference | tolerance | unit |\n| --- | --- | ---: | ---: | ---: | ---: | --- |\n");
    for check in of {
        let mark = if check.holds() { "" } else { " **beyond**" };
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {}{mark} | {} | {} |",
            cell(&check.check),
            cell(&check.input),
            shown(&check.expected),
            shown(&check.got),
            check.difference().map_or_else(String::new, small),
            check.tolerance.map_or_else(|| "equal".to_owned(), small),
            cell(&check.unit)
        );
    }
}

/// The largest difference of each quantity of a source.
fn largest_of_each(out: &mut String, source: &str, of: Vec<&Check>) {
    let _ = writeln!(out, "\n### {}\n", cell(source));
    out.push_str("| quantity | unit | comparisons | largest difference | its tolerance | where |\n| --- | --- | ---: | ---: | ---: | --- |\n");
    for ((quantity, unit), of) in grouped(of.into_iter(), |check| (check.check.clone(), check.unit.clone())) {
        out.push_str(&largest(&[&quantity, &unit], &of, |worst| worst.input.clone()));
    }
}

/// A row with the largest of some differences.
fn largest(first: &[&str], of: &[&Check], place: impl Fn(&Check) -> String) -> String {
    let size = |check: &Check| check.difference().map_or(0.0, |d| if d.is_nan() { f64::INFINITY } else { d });
    let Some(worst) = of.iter().copied().max_by(|a, b| size(a).total_cmp(&size(b))) else { return String::new() };
    let count: usize = of.iter().map(|check| check.compared.max(1)).sum();
    let mark = if of.iter().all(|check| check.holds()) { "" } else { " **beyond**" };
    let first: Vec<String> = first.iter().map(|text| cell(text)).collect();
    let (difference, tolerance) =
        (worst.difference().map_or_else(String::new, small), worst.tolerance.map_or_else(String::new, small));
    format!("| {} | {count} | {difference}{mark} | {tolerance} | {} |\n", first.join(" | "), cell(&place(worst)))
}

/// Checks by a key, in the key's order.
fn grouped<'a, K: Ord>(
    checks: impl Iterator<Item = &'a Check>,
    key: impl Fn(&Check) -> K,
) -> BTreeMap<K, Vec<&'a Check>> {
    let mut groups: BTreeMap<K, Vec<&Check>> = BTreeMap::new();
    for check in checks {
        groups.entry(key(check)).or_default().push(check);
    }
    groups
}

/// A value as it stands in a table: numbers to nine digits.
fn shown(value: &serde_json::Value) -> String {
    match value {
        serde_json::Value::Number(number) => number.as_f64().map_or_else(String::new, |number| digits(number, 9)),
        serde_json::Value::String(text) => cell(text),
        _ => "missing".into(),
    }
}

/// A difference or tolerance, to two digits.
fn small(number: f64) -> String {
    digits(number, 2)
}

/// A number to this many digits, without a train of zeros.
fn digits(number: f64, count: usize) -> String {
    if number.is_nan() {
        return "missing".into();
    }
    let rounded: f64 = format!("{number:.*e}", count.saturating_sub(1)).parse().unwrap_or(number);
    if rounded != 0.0 && !(1e-3..1e7).contains(&rounded.abs()) { format!("{rounded:e}") } else { format!("{rounded}") }
}

/// A text that breaks no table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

/// What stands under a heading of second rank, up to the next one.
fn section(text: &str, heading: &str) -> String {
    let lines = text.lines().skip_while(|line| *line != format!("## {heading}")).skip(1);
    let inside: Vec<&str> = lines.take_while(|line| !line.starts_with("## ")).collect();
    inside.join("\n").trim().to_owned() + "\n"
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const LINES: &str = r#"{"source": "s", "check": "length", "input": "b", "expected": 2, "got": 2.5, "tolerance": 0.1, "unit": "mm"}
{"source": "s", "check": "length", "input": "a", "expected": 1, "got": 1.01, "tolerance": 0.1, "unit": "mm"}
{"source": "s", "check": "word", "input": "a", "expected": "Met", "got": "Met", "tolerance": null, "unit": ""}
{"source": "o", "check": "length", "input": "c", "expected": 0, "got": null, "tolerance": 0.1, "unit": "mm", "compared": 7}"#;

    #[test]
    fn what_is_missing_or_too_far_does_not_hold() {
        let checks = read(LINES).unwrap();
        let held: Vec<(&str, bool)> = checks.iter().map(|check| (check.input.as_str(), check.holds())).collect();
        assert_eq!(held, [("c", false), ("a", true), ("b", false), ("a", true)]);
        assert!(read("{}").is_err());
    }

    #[test]
    fn the_report_names_every_check_the_largest_and_what_was_not_run() {
        let tally = Tally { passed: 3, failed: 1, not_run: vec!["open aorta: no data".into()] };
        let readme =
            "## Its limits\n\n- no friction\n\n## Changes that change a number\n\n- none\n\n## Licence\n\nMIT\n";
        let text = report("1.2", &[("native", "native tests", tally)], &read(LINES).unwrap(), readme);
        for line in [
            "| native | native tests | 3 | 1 | 1 |",
            "| length | b | 2 | 2.5 | 0.5 **beyond** | 0.1 | mm |",
            "| length | a | 1 | 1.01 | 0.01 | 0.1 | mm |",
            "| word | a | Met | Met |  | equal |  |",
            "| length | mm | 7 | missing **beyond** | 0.1 | c |",
            "- no friction",
            "- open aorta: no data",
        ] {
            assert!(text.lines().any(|own| own == line), "{line} is not in\n{text}");
        }
        assert!(!text.contains("MIT"));
    }

    #[test]
    fn numbers_keep_the_digits_that_count() {
        assert_eq!(
            [digits(161.913979293, 9), small(4.92e-5), small(0.05), small(0.0)],
            ["161.913979", "4.9e-5", "0.05", "0"]
        );
    }
}
