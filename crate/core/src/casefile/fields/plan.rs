//! Fields of the plan around anatomy and graft: components, errors, stock, rules, release, C-arm.

use super::graft::{GRAFT, PLACEMENT};
use super::ranges::{
    BEND_RADIUS, CLOCK, IN_VESSEL, LIMIT, LINE, MEAN_DEG, MEAN_MM, MINUTES, POSITIONER, PUSH, SD_DEG, SD_MM, SHARE, SHEATH,
    STAGE, STATION, STENT_LENGTH, TILT, TURN, VESSEL_DIAMETER, WORDS, number,
};
use crate::casefile::shape::Shape::{Choice, Date, Flag, Id, Object, Patch, Suggested};
use crate::casefile::shape::{Field, Shape, Tagged, Variant, Word, exactly, list, measured, optional, required, text, word};

/// One piece that is implanted.
pub static COMPONENT: Shape = Shape::Tagged(&Tagged {
    tag: required("kind", "Kind", Choice(&[
        word("ascending_tube", "ascending tube"),
        word("arch_graft", "arch graft"),
        word("extension", "extension"),
        word("plug", "plug"),
    ]), "What the piece is."),
    common: &[
        required("id", "Component", Id, "Name of the piece, such as arch."),
        measured("stage", "Stage", STAGE, "Stage in which it goes in."),
    ],
    variants: &[
        Variant { words: &["ascending_tube", "arch_graft", "extension"], fields: &[
            required("graft", "Graft", Object(GRAFT), "The graft itself."),
            measured("placement", "Placement", Object(PLACEMENT), "Where and how turned it is put."),
        ] },
        Variant { words: &["plug"], fields: &[
            required("in", "In vessel", Id, "The vessel in which it sits."),
            measured("at_mm", "Distance", number(&IN_VESSEL), "Distance of its near end from the aortic wall."),
            measured("diameter_mm", "Diameter", number(&VESSEL_DIAMETER), "Its diameter."),
            measured("length_mm", "Length", number(&STENT_LENGTH), "Its length."),
        ] },
    ],
});

/// Push on the graft.
pub static PUSHES: &[Field] = &[
    optional("relaxed_per_mm2", "Wire out", number(&PUSH), "Push per bending stiffness with the wire out; 0.000001 from memory."),
    optional("pushed_per_mm2", "Stiff wire in", number(&PUSH), "Push per bending stiffness with the stiff wire in; 0.001 from memory."),
];

/// The wire at the annulus.
pub static WIRE: &[Field] = &[
    optional("annulus_tilt_deg", "Tilt at the annulus", number(&TILT), "Angle between the wire and the centreline at the annulus."),
    optional("annulus_tilt_range_deg", "Range of the tilt", number(&TILT), "How far that angle may be off, either way."),
    optional("annulus_towards_clock_deg", "Tilted towards", number(&CLOCK), "Clock towards which the wire is tilted there."),
];

/// Errors of the CT and of the landing.
pub static ERRORS: &[Field] = &[
    optional("entered_by_user", "Entered by the user", Flag, "False while these are the program's defaults."),
    optional("axial_mean_mm", "Landing, mean", number(&MEAN_MM), "Mean error of the landing along the aorta, + downstream."),
    optional("axial_sd_mm", "Landing", number(&SD_MM), "Standard deviation of the landing along the aorta."),
    optional("rotation", "Rotation", Object(&[
        optional("kind", "Kind", Choice(&[word("mixture", "mixture of a narrow and a wide normal")]), "How the error of the rotation is described."),
        optional("mean_deg", "Rotation, mean", number(&MEAN_DEG), "Mean error of the rotation, + clockwise looking downstream."),
        optional("small_sd_deg", "Rotation, narrow", number(&SD_DEG), "Standard deviation when the graft follows."),
        optional("large_sd_deg", "Rotation, wide", number(&SD_DEG), "Standard deviation when it does not."),
        optional("large_share", "Share of wide", number(&SHARE), "Share of releases in which it does not."),
    ]), "Error of the rotation at release."),
    optional("diameter_sd_mm", "Diameter", number(&SD_MM), "Standard deviation of a diameter measured on the CT."),
    optional("station_sd_mm", "Station", number(&SD_MM), "Standard deviation of a station measured on the CT."),
    optional("clock_sd_deg", "Clock", number(&SD_DEG), "Standard deviation of a clock position read on the CT."),
    optional("takeoff_sd_deg", "Take-off", number(&SD_DEG), "Standard deviation of a take-off angle measured on the CT."),
    optional("source", "Source", LINE, "Where these numbers come from."),
];

/// Stents at hand.
pub static STOCK: &[Field] = &[
    optional("stent_lengths_mm", "Stent lengths", list(&Shape::Number(&STENT_LENGTH), 200), "Lengths of the bridging stents at hand."),
    optional("stent_diameters_mm", "Stent diameters", list(&Shape::Number(&VESSEL_DIAMETER), 200), "Diameters of the bridging stents at hand."),
    optional("graft_diameters_mm", "Graft diameters", list(&Shape::Number(&super::ranges::AORTIC_DIAMETER), 200), "Diameters of the aortic grafts at hand, from which one is proposed for each seal."),
    measured("least_bend_radius_mm", "Least bend radius", number(&BEND_RADIUS), "Least radius to which a bridging stent may be bent."),
    measured("least_overlap_mm", "Least overlap", number(&STENT_LENGTH), "Least overlap of a bridging stent with its tunnel; 15 mm where not entered (common practice, no source)."),
    measured("least_landing_mm", "Least landing", number(&STENT_LENGTH), "Least healthy wall a bridging stent lands on; where not entered 15 mm, in the left subclavian artery 25 mm (common practice, no source)."),
];

/// A rule.
pub static RULE: Shape = Object(&[
    required("id", "Rule", Id, "Name of the rule, such as r1."),
    required("measure", "Measure", text(80), "The measure it limits, such as tunnel.edge_clearance_mm."),
    optional("of", "Of", Id, "The id it is for, or each."),
    optional("when", "When", Object(&[
        measured("flow", "Flow", Choice(&[
            word("antegrade", "antegrade"),
            word("retrograde", "retrograde"),
        ]), "Only tunnels of this flow."),
        measured("kind", "Kind", WORDS, "Only parts of this kind."),
        measured("diagnosis", "Diagnosis", LINE, "Only cases with this diagnosis."),
        measured("wall", "Wall", Choice(&[
            word("native", "native"),
            word("dissected", "dissected"),
            word("surgical_graft", "surgical graft"),
            word("stent_graft", "stent graft"),
        ]), "Only where the seal that is measured lies on such a wall."),
        measured("connective_tissue_disease", "Connective-tissue disease", Flag, "Only patients with, or without, a connective-tissue disease."),
    ]), "Narrows a rule that is for each."),
    measured("line", "Line", Choice(&[
        word("inner", "inner curve"),
        word("centre", "centreline"),
        word("outer", "outer curve"),
    ]), "The line along which a length is judged; where none is named, the inner curve."),
    measured("to", "To", Choice(&[word("edge", "edge"), word("centre", "centre")]), "Whether a length runs to the edge or the centre of an ostium."),
    measured("at_least", "At least", number(&LIMIT), "Lower limit, in the unit of the rule."),
    measured("at_most", "At most", number(&LIMIT), "Upper limit, in the unit of the rule."),
    optional("unit", "Unit", text(20), "Unit of the limits."),
    optional("required", "Required", Flag, "Whether the plan needs it; others are shown only."),
    optional("source", "Source", text(400), "Where the limit comes from."),
    measured("would_change", "Would change it", text(400), "What would change the verdict where it is unmet, such as a bypass or an ascending tube."),
]);

/// A set of rules that a case carries.
pub static RULE_SET: Shape = Object(&[
    optional("id", "Set", Id, "Short name of the set."),
    optional("name", "Name", LINE, "Name of the set."),
    measured("approach", "Treatment", Choice(APPROACHES), "Which way of treatment the set is about."),
    optional("sources", "Sources", list(&Shape::Text { most_chars: 400 }, 100), "Where the rules come from."),
    optional("rules", "Rules", list(&RULE, MOST_RULES), "The rules."),
    optional("not_judged", "Not judged", list(&Shape::Text { most_chars: 400 }, 50), "What the source asks for and no rule here judges."),
]);

static APPROACHES: &[Word] = &[word("branched", "branched"), word("fenestrated", "fenestrated or scalloped"), word("any", "any")];

/// The rule file.
pub static RULE_FILE: Shape = Object(&[
    required("format", "Format", Choice(&[word("extrados-rules", "rules")]), "Always extrados-rules."),
    required("version", "Version", Shape::Whole { least: 1, most: 1 }, "Version of the format: 1."),
    optional("id", "Set", Id, "Short name of the set."),
    optional("name", "Name", LINE, "Name of the set."),
    optional("sources", "Sources", list(&Shape::Text { most_chars: 400 }, 100), "Where the rules come from."),
    measured("approach", "Treatment", Choice(APPROACHES), "Which way of treatment the set is about."),
    optional("not_judged", "Not judged", list(&Shape::Text { most_chars: 400 }, 50), "What the source asks for and no rule here judges."),
    required("rules", "Rules", list(&RULE, MOST_RULES), "The rules."),
]);

/// Most rules of a case or a rule file.
pub const MOST_RULES: usize = 300;

/// The release.
pub static PROCEDURE: &[Field] = &[
    measured("planned_on", "Planned on", Date, "Day of planning; with the day of the CT it gives the age of the CT."),
    measured("least_space_mm", "Least space", number(&STENT_LENGTH), "What the space beside a graft must exceed, less its error, to feed a vessel; where not entered 3 mm (common practice, no source)."),
    optional("steps", "Steps", list(&STEP, 200), "Steps of the release, in order."),
    measured("fallback", "Fallback", text(400), "What is done if a vessel shuts: it stands on the wall sheet."),
    optional("kit", "Kit", list(&CHECK, 60), "What is laid out beside components and stents; while it is empty the program's own list is printed."),
    optional("checklist", "Checklist", list(&CHECK, 60), "What is checked before and during the release; while it is empty the program's own list is printed."),
];

static CHECK: Shape = Object(&[
    required("text", "Line", text(300), "What is to be ticked."),
    optional("source", "Source", text(200), "Where it comes from."),
]);

static STEP: Shape = Object(&[
    required("do", "Do", Choice(&[
        word("release", "release"),
        word("catheterise", "catheterise"),
        word("bridge", "bridge"),
        word("balloon", "balloon"),
        word("close", "close"),
        word("remove_wire", "remove the wire"),
    ]), "What is done."),
    measured("on", "On", Id, "The component, tunnel, opening, vessel or way it is done on."),
    measured("from_access", "From", WORDS, "From which access it is done."),
    measured("sheath_outer_mm", "Sheath", number(&SHEATH), "Outer diameter of the sheath that is in place."),
    measured("open_to_mm", "Open to", number(&super::ranges::ON_GRAFT), "How far the graft is open after the step, from the proximal fabric edge."),
    measured("held_diameter_mm", "Held to", number(&super::ranges::AORTIC_DIAMETER), "Diameter to which the graft is still held beyond that; where not entered it is still in its carrier."),
    measured("wire", "Wire", Suggested(&[word("in", "in"), word("out", "out")]), "Whether the stiff wire is in."),
    measured("placement", "Placement", Object(PLACEMENT), "Where the graft lies after the step, if not as planned."),
    measured("view", "View", WORDS, "The C-arm view of the step."),
    measured("minutes", "Minutes", number(&MINUTES), "How long the step takes."),
    measured("stage", "Stage", STAGE, "Stage to which the step belongs."),
]);

/// Reach of the C-arm.
pub static CARM: &[Field] = &[
    required("primary_limit_deg", "Primary limits", exactly(2, &Shape::Number(&POSITIONER)), "Farthest RAO (negative) and LAO (positive) the C-arm reaches."),
    required("secondary_limit_deg", "Secondary limits", exactly(2, &Shape::Number(&POSITIONER)), "Farthest caudal (negative) and cranial (positive) the C-arm reaches."),
    optional("table_turn_deg", "Turn of the table", number(&POSITIONER), "Turn of the table under the C-arm."),
];

/// A named alternative.
pub static ALTERNATIVE: Shape = Object(&[
    required("name", "Alternative", LINE, "Name of the alternative."),
    optional("changes", "Changes", Patch, "What differs from this case, as a JSON merge patch."),
]);

/// What was done.
pub static DONE: &[Field] = &[
    measured("landing_station_mm", "Landed at", number(&STATION), "Station at which the proximal fabric edge came to lie."),
    measured("turn_deg", "Turned by", number(&TURN), "How far the graft came to lie turned from the plan, + clockwise looking downstream."),
    optional("stents", "Stents", list(&STENT_DONE, 100), "Bridging stents that were put in."),
];

static STENT_DONE: Shape = Object(&[
    required("serves", "Serves", Id, "The vessel it leads to."),
    measured("diameter_mm", "Diameter", number(&VESSEL_DIAMETER), "Its diameter."),
    measured("length_mm", "Length", number(&STENT_LENGTH), "Its length."),
]);
