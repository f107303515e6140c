//! The report's keys on tunnels against their ostia, and on the stents that join them.

use super::terms::{KEPT_BY, LENGTH, LIE, WHY, deg, mm, point};
use crate::casefile::shape::Shape::{Choice, Id, Object};
use crate::casefile::shape::{Shape, list, measured, optional, text, word};

pub(super) static TUNNEL: Shape = Object(&[
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

pub(super) static STENT: Shape = Object(&[
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
