//! Running other programs: never with input, always with a sentence when they fail.

use std::fs::File;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs a program and gives what it printed to standard output.
///
/// # Errors
/// Where it cannot be started or fails, with the last line it printed.
pub fn answer(command: &mut Command) -> Result<String, String> {
    let name = shown(command);
    let output =
        command.stdin(Stdio::null()).output().map_err(|fault| format!("`{name}` cannot be started: {fault}."))?;
    if output.status.success() {
        return Ok(String::from_utf8_lossy(&output.stdout).into_owned());
    }
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let last = said.lines().rev().find(|line| !line.trim().is_empty()).unwrap_or("it said nothing");
    Err(format!("`{name}` failed: {}.", last.trim().trim_end_matches('.')))
}

/// Runs a program that prints to the terminal as it goes.
///
/// # Errors
/// Where it cannot be started or fails.
pub fn live(command: &mut Command) -> Result<(), String> {
    let name = shown(command);
    let status =
        command.stdin(Stdio::null()).status().map_err(|fault| format!("`{name}` cannot be started: {fault}."))?;
    if status.success() { Ok(()) } else { Err(format!("`{name}` failed ({status}): see what it printed above.")) }
}

/// Runs a program with all its output going to the end of a file; says whether it succeeded.
///
/// # Errors
/// Where it cannot be started, or the file cannot be written.
pub fn into_log(command: &mut Command, log: &Path) -> Result<bool, String> {
    let name = shown(command);
    let open = || -> std::io::Result<(File, File)> {
        let file = File::options().append(true).create(true).open(log)?;
        Ok((file.try_clone()?, file))
    };
    let (out, err) = open().map_err(|fault| format!("{} cannot be written: {fault}.", log.display()))?;
    let status = command
        .stdin(Stdio::null())
        .stdout(out)
        .stderr(err)
        .status()
        .map_err(|fault| format!("`{name}` cannot be started: {fault}."))?;
    Ok(status.success())
}

/// The command as it would be typed, with the program's bare name.
fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let mut words = vec![program.file_name().unwrap_or(program.as_os_str()).to_string_lossy().into_owned()];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}
