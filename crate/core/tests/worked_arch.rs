//! The worked arch P: every number follows by hand from a flat arch of radius 40 and a lumen of 34.
//! Source: closed form, own derivation (invented anatomy).
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;
mod outside;

use common::*;
use extrados::casefile::case::*;
use extrados::curve::Curve;
use extrados::graft::lie::{KeptLine, Lie};
use extrados::placement::tunnel::{TunnelResult, TunnelState};
use extrados::plan::Plan;
use extrados::quantity::Quantity;
use extrados::rules::verdict::Word;
use extrados::units::{Angle, Point3};
use outside::outside;
use std::sync::Arc;

/// Where the expected numbers come from.
const P: &str = "worked arch P, by hand from its closed form";

/// Closed-form results are met to this, mm.
const ON_CURVE_MM: f64 = 0.01;

/// How the arch is given: as the closed curve, or as points 1 mm apart as a file would hold it.
const CURVE: &str = "closed curve";
const JOINED: &str = "points 1 mm apart";
const SMOOTHED: &str = "points 1 mm apart, smoothed over 7 mm";

fn known(q: &Quantity) -> f64 {
    *q.value().unwrap_or_else(|| panic!("unknown: {:?}", q.why()))
}

fn on_curve(case: Case) -> Plan {
    Plan::on_curve(Arc::new(case), by_station(curve_p()))
}

/// The same arch as a file would hold it: points 1 mm apart.
fn as_points(case: &Case, smoothing_length_mm: f64) -> Plan {
    points_of(case, &curve_p(), smoothing_length_mm)
}

fn points_of(case: &Case, curve: &FlatArch, smoothing_length_mm: f64) -> Plan {
    let (from, to) = curve.domain();
    let count = (to - from) as usize;
    let points: Vec<[f64; 3]> = (0..=count).map(|i| curve.jet(from + i as f64).value.into()).collect();
    let chord = |upto: usize| -> f64 {
        points[..=upto].windows(2).map(|w| (Point3::from(w[1]) - Point3::from(w[0])).norm()).sum()
    };
    let origin = chord((-from) as usize);
    let mut anatomy = (*case.anatomy).clone();
    anatomy.centreline = Some(CentrelineInput {
        points_lps_mm: points,
        smoothing_length_mm,
        origin: "sinotubular_junction".into(),
        origin_at_mm: Some(origin),
    });
    Plan::new(Arc::new(Case { anatomy: Arc::new(anatomy), ..case.clone() }))
}

/// Tunnels as they lie on the centreline.
fn middle(plan: &Plan) -> Vec<&TunnelResult> {
    plan.tunnels.iter().filter(|t| t.possibility.lie == Lie::Middle).collect()
}

fn check_p1(input: &str, plan: &Plan, tolerance_mm: f64) {
    let expected = [("t1", 50.0, 20.0, 28.5), ("t2", 66.0, 19.0, 27.075), ("t3", 125.0, 22.0, 31.35)];
    assert_eq!(middle(plan).len(), 3);
    for (result, (id, station, centre, outer)) in middle(plan).into_iter().zip(expected) {
        assert_eq!(result.id, id);
        let mouth = result.mouth.value().unwrap();
        for (what, got, want) in [
            ("mouth station", mouth.station_mm, station),
            ("clearance on the centreline", known(&result.clearance_centreline_mm), centre),
            ("clearance on the wall", known(&result.clearance_mm), outer),
            ("clock error on the wall", known(&result.clock_error_wall_mm), 0.0),
        ] {
            outside(P, format!("P1, axis keeps its length, {id}, {input}")).near(what, got, want, tolerance_mm, "mm");
        }
        assert_eq!(result.state, TunnelState::Ok);
    }
}

#[test]
fn p1_axis_keeps_its_length() {
    check_p1(CURVE, &on_curve(arch_p(LengthKeptBy::Axis)), ON_CURVE_MM);
    check_p1(JOINED, &as_points(&arch_p(LengthKeptBy::Axis), 0.0), 0.07);
    check_p1(SMOOTHED, &as_points(&arch_p(LengthKeptBy::Axis), 7.0), 0.3);
}

fn placed_at(mut case: Case, station_mm: f64) -> Case {
    case.components[0].placement = Some(Placement { held_u_mm: 0.0, station_mm, clock_deg: 0.0 });
    case
}

#[test]
fn p1_five_millimetres_upstream() {
    let plan = on_curve(placed_at(arch_p(LengthKeptBy::Axis), 3.0));
    let got: Vec<f64> = middle(&plan).into_iter().map(|t| known(&t.clearance_centreline_mm)).collect();
    for ((got, want), id) in got.iter().zip([25.0, 24.0, 17.0]).zip(["t1", "t2", "t3"]) {
        let moved = outside(P, format!("P1, 5 mm upstream, {id}, {CURVE}"));
        moved.near("clearance on the centreline", *got, want, ON_CURVE_MM, "mm");
    }
}

#[test]
fn p1_third_tunnel_called_antegrade() {
    let mut case = arch_p(LengthKeptBy::Axis);
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.tunnels[2].flow = Flow::Antegrade;
    case.components[0].graft = Some(Arc::new(graft));
    let plan = on_curve(case);
    let clearance_mm = known(&middle(&plan)[2].clearance_centreline_mm);
    let called = outside(P, format!("P1, third tunnel called antegrade, {CURVE}"));
    called.near("clearance on the centreline", clearance_mm, -22.0, ON_CURVE_MM, "mm");
    assert_eq!(middle(&plan)[2].state, TunnelState::WrongSide);
    let verdict = plan.verdicts.iter().find(|v| v.rule == "edge_clearance" && v.of == "t3").unwrap();
    assert_eq!(verdict.word, Word::Unmet);
}

fn check_p2(input: &str, plan: &Plan, tolerance_mm: f64) {
    let expected = [(44.035, 25.965), (55.263, 29.737), (96.667, -6.333)];
    for (result, (station, clearance)) in middle(plan).into_iter().zip(expected) {
        assert_eq!(result.possibility.length_kept_by, KeptLine::OuterLine);
        let mouth = result.mouth.value().unwrap();
        let p2 = outside(P, format!("P2, outer line keeps its length, {}, {input}", result.id));
        p2.near("mouth station", mouth.station_mm, station, tolerance_mm, "mm");
        let centre_mm = known(&result.clearance_centreline_mm);
        p2.near("clearance on the centreline", centre_mm, clearance, tolerance_mm, "mm");
    }
    assert_eq!(middle(plan)[2].state, TunnelState::WrongSide);
}

#[test]
fn p2_outer_line_keeps_its_length() {
    check_p2(CURVE, &on_curve(arch_p(LengthKeptBy::OuterLine)), ON_CURVE_MM);
    check_p2(JOINED, &as_points(&arch_p(LengthKeptBy::OuterLine), 0.0), 0.07);
    check_p2(SMOOTHED, &as_points(&arch_p(LengthKeptBy::OuterLine), 7.0), 0.3);
}

#[test]
fn unknown_length_keeping_lists_both_and_judges_on_the_worst() {
    let plan = on_curve(arch_p(LengthKeptBy::Unknown));
    assert_eq!(plan.tunnels.len(), 18);
    let verdict = plan.verdicts.iter().find(|v| v.rule == "edge_clearance" && v.of == "t3").unwrap();
    assert_eq!(verdict.word, Word::Unmet);
    assert_eq!(verdict.hangs_on.unwrap().length_kept_by, KeptLine::OuterLine);
    assert_eq!(verdict.by_possibility.iter().map(|p| p.1).collect::<Vec<_>>(), [Word::Met, Word::Unmet].repeat(3));
}

// P3: the hand of the clock. An unanswered hand leaves every clearance unknown.
#[test]
fn p3_no_hand_no_clearance() {
    let mut case = arch_p(LengthKeptBy::Axis);
    case.clock.three_oclock_is = None;
    let plan = on_curve(case);
    for tunnel in &plan.tunnels {
        outside(P, format!("P3, no hand of the clock, {}", tunnel.id)).same(
            "state",
            tunnel.state,
            TunnelState::Unknown,
        );
        assert!(tunnel.clearance_mm.value().is_none() && tunnel.clock_error.value().is_none());
        assert!(tunnel.clearance_centreline_mm.value().is_none() && tunnel.edge_clearance_mm.value().is_none());
    }
    for verdict in plan.verdicts.iter().filter(|v| v.measure != "graft.proximal_oversize_percent") {
        assert_eq!(verdict.word, Word::Unknown, "{}", verdict.rule);
    }
}

#[test]
fn p3_sides_of_the_middle_line() {
    let plan = on_curve(arch_p(LengthKeptBy::Axis));
    let anatomy = plan.anatomy.as_ref().unwrap();
    let wall = anatomy.wall().unwrap();
    // Looking downstream on top of the arch (flow towards +y, outer up) 3:00 is T × o = y × z = +x:
    // to the patient's left.
    let front = wall.point(30.0 + 20.0 * std::f64::consts::PI, Angle::deg(15.0)).unwrap();
    let expected_mm = 17.0 * Angle::deg(15.0).sin();
    outside(P, "P3, 12:30 front-left on top of the arch").near(
        "wall point to the left",
        front.x,
        expected_mm,
        1e-9,
        "mm",
    );
}

// P4: lengths from station 0 to an upstream edge, on three lines.
fn check_p4(input: &str, plan: &Plan, [edge, inner, outer]: [f64; 3], tolerance_mm: f64) {
    let anatomy = plan.anatomy.as_ref().unwrap();
    let ostium = anatomy.first_ostium().unwrap();
    let found = ostium.edges_mm.as_ref().unwrap().0;
    let p4 = outside(P, format!("P4, {input}"));
    p4.near("station of the first ostium's edge", found, edge, tolerance_mm, "mm");
    let length = |line| {
        let rule = Rule {
            line: Some(line),
            ..extrados::rules::defaults::rules().into_iter().find(|r| r.id == "proximal_length").unwrap()
        };
        let case = Arc::new(Case { rules: vec![rule], ..(*plan.case).clone() });
        plan.follow(case).verdicts[0].clone()
    };
    for (line, name, want) in
        [(Line::Inner, "inner curve", inner), (Line::Centre, "centreline", edge), (Line::Outer, "outer curve", outer)]
    {
        let got = length(line).value.unwrap();
        p4.near(&format!("origin to the first ostium's edge, {name}"), got, want, tolerance_mm, "mm");
    }
}

#[test]
fn p4_lengths_to_the_first_edge() {
    let mut case = arch_p(LengthKeptBy::Axis);
    Arc::make_mut(&mut case.anatomy).ostia[0].station_mm = 63.0 + 7.0 / 1.425;
    let (inner, outer) = (30.0 + 33.0 * (1.0 - 17.0 / 40.0), 30.0 + 33.0 * (1.0 + 17.0 / 40.0));
    check_p4(&format!("radius 40, {CURVE}"), &on_curve(case.clone()), [63.0, inner, outer], ON_CURVE_MM);
    check_p4(&format!("radius 40, {JOINED}"), &as_points(&case, 0.0), [63.0, inner, outer], 0.07);
    check_p4(&format!("radius 40, {SMOOTHED}"), &as_points(&case, 7.0), [63.0, inner, outer], 0.3);
}

fn short_arch() -> (Case, FlatArch) {
    let mut case = arch_p(LengthKeptBy::Axis);
    let anatomy = Arc::make_mut(&mut case.anatomy);
    for section in &mut anatomy.lumen {
        section.kind = LumenKind::MaxMin { largest_mm: 36.0, smallest_mm: 36.0, largest_clock_deg: None };
    }
    anatomy.ostia[0].station_mm = 55.0 + 7.0 / 1.6;
    anatomy.ostia[1].station_mm = 75.0;
    anatomy.ostia[2].station_mm = 90.0;
    (case, FlatArch { from: -60.0, to: 230.0, bend_at: 15.0, radius: 30.0 })
}

#[test]
fn p4_a_second_arch_is_long_enough_on_the_centreline_only() {
    let (case, curve) = short_arch();
    check_p4(&format!("radius 30, {JOINED}"), &points_of(&case, &curve, 0.0), [55.0, 31.0, 79.0], 0.07);
    // Smoothing over 7 mm rounds off the jump of curvature from 0 to 1/30 per mm, 15 mm from the
    // origin, and turns the tangent at the origin back by 0.9°: inner 30.57 and outer 79.43 mm, 0.43 mm
    // off the closed form. The same by scipy's make_smoothing_spline: 30.571 and 79.429.
    let smoothed = format!("radius 30, {SMOOTHED}, by scipy");
    check_p4(&smoothed, &points_of(&case, &curve, 7.0), [55.0, 30.571, 79.429], 0.02);
    let plan = Plan::on_curve(Arc::new(case), by_station(curve));
    check_p4(&format!("radius 30, {CURVE}"), &plan, [55.0, 31.0, 79.0], ON_CURVE_MM);
    // The default rule names no line and is judged on the inner curve: unmet by 9.0 mm.
    let verdict = plan.verdicts.iter().find(|v| v.rule == "proximal_length").unwrap();
    assert_eq!(verdict.word, Word::Unmet);
    outside(P, format!("P4, radius 30, {CURVE}")).near(
        "margin to 40 mm",
        verdict.margin.unwrap(),
        -9.0,
        ON_CURVE_MM,
        "mm",
    );
}

// P5: a largest diameter against a limit of at most 38 with an error of 1.5.
#[test]
fn p5_verdicts_around_a_limit() {
    let rule = Rule {
        id: "diameter".into(),
        measure: "ascending.largest_diameter_mm".into(),
        of: "each".into(),
        when: When::default(),
        line: None,
        to: None,
        at_least: None,
        at_most: Some(38.0),
        unit: "mm".into(),
        required: true,
        source: "common practice, no source".into(),
        would_change: None,
    };
    let verdict = |kind: LumenKind| {
        let mut case = arch_p(LengthKeptBy::Axis);
        case.rules = vec![rule.clone()];
        for section in &mut Arc::make_mut(&mut case.anatomy).lumen {
            section.kind = kind.clone();
        }
        on_curve(case).verdicts[0].clone()
    };
    let of = |mm: f64| verdict(LumenKind::MaxMin { largest_mm: mm, smallest_mm: mm, largest_clock_deg: None });
    for (mm, word, margin) in [
        (36.0, Word::Met, 2.0),
        (37.2, Word::Borderline, 0.8),
        (38.0, Word::Borderline, 0.0),
        (38.4, Word::Unmet, -0.4),
    ] {
        let got = of(mm);
        let p5 = outside(P, format!("P5, {mm} mm against at most 38 ± 1.5 mm"));
        p5.same("verdict", got.word, word);
        p5.near("margin", got.margin.unwrap(), margin, 1e-9, "mm");
        p5.near("error", got.error.unwrap(), 1.5, 1e-12, "mm");
    }
    assert!(of(38.4).why.unwrap().contains("measure again"));
    // Rounding is neither outside the limit nor inside its error.
    let rounded = of(38.0 + 2e-14);
    assert_eq!((rounded.word, rounded.margin), (Word::Borderline, Some(0.0)));
    assert_eq!((of(38.0 + 2e-9).word, of(36.5 + 1e-14).word), (Word::Unmet, Word::Met));
    let area_only = verdict(LumenKind::Area { diameter_mm: 30.0 });
    assert_eq!((area_only.word, area_only.value), (Word::Unknown, None));
}

// P5, last: a graft of 42 on 37.2 is 12.9 % oversize (dividing by the aorta, not by the graft).
#[test]
fn p5_oversize_divides_by_the_aorta() {
    let mut case = arch_p(LengthKeptBy::Axis);
    for section in &mut Arc::make_mut(&mut case.anatomy).lumen {
        section.kind = LumenKind::Area { diameter_mm: 37.2 };
    }
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.sections[0].from_diameter_mm = 42.0;
    graft.sections[0].to_diameter_mm = 42.0;
    case.components[0].graft = Some(Arc::new(graft));
    let plan = on_curve(case);
    let verdict = plan.verdicts.iter().find(|v| v.rule == "proximal_oversize").unwrap();
    outside(P, "P5, graft of 42 mm on 37.2 mm").near("oversize", verdict.value.unwrap(), 12.9, 0.01, "%");
}

#[test]
fn keep_clear_counts_from_edge_to_edge() {
    // Coronary of radius 2 at −8, fabric from s 8 on a straight piece: 16 − 2 = 14 mm.
    let plan = on_curve(arch_p(LengthKeptBy::Axis));
    let verdict = plan.verdicts.iter().find(|v| v.rule == "keep_clear").unwrap();
    assert!((verdict.value.unwrap() - 14.0).abs() < ON_CURVE_MM);
    // Pushed up to −7 the fabric covers half of it: 1 − 2 = −1 mm.
    let plan = on_curve(placed_at(arch_p(LengthKeptBy::Axis), -7.0));
    let verdict = plan.verdicts.iter().find(|v| v.rule == "keep_clear").unwrap();
    assert!((verdict.value.unwrap() + 1.0).abs() < ON_CURVE_MM);
    assert_eq!(verdict.word, Word::Unmet);
}

#[test]
fn a_drag_takes_the_anatomy_over() {
    let plan = on_curve(arch_p(LengthKeptBy::Axis));
    let moved = plan.follow(Arc::new(placed_at((*plan.case).clone(), 12.0)));
    assert!(Arc::ptr_eq(plan.anatomy.as_ref().unwrap(), moved.anatomy.as_ref().unwrap()));
    assert!((known(&moved.tunnels[0].clearance_centreline_mm) - 16.0).abs() < ON_CURVE_MM);
}
