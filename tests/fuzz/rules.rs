//! Any bytes as a file of rules: all faults or rules, and rules that were read are written and read as themselves.
#![no_main]

use extrados::casefile::document::{read_rules, write_rules};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(rules) = read_rules(bytes) {
        assert_eq!(read_rules(write_rules(&rules).as_bytes()).expect("what was written is rules"), rules);
    }
});
