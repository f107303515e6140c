//! Bridging paths as part of a plan: states, smoothness under a drag, and a full turn.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::bridging::path::NoPath;
use extrados::casefile::Document;
use extrados::casefile::case::{Case, Flow, LengthKeptBy};
use extrados::graft::lie::Lie;
use extrados::placement::tunnel::{TunnelResult, TunnelState};
use extrados::plan::Plan;
use extrados::report::build::report;
use outside::outside;
use std::sync::Arc;

mod common;
mod outside;

const DEMOS: [(&str, &str); 4] = [
    ("plain-arch", include_str!("../../../demo-data/plain-arch.json")),
    ("steep-arch", include_str!("../../../demo-data/steep-arch.json")),
    ("dissection", include_str!("../../../demo-data/dissection.json")),
    ("common-trunk", include_str!("../../../demo-data/common-trunk.json")),
];

fn moved(case: &Case, shift_mm: f64, turn_deg: f64) -> Arc<Case> {
    let mut case = case.clone();
    for component in &mut case.components {
        if let Some(placement) = &mut component.placement {
            placement.station_mm += shift_mm;
            placement.clock_deg += turn_deg;
        }
    }
    Arc::new(case)
}

/// What moves with the placement and may not jump, by name.
fn outputs(tunnel: &TunnelResult) -> Vec<(&'static str, Option<f64>)> {
    let path = &tunnel.path;
    vec![
        ("length", path.length_mm.value().copied()),
        ("least radius", path.least_radius_mm.value().copied()),
        ("largest possible radius", path.largest_radius_mm.value().copied()),
        ("turn", path.turn.value().map(|a| a.to_deg())),
        ("mouth to take-off", path.mouth_to_takeoff.value().map(|a| a.to_deg())),
    ]
}

type Track = Vec<(TunnelState, Vec<(&'static str, Option<f64>)>)>;

/// Tracks of every tunnel in every possibility along a way of the graft.
fn tracks(plan: &Plan, steps: usize, way: impl Fn(f64) -> (f64, f64)) -> Vec<Track> {
    let mut tracks: Vec<Track> = vec![Vec::new(); plan.tunnels.len()];
    for k in 0..=steps {
        let (shift, turn) = way(k as f64 / steps as f64);
        let there = plan.follow(moved(&plan.case, shift, turn));
        for (track, tunnel) in tracks.iter_mut().zip(&there.tunnels) {
            track.push((tunnel.state, outputs(tunnel)));
        }
    }
    tracks
}

/// Largest step of an output between neighbours of one state, over the stretches of the coarse track
/// in which the state stays the same.
fn largest_step(track: &Track, output: usize, steady: &[bool], fine: usize) -> f64 {
    let step = |k: usize| match (track[k].1[output].1, track[k + 1].1[output].1) {
        (Some(a), Some(b)) if steady[k / fine] => (b - a).abs(),
        _ => 0.0,
    };
    (0..track.len() - 1).map(step).fold(0.0, f64::max)
}

/// Steps halve when the way is cut twice as fine: nothing jumps.
fn halves(way: impl Fn(f64) -> (f64, f64) + Copy) {
    const STEPS: usize = 400;
    let mut checked = 0;
    for (name, text) in DEMOS {
        let plan = Plan::new(Document::read(text.as_bytes()).unwrap().case.clone());
        let coarse = tracks(&plan, STEPS, way);
        let fine = tracks(&plan, 2 * STEPS, way);
        for ((coarse, fine), tunnel) in coarse.iter().zip(&fine).zip(&plan.tunnels) {
            let same =
                |k: usize| (0..2).all(|j| fine[2 * k + j].0 == fine[2 * k].0) && fine[2 * k + 2].0 == fine[2 * k].0;
            let steady: Vec<bool> = (0..STEPS).map(same).collect();
            for output in 0..coarse[0].1.len() {
                let (long, short) = (largest_step(coarse, output, &steady, 1), largest_step(fine, output, &steady, 2));
                // A number that hardly moves has steps of rounding.
                if long < 1e-6 {
                    continue;
                }
                let ratio = long / short;
                let what = coarse[0].1[output].0;
                assert!(
                    (1.6..=2.4).contains(&ratio),
                    "{name} {} {:?} {what}: {long} to {short}",
                    tunnel.id,
                    tunnel.possibility
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 40, "only {checked} outputs moved");
}

#[test]
fn four_hundred_shifts_of_a_twentieth_of_a_millimetre() {
    halves(|share| (20.0 * (share - 0.5), 0.0));
}

#[test]
fn four_hundred_turns_of_a_tenth_of_a_degree() {
    halves(|share| (0.0, 40.0 * (share - 0.5)));
}

#[test]
fn a_full_turn_returns_every_number() {
    for (name, text) in DEMOS {
        let plan = Plan::new(Document::read(text.as_bytes()).unwrap().case.clone());
        let json = |plan: &Plan| serde_json::to_value(report(plan, "")).unwrap();
        let here = json(&plan);
        for turn in [360.0, -360.0] {
            let turned = json(&plan.follow(moved(&plan.case, 0.0, turn)));
            for part in ["tunnels", "stents", "verdicts"] {
                common::alike(&format!("{name} {part}"), &here[part], &turned[part], &|x| 1e-9 * x.abs().max(1.0));
            }
        }
    }
}

/// The worked arch with the graft's axis as the line that keeps its length.
fn arch_p(change: impl FnOnce(&mut Case)) -> Plan {
    let mut case = common::arch_p(LengthKeptBy::Axis);
    change(&mut case);
    Plan::on_curve(Arc::new(case), common::by_station(common::curve_p()))
}

/// Tunnels as they lie on the centreline, where every angle follows in closed form.
fn middle(plan: &Plan) -> Vec<&TunnelResult> {
    plan.tunnels.iter().filter(|t| t.possibility.lie == Lie::Middle).collect()
}

fn change_graft(case: &mut Case, change: impl FnOnce(&mut extrados::casefile::case::Graft)) {
    let mut graft = (*case.components[0].graft.clone().unwrap()).clone();
    change(&mut graft);
    case.components[0].graft = Some(Arc::new(graft));
}

// The direction of a mouth: d = cos rise (± cos side t + sin side e_φ) + sin rise e_r. In the worked
// arch everything at 12:00 lies in one plane, and the path with it.
#[test]
fn a_path_in_the_arch_s_plane_stays_in_it() {
    let plan = arch_p(|_| {});
    for tunnel in &plan.tunnels {
        assert!(tunnel.path.points.iter().all(|p| p.x.abs() < 1e-6), "{}", tunnel.id);
    }
    // The mouth for the IA leaves at 15° to the wall; the IA leaves square to it, 20 mm of a bend of
    // radius 40 mm further, which has turned away from the mouth's outward side.
    let bend = (20.0f64 / 40.0).to_degrees();
    let angle = middle(&plan)[0].path.mouth_to_takeoff.value().unwrap().to_deg();
    let hand = |input| outside("worked by hand: 90° − rise − turn of the bend between", input);
    hand("IA, antegrade").near("mouth to take-off", angle, 90.0 - 15.0 - bend, 1e-6, "°");
    // Retrograde, the mouth looks upstream, and the bend counts the other way: 22 mm of it.
    let bend = (22.0f64 / 40.0).to_degrees();
    let angle = middle(&plan)[2].path.mouth_to_takeoff.value().unwrap().to_deg();
    hand("LSA, retrograde").near("mouth to take-off", angle, 90.0 - 15.0 - bend, 1e-6, "°");
}

// A side turns the direction out of the plane towards larger clock, that of 3:00.
#[test]
fn side_turns_towards_larger_clock() {
    let plan = arch_p(|case| change_graft(case, |graft| graft.tunnels[0].side_deg = 20.0));
    let first = plan.tunnels[0].path.points[1] - plan.tunnels[0].path.points[0];
    let anatomy = plan.anatomy.as_ref().unwrap();
    let frame = anatomy.course.frame(50.0).unwrap();
    assert!(first.dot(&frame.side) > 0.0);
}

#[test]
fn the_wrong_side_has_no_path() {
    let plan = arch_p(|case| change_graft(case, |graft| graft.tunnels[2].flow = Flow::Antegrade));
    let tunnel = middle(&plan)[2];
    outside("worked by hand: an antegrade mouth 22 mm downstream of its ostium", "LSA").same(
        "state of the path",
        (tunnel.state, tunnel.path.none),
        (TunnelState::WrongSide, Some(NoPath::WrongSide)),
    );
    assert_eq!(tunnel.path.length_mm.value(), None);
}

// Degenerate: each gives a state with its reason, and no number that is not finite.
#[test]
fn degenerate_plans_are_named() {
    // The mouth on its ostium.
    let plan = arch_p(|case| case.components[0].placement.as_mut().unwrap().station_mm = 28.0);
    assert_eq!(plan.tunnels[0].state, TunnelState::NoPath);
    // The vessel faces the mouth.
    let facing = |takeoff: f64| {
        arch_p(|case| {
            let mut anatomy = (*case.anatomy).clone();
            anatomy.vessels[0].takeoff_deg = Some(takeoff);
            case.anatomy = Arc::new(anatomy);
        })
    };
    assert_eq!(facing(175.0).tunnels[0].state, TunnelState::WouldLoop);
    // A take-off along the wall does not leave it; the mouth still lies where it must.
    let along = facing(180.0);
    assert_eq!(along.tunnels[0].state, TunnelState::Ok);
    assert!(along.tunnels[0].path.length_mm.why().is_some());
    for plan in [&plan, &facing(175.0), &along, &facing(0.0)] {
        let text = serde_json::to_string(&report(plan, "")).unwrap();
        assert!(!text.contains("NaN") && !text.contains("inf"));
    }
}

// First order against a plan whose ostium really is moved by its error.
#[test]
fn errors_follow_from_the_ct_alone() {
    let mut errors = Vec::new();
    for (station, clock, takeoff) in [(2.0, 0.0, 0.0), (0.0, 5.0, 0.0), (0.0, 0.0, 8.0), (2.0, 5.0, 8.0)] {
        let plan = arch_p(|case| {
            case.errors.station_sd_mm = station;
            case.errors.clock_sd_deg = clock;
            case.errors.takeoff_sd_deg = takeoff;
        });
        let extrados::quantity::Quantity::Known { error, .. } = plan.tunnels[0].path.length_mm else { panic!() };
        errors.push(error);
    }
    assert!(errors[0] > 1.0 && errors[0] < 4.0, "{errors:?}");
    let together = errors[0].hypot(errors[1]).hypot(errors[2]);
    assert!((errors[3] - together).abs() < 1e-9, "{errors:?}");
    // A small real move of the ostium moves the length as the error says.
    let at = |by: f64| {
        arch_p(|case| {
            let mut anatomy = (*case.anatomy).clone();
            anatomy.ostia[0].station_mm += by;
            case.anatomy = Arc::new(anatomy);
        })
    };
    let length = |plan: &Plan| *plan.tunnels[0].path.length_mm.value().unwrap();
    let slope = (length(&at(0.01)) - length(&at(-0.01))) / 0.02;
    assert!((2.0 * slope.abs() - errors[0]).abs() < 0.05 * errors[0], "{slope} {errors:?}");
}
