//! The release step by step on the worked arch: what each step leaves fed, orders, turns.
//! Sources stand beside each check; anatomies are invented.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;

use common::*;
use extrados::casefile::case::*;
use extrados::feed::flow::{Feed, FeedState, FedBy};
use extrados::feed::release::{Release, release};
use extrados::plan::Plan;
use std::sync::Arc;

fn section(from: f64, to: f64, diameter: f64, offset: f64) -> Section {
    Section {
        from_u_mm: from,
        to_u_mm: to,
        from_diameter_mm: diameter,
        to_diameter_mm: diameter,
        offset_mm: offset,
        offset_clock_deg: 180.0,
        covered: true,
        seals: diameter > 30.0,
    }
}

fn step(action: &str, on: Option<&str>) -> Step {
    serde_json::from_value(serde_json::json!({"do": action, "on": on})).unwrap()
}

/// Two tunnels, sealing at both ends, a waist between; a mammary graft hangs on the LSA.
fn two_tunnels(offset: f64) -> Case {
    let mut case = arch_p(LengthKeptBy::Axis);
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.sections = vec![section(0.0, 35.0, 38.0, 0.0), section(35.0, 120.0, 24.0, offset), section(120.0, 170.0, 38.0, 0.0)];
    graft.tunnels.truncate(2);
    case.components[0].graft = Some(Arc::new(graft));
    let mut anatomy = (*case.anatomy).clone();
    anatomy.vessels[2].mammary_graft = Some(true);
    let carries: [&[&str]; 3] =
        [&["right_carotid", "right_vertebral", "right_mammary"], &["left_carotid"], &["left_vertebral", "left_mammary"]];
    for (vessel, carries) in anatomy.vessels.iter_mut().zip(carries) {
        vessel.carries = carries.iter().map(|c| (*c).to_string()).collect();
    }
    case.anatomy = Arc::new(anatomy);
    case.errors.diameter_sd_mm = 2.0;
    case.procedure = Some(Procedure {
        steps: vec![step("release", Some("arch")), step("bridge", Some("t1")), step("bridge", Some("t2"))],
        ..Procedure::default()
    });
    case
}

fn with_bypass(mut case: Case) -> Case {
    let mut anatomy = (*case.anatomy).clone();
    anatomy.bypasses.push(Bypass {
        from: "LCCA".into(),
        to: "LSA".into(),
        kind: BypassKind::Bypass,
        state: BypassState::Done,
        stage: None,
    });
    case.anatomy = Arc::new(anatomy);
    case
}

fn turned(mut case: Case, deg: f64) -> Case {
    case.components[0].placement.as_mut().unwrap().clock_deg = deg;
    case
}

fn plan(case: Case) -> Plan {
    Plan::on_curve(Arc::new(case), by_station(curve_p()))
}

fn lsa(release: &Release, step: usize) -> &Feed {
    release.steps[step].worst("LSA").unwrap()
}

#[test]
fn p6_no_bypass_no_order_keeps_the_heart_fed() {
    let release = release(&plan(two_tunnels(0.0))).unwrap();
    for step in &release.steps {
        for (p, feeds) in &step.feeds {
            for f in feeds { println!("{} {:?} {} {:?} {:?} {:?} {:?} {:?}", step.number, p.map(|p| p.lie), f.vessel, f.by, f.state, f.narrowest_mm, f.through, f.why); }
        }
    }
    println!("{:#?}", release.orders);
    assert_eq!((lsa(&release, 0).by, lsa(&release, 0).state), (FedBy::Space, FeedState::Fed));
    assert_eq!(lsa(&release, 2).state, FeedState::Unfed);
}
