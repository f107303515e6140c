//! The report's keys on what each step of the release leaves fed, and on the release as a whole.

use super::terms::{KEPT, LIES, PURE, SENTENCES_OF, WHY, deg, mm, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Number, Object};
use crate::casefile::shape::{Field, Shape, Word, list, measured, optional, required, text, word};

static FED_BY: &[Word] = &[
    word("direct", "directly"),
    word("stent", "by its stent"),
    word("space", "through the space"),
    word("bypass", "by a bypass"),
    word("none", "by nothing"),
];

static FEED_STATES: &[Word] =
    &[word("fed", "fed"), word("doubtful", "doubtful"), word("unknown", "not known"), word("unfed", "not fed")];

pub(super) static FEED: Shape = Object(&[
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

static NAME: Shape = text(200);

pub(super) static RELEASE: &[Field] = &[
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
        optional("false_lumen", "False lumen", Object(&[
            optional("remaining", "Remaining", list(&Id, 200), "Ways that blood passes at its end."),
            optional("on_purpose", "On purpose", list(&Id, 200), "Ways that are left open on purpose."),
            optional("unknown", "Unknown", list(&Id, 200), "Ways of which it is not known."),
            optional("text", "In words", text(1000), "The same in words, or why nothing is known."),
        ]), "What still feeds the false lumen, in the worst possibility; absent where no way is known."),
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
    optional("over_room", "Orders over the room", Object(&[
        mm("apart_mm", "Apart", "How far apart placements were tried along the aorta; null where there is no room."),
        deg("apart_deg", "Apart", "The same around."),
        pure("placements", "Placements", "At how many it was tried, the ends of the four ways among them."),
        pure("none_holds_at", "None holds at", "At how many of them no order holds."),
        optional("orders", "Orders", list(&Object(&[
            optional("vessels", "Vessels", list(&Id, 200), "Vessels in the order of bridging."),
            optional("steps", "Steps", list(&Shape::Whole { least: 1, most: 200 }, 200), "Numbers of the steps in this order."),
            pure("holds_at", "Holds at", "At how many placements no step ends with a dependant unfed."),
            pure("ends_fed_at", "Ends fed at", "At how many the last step ends with all of them fed."),
            mm("lost_shift_mm", "Lost, shift", "The nearest placement at which it does not hold, + downstream; null where it holds everywhere."),
            deg("lost_turn_deg", "Lost, turn", "Its turn."),
            measured("lost", "Lost", Id, "The vessel that is lost there first."),
        ]), 1000), "Every order, the best over the room first."),
        optional("says", "In words", SENTENCES_OF, "What they come to."),
    ]), "The orders wherever in its room the graft lies; absent where nothing must stay fed."),
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
