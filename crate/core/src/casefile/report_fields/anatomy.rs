//! The report's keys on the anatomy: the arch station by station, its survey, zones, ostia, vessels, and how
//! an arch from a measuring sheet was rebuilt.

use super::terms::{MANY, PER_MM, WHY, deg, direction, mm, point, pure};
use crate::casefile::shape::Shape::{Choice, Flag, Id, Number, Object};
use crate::casefile::shape::{Field, Shape, list, measured, optional, text, word};

pub(super) static RESIDUAL: Shape = Object(&[
    optional("key", "Key", text(40), "The field of sheet_arch."),
    pure("typed", "Typed", "The number as typed, in its unit."),
    pure("rebuilt", "Rebuilt", "The same of the rebuilt arch."),
    pure("difference", "Difference", "Rebuilt less typed."),
    optional("unit", "Unit", text(20), "The unit."),
    optional("used", "Used", Flag, "Whether the arch was rebuilt from it."),
    WHY,
]);

pub(super) static STATION: Shape = Object(&[
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

pub(super) static ANATOMY: &[Field] = &[
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

pub(super) static FOLD: Shape = Object(&[
    mm("from_station_mm", "From", "Station at which the fold begins."),
    mm("to_station_mm", "To", "Station at which the fold ends."),
]);

pub(super) static ZONE: Shape = Object(&[
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

pub(super) static OSTIUM: Shape = Object(&[
    optional("id", "Ostium", Id, "Its id in the case."),
    mm("station_mm", "Station", "Station of its centre."),
    deg("clock_deg", "Clock", "Clock of its centre, stored convention."),
    measured("clock", "Clock in words", text(40), "The clock with its side, in the hand of the user's sheet."),
    deg("twist_drift_deg", "Twist drift", "Twist drift at its station."),
    point("wall_point_lps_mm", "Wall point", "Its centre on the wall in patient axes."),
    optional("vessels", "Vessels", list(&Id, 100), "The vessels that leave through it."),
    WHY,
]);

pub(super) static VESSEL: Shape = Object(&[
    optional("id", "Vessel", Id, "Its id in the case."),
    measured("ostium", "Ostium", Id, "The ostium it leaves through."),
    direction("takeoff_lps", "Take-off", "Unit direction of its first 10 mm in patient axes."),
    deg("takeoff_deg", "Take-off angle", "Between that and the downstream tangent."),
    deg("lean_deg", "Lean", "Turn about the aorta from straight outward towards larger clock."),
    WHY,
]);
