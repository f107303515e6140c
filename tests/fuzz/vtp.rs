//! Any bytes as VTP polylines.
#![no_main]

mod imported;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| imported::imported(&[("lines.vtp", bytes)]));
