//! Fields of a graft: what is ordered or taken from the shelf.

use super::ranges::{
    AORTIC_DIAMETER, CLOCK, FABRIC_LENGTH, LINE, MAKER_STEP_DEG, MAKER_STEP_MM, OFFSET, ON_GRAFT, OPENING, RISE, SHEATH,
    STENT_LENGTH, TIP, TURN, VESSEL_DIAMETER, WORDS, number,
};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Object, Suggested};
use crate::casefile::shape::{Field, Shape, list, measured, optional, required, word};

/// Most tunnels, openings and the like on one graft.
const MOST_PARTS: usize = 50;

macro_rules! graft_fields {
    ($($head:expr,)*) => {
        &[
            $($head,)*
            optional("label", "Label", LINE, "The user's own name for the graft."),
            required("length_mm", "Length", number(&FABRIC_LENGTH), "Length of the fabric from edge to edge, laid straight."),
            optional("length_kept_by", "Length kept by", Choice(&[
                word("axis", "axis"),
                word("outer_line", "outer line"),
                word("unknown", "not stated"),
            ]), "Which line keeps its nominal length in a bend: the axis of a pre-curved or slack graft, the outer line of woven cloth; where it is not stated both are computed."),
            measured("carrier_outer_mm", "Carrier", number(&SHEATH), "Outer diameter of the carrier."),
            measured("tip_length_mm", "Tip length", number(&TIP), "Length of the tip beyond the fabric, which must fit upstream."),
            measured("turns_itself", "Turns itself", Flag, "Whether it turns itself to the outer curve as it opens."),
            optional("sections", "Sections", list(&SECTION, MOST_PARTS), "Stretches of the graft, upstream first, without gaps."),
            optional("tunnels", "Tunnels", list(&TUNNEL, MOST_PARTS), "Inner branches."),
            optional("fenestrations", "Fenestrations", list(&FENESTRATION, MOST_PARTS), "Holes in the fabric over an ostium."),
            optional("scallops", "Scallops", list(&SCALLOP, MOST_PARTS), "Notches in the proximal edge."),
            optional("markers", "Markers", list(&MARKER, 200), "Radio-opaque marks."),
            optional("barbs", "Barbs", list(&BARBS, MOST_PARTS), "Stretches with barbs."),
            measured("maker_steps", "Steps of manufacture", Object(MAKER_STEPS), "Steps in which a maker can place things."),
        ]
    };
}

/// A graft inside a case.
pub static GRAFT: &[Field] = graft_fields![];

/// A graft file: a graft under a heading.
pub static GRAFT_FILE: Shape = Object(graft_fields![
    required("format", "Format", Choice(&[word("extrados-graft", "graft")]), "Always extrados-graft."),
    required("version", "Version", Shape::Whole { least: 1, most: 1 }, "Version of the format: 1."),
]);

static SECTION: Shape = Object(&[
    required("from_u_mm", "Upstream end", number(&ON_GRAFT), "Where it begins, from the proximal fabric edge."),
    required("to_u_mm", "Downstream end", number(&ON_GRAFT), "Where it ends, from the proximal fabric edge."),
    required("from_diameter_mm", "Diameter upstream", number(&AORTIC_DIAMETER), "Diameter at its upstream end, fully open."),
    required("to_diameter_mm", "Diameter downstream", number(&AORTIC_DIAMETER), "Diameter at its downstream end; a taper runs straight between them."),
    optional("offset_mm", "Offset", number(&OFFSET), "How far its middle lies off the axis of the graft; 0 unless it is one-sided."),
    optional("offset_clock_deg", "Offset towards", number(&CLOCK), "Clock on the graft towards which it is offset."),
    optional("covered", "Covered", Flag, "Whether it is covered with fabric."),
    optional("seals", "Seals", Flag, "Whether it is meant to seal."),
]);

static TUNNEL: Shape = Object(&[
    required("id", "Tunnel", Id, "Name of the tunnel, such as t1."),
    required("serves", "Serves", Id, "The vessel that is joined to it."),
    required("flow", "Flow", Choice(&[
        word("antegrade", "antegrade"),
        word("retrograde", "retrograde"),
    ]), "Direction of the blood in it: antegrade runs downstream and its mouth lies upstream of the ostium, retrograde the other way."),
    required("mouth_u_mm", "Mouth on the graft", number(&ON_GRAFT), "Where the middle of its mouth lies, from the proximal fabric edge."),
    required("mouth_clock_deg", "Clock of the mouth", number(&CLOCK), "Clock of its mouth on the graft, from the reference line."),
    measured("mouth_along_mm", "Mouth along", number(&OPENING), "Length of the mouth on the fabric along the graft."),
    measured("mouth_across_mm", "Mouth around", number(&OPENING), "Length of the mouth on the fabric around the graft."),
    measured("diameter_mm", "Diameter", number(&VESSEL_DIAMETER), "Diameter of its body."),
    measured("length_mm", "Length", number(&STENT_LENGTH), "Length of its body inside the graft."),
    optional("rise_deg", "Rise", number(&RISE), "Angle by which its direction at the mouth rises off the fabric."),
    optional("side_deg", "Side", number(&TURN), "Turn of its direction at the mouth along the fabric towards larger clock."),
    measured("wired_from", "Wired from", Suggested(&[
        word("right_arm", "right arm"),
        word("left_arm", "left arm"),
        word("right_neck", "right side of the neck"),
        word("left_neck", "left side of the neck"),
        word("groin", "groin"),
    ]), "Where the wire for it comes from."),
]);

static FENESTRATION: Shape = Object(&[
    required("id", "Fenestration", Id, "Name of the fenestration, such as f1."),
    required("serves", "Serves", Id, "The vessel whose ostium lies under it."),
    required("u_mm", "On the graft", number(&ON_GRAFT), "Where its middle lies, from the proximal fabric edge."),
    required("clock_deg", "Clock", number(&CLOCK), "Clock of its middle on the graft, from the reference line."),
    required("along_mm", "Size along", number(&OPENING), "Its length on the fabric along the graft."),
    required("across_mm", "Size around", number(&OPENING), "Its length on the fabric around the graft."),
]);

static SCALLOP: Shape = Object(&[
    required("id", "Scallop", Id, "Name of the scallop, such as s1."),
    required("serves", "Serves", Id, "The vessel whose ostium lies in it."),
    required("clock_deg", "Clock", number(&CLOCK), "Clock of its middle on the graft, from the reference line."),
    required("width_mm", "Width", number(&OPENING), "Its width on the fabric at the proximal edge."),
    required("depth_mm", "Depth", number(&OPENING), "Its depth from the proximal edge."),
]);

static MARKER: Shape = Object(&[
    optional("name", "Marker", WORDS, "Name of the mark."),
    required("u_mm", "On the graft", number(&ON_GRAFT), "Where it lies, from the proximal fabric edge."),
    optional("clock_deg", "Clock", number(&CLOCK), "Its clock on the graft, from the reference line."),
]);

static BARBS: Shape = Object(&[
    required("from_u_mm", "Upstream end", number(&ON_GRAFT), "Where they begin, from the proximal fabric edge."),
    required("to_u_mm", "Downstream end", number(&ON_GRAFT), "Where they end, from the proximal fabric edge."),
]);

static MAKER_STEPS: &[Field] = &[
    required("u_mm", "Step along", number(&MAKER_STEP_MM), "Smallest step along the graft."),
    required("clock_deg", "Step around", number(&MAKER_STEP_DEG), "Smallest step around the graft."),
];

/// Where a graft is put.
pub static PLACEMENT: &[Field] = &[
    optional("held_u_mm", "Held point", number(&ON_GRAFT), "The point of the graft that is held, from the proximal fabric edge; 0 is the edge."),
    required("station_mm", "Station", number(&super::ranges::STATION), "Station of the held point's nearest point on the centreline."),
    optional("clock_deg", "Clock", number(&CLOCK), "Clock of the graft's reference line at the station of the first ostium of the arch."),
];

