//! C-arm views: published figures, an arch whose views follow by hand, the signs that refuse turned
//! data, and a real aorta where it is at hand.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, clippy::print_stdout)]

mod common;
mod outside;

use common::*;
use extrados::carm::angles::Positioner;
use extrados::carm::foreshorten::{both, secondary_for};
use extrados::carm::projection::Ring;
use extrados::carm::reach::Reach;
use extrados::carm::views::{Choice, Shows, ViewResult, rim, views};
use extrados::carm::{step_view, step_views, words as carm_words};
use extrados::casefile::case::*;
use extrados::curve::Curve;
use extrados::import::{NamedBytes, Options, import};
use extrados::plan::Plan;
use extrados::units::{Angle, Vec3};
use outside::outside;
use std::sync::Arc;

/// Angle between two directions, degrees.
fn between(a: Vec3, b: Vec3) -> f64 {
    a.cross(&b).norm().atan2(a.dot(&b)).to_degrees()
}

fn near(what: &str, value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{what}: {value} is not {expected} ± {tolerance}");
}

/// The worked arch as points, in the plane through the head's axis that runs from straight back
/// `towards_left_deg` to the patient's left, each axis then multiplied by a sign.
fn arch(case: &Case, towards_left_deg: f64, signs: [f64; 3]) -> Plan {
    let curve = curve_p();
    let (from, to) = curve.domain();
    let (sin, cos) = towards_left_deg.to_radians().sin_cos();
    let point = |s: f64| -> [f64; 3] {
        let p = curve.jet(s).value;
        [signs[0] * p.y * sin, signs[1] * p.y * cos, signs[2] * p.z]
    };
    let points = (0..=(to - from) as usize).map(|i| point(from + i as f64)).collect();
    let mut anatomy = (*case.anatomy).clone();
    anatomy.centreline = Some(CentrelineInput {
        points_lps_mm: points,
        smoothing_length_mm: 3.0,
        origin: "sinotubular_junction".into(),
        origin_at_mm: Some(-from),
    });
    Plan::new(Arc::new(Case { anatomy: Arc::new(anatomy), ..case.clone() }))
}

fn of<'a>(all: &'a [ViewResult], shows: Shows, id: &str) -> &'a ViewResult {
    all.iter().find(|view| view.shows == shows && view.id == id).unwrap_or_else(|| panic!("no view of {id}"))
}

fn choice(view: &ViewResult) -> &Choice {
    view.choice.value().unwrap_or_else(|| panic!("{}: {:?}", view.id, view.choice.why()))
}

// EuroIntervention, 10.4244/EIJ-D-19-00618 (44 tricuspid valves): en face LAO 54 CAUD 15, and the
// three long-axis views. Angles between the view vectors by arithmetic; by theory all are 90°. With the
// wrong sign of the caudal angle they would be 57.2, 76.9 and 115.5.
#[test]
fn published_view_vectors() {
    let en_face = Positioner::read("LAO 54 CAUD 15").unwrap().direction();
    for (text, expected) in [("LAO 5 CRA 60", 84.7), ("RAO 27 CRA 19", 86.6), ("RAO 59 CAUD 54", 90.7)] {
        let angle = between(en_face, Positioner::read(text).unwrap().direction());
        let published =
            outside("EuroIntervention, 10.4244/EIJ-D-19-00618 (44 valves)", format!("LAO 54 CAUD 15 and {text}"));
        published.near("angle between views", angle, expected, 0.1, "°");
        published.near("angle between views, by theory", angle, 90.0, 8.0, "°");
        let flipped = Positioner::read("LAO 54 CRA 15").unwrap().direction();
        assert!((between(flipped, Positioner::read(text).unwrap().direction()) - expected).abs() > 5.0);
    }
}

// RSNA 2012, abstract SSG04-09 (81 valves): the view perpendicular to an axis at LAO 20 CRA 50.
#[test]
fn published_perpendicular_views() {
    let axis = Positioner::deg(20.0, 50.0).direction();
    for (primary, caudal) in [(30.0, -39.57), (0.0, -38.26)] {
        let secondary = secondary_for(&axis, Angle::deg(primary)).unwrap();
        let published = outside("RSNA 2012, SSG04-09 (81 valves)", format!("axis LAO 20 CRA 50, primary {primary}°"));
        published.near("secondary of the perpendicular view", secondary.to_deg(), caudal, 0.01, "°");
        assert!(axis.dot(&Positioner::new(Angle::deg(primary), secondary).direction()).abs() < 1e-9);
    }
}

// 217 CTs, 2017 (line from the innominate to the left subclavian artery, 50.30° ± 13.79° from the
// sagittal plane, taken as horizontal): seen side-on at LAO 39.7, CRA 0. Mean of a cohort: it tests the
// code, not a patient.
#[test]
fn the_usual_arch_is_square_on_at_lao_40() {
    let (sin, cos) = 50.3f64.to_radians().sin_cos();
    let side_on = both(&Vec3::new(sin, cos, 0.0), &Vec3::z()).unwrap();
    let at = Reach::of(None).either(&side_on).unwrap();
    let published = outside("217 CTs, 2017 (mean of a cohort)", "innominate to left subclavian 50.3° from sagittal");
    published.near("primary of the side-on view", at.primary.to_deg(), 39.7, 0.1, "°");
    published.near("secondary of the side-on view", at.secondary.to_deg(), 0.0, 0.1, "°");
    let plan = arch(&arch_p(LengthKeptBy::Axis), 50.3, [1.0; 3]);
    let all = views(&plan);
    let arch = choice(of(&all, Shows::Arch, "arch_plane"));
    published.near("primary of the arch's view", arch.at.primary.to_deg(), 39.7, 0.1, "°");
    published.near("secondary of the arch's view", arch.at.secondary.to_deg(), 0.0, 0.1, "°");
    near("a flat arch is whole", arch.foreshortening, 0.0, 1e-6);
    assert_eq!(arch.rounded.words(), "LAO 40 / CRA 0");
    assert!(arch.reachable);
    // Ostia at 12:00 of a flat arch: edge-on from the same side, as are the paths to them.
    for id in ["o1", "o2", "o3"] {
        let ostium = choice(of(&all, Shows::Ostium, id));
        near(id, between(ostium.at.direction(), arch.at.direction()), 0.0, 0.05);
        near("clearance whole", ostium.foreshortening, 0.0, 1e-6);
        near("edge-on", ostium.off_edge.unwrap().to_deg(), 0.0, 1e-4);
        assert!(ostium.overlaps.is_empty());
    }
    for id in ["t1", "t2", "t3"] {
        let path = choice(of(&all, Shows::Path, id));
        near(id, between(path.at.direction(), arch.at.direction()), 0.0, 0.5);
        near("a flat path is whole", path.foreshortening, 0.0, 1e-5);
    }
    // One coronary at 12:00 on the straight ascending aorta, the edge square to it.
    let edge = choice(of(&all, Shows::ProximalEdge, "arch"));
    near("edge", between(edge.at.direction(), arch.at.direction()), 0.0, 0.5);
}

// By hand: an ostium at a clock θ on the top of the arch is edge-on from e_θ = b cos θ − o sin θ, which
// tilts the view by θ towards the feet for a front-left ostium.
#[test]
fn an_ostium_off_twelve_tilts_its_view() {
    for clock in [-30.0, -12.0, 20.0, 40.0] {
        let mut case = arch_p(LengthKeptBy::Axis);
        let mut anatomy = (*case.anatomy).clone();
        let top = 30.0 + 20.0 * std::f64::consts::PI;
        anatomy.ostia = vec![ostium("o1", top, clock, 10.0)];
        anatomy.vessels = vec![vessel("IA", "o1")];
        case.anatomy = Arc::new(anatomy);
        case.components.clear();
        let plan = arch(&case, 50.0, [1.0; 3]);
        let all = views(&plan);
        let view = choice(of(&all, Shows::Ostium, "o1"));
        near("primary", view.at.primary.to_deg(), 40.0, 0.1);
        near("secondary", view.at.secondary.to_deg(), -clock, 0.1);
        // The clock's error turns the view by as much, the station's by the bend over it.
        let extrados::quantity::Quantity::Known { error, .. } = of(&all, Shows::Ostium, "o1").choice else { panic!() };
        near("error", error, 5f64.hypot((2.0f64 / 40.0).to_degrees()), 0.05);
    }
}

// Rims at their own view: a flat opening seen edge-on is a line.
#[test]
fn rims_are_lines_at_their_view() {
    let plan = arch(&arch_p(LengthKeptBy::Axis), 50.0, [1.0; 3]);
    rims_at_their_views(&plan);
}

fn rims_at_their_views(plan: &Plan) {
    let all = views(plan);
    let anatomy = plan.anatomy.as_ref().unwrap();
    let table = Reach::of(plan.case.carm.as_ref()).table;
    for ostium in &anatomy.ostia {
        let ring: Ring = rim(ostium, anatomy).unwrap();
        let at = choice(of(&all, Shows::Ostium, &ostium.id));
        let [long, short] = ring.looks(&table.screen(&at.at));
        println!("{} at {}: short over long axis {:.2e}", ostium.id, at.at.words(), short / long);
        assert!(short / long <= 0.003, "{}: {short} over {long}", ostium.id);
        // Its length along the flow is not foreshortened.
        assert!((long - ring.half_along.norm()).abs() < 1e-6 * long, "{}", ostium.id);
    }
}

#[test]
fn out_of_reach_gives_the_best_within_and_says_so() {
    let mut case = arch_p(LengthKeptBy::Axis);
    case.carm =
        Some(CArm { primary_limit_deg: [-30.0, 30.0], secondary_limit_deg: [-20.0, 20.0], table_turn_deg: 0.0 });
    let plan = arch(&case, 50.0, [1.0; 3]);
    let all = views(&plan);
    let square = choice(of(&all, Shows::Arch, "arch_plane"));
    assert!(!square.reachable);
    near("primary", square.at.primary.to_deg(), 30.0, 1e-6);
    near("secondary", square.at.secondary.to_deg(), 0.0, 0.01);
    assert_eq!(square.ideal.words(), "LAO 40 / CRA 0");
    assert!(square.foreshortening > 0.0 && square.foreshortening < 0.015);
    let ostium = choice(of(&all, Shows::Ostium, "o2"));
    assert!(!ostium.reachable && ostium.at.primary.to_deg() <= 30.0 + 1e-9);
    assert!(carm_words::view_notes(of(&all, Shows::Ostium, "o2")).contains("best within reach; ideal LAO 40 / CRA 0"));
}

// A turned table turns the machine's angles, not what is seen.
#[test]
fn a_turned_table_shows_the_same_from_other_angles() {
    let mut case = arch_p(LengthKeptBy::Axis);
    let straight = arch(&case, 50.0, [1.0; 3]);
    case.carm =
        Some(CArm { primary_limit_deg: [-100.0, 100.0], secondary_limit_deg: [-45.0, 45.0], table_turn_deg: 15.0 });
    let turned = arch(&case, 50.0, [1.0; 3]);
    let table = Reach::of(turned.case.carm.as_ref()).table;
    for (a, b) in views(&straight).iter().zip(&views(&turned)) {
        let (a, b) = (choice(a), choice(b));
        assert!(between(a.at.direction(), table.direction(&b.at)) < 1e-6);
        assert!(between(a.at.direction(), b.at.direction()) > 5.0);
    }
}

// The same arch in data whose axes are wrong: every view is refused and says why. A patient who was
// scanned prone or feet first has the same LPS coordinates, and the same angles.
#[test]
fn turned_and_mirrored_data_are_refused() {
    let case = arch_p(LengthKeptBy::Axis);
    for (what, signs, said) in [
        ("mirrored left to right", [-1.0, 1.0, 1.0], "right-sided"),
        ("mirrored front to back", [1.0, -1.0, 1.0], "in front"),
        ("mirrored head to feet", [1.0, 1.0, -1.0], "feet"),
        ("prone: turned about the long axis", [-1.0, -1.0, 1.0], "Check the axes"),
        ("head down: turned about the left-right axis", [1.0, -1.0, -1.0], "Check the axes"),
        ("head down: turned about the front-back axis", [-1.0, 1.0, -1.0], "Check the axes"),
        ("all turned", [-1.0, -1.0, -1.0], "Check the axes"),
    ] {
        let plan = arch(&case, 50.0, signs);
        let all = views(&plan);
        assert!(all.len() > 5, "{what}");
        for view in &all {
            let why = view.choice.why().unwrap_or_else(|| panic!("{what}: {} has a view", view.id));
            assert!(why.contains(said), "{what}: {why}");
        }
    }
    assert!(views(&arch(&case, 50.0, [1.0; 3])).iter().all(|view| view.choice.value().is_some()));
}

#[test]
fn unknown_inputs_give_unknown_views_with_a_reason() {
    let mut case = arch_p(LengthKeptBy::Axis);
    case.clock.three_oclock_is = None;
    let plan = arch(&case, 50.0, [1.0; 3]);
    let all = views(&plan);
    assert!(of(&all, Shows::Arch, "arch_plane").choice.value().is_some(), "the arch needs no clock");
    for (shows, id) in [(Shows::Ostium, "o1"), (Shows::Path, "t1"), (Shows::ProximalEdge, "arch")] {
        let why = of(&all, shows, id).choice.why().unwrap();
        assert!(why.contains("3:00"), "{id}: {why}");
    }
    // A retrograde mouth upstream of its ostium has no path, and so no view of one.
    let mut case = arch_p(LengthKeptBy::OuterLine);
    let all = views(&arch(&case, 50.0, [1.0; 3]));
    let why = of(&all, Shows::Path, "t3").choice.why().unwrap();
    assert!(why.contains("wrong side"), "{why}");
    case = arch_p(LengthKeptBy::Axis);
    let mut anatomy = (*case.anatomy).clone();
    anatomy.keep_clear.clear();
    case.anatomy = Arc::new(anatomy);
    let all = views(&arch(&case, 50.0, [1.0; 3]));
    assert!(of(&all, Shows::ProximalEdge, "arch").choice.why().unwrap().contains("coronary"));
}

// Two ostia nearly side by side cover each other edge-on; the view steps aside, by no more than
// it must, and tells what it costs.
#[test]
fn a_neighbour_in_the_way_is_stepped_round() {
    let mut case = arch_p(LengthKeptBy::Axis);
    let mut anatomy = (*case.anatomy).clone();
    let top = 30.0 + 20.0 * std::f64::consts::PI;
    anatomy.ostia = vec![ostium("o1", top - 1.5, -10.0, 4.0), ostium("o2", top + 1.5, 10.0, 4.0)];
    anatomy.vessels = vec![vessel("IA", "o1"), vessel("LCCA", "o2")];
    case.anatomy = Arc::new(anatomy);
    case.components.clear();
    let plan = arch(&case, 50.0, [1.0; 3]);
    let anatomy = plan.anatomy.as_ref().unwrap();
    let rims: Vec<Ring> = anatomy.ostia.iter().map(|ostium| rim(ostium, anatomy).unwrap()).collect();
    let all = views(&plan);
    for id in ["o1", "o2"] {
        let view = choice(of(&all, Shows::Ostium, id));
        let gap = rims[0].gap(&rims[1], &view.at.screen());
        let aside = between(view.at.direction(), view.ideal.direction());
        println!("{id}: {} aside {aside:.1}°, gap {gap:.1} mm, overlaps {:?}", view.at.words(), view.overlaps);
        assert_eq!(view.overlaps.is_empty(), gap >= 1.0);
        assert!(aside <= 10.0 + 1e-6);
        assert!(aside > 1.0 && gap >= 1.0, "it steps aside where that helps");
        assert!(rims[0].gap(&rims[1], &view.ideal.screen()) < 1.0, "and only where it must");
        assert!(view.off_edge.unwrap().to_deg() <= aside + 1e-6);
    }
}

#[test]
fn steps_show_their_views() {
    let mut case = arch_p(LengthKeptBy::Axis);
    let step = |view: Option<&str>| -> Step {
        serde_json::from_value(serde_json::json!({"do": "release", "on": "arch", "view": view})).unwrap()
    };
    case.procedure = Some(Procedure {
        steps: vec![step(Some("o1")), step(None), step(Some("rao 20 caud 3")), step(Some("as before"))],
        ..Procedure::default()
    });
    let plan = arch(&case, 50.0, [1.0; 3]);
    let all = views(&plan);
    let said: Vec<(usize, String)> =
        step_views(&plan.case, &all).into_iter().map(|(number, _, view)| (number, view)).collect();
    let expected = [(1, "LAO 40 / CRA 0"), (3, "RAO 20 / CAU 3"), (4, "as before")];
    assert_eq!(said, expected.map(|(number, view)| (number, view.to_owned())));
    assert_eq!(step_view(&step(Some("  ")), &all), None);
    let report = extrados::report::build::report(&plan, "");
    assert!(report.sheet.iter().any(|entry| entry.id == "step1.view" && entry.text == "LAO 40 / CRA 0"));
    assert!(report.sheet.iter().any(|entry| entry.id == "o1.view" && entry.text == "LAO 40 / CRA 0"));
}

fn open_aorta(check: &str, axes: &str, trust: bool) -> Option<Plan> {
    let Some(folder) = std::env::var_os("EXTRADOS_OPEN_DATA") else {
        println!("NOT RUN: {check}: EXTRADOS_OPEN_DATA does not name the folder with centreline.vtk.");
        return None;
    };
    let bytes = std::fs::read(std::path::Path::new(&folder).join("centreline.vtk")).expect("centreline.vtk");
    let mut options = Options::default();
    options.set("unit", "cm").unwrap();
    options.set("axes", axes).unwrap();
    options.trust_axes = trust;
    let imported = import(&[NamedBytes { name: "centreline.vtk".into(), bytes }], &options).expect("imported");
    Some(Plan::new(Arc::new(imported.case)))
}

// A real arch, square-on at LAO 32.6 CRA 16.4 by an independent program (numpy's plane through its own
// spline).
#[test]
fn the_open_aorta_square_on() {
    let Some(plan) = open_aorta("the_open_aorta_square_on", "L,P,-S", false) else { return };
    let all = views(&plan);
    let arch = choice(of(&all, Shows::Arch, "arch_plane"));
    let (p, s) = (arch.at.primary.to_deg(), arch.at.secondary.to_deg());
    println!("arch square-on: LAO {p:.2} CRA {s:.2} (expected 32.6, 16.4 ± 3)");
    let numpy = outside("numpy's plane through its own spline", "the open aorta");
    numpy.near("primary of the arch's view", p, 32.6, 3.0, "°");
    numpy.near("secondary of the arch's view", s, 16.4, 3.0, "°");
    rims_at_their_views(&plan);
    assert!(all.iter().all(|view| view.choice.value().is_some()));
}

// The same file with its axes taken as they stand is a mirror image: whoever trusts it gets no angles.
#[test]
fn the_mirrored_open_aorta_has_no_views() {
    for axes in ["L,P,S", "R,P,-S", "R,A,-S", "L,A,S"] {
        let Some(plan) = open_aorta("the_mirrored_open_aorta_has_no_views", axes, true) else { return };
        for view in views(&plan) {
            assert!(view.choice.why().is_some_and(|why| why.contains("Check the axes")), "{axes}: {}", view.id);
        }
    }
}
