//! Any bytes as a graft file: all faults or a graft, and a graft that was read is written and read as itself.
#![no_main]

use extrados::casefile::document::{read_graft, write_graft};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(graft) = read_graft(bytes) {
        assert_eq!(read_graft(write_graft(&graft).as_bytes()).expect("what was written is a graft"), graft);
    }
});
