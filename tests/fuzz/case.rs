//! Any bytes as a case file: all faults or a case, and a case that was read is written and read as itself.
#![no_main]

use extrados::casefile::document::Document;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(document) = Document::read(bytes) {
        let text = document.text();
        let again = Document::read(text.as_bytes()).expect("what was written is a case");
        assert_eq!(again.text(), text);
    }
});
