//! What every importer must keep: all faults, or a case that can be saved and opened.

use extrados::casefile::document::Document;
use extrados::import::{NamedBytes, Options, import};

/// Imports files by name and bytes.
pub fn imported(files: &[(&str, &[u8])]) {
    let named = |(name, bytes): &(&str, &[u8])| NamedBytes { name: (*name).into(), bytes: bytes.to_vec() };
    let files: Vec<NamedBytes> = files.iter().map(named).collect();
    if let Ok(imported) = import(&files, &Options::default()) {
        let text = Document::of(imported.case).text();
        Document::read(text.as_bytes()).expect("what was imported is a case");
    }
}
