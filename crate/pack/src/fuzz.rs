//! Feeds everything that reads a file with what a coverage-guided fuzzer thinks of, and counts.
//!
//! Targets stand in `tests/fuzz`, in a workspace of their own, for the fuzzer is C++. Each begins with
//! files of the house and with inputs that once led somewhere new (`tests/fuzz/corpus`, a line each in base64),
//! and goes on with what it found the last time, in `target/fuzz`. A crash, an input that takes ten seconds
//! and one that takes 512 MB end it; the input is kept and named. `keep` writes the fewest short inputs that reach
//! what the files of the house do not into `tests/fuzz/corpus`.

use std::path::{Path, PathBuf};
use std::process::Command;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;

use crate::house::House;
use crate::run;
use crate::tools;

/// A target: its name, the folder of files it begins with, and the longest input that it thinks of, bytes.
type Target = (&'static str, &'static str, usize);

const TARGETS: [Target; 7] = [
    ("case", "tests/corpus/case", 16_384),
    ("graft", "tests/corpus/graft", 8_192),
    ("rules", "crate/core/src/rules/sets", 8_192),
    ("csv", "tests/corpus/csv", 8_192),
    ("ostia", "tests/corpus/csv", 2_048),
    ("vtk", "tests/corpus/vtk", 8_192),
    ("vtp", "tests/corpus/vtp", 8_192),
];

/// Executions of each target where no other number is given: together more than ten million.
pub const RUNS: u64 = 1_500_000;

/// Most memory, MB.
const MOST_MB: usize = 512;
/// Longest that one input may take, s.
const LONGEST_S: usize = 10;
/// Longest input that is kept in the house, bytes.
const KEPT_BYTES: usize = 1024;

/// Runs every target, or only those named, each so many times; `true` where none found anything.
///
/// # Errors
/// Where a name is no target's, or the fuzzer cannot be fetched or built.
pub fn fuzz(house: &House, runs: u64, only: &[String]) -> Result<bool, String> {
    let chosen = chosen(only)?;
    let program = tools::fuzzer(house)?;
    let mut lines = Vec::new();
    let mut well = true;
    for target in chosen {
        println!("{}: {runs} executions", target.0);
        let (line, ok) = one(house, &program, target, runs)?;
        println!("  {line}");
        lines.push(format!("{:<6} {line}", target.0));
        well &= ok;
    }
    println!("\n{}", lines.join("\n"));
    Ok(well)
}

/// Writes the fewest inputs that reach what every target, or only those named, was seen to reach and the files of
/// the house do not.
///
/// # Errors
/// As [`fuzz`].
pub fn keep(house: &House, only: &[String]) -> Result<bool, String> {
    let program = tools::fuzzer(house)?;
    for target in chosen(only)? {
        let (name, seeds, longest) = target;
        let seeds = files(&house.root.join(seeds))?;
        let (least, short) = (folder(house, "least", name)?, folder(house, "short", name)?);
        fill(&least, &seeds)?;
        // What was kept before counts as much as what was found since: on another machine there is nothing else.
        let mut found = files(&folder(house, "corpus", name)?)?;
        found.extend(files(&lay_out(house, name)?)?);
        found.retain(|bytes| bytes.len() <= KEPT_BYTES);
        fill(&short, &found)?;
        let log = empty_log(house, &format!("fuzz-{name}-keep"))?;
        let mut command = run_of(house, &program, name, &[&least, &short]);
        command.args([
            "-set_cover_merge=1".into(),
            // What code is reached, not how often: an order of magnitude fewer inputs.
            "-use_counters=0".into(),
            format!("-max_len={longest}"),
        ]);
        if !run::into_log(&mut command, &log)? {
            return Err(format!("What {name} reaches could not be found: see {}.", house.shown(&log)));
        }
        let mut kept = files(&least)?;
        kept.retain(|bytes| !seeds.contains(bytes));
        let mut lines: Vec<String> = kept.into_iter().map(|bytes| BASE64.encode(bytes)).collect();
        lines.sort_by_key(|line| (line.len(), line.clone()));
        let file = kept_in(house, name);
        let written = std::fs::create_dir_all(file.parent().unwrap_or(&house.root))
            .and_then(|()| std::fs::write(&file, lines.join("\n") + "\n"));
        written.map_err(|fault| format!("{} cannot be written: {fault}.", file.display()))?;
        println!("{name}: {} inputs in {}", lines.len(), house.shown(&file));
    }
    Ok(true)
}

/// The targets with these names; all where none is named.
fn chosen(only: &[String]) -> Result<Vec<&'static Target>, String> {
    if let Some(unknown) = only.iter().find(|name| TARGETS.iter().all(|target| target.0 != name.as_str())) {
        let known = TARGETS.map(|target| target.0).join(", ");
        return Err(format!("There is no target “{unknown}”: the targets are {known}."));
    }
    Ok(TARGETS.iter().filter(|target| only.is_empty() || only.iter().any(|name| name == target.0)).collect())
}

/// Where inputs of a target are kept in the house.
fn kept_in(house: &House, name: &str) -> PathBuf {
    house.root.join("tests/fuzz/corpus").join(format!("{name}.txt"))
}

/// A folder of a target's inputs in `target/fuzz`.
fn folder(house: &House, kind: &str, name: &str) -> Result<PathBuf, String> {
    let folder = house.target.join("fuzz").join(kind).join(name);
    std::fs::create_dir_all(&folder).map_err(|fault| format!("{} cannot be made: {fault}.", folder.display()))?;
    Ok(folder)
}

fn files(folder: &Path) -> Result<Vec<Vec<u8>>, String> {
    let read = || -> std::io::Result<Vec<Vec<u8>>> {
        std::fs::read_dir(folder)?.map(|entry| std::fs::read(entry?.path())).collect()
    };
    read().map_err(|fault| format!("{} cannot be read: {fault}.", folder.display()))
}

/// An empty log by a name.
fn empty_log(house: &House, name: &str) -> Result<PathBuf, String> {
    let log = house.log(name);
    let prepared = log.parent().map_or(Ok(()), std::fs::create_dir_all).and_then(|()| std::fs::write(&log, ""));
    prepared.map_err(|fault| format!("{} cannot be written: {fault}.", log.display()))?;
    Ok(log)
}

/// Leaves these files in a folder and no others.
fn fill(folder: &Path, files: &[Vec<u8>]) -> Result<(), String> {
    let fill = || -> std::io::Result<()> {
        std::fs::remove_dir_all(folder)?;
        std::fs::create_dir_all(folder)?;
        let write = |(number, bytes): (usize, &Vec<u8>)| std::fs::write(folder.join(format!("{number:05}")), bytes);
        files.iter().enumerate().try_for_each(write)
    };
    fill().map_err(|fault| format!("{} cannot be written: {fault}.", folder.display()))
}

/// Lays the kept inputs of a target out as files.
fn lay_out(house: &House, name: &str) -> Result<PathBuf, String> {
    let laid = folder(house, "kept", name)?;
    let text = std::fs::read_to_string(kept_in(house, name)).unwrap_or_default();
    let decoded = |(number, line)| {
        BASE64.decode(line).map_err(|fault| format!("tests/fuzz/corpus/{name}.txt, line {}: {fault}.", number + 1))
    };
    let inputs = text.lines().enumerate().map(decoded).collect::<Result<Vec<_>, String>>()?;
    fill(&laid, &inputs)?;
    Ok(laid)
}

/// The fuzzer on a target with folders of inputs; what follows goes to the target itself.
fn run_of(house: &House, program: &Path, name: &str, inputs: &[&PathBuf]) -> Command {
    let mut command = Command::new(program);
    command.current_dir(&house.root).args(["fuzz", "run", "--fuzz-dir", "tests/fuzz", "--sanitizer", "none"]);
    command.arg("--target-dir").arg(house.target.join("fuzz")).arg(name).args(inputs).arg("--");
    command
}

/// One target: what is said of it, and whether all was well.
fn one(house: &House, program: &Path, (name, seeds, longest): &Target, runs: u64) -> Result<(String, bool), String> {
    let (grown, laid) = (folder(house, "corpus", name)?, lay_out(house, name)?);
    let log = empty_log(house, &format!("fuzz-{name}"))?;
    let mut command = run_of(house, program, name, &[&grown, &laid, &house.root.join(seeds)]);
    command.args([
        format!("-runs={runs}"),
        format!("-max_len={longest}"),
        format!("-rss_limit_mb={MOST_MB}"),
        format!("-timeout={LONGEST_S}"),
        "-print_final_stats=1".into(),
        "-verbosity=0".into(),
    ]);
    let ok = run::into_log(&mut command, &log)?;
    let text = std::fs::read_to_string(&log).unwrap_or_default();
    let number = |key: &str| text.lines().rev().find_map(|line| line.strip_prefix(key)).map_or("?", str::trim);
    let line = format!(
        "{} executions, {} a second, at most {} MB, slowest input {} s: {}",
        number("stat::number_of_executed_units:"),
        number("stat::average_exec_per_sec:"),
        number("stat::peak_rss_mb:"),
        number("stat::slowest_unit_time_sec:"),
        if ok { "nothing found".into() } else { format!("FOUND SOMETHING, see {}", house.shown(&log)) }
    );
    Ok((line, ok))
}
