//! The report's keys on what is judged: rules, rule sets side by side, and the assumptions they hang on.

use super::terms::{KEPT_BY, LIE, MANY, RULE, RULE_OF, VERDICTS, WHY, deg, mm, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Object};
use crate::casefile::shape::{Shape, list, measured, optional, text, word};

pub(super) static VERDICT: Shape = Object(&[
    RULE,
    optional("measure", "Measure", text(80), "Id of the measure."),
    optional("of", "Of", text(80), "Id of what was measured."),
    pure("value", "Value", "The measure, in its unit."),
    pure("margin", "Margin", "How far inside the limit, negative outside, in its unit."),
    pure("error", "Error", "One standard deviation from the CT's errors alone, in its unit."),
    optional("unit", "Unit", text(20), "The unit."),
    optional("verdict", "Verdict", Choice(VERDICTS), "The verdict; unknown is never met."),
    measured("hangs_on", "Hangs on", Object(&[LIE, KEPT_BY]), "The possibility on which it hangs."),
    WHY,
    optional("source", "Source", text(400), "Source of the limit."),
    optional("required", "Required", Flag, "Whether the plan needs the rule."),
    measured("would_change", "Would change it", text(400), "What would change the verdict where it is unmet, where the rule says so."),
]);

pub(super) static RULE_SET: Shape = Object(&[
    optional("id", "Set", text(80), "Id of the set."),
    optional("name", "Name", text(200), "Name of the set."),
    measured("approach", "Treatment", Choice(&[word("branched", "branched"), word("fenestrated", "fenestrated or scalloped"), word("any", "any")]), "Which way of treatment it is about."),
    optional("unmet", "Unmet", Shape::Whole { least: 0, most: 100_000 }, "How many verdicts are unmet, of the rules the set needs."),
    optional("unknown", "Unknown", Shape::Whole { least: 0, most: 100_000 }, "How many are unknown."),
    optional("borderline", "Borderline", Shape::Whole { least: 0, most: 100_000 }, "How many are borderline."),
    optional("met", "Met", Shape::Whole { least: 0, most: 100_000 }, "How many are met."),
    optional("verdicts", "Verdicts", list(&VERDICT, MANY), "Every rule of the set with its verdict."),
    optional("not_judged", "Not judged", list(&Shape::Text { most_chars: 400 }, 50), "What its source asks for and no rule here judges."),
]);

pub(super) static ASSUMPTION: Shape = Object(&[
    optional("assumption", "Assumption", Choice(&[
        word("lie", "how the graft lies"),
        word("length_kept_by", "which line keeps its length"),
        word("wire_tilt", "how the wire points at the annulus"),
    ]), "What is assumed."),
    mm("clearance_change_mm", "Change of clearance", "Largest change of one tunnel's edge clearance, all else equal."),
    measured("clearance_of", "Clearance of", Id, "Id of that tunnel."),
    deg("clock_change_deg", "Change of clock error", "Largest change of one tunnel's clock error, all else equal."),
    measured("clock_of", "Clock error of", Id, "Id of that tunnel."),
    optional("verdicts", "Verdicts", list(&ASSUMPTION_VERDICT, MANY), "Verdicts that change with it."),
    optional("text", "Text", text(1000), "The same in a sentence."),
    WHY,
]);

static ASSUMPTION_VERDICT: Shape = Object(&[
    RULE,
    RULE_OF,
    optional("required", "Required", Flag, "Whether the plan needs it."),
    optional("takes", "Takes", list(&Choice(VERDICTS), 4), "The words it takes, worst first."),
]);
