//! How long the room of a placement takes natively. Prints; judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod timed;

use std::time::Instant;

fn main() {
    let start = Instant::now();
    let now = || start.elapsed().as_secs_f64() * 1e3;
    for case in &timed::CASES {
        for line in timed::times(case, &now) {
            println!("{line}");
        }
    }
}
