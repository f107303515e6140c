//! The native command `extrados`: every number and picture of the page, without a browser.
//!
//! It reads arguments and files, calls the library and prints. No number is computed here. Faults go
//! to standard error, one sentence each with the file, the place in it and the mend, or with `--json` to
//! standard output; exit status 2.

mod arguments;
mod pdf;
mod run;
mod view;

use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let outcome = arguments::parse().and_then(run::run);
    match outcome {
        Ok(done) => {
            for line in &done.notes {
                eprintln!("{line}");
            }
            // A reader that closes the pipe early (`| head`) is no fault.
            let _ = std::io::stdout().write_all(done.output.as_bytes());
            ExitCode::SUCCESS
        }
        Err(failure) => {
            if std::env::args_os().any(|word| word == "--json") {
                let _ = std::io::stdout().write_all(failure.json().as_bytes());
            } else {
                eprintln!("{failure}");
            }
            ExitCode::from(2)
        }
    }
}
