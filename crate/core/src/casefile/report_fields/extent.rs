//! The report's keys on dissection, extent, neck vessels and cord, stage by stage.

use super::terms::{DEG, KEPT_BY, LIE, MANY, PART, WHY, deg, ids, mm, pure, span};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Number, Object};
use crate::casefile::shape::{Field, Shape, exactly, list, measured, optional, text, word};

pub(super) static EXTENT: &[Field] = &[
    optional("lumens", "Lumens", list(&LUMENS, MANY), "Both lumens by station."),
    optional("vessels", "Vessels", list(&VESSEL_FEED, MANY), "Each vessel in dissection."),
    optional("ways", "Ways", list(&WAY, MANY), "Every way in and out of the false lumen."),
    optional("pieces", "Pieces", list(&PIECE, MANY), "Each graft on its way down to the coeliac artery."),
    optional("stages", "Stages", list(&STAGE_END, MANY), "The end of each stage; stage 0 is before the plan."),
    optional("left_out", "Left out", list(&LEFT_OUT, MANY), "What would hold at the end of the plan without one act."),
    optional("surgery", "Surgery", list(&SURGERY, MANY), "What each bypass, transposition, interposition or ligation changes."),
    optional("cord", "Cord", list(&CORD, MANY), "What the cord's blood hangs on, beside published numbers; no verdict."),
    ids("minded", "Minded", "What must be minded of neck vessels."),
    ids("remarks", "Remarks", "Where the case says one thing and what is in place another."),
    ids("assumed", "Assumed", "What was taken for granted here."),
];

static LUMENS: Shape = Object(&[
    mm("station_mm", "Station", "Its station."),
    mm("true_mm", "True lumen", "Area-derived diameter of the true lumen."),
    mm("false_mm", "False lumen", "Diameter of a circle of the false lumen's area."),
    mm("whole_mm", "Whole aorta", "Diameter of the aorta with both lumens."),
    deg("centre_clock_deg", "Clock of the true lumen", "Where the true lumen's middle lies."),
    measured("flap_clocks_deg", "Clocks of the flap", exactly(2, &ANGLE), "Where the flap meets the wall."),
]);

static ANGLE: Shape = Number(&DEG);

static VESSEL_FEED: Shape = Object(&[
    optional("id", "Vessel", Id, "The vessel."),
    measured("fed_from", "Fed from", text(40), "The lumen that feeds it."),
    mm("dissected_mm", "Dissected", "How far from the aortic wall it is dissected."),
    mm("landing_from_mm", "Landing from", "Where healthy wall begins."),
    mm("landing_to_mm", "Landing to", "The farthest end of a stent that covers no branch."),
    WHY,
]);

static WAY: Shape = Object(&[
    optional("id", "Way", text(80), "Its id; the vessel's where nobody entered it."),
    optional("name", "Name", text(200), "Kind and place in words."),
    mm("station_mm", "Station", "Its station in the aorta."),
    measured("in_vessel", "In vessel", text(80), "The vessel in which it lies."),
    mm("at_mm", "Distance", "Its distance from the aortic wall there."),
    mm("along_mm", "Size along", "Its length along the flow."),
    mm("across_mm", "Size around", "Its length around."),
    optional("entered", "Entered", Flag, "False where it follows from how the vessel is fed."),
    measured("closed_in", "Closed in", Shape::Whole { least: 0, most: 1000 }, "The first stage at whose end no blood passes; null where blood passes, or may, at the end of the plan."),
    ids("closed_by", "Closed by", "What lies on it then."),
    optional("left_on_purpose", "Left on purpose", Flag, "Whether it is left open on purpose."),
]);

static PIECE: Shape = Object(&[
    optional("component", "Component", Id, "The graft."),
    span("from_station_mm", "From", "Station of its proximal fabric edge, least and most over the possibilities."),
    span("to_station_mm", "To", "Station of its distal fabric edge."),
    measured("overlaps", "Overlaps", text(80), "The graft before it."),
    span("overlap_mm", "Overlap", "How long the two overlap; negative for a gap."),
    measured("distal_oversize_percent", "Distal oversize", exactly(2, &PART), "Of its distal seal over the lumen it lies in."),
    pure("whole_oversize_percent", "Over the whole aorta", "The largest over both lumens, where that was measured."),
    WHY,
]);

static STAGE_END: Shape = Object(&[
    optional("stage", "Stage", Shape::Whole { least: 0, most: 1000 }, "Its number."),
    ids("done", "Done", "What is done in it."),
    optional("ways", "Ways", list(&WAY_AT, MANY), "Every way at its end, in the worst possibility."),
    optional("vessels", "Vessels", list(&FED, MANY), "Every vessel at its end, in the worst possibility."),
    ids("remaining", "Remaining", "Ways that blood passes."),
    ids("on_purpose", "On purpose", "Ways left open on purpose."),
    ids("unknown", "Unknown", "Ways of which it is not known."),
    optional("text", "Text", text(1000), "The same in a sentence."),
    span("covered_mm", "Covered", "Length of the aorta under fabric, least and most over the possibilities."),
    span("beyond_lsa_mm", "Beyond the LSA", "That of it downstream of the left subclavian artery."),
    span("free_above_coeliac_mm", "Free above the coeliac", "From the last fabric edge to the coeliac artery; negative beyond it."),
    WHY,
]);

static WAY_AT: Shape = Object(&[
    optional("id", "Way", text(80), "Its id."),
    optional("state", "State", Choice(&[word("flows", "flows"), word("closed", "closed"), word("unknown", "unknown")]), "Whether blood passes."),
    ids("through", "Through", "Through what blood comes to it."),
    ids("by", "By", "What lies on it where it is closed."),
    optional("on_purpose", "On purpose", Flag, "Whether it is open on purpose at this stage's end."),
    LIE,
    KEPT_BY,
    WHY,
]);

static FED: Shape = Object(&[
    optional("id", "Vessel", Id, "The vessel."),
    optional("state", "State", Choice(&[word("fed", "fed"), word("unfed", "not fed"), word("unknown", "unknown")]), "Whether it is fed."),
    ids("through", "Through", "Through what."),
    WHY,
]);

static LEFT_OUT: Shape = Object(&[
    optional("act", "Act", text(400), "What is left out."),
    ids("flows", "Flows", "Ways that then flow and otherwise do not."),
    ids("unknown", "Unknown", "Ways of which it is then not known."),
    ids("unfed", "Unfed", "Vessels that are then not fed and otherwise are."),
]);

static SURGERY: Shape = Object(&[
    optional("name", "Name", text(200), "What is done."),
    measured("stage", "Stage", Shape::Whole { least: 0, most: 1000 }, "Its stage; 0 where it is done."),
    mm("gained_mm", "Gained", "How much further upstream fabric may begin to land, along the centreline."),
    optional("landing", "Landing", text(1000), "What changes in landing."),
    optional("feed", "Feed", text(1000), "What changes in feed."),
    optional("rules", "Rules", text(2000), "What changes in rules."),
]);

static CORD: Shape = Object(&[
    optional("what", "What", text(80), "What it is about."),
    optional("here", "Here", text(2000), "The plan's number or state."),
    optional("published", "Published", text(400), "What is published on it."),
    optional("source", "Source", text(200), "Its source."),
]);
