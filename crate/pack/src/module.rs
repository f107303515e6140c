//! Compiles the page's two crates to WebAssembly and writes the glue that joins each to a browser.

use std::path::{Path, PathBuf};

use wasm_bindgen_cli_support::Bindgen;

use crate::house::House;
use crate::run;
use crate::tools::{BINDGEN, WasmRoad};

/// A crate of the page: what it is called, and the one name that its glue makes.
pub struct Source {
    package: &'static str,
    file: &'static str,
    global: &'static str,
}

/// The program.
pub const PAGE: Source = Source { package: "extrados-page", file: "extrados_page.wasm", global: "wasm_bindgen" };
/// What unpacks the program when the page is opened.
pub const UNPACKER: Source =
    Source { package: "extrados-unpack", file: "extrados_unpack.wasm", global: "extradosUnpacker" };

/// A compiled crate.
pub struct Module {
    /// The WebAssembly.
    pub wasm: Vec<u8>,
    /// The script that joins it to the browser; it makes the one name of its [`Source`].
    pub glue: String,
}

/// Compiles a crate; gives the file the compiler wrote.
///
/// # Errors
/// Where it does not compile.
pub fn compile(house: &House, road: &WasmRoad, source: &Source) -> Result<PathBuf, String> {
    let mut cargo = road.cargo(house);
    cargo
        .args(["rustc", "--quiet", "--profile", "page", "--package", source.package, "--lib", "--crate-type", "cdylib"])
        .args(road.last_words())
        .env("CARGO_ENCODED_RUSTFLAGS", remaps(house).join("\u{1f}"));
    run::live(&mut cargo)?;
    Ok(house.target.join(crate::tools::WASM).join("page").join(source.file))
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

/// Writes the glue for a compiled crate.
///
/// # Errors
/// Where the page was compiled with another wasm-bindgen than this tool.
pub fn bind(compiled: &Path, source: &Source) -> Result<Module, String> {
    let sentence = |fault: &dyn std::fmt::Display| {
        format!("The glue cannot be written: {fault:#}. The page must use wasm-bindgen ={BINDGEN}.")
    };
    let mut output = Bindgen::new()
        .input_path(compiled)
        .no_modules(true)
        .and_then(|bindgen| bindgen.no_modules_global(source.global))
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
    Ok(Module { glue: lean(output.js()), wasm: output.wasm_mut().emit_wasm() })
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
    use super::lean;

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
