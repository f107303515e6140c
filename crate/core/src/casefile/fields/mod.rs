//! The one field table: every key of version 1 of the case, graft and rule files.
//!
//! Forms, checking, the JSON Schema and the documentation are all made from it. It says what each
//! field is called, in which unit and range, and how the trade measures it. What one part of a
//! file asks of another is in [`super::consistency`].

// The tables are read by lines: one field, one line.
#[rustfmt::skip]
pub mod anatomy;
#[rustfmt::skip]
pub mod graft;
mod markdown;
#[rustfmt::skip]
pub mod plan;
pub mod ranges;

pub use markdown::markdown;

use super::shape::{Place, Shape, list, measured, optional, required, word};
use ranges::{LINE, SLICE, WORDS, number};

/// Most alternatives of a case.
pub const MOST_ALTERNATIVES: usize = 20;

/// The case file.
#[rustfmt::skip]
pub static CASE: Shape = Shape::Object(&[
    required("format", "Format", Shape::Choice(&[word("extrados-case", "case")]), "Always extrados-case."),
    required("version", "Version", Shape::Whole { least: 1, most: 1 }, "Version of the format: 1."),
    optional("label", "Label", LINE, "The user's own label for the case; no name or number of a patient is needed."),
    optional("diagnosis", "Diagnosis", LINE, "Diagnosis in the user's words; rules may be narrowed to one."),
    measured("connective_tissue_disease", "Connective-tissue disease", Shape::Flag, "Whether the patient has a connective-tissue disease: such an aorta is landed in graft at both ends."),
    optional("invented", "Invented", Shape::Flag, "True where the anatomy is nobody's."),
    optional("ct", "CT", Shape::Object(&[
        measured("date", "Day of the CT", Shape::Date, "Day on which the CT was made."),
        measured("phase", "Phase", Shape::Suggested(&[
            word("diastole", "diastole"),
            word("systole", "systole"),
            word("not_gated", "not gated"),
        ]), "Phase of the heart's cycle in which it was made."),
        measured("slice_mm", "Slice thickness", number(&SLICE), "Thickness of the slices that were measured."),
        optional("measured_by", "Measured by", WORDS, "Who measured."),
        optional("checked_by", "Checked by", WORDS, "Who checked the measurements."),
    ]), "The CT that was measured."),
    optional("clock", "Clock of the sheet", Shape::Object(&[
        measured("three_oclock_is", "3:00 is", Shape::Choice(&[
            word("front_left", "front-left"),
            word("back_right", "back-right"),
        ]), "On which side 3:00 lies on top of the arch, looking downstream; while nobody answers, every clock is unknown."),
        measured("twelve_oclock_is", "12:00 is", Shape::Choice(&[
            word("arch_plane", "outer curve of the arch plane"),
            word("local_bend", "outermost point of the local bend"),
            word("straight_up", "straight up"),
        ]), "What 12:00 means; while nobody answers it is read as the arch plane with a wider error."),
    ]), "The clock of the user's own sheet; no hand is assumed."),
    optional("anatomy", "Anatomy", Shape::Object(anatomy::ANATOMY), "What was measured."),
    optional("components", "Components", list(&plan::COMPONENT, 20), "Grafts and plugs, upstream first."),
    measured("push", "Push", Shape::Object(plan::PUSHES), "Push on the graft, for the two ways of lying that are not on the centreline."),
    measured("wire", "Wire", Shape::Object(plan::WIRE), "Direction of the wire at the annulus."),
    optional("errors", "Errors", Shape::Object(plan::ERRORS), "Errors of the CT and of the landing, one standard deviation each."),
    measured("stock", "Stock", Shape::Object(plan::STOCK), "Bridging stents at hand."),
    optional("rules", "Rules", list(&plan::RULE, plan::MOST_RULES), "The rules by which the plan is judged."),
    optional("rule_sets", "Rule sets", list(&plan::RULE_SET, 20), "Sets of rules that the case is held against side by side, each by itself."),
    measured("procedure", "Procedure", Shape::Object(plan::PROCEDURE), "The release, step by step."),
    measured("carm", "C-arm", Shape::Object(plan::CARM), "Reach of the C-arm."),
    optional("alternatives", "Alternatives", list(&plan::ALTERNATIVE, MOST_ALTERNATIVES), "Named alternatives of this case."),
    measured("done", "Done", Shape::Object(plan::DONE), "What was done in the end."),
    optional("notes", "Notes", Shape::Notes, "Free notes: the only place where any key is welcome."),
]);

/// The graft file.
pub use graft::GRAFT_FILE as GRAFT;
/// The rule file.
pub use plan::RULE_FILE as RULES;

/// The field at a JSON pointer of the case, with `*` or a number for any place in a list:
/// `/anatomy/ostia/*/clock_deg`.
pub fn lookup(pointer: &str) -> Option<Place> {
    CASE.lookup(pointer)
}

/// What is shown for a word of a field's choice; the word itself where it is none of them.
pub fn shown<'w>(pointer: &str, word: &'w str) -> &'w str {
    match lookup(pointer).map(|place| place.shape) {
        Some(Shape::Choice(words)) => words.iter().find(|own| own.word == word).map_or(word, |own| own.shown),
        _ => word,
    }
}
