//! The report's keys on how far the placement may be off.

use super::terms::{MANY, RULE, RULE_OF, WHY, deg, mm, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Object};
use crate::casefile::shape::{Field, Shape, list, measured, optional, text, word};

pub(super) static ROOM: &[Field] = &[
    measured("holds", "Holds", Flag, "Whether all required rules hold where the graft is placed; unknown while one of them is."),
    mm("upstream_mm", "Upstream", "How far it may come to lie upstream."),
    mm("downstream_mm", "Downstream", "How far it may come to lie downstream."),
    deg("front_deg", "To the front", "How far it may come to lie turned towards larger clock."),
    deg("back_deg", "To the back", "How far it may come to lie turned towards smaller clock."),
    optional("fails_first", "Fails first", list(&FAILS_FIRST, 100), "Which rule ends the room on each side."),
    measured("best", "Best placement", Object(PLACEMENT), "The placement in the middle of the room."),
    measured("nearest", "Nearest placement", Object(PLACEMENT), "Where the placement fails, the nearest one found that holds."),
    measured("best_upstream", "Best placement upstream", Object(&[
        mm("by_mm", "By", "How far upstream of the best placement."),
        measured("placement", "Placement", Object(PLACEMENT), "The one that forgives most there; absent where none holds."),
        mm("half_mm", "Room along", "Half axis of the largest ellipse around it, along the aorta."),
        deg("half_deg", "Room around", "The same around."),
    ]), "Only where it was asked for: the best among placements a chosen length upstream of the best."),
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

static PLACEMENT: &[Field] = &[
    mm("station_mm", "Station", "Station of the held point."),
    deg("clock_deg", "Clock", "Clock of the reference line."),
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
    RULE,
    RULE_OF,
]);
