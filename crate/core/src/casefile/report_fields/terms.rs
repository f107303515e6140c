//! What the report's keys share: units, points, both halves of a possibility, the reason of a null.

use crate::casefile::shape::Shape::{Choice, Id, Number};
use crate::casefile::shape::{Field, Range, Shape, Word, exactly, list, measured, optional, text, word};

const ANY: f64 = f64::INFINITY;

macro_rules! unbounded {
    ($($name:ident = $unit:expr;)*) => {
        $(pub(super) static $name: Range = Range::new("a number", $unit, -ANY, ANY);)*
    };
}

unbounded! {
    MM = "mm";
    MM2 = "mm²";
    DEG = "°";
    PER_MM = "1/mm";
    PURE = "";
    DAYS = "days";
}

/// Most items of a list: bounds nothing in practice, but a list without a bound is none.
pub(super) const MANY: usize = 1_000_000;

pub(super) static LENGTH: Shape = Number(&MM);

pub(super) static PART: Shape = Number(&PURE);

pub(super) const fn mm(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&MM), help)
}

pub(super) const fn deg(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&DEG), help)
}

pub(super) const fn pure(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&PURE), help)
}

pub(super) const fn point(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(3, &LENGTH), help)
}

pub(super) const fn direction(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(3, &PART), help)
}

pub(super) const fn ids(name: &'static str, label: &'static str, help: &'static str) -> Field {
    optional(name, label, list(&SENTENCE, MANY), help)
}

pub(super) const fn span(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(2, &LENGTH), help)
}

pub(super) static LIES: &[Word] = &[word("middle", "middle"), word("relaxed", "relaxed"), word("pushed", "pushed")];

pub(super) static KEPT: &[Word] = &[word("axis", "axis"), word("outer_line", "outer line")];

pub(super) const LIE: Field = optional("lie", "Lie", Choice(LIES), "Which of the three ways it can lie.");

pub(super) const KEPT_BY: Field = optional("length_kept_by", "Length kept by", Choice(KEPT), "Which line keeps its length in a bend.");

pub(super) const WHY: Field = measured("why", "Why", text(1000), "The reason why a number beside it is null.");

pub(super) static SENTENCE: Shape = text(1000);

pub(super) const SENTENCES_OF: Shape = list(&SENTENCE, 400);

/// What a verdict can say, the worst last.
pub(super) static VERDICTS: &[Word] = &[
    word("met", "met"),
    word("borderline", "borderline"),
    word("unmet", "unmet"),
    word("unknown", "unknown"),
];

pub(super) const RULE: Field = optional("rule", "Rule", Id, "Id of the rule.");

pub(super) const RULE_OF: Field = optional("of", "Of", text(80), "Id of what it is for.");
