//! Reading and writing of case, graft and rule files.
//!
//! Reading lists all faults at once; what comes out is within the field table and consistent.
//! Writing has one canonical text for a case, so that its hash says which case a sheet was printed
//! from. Knows no file system.

pub use super::case::RuleSet;
use super::case::{Case, Graft};
use super::shape::Shape;
use super::{check, consistency, fields, json, typed_value};
use crate::fault::{Fault, Faults};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::sync::Arc;

/// A case together with the hash of its text.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// The case.
    pub case: Arc<Case>,
    /// SHA-256 in lowercase hexadecimal: of the bytes that were read, or of the canonical text of a
    /// case that was edited.
    pub sha256: String,
}

impl Document {
    /// Reads a case file.
    ///
    /// # Errors
    /// Everything that is wrong with it, each with its place and mend.
    pub fn read(bytes: &[u8]) -> Result<Document, Faults> {
        let case = read_as(bytes, &CASE)?;
        Ok(Document { case: Arc::new(case), sha256: sha256(bytes) })
    }

    /// Takes a case from a JSON value, checked as strictly as a file.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn from_value(value: Value) -> Result<Document, Faults> {
        Ok(Document::of(typed(value, &CASE, Faults::none())?))
    }

    /// A case from a JSON value without its hash: for the many small changes of an edit.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn case_of(value: Value) -> Result<Case, Faults> {
        typed(value, &CASE, Faults::none())
    }

    /// A case from the JSON value that a case was written as, which is not checked again.
    pub fn case_again(value: Value) -> Option<Case> {
        typed_value::typed(value).ok()
    }

    /// A case that was edited; its hash is that of its canonical text.
    pub fn of(case: Case) -> Document {
        let sha256 = sha256(write(&case).as_bytes());
        Document { case: Arc::new(case), sha256 }
    }

    /// The canonical text.
    pub fn text(&self) -> String {
        write(&self.case)
    }
}

/// The canonical text of a case: keys in a fixed order, one centreline point a line, numbers that
/// read back exactly as they were, a newline at the end.
pub fn write(case: &Case) -> String {
    written(case)
}

/// Reads a graft file.
///
/// # Errors
/// Everything that is wrong with it.
pub fn read_graft(bytes: &[u8]) -> Result<Graft, Faults> {
    read_as(bytes, &GRAFT)
}

/// The text of a graft file.
pub fn write_graft(graft: &Graft) -> String {
    #[derive(Serialize)]
    struct File<'g> {
        format: &'static str,
        version: u32,
        #[serde(flatten)]
        graft: &'g Graft,
    }
    written(&File { format: GRAFT.format, version: 1, graft })
}

/// Reads a rule file.
///
/// # Errors
/// Everything that is wrong with it.
pub fn read_rules(bytes: &[u8]) -> Result<RuleSet, Faults> {
    read_as(bytes, &RULES)
}

/// The text of a rule file.
pub fn write_rules(rules: &RuleSet) -> String {
    #[derive(Serialize)]
    struct File<'r> {
        format: &'static str,
        version: u32,
        #[serde(flatten)]
        rules: &'r RuleSet,
    }
    written(&File { format: RULES.format, version: 1, rules })
}

/// A kind of file.
struct Kind {
    format: &'static str,
    words: &'static str,
    shape: &'static Shape,
    consistency: fn(&Value) -> Faults,
}

static CASE: Kind =
    Kind { format: "extrados-case", words: "case file", shape: &fields::CASE, consistency: case_consistency };
static GRAFT: Kind =
    Kind { format: "extrados-graft", words: "graft file", shape: &fields::GRAFT, consistency: consistency::graft };
static RULES: Kind =
    Kind { format: "extrados-rules", words: "rule file", shape: &fields::RULES, consistency: consistency::rules };
static KINDS: [&Kind; 3] = [&CASE, &GRAFT, &RULES];

fn case_consistency(value: &Value) -> Faults {
    consistency::case(value)
}

fn read_as<T: DeserializeOwned>(bytes: &[u8], kind: &Kind) -> Result<T, Faults> {
    let mut faults = Faults::none();
    match json::parse(bytes, &mut faults) {
        Some(value) => typed(value, kind, faults),
        None => Err(faults),
    }
}

/// Checks a value and makes it typed; `faults` are those found before.
fn typed<T: DeserializeOwned>(mut value: Value, kind: &Kind, mut faults: Faults) -> Result<T, Faults> {
    if let Some(fault) = other_file(&value, kind) {
        // Held against the wrong table, every key would be a fault.
        return Err(fault.into());
    }
    faults.extend(check::check(&value, kind.shape));
    faults.extend((kind.consistency)(&value));
    if faults.is_empty() {
        faults.extend(alternatives(&value, kind));
    }
    let () = faults.or(())?;
    json::stored(&mut value, kind.shape);
    typed_value::typed(value).map_err(|error| {
        Fault::new(
            "internal",
            "",
            format!("The file passed every check and still could not be taken over: {error}."),
            "This is a mistake in the program; keep the file and report it.",
        )
        .into()
    })
}

/// The fault of a file of another kind or of a later version.
fn other_file(value: &Value, kind: &Kind) -> Option<Fault> {
    let format = value.get("format").and_then(Value::as_str);
    if let Some(other) = KINDS.iter().find(|other| other.format != kind.format && Some(other.format) == format) {
        return Some(Fault::new(
            "other_format",
            "/format",
            format!("This is a {}, not a {}.", other.words, kind.words),
            format!("Open it where a {} is asked for.", other.words),
        ));
    }
    let version = value.get("version").and_then(Value::as_f64).filter(|version| *version > 1.0)?;
    (format == Some(kind.format)).then(|| {
        Fault::new(
            "later_version",
            "/version",
            format!("The file is of version {version}; this program reads version 1."),
            "Open it with a later version of the program.",
        )
    })
}

/// Each alternative of a case, applied to it, must be a case without faults.
fn alternatives(case: &Value, kind: &Kind) -> Faults {
    let mut faults = Faults::none();
    let list = case.get("alternatives").and_then(Value::as_array);
    for (index, alternative) in list.into_iter().flatten().enumerate() {
        let place = format!("/alternatives/{index}/changes");
        let Some(changes) = alternative.get("changes") else { continue };
        for key in ["format", "version", "alternatives"] {
            if changes.get(key).is_some() {
                faults.add(Fault::new(
                    "bad_alternative",
                    format!("{place}/{key}"),
                    format!("An alternative cannot change \"{key}\"."),
                    "Remove it from the changes.",
                ));
            }
        }
        if changes.get("clock").is_some_and(|clock| clock.is_null() || clock.get("three_oclock_is").is_some()) {
            faults.add(Fault::new(
                "bad_alternative",
                format!("{place}/clock"),
                "An alternative cannot change on which side 3:00 lies: every clock would change its side.",
                "Remove it from the changes.",
            ));
        }
        let mut changed = case.clone();
        if let Some(map) = changed.as_object_mut() {
            map.remove("alternatives");
        }
        merge_patch(&mut changed, changes);
        let mut own = check::check(&changed, kind.shape);
        own.extend((kind.consistency)(&changed));
        for fault in own.faults {
            faults.add(Fault { place: format!("{place}{}", fault.place), ..fault });
        }
    }
    faults
}

/// Applies a JSON merge patch (RFC 7396): `null` removes a key, objects merge, all else replaces.
pub fn merge_patch(target: &mut Value, patch: &Value) {
    let Value::Object(changes) = patch else {
        *target = patch.clone();
        return;
    };
    if !target.is_object() {
        *target = Value::Object(serde_json::Map::new());
    }
    if let Value::Object(map) = target {
        for (key, change) in changes {
            if change.is_null() {
                map.remove(key);
            } else {
                merge_patch(map.entry(key.clone()).or_insert(Value::Null), change);
            }
        }
    }
}

fn written(data: &impl Serialize) -> String {
    // Writing plain data into a text cannot fail: every key is text, and nothing is read.
    super::layout::lay_out(&serde_json::to_string(data).unwrap_or_default())
}

fn sha256(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}
