//! The report's keys on C-arm views.

use super::terms::{KEPT_BY, LIE, WHY, deg, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Object};
use crate::casefile::shape::{Shape, list, measured, optional, text, word};

pub(super) static VIEW: Shape = Object(&[
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
