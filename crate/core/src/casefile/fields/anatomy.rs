//! Fields of the anatomy: what is measured on the CT.

use super::ranges::{
    AORTIC_DIAMETER, ARC_LENGTH, ARCH_LENGTH, BEND_RADIUS, CLEAR_RADIUS, CLOCK, COORDINATE, IN_VESSEL, OPENING, SMOOTHING,
    STAGE, STATION, TAKEOFF, TURN, VESSEL_DIAMETER, WALL_RADIUS, number,
};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Number, Object, Suggested};
use crate::casefile::shape::{Field, Shape, Tagged, Variant, Word, exactly, list, measured, optional, required, word};

/// Most centreline points that are read.
pub const MOST_POINTS: usize = 20_000;
/// Most stations in a list.
const MOST_STATIONS: usize = 2_000;
/// Most radii of a contour: one every half degree.
const MOST_RADII: usize = 720;
/// Most ostia, vessels and the like.
const MOST_PARTS: usize = 100;

/// Everything under `anatomy`.
pub static ANATOMY: &[Field] = &[
    measured("centreline", "Centreline", Object(CENTRELINE), "Points along the middle of the aorta; either these or the lengths of a measuring sheet are given."),
    measured("sheet_arch", "Arch from a measuring sheet", Object(SHEET_ARCH), "Lengths of the arch where there are no points; such a plan is rough and not for ordering a graft."),
    optional("lumen", "Lumen", list(&LUMEN, MOST_STATIONS), "Sections of the lumen, measured square to the centreline, upstream first."),
    optional("wall", "Wall", list(&WALL, MOST_PARTS), "What the wall is made of, stretch by stretch."),
    optional("true_lumen", "True lumen", list(&TRUE_LUMEN, MOST_STATIONS), "In dissection, the true lumen and the flap, upstream first."),
    optional("ostia", "Ostia", list(&OSTIUM, MOST_PARTS), "Openings in the aortic wall."),
    optional("vessels", "Vessels", list(&VESSEL, MOST_PARTS), "Vessels that leave through the ostia; two may share one."),
    optional("keep_clear", "Points to keep clear", list(&KEEP_CLEAR, MOST_PARTS), "Points on the wall that fabric must not cover, such as coronaries and vein grafts."),
    optional("ways", "Ways into the false lumen", list(&WAY, MOST_PARTS), "Every way by which blood enters or leaves the false lumen."),
    optional("bypasses", "Bypasses", list(&BYPASS, MOST_PARTS), "Bypasses, transpositions, interpositions and ligations of neck vessels, done or planned."),
    optional("landmarks", "Landmarks", list(&LANDMARK, MOST_PARTS), "Named stations, such as the coeliac artery."),
    measured("lesion", "Lesion", Object(LESION), "The stretch to be treated."),
    measured("valve", "Aortic valve", Object(VALVE), "The aortic valve, which decides whether a tip may cross it."),
    measured("access", "Access", Object(ACCESS), "The way in from the groin."),
    measured("cord", "Spinal cord", Object(CORD), "What else feeds the spinal cord."),
];

/// What station 0 is.
pub static ORIGINS: &[Word] = &[
    word("sinotubular_junction", "sinotubular junction"),
    word("upper_coronary", "upper coronary"),
    word("suture_line", "suture line of a graft"),
    word("annulus", "annulus"),
];

static POINT: Shape = exactly(3, &Number(&COORDINATE));

static CENTRELINE: &[Field] = &[
    required("points_lps_mm", "Centreline points", list(&POINT, MOST_POINTS), "Points in patient axes (x left, y back, z head), in the direction of the blood flow; best from the annulus to the coeliac artery."),
    optional("smoothing_length_mm", "Smoothing length", number(&SMOOTHING), "Bends shorter than this are taken for noise of the centreline; 0 runs through every point."),
    optional("origin", "Origin of stations", Suggested(ORIGINS), "What lies at station 0; the sinotubular junction where there is one."),
    measured("origin_at_mm", "Origin along the points", number(&ARC_LENGTH), "Length along the given points at which station 0 lies; until it is marked, whatever starts there is unknown."),
];

static SHEET_ARCH: &[Field] = &[
    measured("from_station_mm", "Upstream end", number(&STATION), "Station at which the measured lengths and the bend begin."),
    measured("to_station_mm", "Downstream end", number(&STATION), "Station at which the measured lengths and the bend end."),
    measured("inner_mm", "Inner length", number(&ARCH_LENGTH), "Length along the inner curve between the two ends."),
    measured("outer_mm", "Outer length", number(&ARCH_LENGTH), "Length along the outer curve between the two ends."),
    measured("centre_mm", "Centreline length", number(&ARCH_LENGTH), "Length along the centreline between the two ends."),
    measured("width_mm", "Width of the arch", number(&ARCH_LENGTH), "Distance of the two legs of the arch, centre to centre."),
    measured("height_mm", "Height of the arch", number(&ARCH_LENGTH), "From the line that joins the two ends to the top of the centreline."),
    measured("radius_mm", "Radius of the bend", number(&BEND_RADIUS), "Radius of the centreline in the bend."),
    measured("diameter_mm", "Diameter in the bend", number(&AORTIC_DIAMETER), "Diameter of the lumen in the bend, by which inner and outer length give the turn."),
    measured("plane_from_sagittal_deg", "Arch plane from sagittal", number(&TURN), "Direction of the arch plane seen from above, from straight back towards the patient's left; usually about 50°."),
    measured("origin", "Origin of stations", Suggested(ORIGINS), "What lies at station 0 of the sheet; until it is said, whatever starts there is unknown."),
];

static LUMEN: Shape = Shape::Tagged(&Tagged {
    tag: required("kind", "Kind of measurement", Choice(&[
        word("area", "area-derived diameter"),
        word("max_min", "largest and smallest diameter"),
        word("inscribed", "inscribed sphere"),
        word("contour", "contour"),
    ]), "How the section was measured; the area-derived diameter sizes a graft, the largest serves for limits."),
    common: &[required("station_mm", "Station", number(&STATION), "Station of the section on the centreline.")],
    variants: &[
        Variant { words: &["area"], fields: &[required("diameter_mm", "Area-derived diameter", number(&AORTIC_DIAMETER), "Diameter of the circle that has the area of the lumen, square to the centreline.")] },
        Variant { words: &["max_min"], fields: &[
            required("largest_mm", "Largest diameter", number(&AORTIC_DIAMETER), "Largest diameter square to the centreline."),
            required("smallest_mm", "Smallest diameter", number(&AORTIC_DIAMETER), "Smallest diameter square to the centreline."),
            measured("largest_clock_deg", "Clock of the largest diameter", number(&CLOCK), "Where the largest diameter points; it points both ways."),
        ] },
        Variant { words: &["inscribed"], fields: &[required("diameter_mm", "Inscribed diameter", number(&AORTIC_DIAMETER), "Diameter of the largest sphere inside; it reads smaller than the others and does not size a graft.")] },
        Variant { words: &["contour"], fields: &[required("radii_mm", "Radii of the contour", Shape::List { of: &Number(&WALL_RADIUS), at_least: 1, at_most: MOST_RADII }, "Distances from the centreline to the wall, evenly spaced from 12:00 towards larger clock; one alone is a circle.")] },
    ],
});

static WALL: Shape = Object(&[
    required("from_station_mm", "Upstream end", number(&STATION), "Station at which the stretch begins."),
    required("to_station_mm", "Downstream end", number(&STATION), "Station at which the stretch ends."),
    required("kind", "Wall", Choice(&[
        word("native", "native wall"),
        word("surgical_graft", "surgical graft"),
        word("stent_graft", "stent graft"),
    ]), "What the wall is made of."),
    optional("signs", "Signs", list(&Choice(&[
        word("dissected", "dissected"),
        word("kinked", "kinked"),
        word("crimped", "crimped"),
        word("bulging", "bulging"),
        word("atheroma", "atheroma"),
        word("thrombus", "thrombus"),
    ]), 6), "What else is seen on this stretch."),
    measured("diameter_measured", "Diameter measured", Suggested(&[
        word("outer_to_outer", "outer wall to outer wall"),
        word("inner_to_inner", "inner wall to inner wall"),
    ]), "From which layer to which the diameters here were measured."),
]);

static TRUE_LUMEN: Shape = Object(&[
    required("station_mm", "Station", number(&STATION), "Station of the section on the centreline."),
    measured("diameter_mm", "True lumen diameter", number(&AORTIC_DIAMETER), "Area-derived diameter of the true lumen."),
    measured("centre_clock_deg", "Clock of the true lumen", number(&CLOCK), "Where the middle of the true lumen lies, seen from the middle of the aorta."),
    measured("flap_clock_deg", "Clock of the flap", number(&CLOCK), "Where the flap meets the wall, at its edge with the smaller clock."),
    measured("whole_diameter_mm", "Whole diameter", number(&AORTIC_DIAMETER), "Diameter of the aorta with both lumens."),
]);

static OSTIUM: Shape = Object(&[
    required("id", "Ostium", Id, "Name of the opening, such as o1."),
    required("station_mm", "Station", number(&STATION), "Station of the centre of the opening on the centreline."),
    measured("clock_deg", "Clock", number(&CLOCK), "Clock of the centre of the opening, 30° an hour from 12:00 on the outer curve."),
    measured("along_mm", "Size along", number(&OPENING), "Length of the opening on the wall along the flow."),
    measured("across_mm", "Size around", number(&OPENING), "Length of the opening on the wall around the aorta."),
]);

static VESSEL: Shape = Object(&[
    required("id", "Vessel", Id, "Name of the vessel; IA, LCCA and LSA end the landing zones."),
    required("from", "Leaves from", Id, "The ostium it leaves through, or the vessel it branches from."),
    optional("at_mm", "Branches at", number(&IN_VESSEL), "Distance from the aortic wall at which it branches from another vessel; 0 at an ostium."),
    measured("takeoff_deg", "Take-off", number(&TAKEOFF), "Angle between the first 10 mm of the vessel and the downstream tangent: 0° along the flow, 90° square to it."),
    measured("lean_deg", "Lean", number(&TURN), "Turn of the take-off about the aorta, from straight outward towards larger clock."),
    optional("diameters", "Diameters", list(&VESSEL_DIAMETER_AT, 50), "Diameters of the vessel by distance from the aortic wall."),
    measured("to_first_branch_mm", "To first branch", number(&IN_VESSEL), "Length from the aortic wall to its first branch."),
    measured("healthy_from_mm", "Healthy from", number(&IN_VESSEL), "Distance from the aortic wall at which healthy wall begins."),
    measured("fed_from", "Fed from", Choice(&[
        word("true_lumen", "true lumen"),
        word("false_lumen", "false lumen"),
        word("both", "both lumens"),
    ]), "In dissection, the lumen that feeds the vessel."),
    optional("carries", "Carries", list(&Choice(&[
        word("right_carotid", "right carotid"),
        word("left_carotid", "left carotid"),
        word("right_vertebral", "right vertebral"),
        word("left_vertebral", "left vertebral"),
        word("right_mammary", "right mammary"),
        word("left_mammary", "left mammary"),
        word("right_arm", "right arm"),
        word("left_arm", "left arm"),
    ]), 8), "What hangs on the vessel; brain and mammary rows count by it."),
    measured("mammary_at_mm", "Mammary at", number(&IN_VESSEL), "Distance from the aortic wall at which the mammary artery leaves."),
    measured("vertebral_at_mm", "Vertebral at", number(&IN_VESSEL), "Distance from the aortic wall at which the vertebral artery leaves."),
    measured("vertebral_is", "Vertebral is", Choice(&[
        word("equal", "like the other"),
        word("dominant", "dominant"),
        word("only", "the only one"),
    ]), "What the vertebral artery it carries is beside the other one."),
    measured("mammary_graft", "Mammary graft to the heart", Flag, "Whether a patent mammary graft to the heart hangs on the vessel."),
    measured("needs", "Needs", Choice(&[
        word("normal", "as usual"),
        word("not_unfed_at_a_steps_end", "not unfed at a step's end"),
    ]), "Whether a step of the release may end with the vessel unfed."),
]);

static VESSEL_DIAMETER_AT: Shape = Object(&[
    required("at_mm", "Distance", number(&IN_VESSEL), "Distance from the aortic wall along the vessel."),
    required("diameter_mm", "Diameter", number(&VESSEL_DIAMETER), "Diameter there, square to the vessel."),
]);

static KEEP_CLEAR: Shape = Object(&[
    required("id", "Point", Id, "Name of the point, such as rca."),
    optional("kind", "Kind", Suggested(&[
        word("coronary", "coronary"),
        word("vein_graft", "vein graft"),
        word("other", "other"),
    ]), "What it is."),
    measured("side", "Side", Suggested(&[word("right", "right"), word("left", "left")]), "Side, in words."),
    required("station_mm", "Station", number(&STATION), "Station of its centre on the centreline; negative upstream of the origin."),
    measured("clock_deg", "Clock", number(&CLOCK), "Clock of its centre."),
    measured("radius_mm", "Radius", number(&CLEAR_RADIUS), "Radius on the wall that stays free of fabric."),
]);

static WAY: Shape = Object(&[
    required("id", "Way", Id, "Name of the way, such as w1."),
    required("kind", "Kind", Choice(&[
        word("suture_line", "suture line"),
        word("entry", "entry"),
        word("reentry", "re-entry"),
        word("vessel", "vessel"),
    ]), "What lets blood into the false lumen."),
    measured("station_mm", "Station", number(&STATION), "Station of its centre on the centreline."),
    measured("clock_deg", "Clock", number(&CLOCK), "Clock of its centre."),
    measured("in_vessel", "In vessel", Id, "The vessel in which it lies, where it does not lie in the aorta."),
    measured("at_mm", "Distance", number(&IN_VESSEL), "Distance from the aortic wall, where it lies in a vessel."),
    measured("along_mm", "Size along", number(&OPENING), "Length of the opening along the flow."),
    measured("across_mm", "Size around", number(&OPENING), "Length of the opening around."),
    optional("closed_by", "Closed by", list(&Id, 20), "Components, tunnels or openings of a graft that close it in the plan."),
    measured("stage", "Stage", STAGE, "Stage in which it is closed."),
    optional("left_on_purpose", "Left on purpose", Flag, "Whether it is left open on purpose."),
]);

static BYPASS: Shape = Object(&[
    required("from", "From", Id, "The vessel that gives."),
    required("to", "To", Id, "The vessel that receives, or that is tied."),
    required("kind", "Kind", Choice(&[
        word("bypass", "bypass"),
        word("transposition", "transposition"),
        word("interposition", "interposition"),
        word("ligation", "ligation"),
    ]), "What is done."),
    optional("state", "State", Choice(&[word("done", "done"), word("planned", "planned")]), "Whether it exists yet."),
    measured("stage", "Stage", STAGE, "Stage in which it is done."),
    measured("at_mm", "At", number(&IN_VESSEL), "Distance from the aortic wall at which the receiving vessel is tied or cut, or at which its interposed graft begins."),
]);

static LANDMARK: Shape = Object(&[
    required("id", "Landmark", Id, "Name of the place, such as coeliac."),
    required("station_mm", "Station", number(&STATION), "Its station on the centreline."),
]);

static LESION: &[Field] = &[
    required("from_station_mm", "Upstream end", number(&STATION), "Station at which the diseased stretch begins."),
    required("to_station_mm", "Downstream end", number(&STATION), "Station at which the diseased stretch ends."),
    measured("side", "Side", Suggested(&[
        word("inner", "inner curve"),
        word("outer", "outer curve"),
        word("front", "front"),
        word("back", "back"),
        word("all_round", "all round"),
    ]), "The side on which it lies."),
];

static VALVE: &[Field] = &[
    required("kind", "Valve", Suggested(&[
        word("native", "native"),
        word("biological", "biological prosthesis"),
        word("mechanical", "mechanical prosthesis"),
    ]), "What the valve is."),
    measured("annulus_station_mm", "Station of the annulus", number(&STATION), "Station of the annulus; usually negative."),
];

static ACCESS: &[Field] =
    &[measured("least_diameter_mm", "Least diameter", number(&VESSEL_DIAMETER), "Least diameter on the way from the groin to the aorta.")];

static CORD: &[Field] = &[
    measured("internal_iliac_open", "Internal iliac open", Flag, "Whether at least one internal iliac artery is open."),
    measured("earlier_abdominal_repair", "Earlier abdominal repair", Flag, "Whether the abdominal aorta was repaired before."),
];
