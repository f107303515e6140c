//! The report's keys on a graft by itself: its axis as a rod, and whether it can be made as it is drawn.

use super::terms::{KEPT_BY, LIE, MANY, MM2, WHY, deg, mm, pure};
use crate::casefile::shape::Shape::{Choice, Id, Number, Object};
use crate::casefile::shape::{Shape, Word, exactly, list, measured, optional, text, word};

pub(super) static ROD: Shape = Object(&[
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

pub(super) static BUILDABLE: Shape = Object(&[
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

static BETWEEN: Shape = Object(&[
    optional("of", "Of", exactly(2, &Id), "Ids of the two."),
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
