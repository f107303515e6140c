//! Any bytes as a table of ostia, beside a centreline that is well.
#![no_main]

mod imported;

use libfuzzer_sys::fuzz_target;

const POINTS: &[u8] = include_bytes!("../corpus/csv/clean-comma.csv");

fuzz_target!(|bytes: &[u8]| imported::imported(&[("points.csv", POINTS), ("ostia.csv", bytes)]));
