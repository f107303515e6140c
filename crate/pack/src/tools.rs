//! Gets what a machine lacks: the WebAssembly target, browsers and their drivers, the test runner,
//! the Python packages. What is already there and fits is used as it is.
//!
//! Each fetch is announced with one line that says what and why; where it cannot be made, the
//! sentence says what is missing and how to get it. Nothing is installed outside `target/tools`
//! and `target/oracle-venv` but Debian packages and the Rust target.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::house::House;
use crate::run;

/// The version the page is compiled with; the test runner's must equal it.
pub const BINDGEN: &str = "0.2.130";

/// The compilation target of the page.
pub const WASM: &str = "wasm32-unknown-unknown";

/// How WebAssembly is built on this machine.
pub enum WasmRoad {
    /// The usual compiler has the target.
    Plain,
    /// Debian's compiler for browsers, in this folder, builds the standard library with the page.
    Debian(PathBuf),
}

impl WasmRoad {
    /// A cargo command that can build for the target; the caller adds the rest, then
    /// [`WasmRoad::last_words`].
    pub fn cargo(&self, house: &House) -> Command {
        let mut command = match self {
            WasmRoad::Plain => house.cargo(),
            WasmRoad::Debian(bin) => {
                let mut command = Command::new(bin.join("cargo"));
                command
                    .current_dir(&house.root)
                    .env("RUSTC", bin.join("rustc"))
                    .env("RUSTC_BOOTSTRAP", "1")
                    .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", "wasm-ld-22");
                command
            }
        };
        // Flags meant for the native build do not fit the target.
        command.env_remove("RUSTFLAGS").env_remove("CARGO_ENCODED_RUSTFLAGS");
        command
    }

    /// Words that stand after the subcommand.
    pub fn last_words(&self) -> &'static [&'static str] {
        match self {
            WasmRoad::Plain => &["--target", WASM],
            WasmRoad::Debian(_) => &["--target", WASM, "-Zbuild-std=std,panic_abort"],
        }
    }
}

/// Makes sure that the page can be compiled.
///
/// # Errors
/// Where neither rustup nor Debian gives the target.
pub fn wasm_road(house: &House) -> Result<WasmRoad, String> {
    if has_target(house) {
        return Ok(WasmRoad::Plain);
    }
    if on_path(house, &["rustup"]).is_some() {
        say_fetch(&format!("the Rust target {WASM}"), "the page is compiled for it");
        let mut add = Command::new("rustup");
        add.args(["target", "add", WASM]).current_dir(&house.root);
        match run::live(&mut add) {
            Ok(()) if has_target(house) => return Ok(WasmRoad::Plain),
            Ok(()) => {
                println!("  The compiler in use does not see the new target; trying Debian's.")
            }
            Err(sentence) => println!("  {sentence} Trying Debian's compiler."),
        }
    }
    if debian_compiler().is_none() {
        apt(
            &["rustc-web", "cargo-web", "rust-web-src", "lld-22"],
            "the page is compiled for WebAssembly and the compiler at hand cannot",
        )?;
    }
    debian_compiler().map(WasmRoad::Debian).ok_or_else(|| {
        format!("No compiler for WebAssembly was found: run `rustup target add {WASM}`, then try again.")
    })
}

/// Whether the usual compiler can build for WebAssembly.
fn has_target(house: &House) -> bool {
    let mut ask = Command::new("rustc");
    ask.args(["--print", "target-libdir", "--target", WASM]).current_dir(&house.root);
    run::answer(&mut ask)
        .is_ok_and(|folder| std::fs::read_dir(folder.trim()).is_ok_and(|mut entries| entries.next().is_some()))
}

/// The folder of Debian's compiler for browsers, where it is installed.
fn debian_compiler() -> Option<PathBuf> {
    let list = run::answer(Command::new("dpkg").args(["-L", "rustc-web"])).ok()?;
    let rustc =
        list.lines().map(Path::new).find(|path| path.file_name() == Some("rustc".as_ref()) && path.is_file())?;
    rustc.parent().map(Path::to_path_buf)
}

/// The browsers, the programs that drive them, and the runner of WebAssembly tests.
pub struct Browsers {
    /// Chromium, then the program that drives it.
    pub chromium: [PathBuf; 2],
    /// Firefox, then the program that drives it.
    pub firefox: [PathBuf; 2],
    /// The program that drives WebKit, then the display that WebKit draws on; where they can be had.
    pub webkit: Option<[PathBuf; 2]>,
}

/// Makes sure that both browsers can be driven, and a third engine where Debian has it.
///
/// # Errors
/// Where one of the two is missing and cannot be fetched.
pub fn browsers(house: &House) -> Result<Browsers, String> {
    Ok(Browsers { chromium: chromium(house)?, firefox: firefox(house)?, webkit: webkit(house) })
}

/// Makes sure that Chromium can be driven.
///
/// # Errors
/// Where it or its driver is missing and cannot be fetched.
pub fn chromium(house: &House) -> Result<[PathBuf; 2], String> {
    let found = || {
        Some([on_path(house, &["chromium", "chromium-browser", "google-chrome"])?, on_path(house, &["chromedriver"])?])
    };
    if let Some(both) = found() {
        return Ok(both);
    }
    apt(&["chromium", "chromium-driver"], "the tests run in a real browser")?;
    found().ok_or_else(|| "Chromium or chromedriver is not on the PATH: install both, then try again.".into())
}

/// Makes sure that Firefox can be driven.
fn firefox(house: &House) -> Result<[PathBuf; 2], String> {
    let find = || on_path(house, &["firefox-esr", "firefox"]);
    if find().is_none() {
        apt(&["firefox-esr"], "the tests run in a second browser")?;
    }
    let browser = find().ok_or("Firefox is not on the PATH: install it, then try again.")?;
    let driver = match on_path(house, &["geckodriver"]) {
        Some(driver) => driver,
        None => install(house, "geckodriver", None, "geckodriver", "it drives Firefox in the tests")?,
    };
    Ok([browser, driver])
}

/// Makes sure that WebKit can be driven, the engine of Safari. It is no browser that a machine usually
/// has, so where it cannot be fetched its check is listed as not run.
fn webkit(house: &House) -> Option<[PathBuf; 2]> {
    let found = || Some([on_path(house, &["WebKitWebDriver"])?, on_path(house, &["Xvfb"])?]);
    if found().is_none()
        && let Err(sentence) = apt(&["webkit2gtk-driver", "xvfb"], "results are compared in a third engine")
    {
        println!("  {sentence}");
    }
    found()
}

/// Makes sure that WebAssembly tests can run: gives the runner.
///
/// # Errors
/// Where it is missing or of another version and cannot be built.
pub fn test_runner(house: &House) -> Result<PathBuf, String> {
    let name = "wasm-bindgen-test-runner";
    if let Some(runner) = on_path(house, &[name]) {
        let version = run::answer(Command::new(&runner).arg("--version")).unwrap_or_default();
        if version.split_whitespace().any(|word| word == BINDGEN) {
            return Ok(runner);
        }
    }
    install(house, "wasm-bindgen-cli", Some(BINDGEN), name, "it runs the WebAssembly tests in a browser")
}

/// Makes sure that there is a fuzzer: gives the program that builds and runs its targets.
///
/// # Errors
/// Where it is missing and cannot be built.
pub fn fuzzer(house: &House) -> Result<PathBuf, String> {
    match on_path(house, &["cargo-fuzz"]) {
        Some(program) => Ok(program),
        None => install(house, "cargo-fuzz", None, "cargo-fuzz", "it builds and runs the fuzzing targets"),
    }
}

/// A Python that has the packages of `tests/requirements.txt`.
///
/// # Errors
/// Where Python is missing or the packages cannot be fetched.
pub fn python(house: &House) -> Result<PathBuf, String> {
    let wanted = house.read("tests/requirements.txt")?;
    let home = house.target.join("oracle-venv");
    let python = home.join("bin").join("python3");
    let mark = home.join("requirements.txt");
    if python.exists() && std::fs::read_to_string(&mark).is_ok_and(|have| have == wanted) {
        return Ok(python);
    }
    let base = on_path(house, &["python3"])
        .ok_or("Python 3 is missing: install it (Debian: `apt-get install python3 python3-venv`), then try again.")?;
    say_fetch("the Python packages of tests/requirements.txt", "they recompute the results and drive the browsers");
    let make = || run::answer(Command::new(&base).args(["-m", "venv", "--clear"]).arg(&home));
    if make().is_err() {
        // Debian ships Python without what makes virtual environments.
        apt(&["python3-venv"], "the tests keep their Python packages apart from the machine's")?;
        make()?;
    }
    let mut pip = Command::new(&python);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"])
        .arg(house.root.join("tests/requirements.txt"));
    run::answer(&mut pip).map_err(|sentence| {
        format!("The Python packages of tests/requirements.txt cannot be fetched: {sentence} Check the network, then try again.")
    })?;
    std::fs::write(&mark, wanted).map_err(|fault| format!("{} cannot be written: {fault}.", mark.display()))?;
    Ok(python)
}

/// Builds a program from the Rust registry into `target/tools`.
fn install(house: &House, package: &str, version: Option<&str>, program: &str, why: &str) -> Result<PathBuf, String> {
    say_fetch(
        &format!(
            "{package} {}from the Rust registry, a few minutes",
            version.map(|v| format!("{v} ")).unwrap_or_default()
        ),
        why,
    );
    let mut cargo = house.cargo();
    cargo.args(["install", "--quiet", "--root"]).arg(house.tools());
    // Unoptimised: they are built once and do little.
    cargo.args(["--debug", package]);
    if let Some(version) = version {
        cargo.args(["--version", version]);
    }
    // Not `--locked`: a dependency in the list it was published with has left the registry.
    run::live(&mut cargo).map_err(|sentence| {
        format!("{program} is missing and could not be built ({sentence}) Install it by `cargo install {package}`, then try again.")
    })?;
    Ok(house.tools().join("bin").join(program))
}

/// Installs Debian packages, where that is allowed.
fn apt(packages: &[&str], why: &str) -> Result<(), String> {
    let list = packages.join(" ");
    let missing = |reason: &str| {
        Err(format!("{list} missing ({why}) and {reason}: run `sudo apt-get install {list}`, then try again."))
    };
    let is_root = run::answer(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !is_root {
        return missing("only root may install it");
    }
    say_fetch(&format!("{list} from Debian"), why);
    let get = |words: &[&str]| {
        let mut command = Command::new("apt-get");
        command.args(words).env("DEBIAN_FRONTEND", "noninteractive");
        run::answer(&mut command)
    };
    let install: Vec<&str> = ["install", "--yes", "--no-install-recommends"].iter().chain(packages).copied().collect();
    // A list of packages that was never fetched, or is old, is the usual reason for a first failure.
    if get(&install).is_ok() || (get(&["update"]).is_ok() && get(&install).is_ok()) {
        return Ok(());
    }
    missing("apt-get could not fetch it")
}

/// The first of some programs that stands in `target/tools` or on the PATH.
fn on_path(house: &House, names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders: Vec<PathBuf> =
        std::iter::once(house.tools().join("bin")).chain(std::env::split_paths(&path)).collect();
    names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|file| file.is_file())
}

/// One line for each fetch.
fn say_fetch(what: &str, why: &str) {
    println!("  fetching {what}: {why}");
}
