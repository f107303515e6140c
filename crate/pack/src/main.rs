//! The build tool behind `cargo start` and `cargo verify`: packs the page into one file and runs
//! every check.
//!
//! It knows how the house is built and nothing of aortas: it never reads a case beyond copying it
//! into the file. Every failure is one sentence that says what went wrong and how to mend it.

#![allow(clippy::print_stdout, reason = "talking to the person at the terminal is its job")]

mod audit;
mod bench;
mod blocks;
mod build;
mod columns;
mod fuzz;
mod house;
mod letters;
mod module;
mod onefile;
mod run;
mod tally;
mod tools;
mod validate;
mod verify;

use std::process::ExitCode;

use house::House;

/// What the person asked for.
enum Wish {
    Start,
    Build,
    Verify(Vec<String>),
    Bench,
    Validate,
    Fuzz(u64, Vec<String>),
    KeepFuzz(Vec<String>),
    Help,
}

const HELP: &str = "\
Builds and checks Extrados.

  cargo start              build dist/extrados.html and open it
  cargo verify [STEP...]   run every check, or only the steps named
  cargo run -p extrados-pack -- build    build dist/extrados.html
  cargo run -p extrados-pack -- bench    time plans and drags, natively and in both browsers, into dist/benchmark.md
  cargo run -p extrados-pack -- validate write dist/validation.md from the native tests and the oracles
  cargo run -p extrados-pack -- fuzz [N] [TARGET...]
                           feed everything that reads a file N times with what a fuzzer thinks of
  cargo run -p extrados-pack -- fuzz keep [TARGET...]
                           write the fewest short inputs that reach what the files of the house do not into tests/fuzz/corpus";

fn main() -> ExitCode {
    let done = read_wish().and_then(|wish| match wish {
        Wish::Help => {
            println!("{HELP}\n\nSteps of cargo verify: {}", verify::step_names().join(", "));
            Ok(true)
        }
        Wish::Start => House::find().and_then(|house| build::start(&house)).map(|()| true),
        Wish::Build => House::find().and_then(|house| build::build(&house)).map(|_| true),
        Wish::Verify(only) => House::find().and_then(|house| verify::verify(&house, &only)),
        Wish::Fuzz(runs, only) => House::find().and_then(|house| fuzz::fuzz(&house, runs, &only)),
        Wish::KeepFuzz(only) => House::find().and_then(|house| fuzz::keep(&house, &only)),
        Wish::Bench => House::find().and_then(|house| bench::bench(&house)).map(|()| true),
        Wish::Validate => House::find().and_then(|house| validate::validate(&house)),
    });
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(sentence) => {
            eprintln!("{sentence}");
            ExitCode::from(2)
        }
    }
}

/// Reads the command line.
fn read_wish() -> Result<Wish, String> {
    let mut words = lexopt::Parser::from_env();
    let mut command = None;
    let mut rest = Vec::new();
    while let Some(word) = words.next().map_err(|fault| format!("{fault}. See --help."))? {
        match word {
            lexopt::Arg::Long("help") | lexopt::Arg::Short('h') => return Ok(Wish::Help),
            lexopt::Arg::Value(value) => {
                let value = value.to_string_lossy().into_owned();
                if command.is_none() { command = Some(value) } else { rest.push(value) }
            }
            other => return Err(format!("{}. See --help.", other.unexpected())),
        }
    }
    let wish = match command.as_deref() {
        None | Some("help") => Wish::Help,
        Some("start") => Wish::Start,
        Some("build") => Wish::Build,
        Some("bench") => Wish::Bench,
        Some("validate") => Wish::Validate,
        Some("verify") => return Ok(Wish::Verify(rest)),
        Some("fuzz") if rest.first().is_some_and(|word| word == "keep") => {
            return Ok(Wish::KeepFuzz(rest.split_off(1)));
        }
        Some("fuzz") => {
            let runs = rest.first().and_then(|word| word.parse().ok());
            return Ok(Wish::Fuzz(runs.unwrap_or(fuzz::RUNS), rest.split_off(usize::from(runs.is_some()))));
        }
        Some(other) => return Err(format!("There is no command “{other}”. See --help.")),
    };
    match rest.first() {
        Some(extra) => Err(format!("“{extra}” is one word too many. See --help.")),
        None => Ok(wish),
    }
}
