//! Builds `dist/extrados.html` from the sources of the house and shows it.

use std::path::Path;
use std::process::Command;

use crate::audit;
use crate::house::House;
use crate::module::{self, Module};
use crate::onefile::{self, Packed, Parts};
use crate::run;
use crate::tools;

/// Most bytes the file may have.
pub const BUDGET: usize = 900_000;

/// Builds the file, says where it is, and opens it where a desktop is present.
///
/// # Errors
/// Where something is missing, does not compile, or the file fails its audit.
pub fn start(house: &House) -> Result<(), String> {
    build(house)?;
    let file = house.page_file();
    match open(&file) {
        true => println!("Opening it in the browser."),
        false => println!("No desktop here: open it in a browser with a double click, or {}", file_address(&file)),
    }
    Ok(())
}

/// Builds the file and says where it is and what each part weighs; gives that text.
///
/// # Errors
/// As [`start`].
pub fn build(house: &House) -> Result<String, String> {
    let road = tools::wasm_road(house)?;
    println!("Compiling the page for WebAssembly (the first time takes a minute or two).");
    let packed = pack(house, module::bind(&module::compile(house, &road)?)?)?;
    let findings = audit::audit(&packed.html);
    if let Some(first) = findings.first() {
        return Err(format!("The file was not written, for it fails its audit ({} findings): {first}", findings.len()));
    }
    write(house, &packed)?;
    let said = describe(&house.page_file(), &packed);
    print!("{said}");
    Ok(said)
}

/// Packs a compiled page with the sources of the house.
///
/// # Errors
/// Where a source is missing or cannot be packed.
pub fn pack(house: &House, module: Module) -> Result<Packed, String> {
    onefile::pack(&Parts {
        template: house.read("www/index.html")?,
        screen_css: house.read("www/screen.css")?,
        print_css: house.read("www/print.css")?,
        glue: module.glue,
        unpack: house.read("www/unpack.js")?,
        start: house.read("www/start.js")?,
        module: module.wasm,
        demo: demo(house)?,
        version: env!("CARGO_PKG_VERSION").into(),
    })
}

/// Writes the file. It appears whole or not at all.
///
/// # Errors
/// Where the disk does not take it.
pub fn write(house: &House, packed: &Packed) -> Result<(), String> {
    let file = house.page_file();
    let part = file.with_extension("part");
    let write = || {
        std::fs::create_dir_all(file.parent().unwrap_or(&house.root))?;
        std::fs::write(&part, &packed.html)?;
        std::fs::rename(&part, &file)
    };
    write().map_err(|fault| format!("{} cannot be written: {fault}.", house.shown(&file)))
}

/// Where the file is, its weight, and the weight of each part.
pub fn describe(file: &Path, packed: &Packed) -> String {
    let mut text = format!(
        "{}\nExtrados {}, {} of at most {}:\n",
        file.display(),
        packed.version,
        kilobytes(packed.html.len()),
        kilobytes(BUDGET)
    );
    for weight in &packed.weights {
        let before = weight.before.map(|bytes| format!(" (from {})", kilobytes(bytes))).unwrap_or_default();
        text.push_str(&format!("  {:>9}  {}{before}\n", kilobytes(weight.bytes), weight.part));
    }
    text
}

/// Bytes as a person reads them; 1 kB is 1000 bytes.
fn kilobytes(bytes: usize) -> String {
    format!("{:.1} kB", bytes as f64 / 1000.0)
}

/// The demo files by name, so that their order is the same everywhere.
fn demo(house: &House) -> Result<Vec<(String, String)>, String> {
    let folder = house.root.join("demo-data");
    let fault =
        |fault: std::io::Error| format!("demo-data cannot be read: {fault}. It belongs to the checkout; restore it.");
    let mut names = Vec::new();
    for entry in std::fs::read_dir(&folder).map_err(fault)? {
        let name = entry.map_err(fault)?.file_name().to_string_lossy().into_owned();
        if name.ends_with(".json") {
            names.push(name);
        }
    }
    names.sort();
    names.into_iter().map(|name| Ok((name.clone(), house.read(&format!("demo-data/{name}"))?))).collect()
}

/// Opens a file as a double click would; `false` where there is no desktop.
fn open(file: &Path) -> bool {
    let has = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let mut command = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(windows) {
        Command::new("explorer")
    } else if has("DISPLAY") || has("WAYLAND_DISPLAY") {
        Command::new("xdg-open")
    } else {
        return false;
    };
    run::answer(command.arg(file)).is_ok()
}

/// The address of a file, for a browser's address line.
fn file_address(file: &Path) -> String {
    let mut address = String::from("file://");
    for byte in file.to_string_lossy().replace('\\', "/").bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' | b'~' | b':' => {
                address.push(byte.into())
            }
            other => address.push_str(&format!("%{other:02X}")),
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_survive_odd_names() {
        assert_eq!(file_address(Path::new("/a b/Bögen #1 100%.html")), "file:///a%20b/B%C3%B6gen%20%231%20100%25.html");
    }
}
