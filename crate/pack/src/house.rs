//! Where things stand: the root of the house, the target folder, the files that are made.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::run;

/// The folders of this checkout.
pub struct House {
    /// The folder with the workspace's `Cargo.toml`.
    pub root: PathBuf,
    /// Where cargo builds.
    pub target: PathBuf,
    /// The cargo that started this tool.
    cargo: PathBuf,
}

impl House {
    /// Finds the house this tool was built from.
    ///
    /// # Errors
    /// Where the folder is gone, or cargo does not answer.
    pub fn find() -> Result<House, String> {
        // Cargo says where the crate stands at run time; the folder may have moved since the build.
        let crate_folder = std::env::var_os("CARGO_MANIFEST_DIR")
            .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
        let root = crate_folder.join("../..").canonicalize().map_err(|fault| {
            format!("The folder {} cannot be opened: {fault}. Run this from a checkout.", crate_folder.display())
        })?;
        let cargo = std::env::var_os("CARGO").map_or_else(|| PathBuf::from("cargo"), PathBuf::from);
        let mut ask = Command::new(&cargo);
        ask.args(["metadata", "--no-deps", "--format-version", "1"]).current_dir(&root);
        let answer: serde_json::Value = serde_json::from_str(&run::answer(&mut ask)?)
            .map_err(|fault| format!("What `cargo metadata` says cannot be read: {fault}."))?;
        let target = answer["target_directory"]
            .as_str()
            .map(PathBuf::from)
            .ok_or("`cargo metadata` does not say where cargo builds: update Rust.")?;
        Ok(House { root, target, cargo })
    }

    /// A cargo command in the root of the house.
    pub fn cargo(&self) -> Command {
        let mut command = Command::new(&self.cargo);
        command.current_dir(&self.root);
        command
    }

    /// The one file that is the product.
    pub fn page_file(&self) -> PathBuf {
        self.root.join("dist").join("extrados.html")
    }

    /// Where tools that were fetched for this checkout stand.
    pub fn tools(&self) -> PathBuf {
        self.target.join("tools")
    }

    /// The full output of a step of `verify`.
    pub fn log(&self, step: &str) -> PathBuf {
        self.target.join("verify").join(format!("{step}.log"))
    }

    /// A path as a person reads it: from the root where it lies inside.
    pub fn shown(&self, path: &Path) -> String {
        path.strip_prefix(&self.root).unwrap_or(path).display().to_string()
    }

    /// Reads a text of the house, with Unix line ends, so that a checkout with others gives the
    /// same bytes.
    ///
    /// # Errors
    /// Where the file is missing or is not UTF-8.
    pub fn read(&self, path: &str) -> Result<String, String> {
        std::fs::read_to_string(self.root.join(path))
            .map(|text| text.replace("\r\n", "\n"))
            .map_err(|fault| format!("{path} cannot be read: {fault}. It belongs to the checkout; restore it."))
    }
}
