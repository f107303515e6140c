//! How long the room of a placement takes natively. Prints; judges nothing.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod timed;
mod times;

use std::time::Instant;

fn main() {
    let start = Instant::now();
    let now = || start.elapsed().as_secs_f64() * 1e3;
    for case in &timed::CASES {
        timed::times(case, &now, &mut |what, of, ms| {
            println!("{what:62} {of:50} {ms:8.1} ms");
            times::note(what, of, ms);
        });
    }
}
