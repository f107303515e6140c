//! Files of other programs that wait for their unit and axes before they become a case.
//!
//! Pure: the bytes are here already. What the files do not say is asked; what is wrong is listed and
//! the question stays open, so that it can be answered otherwise.

use extrados::fault::Faults;
use extrados::import::{self, Axes, Imported, NamedBytes, Options, Unit};
use std::sync::Arc;

/// Where an axis can point: the letter and what it means.
pub const DIRECTIONS: [(&str, &str); 6] = [
    ("L", "L, to the left"),
    ("R", "R, to the right"),
    ("P", "P, to the back"),
    ("A", "A, to the front"),
    ("S", "S, to the head"),
    ("I", "I, to the feet"),
];

/// An import that is being asked about.
#[derive(Clone, Debug)]
pub struct Importing {
    /// The files.
    pub files: Arc<Vec<NamedBytes>>,
    /// Their unit.
    pub unit: Unit,
    /// Where their axes point, a letter each.
    pub axes: [String; 3],
    /// Whether the axes are taken even where the three signs speak against them.
    pub trust_axes: bool,
    /// What was wrong when it was last tried.
    pub faults: Faults,
}

/// One answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// The unit.
    Unit(String),
    /// Where an axis points.
    Axis(usize, String),
    /// Whether the axes are trusted.
    Trust(bool),
}

impl Importing {
    /// Asks about files; offered first are millimetres in patient axes.
    pub fn of(files: Vec<NamedBytes>) -> Self {
        Importing {
            files: Arc::new(files),
            unit: Unit::default(),
            axes: ["L", "P", "S"].map(str::to_owned),
            trust_axes: false,
            faults: Faults::none(),
        }
    }

    /// Takes an answer; one that is none of those offered changes nothing.
    pub fn answer(&mut self, answer: Answer) {
        match answer {
            Answer::Unit(unit) => self.unit = Unit::parse(&unit).unwrap_or(self.unit),
            Answer::Axis(index, letter) => {
                let known = DIRECTIONS.iter().any(|(known, _)| *known == letter);
                if let Some(axis) = self.axes.get_mut(index).filter(|_| known) {
                    *axis = letter;
                }
            }
            Answer::Trust(yes) => self.trust_axes = yes,
        }
    }

    /// The name of the first file.
    pub fn name(&self) -> &str {
        self.files.first().map_or("", |file| &file.name)
    }

    /// Makes the case.
    ///
    /// # Errors
    /// All that is wrong with the files or the answers.
    pub fn run(&self) -> Result<Imported, Faults> {
        let axes = Axes::parse(&self.axes.join(","))?;
        let options = Options { unit: self.unit, axes, trust_axes: self.trust_axes, ..Options::default() };
        import::import(&self.files, &options)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A half circle of 40 mm radius in the sagittal plane, up the front and down the back, with legs.
    fn arch(scale: f64) -> NamedBytes {
        let mut csv = String::from("x_mm,y_mm,z_mm,radius_mm\n");
        let mut put = |x: f64, y: f64, z: f64| csv.push_str(&format!("{},{},{},{}\n", x * scale, y * scale, z * scale, 15.0 * scale));
        for step in 0..30 {
            put(0.0, -40.0, f64::from(step) * 2.0 - 60.0);
        }
        for step in 0..=60 {
            let turn = f64::from(step) * 3f64.to_radians();
            put(20.0 * (1.0 - turn.cos()), -40.0 * turn.cos(), 40.0 * turn.sin());
        }
        for step in 1..60 {
            put(40.0, 40.0, -2.0 * f64::from(step));
        }
        NamedBytes { name: "arch.csv".into(), bytes: csv.into_bytes() }
    }

    #[test]
    fn right_answers_give_a_case_and_say_what_was_assumed() {
        let imported = Importing::of(vec![arch(1.0)]).run().expect("a plain arch in patient axes");
        assert!(imported.case.anatomy.centreline.is_some());
        assert!(!imported.assumed.is_empty());
    }

    #[test]
    fn turned_axes_are_refused_until_they_are_answered_right() {
        let mut importing = Importing::of(vec![arch(1.0)]);
        importing.answer(Answer::Axis(2, "I".into()));
        let faults = importing.run().expect_err("the arch would hang upside down");
        assert!(faults.faults.iter().any(|fault| fault.code.starts_with("axes")), "{faults}");
        importing.answer(Answer::Axis(2, "S".into()));
        assert!(importing.run().is_ok());
    }

    #[test]
    fn an_answer_that_was_not_offered_changes_nothing() {
        let mut importing = Importing::of(vec![arch(1.0)]);
        importing.answer(Answer::Axis(7, "L".into()));
        importing.answer(Answer::Axis(0, "X".into()));
        importing.answer(Answer::Unit("furlong".into()));
        assert_eq!((importing.axes.join(","), importing.unit), ("L,P,S".into(), Unit::Mm));
        importing.answer(Answer::Axis(1, "L".into()));
        assert!(importing.run().is_err(), "two axes cannot both point to the left");
    }
}
