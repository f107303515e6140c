//! The field table of the report: what `report --json` and the page's scripts give.
//!
//! Every number may be `null`, with the reason in `why` beside it. Parts that a case has not, and
//! parts that a later version adds, are simply absent or more.

use super::shape::Shape::{Choice, Flag, Id, Number, Object};
use super::shape::{Field, Range, Shape, Word, exactly, list, measured, optional, required, text, word};

const ANY: f64 = f64::INFINITY;

macro_rules! unbounded {
    ($($name:ident = $unit:expr;)*) => {
        $(static $name: Range = Range::new("a number", $unit, -ANY, ANY);)*
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
const MANY: usize = 1_000_000;

static LENGTH: Shape = Number(&MM);
static PART: Shape = Number(&PURE);

const fn mm(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&MM), help)
}

const fn deg(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&DEG), help)
}

const fn pure(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, Number(&PURE), help)
}

const fn point(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(3, &LENGTH), help)
}

const fn direction(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(3, &PART), help)
}

static LIES: &[Word] = &[word("middle", "middle"), word("relaxed", "relaxed"), word("pushed", "pushed")];
static KEPT: &[Word] = &[word("axis", "axis"), word("outer_line", "outer line")];

const LIE: Field = optional("lie", "Lie", Choice(LIES), "Which of the three ways it can lie.");
const KEPT_BY: Field = optional("length_kept_by", "Length kept by", Choice(KEPT), "Which line keeps its length in a bend.");
const WHY: Field = measured("why", "Why", text(1000), "The reason why a number beside it is null.");

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

static RESIDUAL: Shape = Object(&[
    optional("key", "Key", text(40), "The field of sheet_arch."),
    pure("typed", "Typed", "The number as typed, in its unit."),
    pure("rebuilt", "Rebuilt", "The same of the rebuilt arch."),
    pure("difference", "Difference", "Rebuilt less typed."),
    optional("unit", "Unit", text(20), "The unit."),
    optional("used", "Used", Flag, "Whether the arch was rebuilt from it."),
    WHY,
]);

static STATION: Shape = Object(&[
    mm("station_mm", "Station", "Arc length from the origin."),
    point("point_lps_mm", "Point", "Point of the centreline in patient axes."),
    direction("tangent_lps", "Tangent", "Unit tangent, downstream."),
    direction("outer_lps", "Outer curve", "Unit vector towards the outer curve, 12:00."),
    measured("curvature_per_mm", "Curvature", Number(&PER_MM), "Curvature of the centreline."),
    measured("torsion_per_mm", "Torsion", Number(&PER_MM), "Torsion of the centreline."),
    deg("twist_drift_deg", "Twist drift", "Clock of a line carried without twist less its clock at the first ostium of the arch; + turns clockwise downstream."),
    mm("mean_radius_mm", "Mean radius", "Mean radius of the lumen."),
    optional("certain", "Certain", Flag, "False near the ends of the data and where the clock has no meaning."),
    WHY,
]);

static ANATOMY: &[Field] = &[
    measured("arch_type_by_widths", "Arch type by vessel widths", Object(ARCH_TYPE), "By widths of the left common carotid."),
    measured("arch_type_by_planes", "Arch type by horizontal planes", Object(ARCH_TYPE), "By the horizontal planes on the outer and the inner curve."),
    deg("arch_angle_deg", "Angle of the arch", "Angle at the top of the centreline between the straight lines to the origin and to the descending aorta as high as that."),
    measured("arch_angle_why", "Why", text(1000), "Why that angle is null."),
    deg("turning_deg", "Turning", "Turning of the centreline from the first to the last ostium."),
    pure("tortuosity_arch", "Tortuosity of the arch", "Length over straight distance from the origin to the last ostium."),
    pure("tortuosity_descending", "Tortuosity of the descending aorta", "The same from the last ostium to the end of the data."),
    measured("proximal_length", "Proximal length", Object(&[
        mm("inner_mm", "Inner", "On the inner curve."),
        mm("centre_mm", "Centreline", "On the centreline."),
        mm("outer_mm", "Outer", "On the outer curve."),
        WHY,
    ]), "From the origin to the first ostium's upstream edge."),
    optional("seals", "Seals", list(&SEAL, 100), "Each seal against what it lies on."),
    optional("room_upstream", "Room upstream", list(&ROOM_UPSTREAM, MANY), "How far the proximal edge may go upstream before a point to keep clear is covered."),
];

static ARCH_TYPE: &[Field] = &[
    measured("type", "Type", Shape::Whole { least: 1, most: 3 }, "1, 2 or 3."),
    mm("drop_mm", "Drop", "How far the innominate ostium's centre lies below the top of the outer curve."),
    mm("first_mm", "Type 1 up to", "Up to which drop it is type 1."),
    mm("second_mm", "Type 2 up to", "Up to which drop it is type 2."),
    optional("source", "Source", text(400), "Where the definition comes from."),
    WHY,
];

static SEAL: Shape = Object(&[
    optional("component", "Component", Id, "The graft."),
    optional("end", "End", Choice(&[word("proximal", "proximal"), word("distal", "distal")]), "Which end."),
    mm("from_u_mm", "From", "Where it begins on the graft."),
    mm("to_u_mm", "To", "Where it ends on the graft."),
    measured("wall", "Wall", text(40), "What it lies on."),
    mm("aorta_least_mm", "Least aorta", "Least area-derived diameter under it, over every way the graft can lie."),
    mm("aorta_most_mm", "Largest aorta", "Largest area-derived diameter under it."),
    pure("oversize_least_percent", "Least oversize", "Over the area-derived diameter."),
    pure("oversize_most_percent", "Largest oversize", "Over the area-derived diameter."),
    pure("oversize_whole_percent", "Oversize, whole aorta", "Of the distal seal over the whole dissected aorta."),
    mm("serves_from_mm", "Serves from", "Least graft diameter that keeps the limits everywhere along it."),
    mm("serves_to_mm", "Serves to", "Largest graft diameter that does."),
    mm("proposal_mm", "Proposal", "Smallest diameter at hand among these."),
    measured("rule", "Rule", text(80), "The rule whose limits these are."),
    WHY,
]);

static ROOM_UPSTREAM: Shape = Object(&[
    optional("id", "Point", Id, "The point to keep clear."),
    mm("mm", "Room", "From the nearest fabric to its edge, along the wall; negative where it is covered."),
    WHY,
]);

static FOLD: Shape = Object(&[
    mm("from_station_mm", "From", "Station at which the fold begins."),
    mm("to_station_mm", "To", "Station at which the fold ends."),
]);

static ZONE: Shape = Object(&[
    optional("zone", "Zone", Shape::Whole { least: 0, most: 11 }, "Number of the landing zone."),
    mm("inner_mm", "Inner", "Its length on the inner curve."),
    mm("centre_mm", "Centreline", "Its length on the centreline."),
    mm("outer_mm", "Outer", "Its length on the outer curve."),
    mm("from_station_mm", "From", "Station at which it begins."),
    mm("to_station_mm", "To", "Station at which it ends."),
    mm("largest_mm", "Largest diameter", "Largest of the largest diameters; null where one of its places has none."),
    mm("smallest_mm", "Smallest diameter", "Smallest of the smallest diameters."),
    mm("area_least_mm", "Least area-derived diameter", "Least diameter of the circle of equal area."),
    mm("area_most_mm", "Largest area-derived diameter", "Largest diameter of the circle of equal area."),
    pure("inner_bend", "Bend", "Curvature of the inner curve times the diameter, where it bends most."),
    deg("turn_deg", "Turn", "Angle between the centreline's directions at its two ends."),
    mm("healthy_inner_mm", "Healthy wall", "Longest stretch of healthy wall along the inner curve."),
    WHY,
]);

static OSTIUM: Shape = Object(&[
    optional("id", "Ostium", Id, "Its id in the case."),
    mm("station_mm", "Station", "Station of its centre."),
    deg("clock_deg", "Clock", "Clock of its centre, stored convention."),
    measured("clock", "Clock in words", text(40), "The clock with its side, in the hand of the user's sheet."),
    deg("twist_drift_deg", "Twist drift", "Twist drift at its station."),
    point("wall_point_lps_mm", "Wall point", "Its centre on the wall in patient axes."),
    optional("vessels", "Vessels", list(&Id, 100), "The vessels that leave through it."),
    WHY,
]);

static VESSEL: Shape = Object(&[
    optional("id", "Vessel", Id, "Its id in the case."),
    measured("ostium", "Ostium", Id, "The ostium it leaves through."),
    direction("takeoff_lps", "Take-off", "Unit direction of its first 10 mm in patient axes."),
    deg("takeoff_deg", "Take-off angle", "Between that and the downstream tangent."),
    deg("lean_deg", "Lean", "Turn about the aorta from straight outward towards larger clock."),
    WHY,
]);

static ROD: Shape = Object(&[
    optional("component", "Component", Id, "The graft whose axis it is."),
    LIE,
    KEPT_BY,
    pure("push_per_mm2", "Push", "Push over bending stiffness, per mm²."),
    pure("bending_per_mm", "Bending", "½∫κ² ds over the whole rod, per mm."),
    mm("length_mm", "Length", "Length of the whole rod, the carrier beyond the graft included."),
    mm("from_station_mm", "From", "Station of its upstream end."),
    mm("to_station_mm", "To", "Station of its downstream end."),
    pure("optimality_error_mm", "Remaining error", "How far one more step of the search would move it, mm."),
    pure("contact_share", "Contact", "Share of the graft's length along which it touches the wall or fills the lumen."),
    mm("largest_offset_mm", "Largest offset", "Largest distance of the graft's axis from the centreline."),
    WHY,
]);

static TUNNEL: Shape = Object(&[
    optional("id", "Tunnel", Id, "Its id in the case."),
    optional("component", "Component", Id, "The graft it belongs to."),
    optional("serves", "Serves", Id, "The vessel it serves."),
    LIE,
    KEPT_BY,
    point("mouth_lps_mm", "Mouth", "Its mouth in patient axes."),
    mm("mouth_station_mm", "Station of the mouth", "Station of the mouth about the centreline."),
    deg("mouth_clock_deg", "Clock of the mouth", "Clock of the mouth about the centreline."),
    mm("offset_mm", "Offset", "Mouth to ostium along the wall at the ostium's clock, + = mouth upstream, centre to centre."),
    mm("clearance_mm", "Clearance", "+offset for antegrade, −offset for retrograde, centre to centre."),
    mm("edge_clearance_mm", "Edge clearance", "Clearance less half of the mouth's and half of the ostium's length along the flow."),
    mm("clearance_centreline_mm", "Clearance on the centreline", "Difference of the stations, same sign rule."),
    deg("clock_error_deg", "Clock error", "Clock of the mouth less that of the ostium, in (−180, 180]."),
    mm("clock_error_wall_mm", "Clock error on the wall", "The clock error as a length of wall at the ostium."),
    mm("straight_mm", "Straight distance", "Straight distance from mouth to ostium."),
    mm("space_at_mouth_mm", "Space at the mouth", "From the mouth straight out to the wall."),
    optional("state", "State", Choice(&[
        word("ok", "in order"),
        word("would_loop", "would loop"),
        word("wrong_side", "mouth on the wrong side"),
        word("no_path", "no path"),
        word("unknown", "unknown"),
    ]), "How the bridging path comes out."),
    measured("path", "Bridging path", Object(&[
        mm("length_mm", "Length", "Length of the bridging path."),
        mm("least_radius_mm", "Least radius", "Its least radius of bend."),
        mm("largest_possible_radius_mm", "Largest possible radius", "The largest least radius that any such path could have."),
        deg("turn_deg", "Turn", "Its turn in all."),
        deg("mouth_to_takeoff_deg", "Mouth to take-off", "Angle between the directions at its two ends."),
        mm("stent_length_mm", "Stent length", "Least length of stent that this path needs by itself, without an error."),
        mm("stock_length_mm", "Stock length", "Length at hand of the one stent that serves every possibility."),
        WHY,
    ]), "The path of the bridging stent."),
    WHY,
]);

static STENT: Shape = Object(&[
    optional("tunnel", "Tunnel", Id, "Its tunnel."),
    optional("component", "Component", Id, "The graft of the tunnel."),
    optional("serves", "Serves", Id, "The vessel it serves."),
    mm("least_length_mm", "Least length", "Shortest stent that serves."),
    mm("most_length_mm", "Most length", "Longest stent that serves; below the shortest where none does."),
    mm("least_diameter_mm", "Least diameter", "Narrowest stent that fits both ends."),
    mm("most_diameter_mm", "Most diameter", "Widest stent that fits both ends; below the narrowest where none does."),
    optional("choice", "Choice", Choice(&[
        word("one", "one stent"),
        word("two", "two that overlap"),
        word("no_stock", "no stock entered"),
        word("none", "none"),
        word("unknown", "unknown"),
    ]), "What the stock gives."),
    optional("lengths_mm", "Lengths", list(&LENGTH, 2), "Length of the stent, or of the two, the one in the tunnel first."),
    optional("diameters_mm", "Diameters", list(&LENGTH, 2), "The same for their diameters."),
    optional("next_lengths_mm", "Next lengths", list(&LENGTH, 2), "Next sizes of the stock, down and up."),
    optional("next_diameters_mm", "Next diameters", list(&LENGTH, 2), "Next sizes of the stock, down and up."),
    optional("text", "In words", text(1000), "The same in words."),
    optional("source", "Source", text(400), "Source of the limits on overlap, landing and width."),
    WHY,
]);

static BUILDABLE: Shape = Object(&[
    optional("component", "Component", Id, "The graft."),
    optional("state", "State", Choice(BUILDABLE_STATES), "Whether it can be made as it is drawn."),
    mm("through_lumen_mm", "Through-lumen", "Diameter of the largest circle that passes beside the tunnels, at the narrowest place."),
    measured("through_lumen_mm2", "Free area", Number(&MM2), "Area that the tunnels leave there."),
    mm("through_lumen_at_u_mm", "Narrowest at", "Where that is, from the proximal fabric edge."),
    optional("between", "Between", list(&BETWEEN, MANY), "Fabric between every two mouths and openings."),
    optional("edges", "To the edges", list(&TO_EDGES, MANY), "Fabric from every mouth and fenestration to the edges of the graft."),
    optional("findings", "Findings", list(&FINDING, MANY), "What stands against it, and what must be minded."),
]);

static BUILDABLE_STATES: &[Word] = &[
    word("no", "cannot be made so"),
    word("unknown", "unknown"),
    word("one_under_another", "only with one tunnel under another"),
    word("yes", "can be made"),
];

static TWO: Shape = Id;

static BETWEEN: Shape = Object(&[
    optional("of", "Of", exactly(2, &TWO), "Ids of the two."),
    mm("edges_mm", "Edge to edge", "Fabric between their edges; negative where they run into each other."),
    mm("along_mm", "Along", "Along the graft from centre to centre."),
    deg("turn_deg", "Turn", "Clock of the second less that of the first."),
]);

static TO_EDGES: Shape = Object(&[
    optional("of", "Of", Id, "Id of the mouth or opening."),
    mm("proximal_mm", "Proximal", "From its upstream edge to the proximal fabric edge."),
    mm("distal_mm", "Distal", "From its downstream edge to the distal fabric edge."),
]);

static FINDING: Shape = Object(&[
    optional("code", "Code", text(80), "Stable name of the kind."),
    optional("of", "Of", list(&Id, 100), "Ids of the tunnels and openings concerned."),
    optional("state", "State", Choice(BUILDABLE_STATES), "What follows from it; yes for what must only be minded."),
    mm("from_u_mm", "From", "Where the stretch concerned begins, from the proximal fabric edge."),
    mm("to_u_mm", "To", "Where it ends."),
    optional("text", "Text", text(1000), "In words."),
]);

static COMPONENT: Shape = Object(&[
    optional("id", "Component", Id, "Its id in the case."),
    optional("kind", "Kind", text(40), "What it is."),
    LIE,
    KEPT_BY,
    mm("from_station_mm", "From", "Station of its proximal fabric edge."),
    mm("to_station_mm", "To", "Station of its distal fabric edge."),
    optional("covers", "Covers", list(&Id, 1000), "Ostia, points and ways over which its fabric lies."),
    WHY,
]);

static OVERLAP: Shape = Object(&[
    optional("upstream", "Upstream", Id, "The piece that begins further upstream."),
    optional("downstream", "Downstream", Id, "The next piece."),
    optional("inside", "Inside", Id, "The one that goes in later and lies inside."),
    LIE,
    KEPT_BY,
    mm("overlap_mm", "Overlap", "Length of both on the centreline; negative for a gap."),
    mm("inner_mm", "Overlap, inner curve", "The same along the inner curve."),
    pure("oversize_least_percent", "Least oversize", "Least oversize of the inside piece over the other, per cent."),
    pure("oversize_largest_percent", "Largest oversize", "Largest oversize of the inside piece over the other, per cent."),
    WHY,
]);

static OPENING: Shape = Object(&[
    optional("id", "Opening", Id, "Its id in the case."),
    optional("component", "Component", Id, "The graft it belongs to."),
    optional("serves", "Serves", Id, "The vessel it serves."),
    LIE,
    KEPT_BY,
    measured("overlap_mm2", "Overlap", Number(&MM2), "Area in which opening and ostium overlap."),
    pure("uncovered_share", "Uncovered share", "Share of the ostium that fabric does not cover."),
    mm("edge_distance_mm", "Edge distance", "Distance of the ostium's edge from the fabric's edge."),
    mm("wall_distance_mm", "Distance from the wall", "Distance of the fabric from the wall at the ostium's centre."),
    deg("clock_error_deg", "Clock error", "Clock of the opening less that of the ostium, in (−180, 180]."),
    mm("taken_from_seal_mm", "Taken from the seal", "Depth that a scallop takes from the proximal seal."),
    mm("left_of_seal_mm", "Left of the seal", "Length of seal that it leaves at its clock."),
    WHY,
]);

static SPACE: Shape = Object(&[
    optional("at", "At", Id, "Id of the ostium, point to keep clear or way."),
    optional("of", "Of", Choice(&[
        word("ostium", "ostium"),
        word("keep_clear", "point to keep clear"),
        word("way", "way of the false lumen"),
    ]), "What that is."),
    measured("component", "Component", Id, "The graft whose fabric this is; null where none reaches it."),
    LIE,
    KEPT_BY,
    mm("centre_mm", "At the centre", "Space between fabric and wall at the ostium's centre."),
    mm("least_mm", "Least", "Least space over it and 3 mm beyond."),
    mm("mean_mm", "Mean", "Mean space over the same; beyond an edge of the graft, from that edge."),
    measured("covered", "Covered", Flag, "Whether fabric lies over any of it."),
    pure("covered_share", "Covered share", "Share of it over which fabric lies; openings in the fabric do not cover."),
    WHY,
]);

static VERDICT: Shape = Object(&[
    optional("rule", "Rule", Id, "Id of the rule."),
    optional("measure", "Measure", text(80), "Id of the measure."),
    optional("of", "Of", text(80), "Id of what was measured."),
    pure("value", "Value", "The measure, in its unit."),
    pure("margin", "Margin", "How far inside the limit, negative outside, in its unit."),
    pure("error", "Error", "One standard deviation from the CT's errors alone, in its unit."),
    optional("unit", "Unit", text(20), "The unit."),
    optional("verdict", "Verdict", Choice(&[
        word("met", "met"),
        word("borderline", "borderline"),
        word("unmet", "unmet"),
        word("unknown", "unknown"),
    ]), "The verdict; unknown is never met."),
    measured("hangs_on", "Hangs on", Object(&[LIE, KEPT_BY]), "The possibility on which it hangs."),
    WHY,
    optional("source", "Source", text(400), "Source of the limit."),
    optional("required", "Required", Flag, "Whether the plan needs the rule."),
    measured("would_change", "Would change it", text(400), "What would change the verdict where it is unmet, where the rule says so."),
]);

static RULE_SET: Shape = Object(&[
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

static ASSUMPTION: Shape = Object(&[
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
    optional("rule", "Rule", Id, "Id of the rule."),
    optional("of", "Of", text(80), "Id of what it is for."),
    optional("required", "Required", Flag, "Whether the plan needs it."),
    optional("takes", "Takes", list(&Choice(&[
        word("unmet", "unmet"),
        word("unknown", "unknown"),
        word("borderline", "borderline"),
        word("met", "met"),
    ]), 4), "The words it takes, worst first."),
]);

static ROOM: &[Field] = &[
    optional("holds", "Holds", Flag, "Whether all required rules hold where the graft is placed."),
    mm("upstream_mm", "Upstream", "How far it may come to lie upstream."),
    mm("downstream_mm", "Downstream", "How far it may come to lie downstream."),
    deg("front_deg", "To the front", "How far it may come to lie turned towards larger clock."),
    deg("back_deg", "To the back", "How far it may come to lie turned towards smaller clock."),
    optional("fails_first", "Fails first", list(&FAILS_FIRST, 100), "Which rule ends the room on each side."),
    measured("best", "Best placement", Object(&[
        mm("station_mm", "Station", "Station of the held point."),
        deg("clock_deg", "Clock", "Clock of the reference line."),
    ]), "The placement in the middle of the room."),
    measured("nearest", "Nearest placement", Object(&[
        mm("station_mm", "Station", "Station of the held point."),
        deg("clock_deg", "Clock", "Clock of the reference line."),
    ]), "Where the placement fails, the nearest one found that holds."),
    optional("component", "Component", Id, "Id of the component that is moved."),
    measured("shift", "Shift", Object(&[
        mm("by_mm", "By", "How far the graft is slid to either side."),
        optional("rows", "Rows", list(&SHIFTED, MANY), "Lengths that change with it, each the least over every way the graft may lie."),
    ]), "What sliding the graft gives and takes: clearances, distances to what is kept clear, the seal."),
    measured("chance", "Chance", Object(&[
        pure("share", "Share", "Chance that the placement rules hold if errors are as entered."),
        pure("drawing_error", "Error of drawing", "One standard deviation of it by the number of draws."),
        optional("draws", "Draws", Shape::Whole { least: 1, most: 1_000_000 }, "How many landings were drawn."),
        pure("half_errors_share", "Half", "The same with all errors half as large."),
        pure("double_errors_share", "Double", "The same with all errors twice as large."),
        pure("landing_alone_share", "Landing alone", "The same as if the CT were exact."),
        optional("without", "Without", list(&WITHOUT, 20), "The same with one error thought away, that which costs most first."),
        optional("text", "Text", text(1000), "The chance in a sentence."),
    ]), "Secondary; absent until own errors were entered."),
    optional("text", "Text", text(1000), "The room in a sentence."),
    WHY,
];

static WITHOUT: Shape = Object(&[
    optional("error", "Error", text(40), "Which error."),
    pure("share", "Share", "The chance without it."),
]);

static SHIFTED: Shape = Object(&[
    optional("measure", "Measure", text(80), "The measure."),
    optional("of", "Of", text(80), "Id of what it is taken of."),
    mm("upstream_mm", "Upstream", "Slid upstream."),
    mm("drawn_mm", "As drawn", "Where it is drawn."),
    mm("downstream_mm", "Downstream", "Slid downstream."),
]);

static FAILS_FIRST: Shape = Object(&[
    optional("towards", "Towards", Choice(&[
        word("upstream", "upstream"),
        word("downstream", "downstream"),
        word("front", "front"),
        word("back", "back"),
    ]), "The direction."),
    optional("rule", "Rule", Id, "Id of the rule."),
    optional("of", "Of", text(80), "Id of what it is for."),
]);

static VIEW: Shape = Object(&[
    optional("for", "For", text(80), "Id of what it shows; arch_plane for the arch."),
    optional("shows", "Shows", Choice(&[
        word("arch", "arch square-on"),
        word("ostium", "ostium edge-on, clearance along the wall at full length"),
        word("path", "bridging path from a mouth to its vessel"),
        word("proximal_edge", "proximal edge edge-on, coronaries in profile"),
    ]), "What the view is for."),
    LIE,
    KEPT_BY,
    deg("primary_deg", "Primary", "Primary positioner angle of the view to use, + = LAO; within reach."),
    deg("secondary_deg", "Secondary", "Secondary positioner angle of the view to use, + = cranial; within reach."),
    measured("words", "In words", text(40), "The view to whole degrees, such as LAO 42 / CRA 8."),
    measured("reachable", "Reachable", Flag, "Whether the C-arm reaches an ideal view; if not, the best within reach is given."),
    deg("ideal_primary_deg", "Ideal primary", "Primary angle of the ideal view nearest to the one to use."),
    deg("ideal_secondary_deg", "Ideal secondary", "Secondary angle of the ideal view nearest to the one to use."),
    pure("foreshortening", "Foreshortening", "Share by which the length that counts looks shorter."),
    pure("foreshortening_by_rounding", "By rounding", "How much more of it is lost at whole degrees."),
    deg("off_edge_deg", "Off edge-on", "How far the opening (of coronaries the worse) is from edge-on."),
    deg("error_deg", "Error", "One standard deviation of the view from the CT's errors alone; null where it is not told."),
    optional("overlaps", "Overlaps", list(&Shape::Text { most_chars: 80 }, 100), "Ids of ostia whose rim overlaps the one shown, or each other where the arch is shown."),
    WHY,
]);

const fn ids(name: &'static str, label: &'static str, help: &'static str) -> Field {
    optional(name, label, list(&SENTENCE, MANY), help)
}

const fn span(name: &'static str, label: &'static str, help: &'static str) -> Field {
    measured(name, label, exactly(2, &LENGTH), help)
}

static EXTENT: &[Field] = &[
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

static FED_BY: &[Word] = &[
    word("direct", "directly"),
    word("stent", "by its stent"),
    word("space", "through the space"),
    word("bypass", "by a bypass"),
    word("none", "by nothing"),
];
static FEED_STATES: &[Word] =
    &[word("fed", "fed"), word("doubtful", "doubtful"), word("unknown", "not known"), word("unfed", "not fed")];

static FEED: Shape = Object(&[
    required("step", "Step", Shape::Whole { least: 1, most: 200 }, "Number of the step, from 1."),
    required("vessel", "Vessel", Id, "The vessel, or the coronary graft on the wall."),
    measured("lie", "Lie", Choice(LIES), "Which of the three ways the graft lies; null where none is placed."),
    measured("length_kept_by", "Length kept by", Choice(KEPT), "Which line keeps its length in a bend."),
    required("fed_by", "Fed by", Choice(FED_BY), "By what it is fed at the end of the step."),
    required("state", "State", Choice(FEED_STATES), "Whether it is fed; doubtful counts as not fed for heart and brain."),
    mm("narrowest_mm", "Narrowest", "Where its way is narrowest; null where nothing on it is measured."),
    mm("error_mm", "Error", "One standard deviation of that."),
    mm("at_station_mm", "At station", "Station of that place."),
    deg("at_clock_deg", "At clock", "Clock of that place."),
    optional("through", "Through", list(&NAME, 100), "What lies on the way, from the heart on."),
    WHY,
]);

static SENTENCE: Shape = text(1000);
const SENTENCES_OF: Shape = list(&SENTENCE, 400);
static NAME: Shape = text(200);

static RELEASE: &[Field] = &[
    mm("least_space_mm", "Least space", "What the space must exceed, less its error."),
    optional("source", "Source", text(200), "Where that limit comes from."),
    optional("dependants", "Dependants", list(&Id, 200), "Vessels that must not be unfed at the end of a step."),
    optional("steps", "Steps", list(&Object(&[
        required("step", "Step", Shape::Whole { least: 1, most: 200 }, "Its number, from 1."),
        optional("does", "Does", text(1000), "What is done."),
        optional("state", "State", text(1000), "How far the graft is open, where it then lies, where the wire is."),
        optional("leaves", "Leaves", text(10_000), "Every vessel with how it is fed at its end, in the worst possibility."),
        pure("brain_fed", "Brain", "How many of four neck vessels are fed for sure."),
        pure("brain_doubtful", "Brain, doubtful", "How many are doubtful or unknown."),
        pure("brain_said", "Brain, said", "Of how many it was said which vessel carries them."),
        optional("brain", "Brain in words", text(400), "The same in words."),
        optional("left_mammary", "Left mammary artery", Choice(FEED_STATES), "Whether it is fed."),
        optional("right_mammary", "Right mammary artery", Choice(FEED_STATES), "Whether it is fed."),
        optional("breaks", "Ends unfed", list(&Id, 200), "Dependants that are not surely fed at its end."),
        optional("ends", "Ends unfed, in words", text(1000), "The same in words."),
        optional("interrupts", "Interrupts", list(&Id, 200), "Vessels it interrupts while it is done."),
        measured("minutes", "Minutes", Number(&PURE), "How long it takes."),
        measured("view", "View", text(400), "Its C-arm view."),
    ]), 200), "Each step."),
    optional("drawn", "As written", Object(ORDER), "The order of the case."),
    optional("orders", "Orders", list(&Object(ORDER), 1000), "Every order, the best first."),
    optional("too_many", "Too many", Flag, "Whether there are more orders than were tried."),
    optional("turned", "Turned", list(&Object(&[
        required("towards", "Towards", Choice(&[word("front", "front"), word("back", "back")]), "To which side the graft is turned."),
        required("vessel", "Vessel", Id, "What is lost."),
        deg("doubtful_from_deg", "Doubtful from", "From which turn on it is not surely fed."),
        deg("unfed_from_deg", "Not fed from", "From which turn on it is shut."),
    ]), 400), "What is lost by turning, before anything is bridged."),
    optional("says", "Orders in words", SENTENCES_OF, "What the orders come to."),
    optional("pauses", "Pauses", SENTENCES_OF, "Steps that interrupt blood, with their minutes."),
    optional("fallback", "Fallback", SENTENCES_OF, "What to do if the graft comes to lie turned."),
    optional("caution", "Caution", text(1000), "What feed by geometry is and is not."),
];

static ORDER: &[Field] = &[
    optional("vessels", "Vessels", list(&Id, 200), "Vessels in the order of bridging."),
    optional("steps", "Steps", list(&Shape::Whole { least: 1, most: 200 }, 200), "Numbers of the steps in this order."),
    optional("holds", "Holds", Flag, "Whether no step ends with a dependant unfed."),
    pure("fed_from", "Fed from", "From the end of which step on, counted in this order, all are fed; null where they end unfed."),
    pure("brain_least", "Brain at least", "Fewest neck vessels of four fed at the end of a step."),
];
