//! What the benches share: medians, and a line for each where the environment variable `EXTRADOS_TIMES`
//! names a file, from which `cargo run -p extrados-pack -- bench` writes its tables.
#![allow(clippy::unwrap_used, dead_code, missing_docs)]

use std::io::Write;
use std::time::Instant;

/// How long something takes once, ms.
pub fn once_ms(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64() * 1e3
}

/// The median of so many times, ms.
pub fn median_ms(times: usize, mut work: impl FnMut(usize)) -> f64 {
    let mut taken: Vec<f64> = (0..times).map(|k| once_ms(|| work(k))).collect();
    taken.sort_by(f64::total_cmp);
    taken[taken.len() / 2]
}

/// Leaves one time.
pub fn note(what: &str, of: &str, ms: f64) {
    let Some(file) = std::env::var_os("EXTRADOS_TIMES") else { return };
    let mut file = std::fs::File::options().append(true).create(true).open(file).unwrap();
    writeln!(file, "{}", serde_json::json!({ "what": what, "of": of, "ms": ms })).unwrap();
}
