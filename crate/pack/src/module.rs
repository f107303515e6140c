//! Compiles the page crate to WebAssembly and writes the glue that joins it to a browser.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use wasm_bindgen_cli_support::Bindgen;

use crate::house::House;
use crate::run;
use crate::tools::{BINDGEN, WasmRoad};

/// The compiled page.
pub struct Module {
    /// The WebAssembly.
    pub wasm: Vec<u8>,
    /// The script that joins it to the browser; it makes one name, `wasm_bindgen`.
    pub glue: String,
}

/// Compiles the page; gives the file the compiler wrote.
///
/// # Errors
/// Where it does not compile.
pub fn compile(house: &House, road: &WasmRoad) -> Result<PathBuf, String> {
    let mut cargo = road.cargo(house);
    cargo
        .args([
            "rustc",
            "--quiet",
            "--profile",
            "page",
            "--package",
            "extrados-page",
            "--lib",
            "--crate-type",
            "cdylib",
        ])
        .args(road.last_words())
        .env("CARGO_ENCODED_RUSTFLAGS", remaps(house).join("\u{1f}"));
    run::live(&mut cargo)?;
    Ok(house.target.join(crate::tools::WASM).join("page").join("extrados_page.wasm"))
}

/// Paths of this machine would stand in the module (where a panic says its place): they are
/// replaced, so that every machine makes the same bytes.
fn remaps(house: &House) -> Vec<String> {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let cargo_home = std::env::var_os("CARGO_HOME").map(PathBuf::from).or(home.map(|home| home.join(".cargo")));
    let mut flags = vec![format!("--remap-path-prefix={}=.", house.root.display())];
    if let Some(cargo_home) = cargo_home {
        flags.push(format!("--remap-path-prefix={}=cargo", cargo_home.display()));
    }
    flags
}

/// Writes the glue for a compiled page.
///
/// # Errors
/// Where the page was compiled with another wasm-bindgen than this tool.
pub fn bind(compiled: &Path) -> Result<Module, String> {
    let sentence = |fault: &dyn std::fmt::Display| {
        format!("The glue cannot be written: {fault:#}. The page must use wasm-bindgen ={BINDGEN}.")
    };
    let mut output = Bindgen::new()
        .input_path(compiled)
        .no_modules(true)
        .map_err(|fault| sentence(&fault))?
        .typescript(false)
        // There is no file beside the page to load from.
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate_output()
        .map_err(|fault| sentence(&fault))?;
    if output.snippets().values().any(|list| !list.is_empty()) || !output.local_modules().is_empty() {
        return Err("The page holds scripts of its own, which cannot be packed: the page's logic is Rust.".into());
    }
    let glue = lean(output.js());
    let module = output.wasm_mut();
    // Both sides call each other by long names with hashes in them, which are a hundredth of the file.
    let mut short = Short::default();
    for import in module.imports.iter_mut() {
        import.name = short.name(&import.name);
    }
    for export in module.exports.iter_mut().filter(|export| export.name.len() > SHORT_ALREADY) {
        export.name = short.name(&export.name);
    }
    Ok(Module { glue: short.rename(&glue)?, wasm: module.emit_wasm() })
}

/// Names of so few letters stay: a script may call them.
const SHORT_ALREADY: usize = 12;

/// Short names for long ones: `_0`, `_1` and so on.
#[derive(Default)]
struct Short(BTreeMap<String, String>);

impl Short {
    fn name(&mut self, long: &str) -> String {
        let next = format!("_{:x}", self.0.len());
        self.0.entry(long.to_owned()).or_insert(next).clone()
    }

    /// A script with the short names in it.
    fn rename(&self, script: &str) -> Result<String, String> {
        let is_word = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '$';
        let mut out = String::with_capacity(script.len());
        let mut rest = script;
        while let Some(from) = rest.find(is_word) {
            let (before, word_on) = rest.split_at(from);
            let (word, after) = word_on.split_at(word_on.find(|c| !is_word(c)).unwrap_or(word_on.len()));
            if self.0.values().any(|short| short == word) {
                return Err(format!("The glue has a name “{word}” of its own: choose other short names."));
            }
            out.push_str(before);
            out.push_str(self.0.get(word).map_or(word, String::as_str));
            rest = after;
        }
        out.push_str(rest);
        Ok(out)
    }
}

/// A glue without remarks and indentation, a tenth of it. bindgen writes no text over several lines, in which
/// they would mean something; should it ever, the glue stays as it is.
fn lean(glue: &str) -> String {
    if glue.lines().any(|line| line.matches('`').count() % 2 == 1) {
        return glue.to_owned();
    }
    let mut out = String::with_capacity(glue.len());
    let mut remark = false;
    for line in glue.lines().map(str::trim) {
        remark |= line.starts_with("/**");
        if !remark && !line.is_empty() && !line.starts_with("//") {
            out.push_str(line);
            out.push('\n');
        }
        remark &= !line.ends_with("*/");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{Short, lean};

    #[test]
    fn whole_names_become_short_ones() {
        let mut short = Short::default();
        assert_eq!(
            (short.name("__wbg_a_1"), short.name("__wbg_a_12"), short.name("__wbg_a_1")),
            ("_0".into(), "_1".into(), "_0".into())
        );
        assert_eq!(short.rename("{ __wbg_a_12: f, a: wasm.__wbg_a_1(x) }").as_deref(), Ok("{ _1: f, a: wasm._0(x) }"));
        assert!(short.rename("let _1 = 2;").is_err());
    }

    #[test]
    fn remarks_and_indentation_go_and_the_rest_stays() {
        let glue = "  /**\n   * What it does.\n   */\n  function a() {\n    // why\n\n    return 'b' /* c */;\n  }\n";
        assert_eq!(lean(glue), "function a() {\nreturn 'b' /* c */;\n}\n");
    }

    #[test]
    fn a_text_over_several_lines_leaves_all_as_it_is() {
        let glue = "a(`b\n   c`);";
        assert_eq!(lean(glue), glue);
    }
}
