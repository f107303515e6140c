//! The demo cases and grafts that come with the page: invented, and read as strictly as files.
//!
//! Knows no browser; it is handed the text of the page's block of demo files.

use extrados::casefile::case::Graft;
use extrados::casefile::{Document, document};
use extrados::fault::Faults;
use serde::Deserialize;
use std::sync::Arc;

/// A demo with its name.
#[derive(Clone, Debug)]
pub struct Demo<T> {
    /// Name of its file.
    pub file: String,
    /// Its label.
    pub label: String,
    /// What it is.
    pub what: Arc<T>,
}

/// All demos, in the order of the block.
#[derive(Clone, Debug, Default)]
pub struct Demos {
    /// Cases.
    pub cases: Vec<Demo<extrados::casefile::Case>>,
    /// Grafts.
    pub grafts: Vec<Demo<Graft>>,
    /// Files that do not read, with what is wrong.
    pub broken: Vec<(String, Faults)>,
}

#[derive(Deserialize)]
struct File {
    name: String,
    text: String,
}

impl Demos {
    /// Reads the block: a JSON list of `{name, text}`.
    pub fn read(block: &str) -> Demos {
        let mut demos = Demos::default();
        for File { name, text } in serde_json::from_str::<Vec<File>>(block).unwrap_or_default() {
            let label = |label: &str| if label.is_empty() { name.clone() } else { label.to_owned() };
            if text.contains("\"extrados-graft\"") {
                match document::read_graft(text.as_bytes()) {
                    Ok(graft) => {
                        let label = label(&graft.label);
                        demos.grafts.push(Demo { label, file: name, what: Arc::new(graft) });
                    }
                    Err(faults) => demos.broken.push((name, faults)),
                }
            } else {
                match Document::read(text.as_bytes()) {
                    Ok(document) => {
                        let label = label(&document.case.label);
                        demos.cases.push(Demo { label, file: name, what: document.case });
                    }
                    Err(faults) => demos.broken.push((name, faults)),
                }
            }
        }
        demos
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_read_file_by_file_and_a_broken_one_is_named() {
        let files = serde_json::json!([
            { "name": "a.json", "text": document::write(&extrados::casefile::Case { label: "A".into(), ..Default::default() }) },
            { "name": "b.json", "text": "{" },
        ]);
        let demos = Demos::read(&files.to_string());
        assert_eq!(demos.broken.first().map(|(name, _)| name.as_str()), Some("b.json"));
        // An empty case may miss a centreline; whatever it is, it is either read or named.
        assert_eq!(demos.cases.len() + demos.broken.len(), 2);
    }

    #[test]
    fn a_block_that_is_no_list_gives_no_demos() {
        assert!(Demos::read("").cases.is_empty());
        assert!(Demos::read("{}").grafts.is_empty());
    }
}
