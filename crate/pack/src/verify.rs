//! Runs every check, times each step, and closes with a table and one line of counts.
//!
//! A step that runs no test fails: a suite that ran nothing proves nothing. Checks that cannot run
//! here say so by name and are listed at the end. The full output of each step stays in
//! `target/verify/`.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use crate::audit;
use crate::build;
use crate::house::House;
use crate::module;
use crate::run;
use crate::tally::Tally;
use crate::tools;

/// What a step may use.
struct Bench<'a> {
    house: &'a House,
    log: &'a Path,
    /// Where checks against things outside the project leave their lines, if anywhere.
    record: Option<&'a Path>,
}

/// One step: its name, what it checks, and how.
struct Step {
    name: &'static str,
    what: &'static str,
    run: fn(&Bench) -> Result<Tally, String>,
}

const STEPS: [Step; 9] = [
    Step { name: "format", what: "the code is formatted", run: format },
    Step { name: "lint", what: "clippy finds nothing, in any crate", run: lint },
    Step { name: "lint-wasm", what: "clippy finds nothing in the page as it is shipped", run: lint_wasm },
    Step { name: "native", what: "native tests", run: native },
    Step { name: "wasm", what: "WebAssembly tests in Chromium", run: wasm },
    Step { name: "build", what: "the file is built, twice the same", run: build_twice },
    Step { name: "audit", what: "the packed file names nothing outside itself", run: audit_file },
    Step { name: "browser", what: "the file from disk in the browsers", run: browser },
    Step { name: "oracles", what: "outside recomputation in Python", run: oracles },
];

/// How many lines of a failed step are shown.
const LINES_SHOWN: usize = 80;

/// The names of the steps, in order.
pub fn step_names() -> Vec<&'static str> {
    STEPS.iter().map(|step| step.name).collect()
}

/// Runs the checks, or only those named; `true` where all passed.
///
/// # Errors
/// Where a name is no step's, or the folder for logs cannot be made.
pub fn verify(house: &House, only: &[String]) -> Result<bool, String> {
    if let Some(unknown) = only.iter().find(|name| !step_names().contains(&name.as_str())) {
        return Err(format!("There is no step “{unknown}”: the steps are {}.", step_names().join(", ")));
    }
    let logs = house.target.join("verify");
    std::fs::create_dir_all(&logs).map_err(|fault| format!("{} cannot be made: {fault}.", logs.display()))?;
    let start = Instant::now();
    let mut total = Tally::default();
    let mut table = Vec::new();
    for step in STEPS.iter().filter(|step| only.is_empty() || only.iter().any(|name| name == step.name)) {
        let begun = Instant::now();
        println!("{}: {}", step.name, step.what);
        let tally = one(house, step, None);
        let seconds = begun.elapsed().as_secs_f64();
        println!("  {} in {seconds:.0} s", counts(&tally));
        total.add(&tally);
        table.push((step, tally, seconds));
    }
    println!();
    for (step, tally, seconds) in &table {
        let word = if tally.failed == 0 { "ok" } else { "FAILED" };
        println!("{:<10} {word:<7} {seconds:>5.0} s  {:<26} {}", step.name, counts(tally), step.what);
    }
    println!("{:<10} {:<7} {:>5.0} s", "all", "", start.elapsed().as_secs_f64());
    for check in &total.not_run {
        println!("NOT RUN: {check}");
    }
    println!();
    println!("{} passed, {} failed", total.passed, total.failed);
    Ok(total.failed == 0)
}

/// Runs some steps whose checks against things outside the project leave their lines in a file; each
/// with its name, what it checks and its counts.
///
/// # Errors
/// Where the folder for logs cannot be made.
pub fn recorded(
    house: &House,
    names: &[&str],
    record: &Path,
) -> Result<Vec<(&'static str, &'static str, Tally)>, String> {
    let logs = house.target.join("verify");
    std::fs::create_dir_all(&logs).map_err(|fault| format!("{} cannot be made: {fault}.", logs.display()))?;
    let run = |step: &Step| {
        println!("{}: {}", step.name, step.what);
        let tally = one(house, step, Some(record));
        println!("  {}", counts(&tally));
        (step.name, step.what, tally)
    };
    Ok(STEPS.iter().filter(|step| names.contains(&step.name)).map(run).collect())
}

/// Runs one step; a step that breaks off counts as one failure at least.
fn one(house: &House, step: &Step, record: Option<&Path>) -> Tally {
    let log = house.log(step.name);
    let emptied = std::fs::write(&log, "").map_err(|fault| format!("{} cannot be written: {fault}.", log.display()));
    let tally = match emptied.and_then(|()| (step.run)(&Bench { house, log: &log, record })) {
        Ok(tally) if tally.passed + tally.failed > 0 => tally,
        Ok(tally) => {
            println!("  No test ran: that counts as a failure.");
            Tally { failed: 1, ..tally }
        }
        Err(sentence) => {
            println!("  {sentence}");
            Tally { failed: 1, ..Tally::default() }
        }
    };
    if tally.failed > 0 {
        let text = std::fs::read_to_string(&log).unwrap_or_default();
        let lines: Vec<&str> = text.lines().collect();
        for line in &lines[lines.len().saturating_sub(LINES_SHOWN)..] {
            println!("  | {line}");
        }
        println!("  All of it: {}", house.shown(&log));
    }
    tally
}

fn counts(tally: &Tally) -> String {
    let mut text = format!("{} passed, {} failed", tally.passed, tally.failed);
    if !tally.not_run.is_empty() {
        text.push_str(&format!(", {} not run", tally.not_run.len()));
    }
    text
}

impl Bench<'_> {
    /// Runs a command that is a check by itself.
    fn check(&self, command: &mut Command) -> Result<Tally, String> {
        let ok = run::into_log(command, self.log)?;
        Ok(Tally { passed: ok.into(), failed: (!ok).into(), not_run: vec![] })
    }

    /// Runs a test program and counts its tests; one that fails without a failed test did not get
    /// to its tests, which is one failure.
    fn tests(&self, command: &mut Command) -> Result<Tally, String> {
        let before = self.read_log()?.len();
        if let Some(record) = self.record {
            command.env("EXTRADOS_OUTSIDE", record);
        }
        let ok = run::into_log(command, self.log)?;
        let mut tally = Tally::read(self.read_log()?.get(before..).unwrap_or_default());
        if !ok && tally.failed == 0 {
            tally.failed = 1;
        }
        Ok(tally)
    }

    fn read_log(&self) -> Result<String, String> {
        std::fs::read(self.log)
            .map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
            .map_err(|fault| format!("{} cannot be read: {fault}.", self.log.display()))
    }
}

fn format(bench: &Bench) -> Result<Tally, String> {
    component(bench.house, "fmt", "rustfmt")?;
    bench.check(bench.house.cargo().args(["fmt", "--all", "--check"]))
}

fn lint(bench: &Bench) -> Result<Tally, String> {
    component(bench.house, "clippy", "clippy")?;
    bench.check(bench.house.cargo().args(["clippy", "--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"]))
}

fn lint_wasm(bench: &Bench) -> Result<Tally, String> {
    let road = tools::wasm_road(bench.house)?;
    let mut cargo = road.cargo(bench.house);
    // Debian's compiler for browsers brings no clippy of its own: there the compiler's warnings serve.
    let subcommand = if matches!(road, tools::WasmRoad::Plain) { "clippy" } else { "check" };
    cargo.args([subcommand, "--package", "extrados-page", "--all-targets", "--quiet"]).args(road.last_words());
    if subcommand == "clippy" {
        cargo.args(["--", "-D", "warnings"]);
    } else {
        cargo.env("RUSTFLAGS", "-D warnings");
    }
    bench.check(&mut cargo)
}

fn native(bench: &Bench) -> Result<Tally, String> {
    // Shown output carries what a test says about checks that it could not run.
    bench.tests(bench.house.cargo().args(["test", "--workspace", "--quiet", "--no-fail-fast", "--", "--show-output"]))
}

fn wasm(bench: &Bench) -> Result<Tally, String> {
    let mut cargo = wasm_tests(bench.house, &["--no-fail-fast"])?;
    // Names are enough to read a failure by; whole debug information slows every start.
    bench.tests(cargo.env("CARGO_PROFILE_DEV_DEBUG", "0"))
}

/// The page's tests in Chromium; `words` for cargo stand before those for the tests.
///
/// # Errors
/// Where something that they need is missing.
pub fn wasm_tests(house: &House, words: &[&str]) -> Result<Command, String> {
    let road = tools::wasm_road(house)?;
    let runner = tools::test_runner(house)?;
    let [_, driver] = tools::chromium(house)?;
    let mut cargo = road.cargo(house);
    cargo
        .args(["test", "--package", "extrados-page"])
        .args(words)
        .args(road.last_words())
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", runner)
        .env("CHROMEDRIVER", driver)
        .env("WASM_BINDGEN_TEST_ONLY_WEB", "1")
        .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", house.root.join("tests/browser/webdriver.json"));
    Ok(cargo)
}

fn build_twice(bench: &Bench) -> Result<Tally, String> {
    let house = bench.house;
    let compiled = module::compile(house, &tools::wasm_road(house)?)?;
    let first = build::pack(house, module::bind(&compiled)?)?;
    let second = build::pack(house, module::bind(&compiled)?)?;
    build::write(house, &first)?;
    print!("{}", build::describe(&house.page_file(), &first));
    let same = first.html == second.html;
    if !same {
        println!("  The same sources gave two different files.");
    }
    Ok(Tally { passed: 1 + usize::from(same), failed: usize::from(!same), not_run: vec![] })
}

fn audit_file(bench: &Bench) -> Result<Tally, String> {
    let file = bench.house.page_file();
    let html = std::fs::read_to_string(&file)
        .map_err(|fault| format!("{} cannot be read: {fault}. Build it first.", bench.house.shown(&file)))?;
    let findings = audit::audit(&html);
    for finding in &findings {
        println!("  {finding}");
    }
    Ok(Tally { passed: findings.is_empty().into(), failed: findings.len(), not_run: vec![] })
}

fn browser(bench: &Bench) -> Result<Tally, String> {
    let mut python = python(bench.house)?;
    // Reasons of what is left out or known to differ are shown: they name checks that could not run.
    python.args(["-m", "pytest", "-q", "-rsx", "-p", "no:cacheprovider", "--color=no", "tests/browser"]);
    python.env("EXTRADOS_BIN", command(bench)?);
    bench.tests(with_browsers(&mut python, &tools::browsers(bench.house)?))
}

/// Builds the native command, with which results are compared; gives the program.
fn command(bench: &Bench) -> Result<PathBuf, String> {
    let house = bench.house;
    if run::into_log(house.cargo().args(["build", "--quiet", "--package", "extrados-command"]), bench.log)? {
        return Ok(house.target.join("debug").join("extrados"));
    }
    Err("The command `extrados` does not compile, so nothing can be compared with it.".into())
}

/// Each script of `tests/oracles` that is a check by itself.
fn oracles(bench: &Bench) -> Result<Tally, String> {
    let house = bench.house;
    let folder = house.root.join("tests/oracles");
    let entries = std::fs::read_dir(&folder).map_err(|fault| format!("tests/oracles cannot be read: {fault}."))?;
    let mut scripts: Vec<_> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension() == Some("py".as_ref()))
        .filter(|path| std::fs::read_to_string(path).is_ok_and(|text| text.contains("if __name__ == \"__main__\"")))
        .collect();
    scripts.sort();
    let program = command(bench)?;
    let mut total = Tally::default();
    for script in &scripts {
        let tally = bench.tests(python(house)?.arg(script).env("EXTRADOS_BIN", &program))?;
        // A script that counts nothing is one check.
        total.add(&if tally.passed + tally.failed == 0 { Tally { passed: 1, ..tally } } else { tally });
    }
    Ok(total)
}

/// A Python that has what the tests need, and knows where the file is and where pictures go.
pub fn python(house: &House) -> Result<Command, String> {
    let mut python = Command::new(tools::python(house)?);
    python
        .current_dir(&house.root)
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .env("EXTRADOS_PAGE", house.page_file())
        .env("EXTRADOS_OUTPUT", house.target.join("screens"));
    Ok(python)
}

/// Names the browsers and their drivers to the Python tests.
pub fn with_browsers<'a>(command: &'a mut Command, browsers: &tools::Browsers) -> &'a mut Command {
    let [chromium, chromedriver] = &browsers.chromium;
    let [firefox, geckodriver] = &browsers.firefox;
    command
        .env("EXTRADOS_CHROMIUM", chromium)
        .env("EXTRADOS_CHROMEDRIVER", chromedriver)
        .env("EXTRADOS_FIREFOX", firefox)
        .env("EXTRADOS_GECKODRIVER", geckodriver);
    if let Some([driver, display]) = &browsers.webkit {
        command.env("EXTRADOS_WEBKITDRIVER", driver).env("EXTRADOS_DISPLAY", display);
    }
    command
}

/// Makes sure that a part of the Rust toolchain is there.
fn component(house: &House, subcommand: &str, name: &str) -> Result<(), String> {
    if run::answer(house.cargo().args([subcommand, "--version"])).is_ok() {
        return Ok(());
    }
    println!("  fetching {name} with rustup: the code is checked with it");
    let added = run::answer(Command::new("rustup").args(["component", "add", name]).current_dir(&house.root));
    added.map(|_| ()).map_err(|sentence| {
        format!("{name} is missing ({sentence}) Install it by `rustup component add {name}` (Debian: `apt-get install rustfmt rust-clippy`).")
    })
}
