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

#[test]
fn the_top_level_holds_only_what_belongs_there() {
    for entry in std::fs::read_dir(root()).expect("the checkout") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let belongs = name.starts_with('.') || TOP_LEVEL.contains(&name.as_str()) || MADE.contains(&name.as_str());
        assert!(belongs, "“{name}” does not belong at the top level");
    }
}
