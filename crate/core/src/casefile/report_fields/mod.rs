//! The field table of the report: what `report --json` and the page's scripts give.
//!
//! Every number may be `null`, with the reason in `why` beside it. Parts that a case has not, and
//! parts that a later version adds, are simply absent or more.

mod anatomy;
mod carm;
mod extent;
mod fabric;
mod graft;
mod release;
mod room;
mod terms;
mod tunnels;
mod verdicts;

use terms::{DAYS, KEPT_BY, LIE, MANY, WHY, deg, direction, mm, point, pure};
use crate::casefile::shape::Shape::{Choice, Id, Number, Object};
use crate::casefile::shape::{Shape, list, measured, optional, required, text, word};

use anatomy::{ANATOMY, FOLD, OSTIUM, RESIDUAL, STATION, VESSEL, ZONE};
use carm::VIEW;
use extent::EXTENT;
use fabric::{COMPONENT, OPENING, OVERLAP, SPACE};
use graft::{BUILDABLE, ROD};
use release::{FEED, RELEASE};
use room::ROOM;
use tunnels::{STENT, TUNNEL};
use verdicts::{ASSUMPTION, RULE_SET, VERDICT};

/// The report.
pub static REPORT: Shape = Object(&[
    required("format", "Format", Choice(&[word("extrados-report", "report")]), "Always extrados-report."),
    required("version", "Version", Shape::Whole { least: 1, most: 1 }, "Version of the format: 1."),
    required("program", "Program", text(100), "The program and its version."),
    required("case_sha256", "Hash of the case", text(64), "SHA-256 of the case's text, lowercase hexadecimal."),
    optional("assumed", "Assumed", list(&Shape::Text { most_chars: 1000 }, MANY), "What was assumed because nobody entered it."),
    optional("ct", "CT", Object(&[
        measured("age_days", "Age", Number(&DAYS), "Days from the CT to the day of planning; negative where the CT comes later."),
        WHY,
    ]), "The CT."),
    measured("rough", "Rough", Object(&[
        optional("heading", "Heading", text(400), "What heads such a plan wherever it is shown."),
        optional("shape", "Shape", Choice(&[word("half_ellipse", "half-ellipse"), word("circle", "circle")]), "What the bend was made."),
        deg("turn_deg", "Turn", "Turn of the bend from its beginning to its end."),
        deg("apex_deg", "Angle at the top", "Angle at the top of the bend between the straight lines to its two ends."),
        mm("radius_mm", "Radius at the top", "Radius of the centreline at the top of the bend."),
        mm("from_station_mm", "From", "Station at which the bend begins."),
        mm("to_station_mm", "To", "Station at which the bend ends."),
        optional("residuals", "Residuals", list(&RESIDUAL, 20), "Every typed number of the sheet against the rebuilt arch."),
        optional("cannot_be_known", "Cannot be known", list(&Shape::Text { most_chars: 400 }, 20), "What no measuring sheet tells."),
    ]), "How the arch was rebuilt from a measuring sheet; absent where a centreline was measured. Such a plan is not for ordering a graft."),
    measured("centreline", "Centreline", Object(&[
        mm("length_mm", "Length", "Length of the smoothed centreline."),
        mm("input_length_mm", "Length of the input", "Length along the points as given."),
        mm("residual_rms_mm", "Residual", "Root mean square distance of the points from the smoothed centreline."),
        mm("residual_max_mm", "Largest residual", "Largest distance of a point from the smoothed centreline."),
        pure("tortuosity", "Tortuosity", "Length over the distance of the ends."),
        WHY,
    ]), "The smoothed centreline."),
    measured("arch_plane", "Arch plane", Object(&[
        direction("normal_lps", "Normal", "Unit normal in patient axes."),
        point("point_lps_mm", "Point", "A point of the plane in patient axes."),
        mm("rms_mm", "Distance from the plane", "Root mean square distance of the centreline from it."),
        mm("from_station_mm", "From", "Station at which the fitted stretch begins."),
        mm("to_station_mm", "To", "Station at which the fitted stretch ends."),
        WHY,
    ]), "The plane of the arch."),
    optional("stations", "Stations", list(&STATION, MANY), "The aorta station by station."),
    measured("anatomy", "Anatomy", Object(ANATOMY), "The anatomy looked over; no rule hangs on the arch type."),
    optional("folds", "Folds", list(&FOLD, MANY), "Stretches in which the inner side folds."),
    optional("zones", "Zones", list(&ZONE, 20), "Landing zones with their lengths on three lines."),
    optional("ostia", "Ostia", list(&OSTIUM, MANY), "Ostia in space."),
    optional("vessels", "Vessels", list(&VESSEL, MANY), "Vessels with their take-off."),
    optional("rods", "Rods", list(&ROD, MANY), "The elastic rod that each graft's axis is, in every possibility but the middle."),
    optional("tunnels", "Tunnels", list(&TUNNEL, MANY), "Every tunnel against its ostium, in every possibility."),
    optional("stents", "Stents", list(&STENT, MANY), "The bridging stent to order for each tunnel, over every possibility and the error."),
    optional("buildable", "Buildable", list(&BUILDABLE, MANY), "Whether each graft can be made as it is drawn."),
    optional("openings", "Openings", list(&OPENING, MANY), "Every fenestration and scallop against its ostium, in every possibility."),
    optional("components", "Components", list(&COMPONENT, MANY), "Where each piece lies and what it covers, in every possibility."),
    optional("overlaps", "Overlaps", list(&OVERLAP, MANY), "Overlaps of neighbouring pieces, in every possibility."),
    optional("space_to_wall", "Space to the wall", list(&SPACE, MANY), "Space between fabric and wall, in every possibility."),
    measured("extent", "Extent", Object(EXTENT), "Dissection, extent, surgery of the neck vessels, cord: stage by stage."),
    optional("verdicts", "Verdicts", list(&VERDICT, MANY), "Every rule with its verdict."),
    optional("rule_sets", "Rule sets", list(&RULE_SET, 20), "The case's rule sets side by side, each judged by itself; there is no overall word."),
    measured("room", "Room", Object(ROOM), "How far the placement may be off while all required rules hold."),
    measured("done", "Done", Object(&[
        measured("component", "Component", Id, "The component whose landing it is."),
        mm("landing_station_mm", "Landed at", "Station at which its proximal fabric edge came to lie."),
        optional("landings", "Landings", list(&LANDING, 100), "The landing against its plan, in every possibility."),
        deg("turn_deg", "Turned by", "How far it came to lie turned from the plan, + clockwise looking downstream."),
        optional("stents", "Stents", list(&STENT_RECORD, 100), "Bridging stents that were put in, against their plan."),
    ]), "What was done, against the plan; absent until something is entered."),
    optional("assumptions", "Assumptions", list(&ASSUMPTION, 10), "How much hangs on each assumption, all else equal."),
    optional("views", "Views", list(&VIEW, MANY), "C-arm views."),
    optional("steps", "Steps", list(&FEED, MANY), "What each step of the release leaves fed."),
    optional("release", "Release", Object(RELEASE), "The release as a whole: orders, turns, what to mind."),
    optional("sheet", "Sheet", list(&SHEET, MANY), "The texts of the wall sheet by their ids."),
    optional("warnings", "Warnings", list(&WARNING, MANY), "What should be known before the numbers are used."),
]);

static LANDING: Shape = Object(&[
    LIE,
    KEPT_BY,
    mm("planned_station_mm", "Planned", "Station at which the proximal fabric edge was planned."),
    mm("difference_mm", "Difference", "Done less planned, + downstream."),
]);

static STENT_RECORD: Shape = Object(&[
    optional("serves", "Serves", Id, "The vessel it leads to."),
    mm("diameter_mm", "Diameter", "Its diameter."),
    mm("length_mm", "Length", "Its length."),
    optional("planned", "Planned", text(400), "What was planned, in words."),
    mm("diameter_difference_mm", "Difference in diameter", "Done less planned, where one stent was planned."),
    mm("length_difference_mm", "Difference in length", "Done less planned, where one stent was planned."),
]);

static SHEET: Shape = Object(&[
    optional("id", "Entry", text(120), "Id of the entry."),
    optional("text", "Text", text(1000), "Its text."),
]);

static WARNING: Shape = Object(&[
    optional("code", "Code", text(80), "Stable name of the kind."),
    optional("where", "Where", text(400), "Its place."),
    optional("text", "Text", text(1000), "What it is, in one sentence."),
    optional("mend", "Mend", text(1000), "How to mend it."),
]);
