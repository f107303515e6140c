//! The rules of the house that a machine can see: what the library may not depend on, that nothing
//! compiles C, and what stands at the top level.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// What the page is compiled for.
const WASM: &str = "wasm32-unknown-unknown";

/// What may stand at the top level, beside files that begin with a dot.
const TOP_LEVEL: [&str; 10] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "crate",
    "demo-data",
    "tests",
    "www",
];

/// What builds leave there.
const MADE: [&str; 2] = ["dist", "target"];

/// Crates that only serve pages.
const WEB: [&str; 6] = ["wasm-bindgen", "js-sys", "web-sys", "serde-wasm-bindgen", "console_error_panic_hook", "gloo"];

/// Crates whose work is to compile C, or to find a C library on the machine.
const C_BUILDERS: [&str; 6] = ["cc", "cmake", "bindgen", "pkg-config", "vcpkg", "autotools"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the checkout")
}

/// What this machine compiles for.
fn host() -> String {
    let output = Command::new("rustc").arg("-vV").output().expect("rustc starts");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    said.lines().find_map(|line| line.strip_prefix("host: ")).expect("rustc names its host").to_owned()
}

fn metadata(platform: &str) -> Value {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--filter-platform", platform])
        .current_dir(root())
        .output()
        .expect("cargo starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("cargo metadata is JSON")
}

/// The names of everything a crate of this house depends on, however far, without what only its
/// tests use.
fn everything_under(metadata: &Value, crate_name: &str) -> BTreeSet<String> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let name_of = |id: &Value| {
        let found = list(&metadata["packages"]).into_iter().find(|package| package["id"] == *id);
        found.and_then(|package| package["name"].as_str().map(str::to_owned)).expect("a package for each id")
    };
    let nodes = list(&metadata["resolve"]["nodes"]);
    let first = nodes.iter().find(|node| name_of(&node["id"]) == crate_name).expect("a crate of the house");
    let mut waiting = vec![first["id"].clone()];
    let mut seen = BTreeSet::new();
    let mut names = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        let node = nodes.iter().find(|node| node["id"] == id).expect("a node for each id");
        for dependency in list(&node["deps"]) {
            let used = list(&dependency["dep_kinds"]).iter().any(|kind| kind["kind"] != "dev");
            if used && seen.insert(dependency["pkg"].to_string()) {
                names.insert(name_of(&dependency["pkg"]));
                waiting.push(dependency["pkg"].clone());
            }
        }
    }
    names
}

#[test]
fn the_library_knows_nothing_of_browsers() {
    for platform in [WASM, &host()] {
        let names = everything_under(&metadata(platform), "extrados");
        assert!(names.contains("nalgebra"), "the list is the real one: {names:?}");
        for web in WEB {
            assert!(!names.contains(web), "the library depends on {web}, on {platform}");
        }
    }
}

#[test]
fn the_page_would_be_noticed() {
    let names = everything_under(&metadata(WASM), "extrados-page");
    assert!(names.contains("web-sys") && names.contains("extrados"), "{names:?}");
}

#[test]
fn nothing_compiles_c() {
    for platform in [WASM, &host()] {
        let metadata = metadata(platform);
        for member in ["extrados", "extrados-page", "extrados-command", "extrados-pack"] {
            let names = everything_under(&metadata, member);
            for builder in C_BUILDERS {
                assert!(!names.contains(builder), "{member} depends on {builder}, which compiles C, on {platform}");
            }
        }
    }
}

#[test]
fn the_library_names_no_browser_in_its_sources() {
    let mut waiting = vec![root().join("crate/core/src"), root().join("crate/curves/src")];
    let mut read = 0;
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder of sources") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
            } else if path.extension() == Some("rs".as_ref()) {
                read += 1;
                let text = std::fs::read_to_string(&path).expect("a source in UTF-8");
                for word in ["wasm_bindgen", "web_sys", "js_sys"] {
                    assert!(!text.contains(word), "{} names {word}", path.display());
                }
            }
        }
    }
    assert!(read > 10, "only {read} sources were read");
}

/// The parts of the library, each of which may name only those before it: data flows one way. `units` and
/// `message` are one step, for a clock that cannot be read is said where it is read.
const FLOW: [&[&str]; 23] = [
    &["fault", "task", "VERSION", "frame", "axis", "elastica", "rod", "network"],
    &["units", "message"],
    &["numeric", "curve", "quantity"],
    &["casefile"],
    &["spoken"],
    &["anatomy"],
    &["import"],
    &["entry"],
    &["graft"],
    &["bridging"],
    &["placement"],
    &["rules"],
    &["plan"],
    &["room"],
    &["ranking"],
    &["assumption"],
    &["carm"],
    &["dissection"],
    &["feed"],
    &["report"],
    &["scene"],
    &["sheet"],
    &["lib"],
];

/// Every source below a folder, without tests.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_path_buf()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder of sources") {
            let path = entry.expect("an entry").path();
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            match path.is_dir() {
                true => waiting.push(path),
                false if path.extension() == Some("rs".as_ref()) && !name.contains("tests") => found.push(path),
                false => {}
            }
        }
    }
    found.sort();
    assert!(found.len() > 10, "only {} sources were read", found.len());
    found
}

/// What a source says, without comments and without the tests at its end.
fn said(path: &Path) -> String {
    let text = std::fs::read_to_string(path).expect("a source in UTF-8");
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    code.lines().map(|line| line.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

#[test]
fn data_flows_one_way_through_the_library() {
    let folder = root().join("crate/core/src");
    let step = |part: &str| FLOW.iter().position(|step| step.contains(&part));
    let mut named = 0;
    for path in sources(&folder) {
        let own = path.strip_prefix(&folder).expect("below").components().next().expect("a part");
        let own = own.as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned();
        let here = step(&own).unwrap_or_else(|| panic!("{own} is in no step of the flow: say which"));
        let text = said(&path);
        for (place, _) in text.match_indices("crate::") {
            let rest = &text[place + "crate::".len()..];
            let parts: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if parts.is_empty() {
                panic!("{}: name one part after each `crate::`", path.display());
            }
            let there = step(&parts).unwrap_or_else(|| panic!("{} names {parts}, which is in no step", path.display()));
            assert!(there <= here, "{} names {parts}, which comes after {own}", path.display());
            named += 1;
        }
    }
    assert!(named > 500, "only {named} names were read");
}

#[test]
fn panels_know_no_browser_and_compute_nothing() {
    for path in sources(&root().join("crate/page/src/panels")) {
        let text = said(&path);
        for word in ["web_sys", "js_sys", "wasm_bindgen", "Plan::new", ".follow(", "sqrt()", ".sin()", ".cos()"] {
            assert!(!text.contains(word), "{} says {word}", path.display());
        }
    }
}

#[test]
fn every_source_says_first_what_it_is_for() {
    for crate_name in ["core", "curves", "page", "command", "pack"] {
        for path in sources_of(crate_name) {
            let text = std::fs::read_to_string(&path).expect("a source in UTF-8");
            assert!(
                text.starts_with("//! ") || text.starts_with("#!["),
                "{} does not say what it is for",
                path.display()
            );
        }
    }
}

/// The sources of a crate, however few.
fn sources_of(crate_name: &str) -> Vec<PathBuf> {
    let folder = root().join("crate").join(crate_name).join("src");
    match crate_name {
        "command" => std::fs::read_dir(folder).expect("sources").map(|entry| entry.expect("an entry").path()).collect(),
        _ => sources(&folder),
    }
}

/// Sentences of state stand in one table: outside it and the places that put results into words, the library
/// makes nothing unknown with a sentence of its own.
#[test]
fn reasons_of_the_unknown_stand_in_the_table() {
    for path in sources(&root().join("crate/core/src")) {
        let text = said(&path);
        for call in ["Unknown::because(\"", "Quantity::unknown(\""] {
            assert!(!text.contains(call), "{} gives a reason that is not in message.rs", path.display());
        }
    }
}

/// The map of the house names every source that stands in a room of the library or of the page, and none that is gone.
#[test]
fn the_map_of_the_house_is_the_house() {
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("the guide");
    let map = guide.split_once("## The map of the house").and_then(|(_, rest)| rest.split_once("\n## "));
    let map = map.expect("the map").0;
    let words: BTreeSet<&str> =
        map.split('`').skip(1).step_by(2).flat_map(str::split_whitespace).filter(|word| *word != "·").collect();
    let (mut rooms, mut deep) = (BTreeSet::new(), BTreeSet::new());
    for crate_name in ["core", "curves", "page", "command", "pack"] {
        let folder = root().join("crate").join(crate_name).join("src");
        for path in sources_of(crate_name) {
            let below: Vec<String> = path
                .with_extension("")
                .strip_prefix(&folder)
                .expect("below")
                .iter()
                .map(|part| part.to_string_lossy().into_owned())
                .collect();
            // A room of the page is a file with its helpers.
            let named = if crate_name == "core" || crate_name == "curves" { 2 } else { 1 };
            rooms.extend(below.iter().take(named).cloned());
            deep.extend(below);
        }
    }
    let own = |name: &str| ["mod", "lib", "main"].contains(&name);
    let missing: Vec<_> = rooms.iter().filter(|room| !own(room) && !words.contains(room.as_str())).collect();
    assert!(missing.is_empty(), "the map does not name {missing:?}");
    let there = |word: &str| {
        deep.contains(word) || ["", "www", "tests"].iter().any(|folder| root().join(folder).join(word).exists())
    };
    let gone: Vec<_> = words.iter().filter(|word| !word.starts_with("extrados") && !there(word)).collect();
    assert!(gone.is_empty(), "the map names {gone:?}, which are not there");
}

#[test]
fn the_top_level_holds_only_what_belongs_there() {
    for entry in std::fs::read_dir(root()).expect("the checkout") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let belongs = name.starts_with('.') || TOP_LEVEL.contains(&name.as_str()) || MADE.contains(&name.as_str());
        assert!(belongs, "“{name}” does not belong at the top level");
    }
}
