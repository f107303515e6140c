#![allow(clippy::unwrap_used)]

use super::super::Shape;
use super::*;
use crate::casefile::Document;
use crate::plan::Plan;
use crate::units::Angle;

fn plan(name: &str) -> Plan {
    let text = match name {
        "common-trunk" => include_str!("../../../../../demo-data/common-trunk.json"),
        _ => include_str!("../../../../../demo-data/plain-arch.json"),
    };
    Plan::new(Document::read(text.as_bytes()).unwrap().case)
}

fn drawn(plan: &Plan, at: Positioner, turn_deg: f64) -> Scene {
    let input = ProjectionInput::from_plan(plan, plan.possibilities().first().copied(), Angle::deg(turn_deg));
    projection(&input, &Options { width_mm: 120.0, medium: Medium::Screen, at, beam: None })
}

fn points(scene: &Scene, token: Token) -> Vec<Spot> {
    let of_token = scene.items.iter().filter(|item| item.token == token);
    of_token
        .flat_map(|item| match &item.shape {
            Shape::Path(points) => points.clone(),
            Shape::Mark { at, .. } => vec![*at],
            _ => Vec::new(),
        })
        .collect()
}

#[test]
fn everything_of_a_plan_is_drawn_within_the_picture() {
    let plan = plan("common-trunk");
    for at in [(45.0, -8.0), (0.0, 0.0), (-90.0, 30.0), (12.0, -45.0)].map(|(p, s)| Positioner::deg(p, s)) {
        let scene = drawn(&plan, at, 30.0);
        for token in [
            Token::Lumen,
            Token::Ostium,
            Token::GraftEdge,
            Token::ReferenceLine,
            Token::GraftMark,
            Token::Mouth,
            Token::TunnelBody,
            Token::BridgingPath,
            Token::KeepClear,
            Token::Ghost,
        ] {
            let spots = points(&scene, token);
            assert!(!spots.is_empty(), "{token:?} at {}", at.words());
            let inside = |spot: &Spot| spot.iter().all(|mm| (0.0..=120.0).contains(mm));
            assert!(spots.iter().all(inside), "{token:?} at {}", at.words());
        }
        assert!(scene.title.contains(&at.words()) && scene.description.contains("10 mm"));
        assert!(scene.description.contains("turned 30°"));
    }
}

// Nothing is turned where no turn is set, and what is turned is another picture of the same graft.
#[test]
fn a_turn_moves_the_markers_and_not_the_edges() {
    let plan = plan("plain-arch");
    let at = Positioner::deg(45.0, 0.0);
    assert!(points(&drawn(&plan, at, 0.0), Token::Ghost).is_empty());
    let input = |turn: f64| ProjectionInput::from_plan(&plan, None, Angle::deg(turn));
    let turned = input(40.0);
    let (planned, turned) = (&turned.grafts[0], &turned.turned.1[0]);
    for (a, b) in planned.markers.iter().zip(&turned.markers) {
        let moved = (a.2 - b.2).norm();
        // The chord of 40° on a fabric of about 17 mm.
        assert!((5.0..16.0).contains(&moved), "{}: {moved}", a.1);
    }
    let mean = |ring: &[Point3]| ring.iter().map(|p| p.coords).sum::<Vec3>() / ring.len() as f64;
    for (a, b) in planned.edges.iter().zip(&turned.edges) {
        assert!((mean(a) - mean(b)).norm() < 0.6);
    }
    assert_eq!(input(360.0).turned.1.len(), 1, "a whole turn is drawn too");
}

#[test]
fn what_cannot_be_drawn_says_why() {
    let plan = plan("plain-arch");
    let mut case = (*plan.case).clone();
    let mut anatomy = (*case.anatomy).clone();
    anatomy.lumen.clear();
    case.anatomy = std::sync::Arc::new(anatomy);
    let scene = drawn(&Plan::new(std::sync::Arc::new(case)), Positioner::deg(0.0, 0.0), 0.0);
    assert!(scene.description.starts_with(message::NO_LUMEN));
    assert!(points(&scene, Token::Lumen).is_empty());
}

#[test]
fn the_patient_s_sides_are_named() {
    let sides = |p: f64, s: f64| {
        let screen = Positioner::deg(p, s).screen();
        [side(&screen.right), side(&screen.up)]
    };
    assert_eq!(sides(0.0, 0.0), ["left", "head"]);
    assert_eq!(sides(45.0, 0.0), ["left-back", "head"]);
    assert_eq!(sides(-90.0, 0.0), ["front", "head"]);
    assert_eq!(sides(0.0, 45.0), ["left", "back-head"]);
}
