//! How lies move with the placement: never farther than the shift allows, evenly, and not at all when
//! the graft is turned.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, clippy::print_stdout)]

use extrados::casefile::Document;
use extrados::casefile::case::Component;
use extrados::graft::lie::{GraftLie, Lie, PlacedGraft};
use extrados::graft::shape;
use extrados::plan::Plan;
use extrados::units::{Angle, Point3};
use std::sync::Arc;

const DEMOS: [(&str, &str); 4] = [
    ("plain-arch", include_str!("../../../demo-data/plain-arch.json")),
    ("steep-arch", include_str!("../../../demo-data/steep-arch.json")),
    ("dissection", include_str!("../../../demo-data/dissection.json")),
    ("common-trunk", include_str!("../../../demo-data/common-trunk.json")),
];

fn plan(text: &str) -> Plan {
    Plan::new(Document::read(text.as_bytes()).unwrap().case.clone())
}

fn shifted(component: &Component, by_mm: f64) -> Component {
    let mut component = component.clone();
    component.placement.as_mut().unwrap().station_mm += by_mm;
    component
}

/// Mouths of every tunnel in every possibility, `None` where one is not known.
fn mouths(plan: &Plan, placed: &PlacedGraft) -> Vec<Option<Point3>> {
    let anatomy = plan.anatomy.as_ref().unwrap();
    let mouth = |lie: &GraftLie, u: f64, clock: f64| {
        lie.fabric(&placed.graft, u, Angle::deg(clock), anatomy).ok().map(|m| m.point)
    };
    let of = |lie| placed.graft.tunnels.iter().map(move |t| mouth(lie, t.mouth_u_mm, t.mouth_clock_deg));
    placed.lies.iter().flat_map(of).collect()
}

/// Largest 1 + κ r along the graft's own axis, in any possibility.
fn largest_stretch(placed: &PlacedGraft) -> f64 {
    let mut most = 1.0_f64;
    for lie in &placed.lies {
        for pair in lie.places().windows(2) {
            let (a, b) = (lie.axis(pair[0].0).unwrap(), lie.axis(pair[1].0).unwrap());
            let bend = (b.tangent - a.tangent).norm() / (b.point - a.point).norm();
            let section = shape::section_at(&placed.graft, pair[0].0).unwrap();
            most = most.max(1.0 + bend * shape::diameter_mm(section, pair[0].0) / 2.0);
        }
    }
    most
}

// 400 shifts of 0.05 mm over 20 mm: no mouth moves by more than 1.2 × 0.05 × the largest 1 + κ r, and
// halving the steps halves the largest move.
#[test]
fn four_hundred_shifts() {
    for (name, text) in DEMOS {
        let plan = plan(text);
        let anatomy = plan.anatomy.as_ref().unwrap();
        let component = &plan.case.components[0];
        let at = |by: f64| PlacedGraft::new(&shifted(component, by), &plan.case, anatomy, None).unwrap();
        let count = mouths(&plan, &plan.grafts[0]).len();
        let (mut coarse, mut fine) = (vec![0.0_f64; count], vec![0.0_f64; count]);
        let mut allowed = f64::INFINITY;
        let mut behind: [Option<Vec<Option<Point3>>>; 2] = [None, None];
        for k in 0..=800 {
            let placed = at(f64::from(k) * 0.025 - 10.0);
            allowed = allowed.min(largest_stretch(&placed));
            let now = mouths(&plan, &placed);
            let most = |largest: &mut Vec<f64>, before: &Option<Vec<Option<Point3>>>| {
                for (i, (a, b)) in before.iter().flatten().zip(&now).enumerate() {
                    let far = a.zip(*b).map_or(0.0, |(a, b)| (a - b).norm());
                    if far > 0.1 {
                        println!("{name} shift {k} mouth {i}: {far}");
                    }
                    largest[i] = largest[i].max(far);
                }
            };
            most(&mut fine, &behind[0]);
            behind[0] = Some(now.clone());
            if k % 2 == 0 {
                most(&mut coarse, &behind[1]);
                behind[1] = Some(now);
            }
        }
        let largest = coarse.iter().copied().fold(0.0, f64::max);
        println!("{name}: largest move {largest:.4} mm, largest 1 + κ r at least {allowed:.3}");
        assert!(largest <= 1.2 * 0.05 * allowed, "{name}: {largest} {allowed}");
        for (i, (long, short)) in coarse.iter().zip(&fine).enumerate() {
            assert!((1.9..2.1).contains(&(long / short)), "{name} {i}: {long} {short}");
        }
    }
}

// Turning the graft changes no lie, bit for bit, whether it is turned on the way or computed anew.
#[test]
fn turning_changes_no_lie() {
    for (name, text) in DEMOS {
        let plan = plan(text);
        for turn in [0.1, 37.0, -170.0] {
            let mut case = (*plan.case).clone();
            for component in &mut case.components {
                if let Some(placement) = &mut component.placement {
                    placement.clock_deg += turn;
                }
            }
            let case = Arc::new(case);
            for turned in [plan.follow(case.clone()), Plan::new(case)] {
                for (a, b) in plan.grafts.iter().zip(&turned.grafts) {
                    for (a, b) in a.lies.iter().zip(&b.lies) {
                        assert_eq!((a.places(), a.rod), (b.places(), b.rod), "{name}");
                        for (u, _) in a.places() {
                            let (a, b) = (a.axis(*u).unwrap(), b.axis(*u).unwrap());
                            assert!(a.point == b.point && a.tangent == b.tangent, "{name} {u}");
                        }
                    }
                }
            }
        }
    }
}

// The same placement gives the same lie, dragged there or opened there.
#[test]
fn no_lie_remembers_the_way() {
    for (name, text) in DEMOS {
        let plan = plan(text);
        let mut case = (*plan.case).clone();
        let shift = |case: &mut extrados::casefile::case::Case, by: f64| {
            for placement in case.components.iter_mut().filter_map(|c| c.placement.as_mut()) {
                placement.station_mm += by;
            }
        };
        shift(&mut case, 3.0);
        let on_the_way = plan.follow(Arc::new(case.clone()));
        shift(&mut case, -1.0);
        let (dragged, opened) = (on_the_way.follow(Arc::new(case.clone())), Plan::new(Arc::new(case)));
        for (a, b) in dragged.grafts.iter().zip(&opened.grafts) {
            for (a, b) in a.lies.iter().zip(&b.lies) {
                assert_eq!((a.places(), a.rod), (b.places(), b.rod), "{name}");
            }
        }
    }
}

// Remaining error, discs, and that every demo's lies are found.
#[test]
fn every_lie_is_found_and_stays_in_its_discs() {
    for (name, text) in DEMOS {
        let plan = plan(text);
        let anatomy = plan.anatomy.as_ref().unwrap();
        let lumen = anatomy.lumen().unwrap();
        for placed in &plan.grafts {
            for lie in &placed.lies {
                assert!(!lie.places().is_empty(), "{name} {:?}", lie.station_mm(0.0));
                let Some(rod) = lie.rod else {
                    assert_eq!(lie.possibility.lie, Lie::Middle);
                    continue;
                };
                assert!(rod.error_mm < 1e-6, "{name}: {}", rod.error_mm);
                for (u, station) in lie.places() {
                    let section = shape::section_at(&placed.graft, *u).unwrap();
                    let reach = shape::diameter_mm(section, *u) / 2.0 + section.offset_mm;
                    let room = (lumen.inscribed_mm(*station) - reach).max(0.0);
                    let away = (lie.axis(*u).unwrap().point - anatomy.course.line().at(*station).point).norm();
                    assert!(away <= room + 0.01, "{name} {u}: {away} in {room}");
                }
            }
        }
    }
}
