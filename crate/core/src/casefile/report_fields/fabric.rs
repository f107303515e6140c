//! The report's keys on fabric against the wall: openings, pieces and their overlaps, space to the wall.

use super::terms::{KEPT_BY, LIE, MM2, WHY, deg, mm, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Number, Object};
use crate::casefile::shape::{Shape, list, measured, optional, text, word};

pub(super) static COMPONENT: Shape = Object(&[
    optional("id", "Component", Id, "Its id in the case."),
    optional("kind", "Kind", text(40), "What it is."),
    LIE,
    KEPT_BY,
    mm("from_station_mm", "From", "Station of its proximal fabric edge."),
    mm("to_station_mm", "To", "Station of its distal fabric edge."),
    optional("covers", "Covers", list(&Id, 1000), "Ostia, points and ways over which its fabric lies."),
    WHY,
]);

pub(super) static OVERLAP: Shape = Object(&[
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

pub(super) static OPENING: Shape = Object(&[
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

pub(super) static SPACE: Shape = Object(&[
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
