//! Any bytes as a table of the centreline's points.
#![no_main]

mod imported;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| imported::imported(&[("points.csv", bytes)]));
