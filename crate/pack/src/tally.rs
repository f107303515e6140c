//! Counts the tests in what the test programs print. It reads text and runs nothing.

/// How many tests passed and failed, and which checks could not be run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Tests that passed.
    pub passed: usize,
    /// Tests that failed.
    pub failed: usize,
    /// Checks that could not run here, each with its reason.
    pub not_run: Vec<String>,
}

/// How a check that cannot run here says so.
const NOT_RUN: &str = "NOT RUN";

impl Tally {
    /// Reads the closing lines of cargo's tests (native and WebAssembly), of pytest and of plain
    /// scripts (`N passed, N failed`), and every line that says that a check was not run.
    pub fn read(output: &str) -> Tally {
        let mut tally = Tally::default();
        for line in output.lines() {
            let line = line.trim();
            let of_cargo = line.strip_prefix("test result:");
            let of_pytest = line.trim_matches(['=', ' ']);
            if let Some(counts) = of_cargo {
                tally.passed += count(counts, "passed");
                tally.failed += count(counts, "failed");
            } else if is_pytest_close(of_pytest) || is_plain_close(line) {
                tally.passed += count(of_pytest, "passed");
                tally.failed += count(of_pytest, "failed") + count(of_pytest, "error") + count(of_pytest, "errors");
            }
            if let Some(at) = line.find(NOT_RUN) {
                let said = line[at + NOT_RUN.len()..].trim_start_matches([':', ' ']).to_owned();
                if !tally.not_run.contains(&said) {
                    tally.not_run.push(said);
                }
            }
        }
        tally
    }

    /// Adds another count.
    pub fn add(&mut self, other: &Tally) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.not_run
            .extend(other.not_run.iter().filter(|said| !self.not_run.contains(said)).cloned().collect::<Vec<_>>());
    }
}

/// Whether a line is pytest's last: counts with words, then the time.
fn is_pytest_close(line: &str) -> bool {
    line.split_once(" in ").is_some_and(|(counts, time)| {
        let seconds = time.split_whitespace().next().and_then(|word| word.strip_suffix('s'));
        seconds.is_some_and(|number| number.parse::<f64>().is_ok())
            && counts.split(", ").all(|part| {
                part.split_once(' ')
                    .is_some_and(|(number, word)| number.parse::<usize>().is_ok() && !word.contains(' '))
            })
    })
}

/// Whether a line is the last of a plain script.
fn is_plain_close(line: &str) -> bool {
    let words: Vec<&str> = line.split(' ').collect();
    matches!(words.as_slice(), [passed, "passed,", failed, "failed"]
        if passed.parse::<usize>().is_ok() && failed.parse::<usize>().is_ok())
}

/// The number that stands before a word.
fn count(line: &str, word: &str) -> usize {
    let words: Vec<&str> = line.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    words.windows(2).filter(|pair| pair[1] == word).filter_map(|pair| pair[0].parse::<usize>().ok()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(output: &str) -> (usize, usize) {
        let tally = Tally::read(output);
        (tally.passed, tally.failed)
    }

    #[test]
    fn counts_what_cargo_prints() {
        let output = "test a ... ok\ntest result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s\n\
                      test result: FAILED. 3 passed; 2 failed; 0 ignored";
        assert_eq!(read(output), (15, 2));
    }

    #[test]
    fn counts_what_pytest_prints() {
        assert_eq!(read("5 passed in 3.21s"), (5, 0));
        assert_eq!(read("==== 2 failed, 5 passed, 1 skipped in 63.21s (0:01:03) ===="), (5, 2));
        assert_eq!(read("1 error in 0.10s"), (0, 1));
        assert_eq!(read("4 passed, 2 errors in 0.10s"), (4, 2));
    }

    #[test]
    fn counts_what_plain_scripts_print() {
        assert_eq!(read("  12 passed, 3 failed"), (12, 3));
    }

    #[test]
    fn other_lines_count_for_nothing() {
        assert_eq!(
            read("7 passed the gate in 3s\nno tests ran in 0.01s\n3 passed\nso 3 passed, 4 failed\nrunning 4 tests"),
            (0, 0)
        );
    }

    #[test]
    fn checks_that_were_not_run_are_kept_by_name_once() {
        let output = "  NOT RUN: open aorta: no data\nNOT RUN: open aorta: no data\nNOT RUN other";
        assert_eq!(Tally::read(output).not_run, ["open aorta: no data", "other"]);
    }
}
