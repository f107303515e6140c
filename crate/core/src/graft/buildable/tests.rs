//! What stands against a graft, and what it leaves free, by hand.

use super::*;
use crate::casefile::case::{Fenestration, Flow, Scallop};
use crate::casefile::device::{MakerSteps, Section, Tunnel};
use std::f64::consts::PI;

fn section(diameter_mm: f64) -> Section {
    Section {
        from_u_mm: 0.0,
        to_u_mm: 100.0,
        from_diameter_mm: diameter_mm,
        to_diameter_mm: diameter_mm,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        covered: true,
        seals: false,
    }
}

fn tunnel(id: &str, u_mm: f64, clock_deg: f64, width_mm: f64) -> Tunnel {
    Tunnel {
        id: id.into(),
        serves: "IA".into(),
        flow: Flow::Antegrade,
        mouth_u_mm: u_mm,
        mouth_clock_deg: clock_deg,
        mouth_along_mm: Some(8.0),
        mouth_across_mm: Some(8.0),
        diameter_mm: Some(width_mm),
        length_mm: Some(25.0),
        rise_deg: 0.0,
        side_deg: 0.0,
        wired_from: None,
    }
}

fn waist(second_u_mm: f64, apart_deg: f64) -> Graft {
    Graft {
        length_mm: 100.0,
        sections: vec![section(24.0)],
        tunnels: vec![tunnel("t1", 42.0, 0.0, 12.0), tunnel("t2", second_u_mm, apart_deg, 8.0)],
        ..Graft::default()
    }
}

fn meet(graft: &Graft) -> Option<Finding> {
    survey(graft).findings.into_iter().find(|f| f.code == "bodies_meet")
}

// Check P9 of the worked arch: tunnels 12 and 8 mm wide and 25 long with mouths at 42 and 58 in a
// waist of 24 share 33 to 42; side by side they need 90°; 25 mm apart they follow each other.
#[test]
fn p9_bodies_that_share_a_stretch() {
    let found = meet(&waist(58.0, 0.0)).unwrap();
    assert_eq!(found.on_graft_mm, Some((33.0, 42.0)));
    assert!(found.so != Buildable::Yes);
    for part in ["33.0 to 42.0 mm", "90°", "25.0 mm apart"] {
        assert!(found.text.contains(part), "{part}: {}", found.text);
    }
    assert!(meet(&waist(58.0, 89.9)).is_some());
    for free in [waist(58.0, 90.1), waist(58.0, -90.1), waist(67.0, 0.0), waist(70.0, 0.0)] {
        assert_eq!(meet(&free), None);
        assert_eq!(survey(&free).buildable, Buildable::Yes);
    }
    assert!(meet(&waist(66.9, 0.0)).is_some());
}

// 12 + 8 mm fit across 24 mm one under the other, not across 19.
#[test]
fn one_runs_under_the_other_only_with_the_depth() {
    assert_eq!(survey(&waist(58.0, 0.0)).buildable, Buildable::OneUnderAnother);
    let mut narrow = waist(58.0, 0.0);
    narrow.sections = vec![section(19.0)];
    assert_eq!(survey(&narrow).buildable, Buildable::No);
}

// Free area 24²π/4 less the tubes; the largest circle beside one tube of 12 against the fabric has
// the 12 that is left.
#[test]
fn through_lumen() {
    let mut graft = waist(58.0, 180.0);
    graft.tunnels.truncate(1);
    let one = survey(&graft).through.unwrap();
    assert!((one.free_mm - 12.0).abs() < 0.02, "{}", one.free_mm);
    assert!((one.free_mm2 - PI * (144.0 - 36.0)).abs() < 1e-9);
    graft.tunnels = vec![tunnel("t1", 42.0, 0.0, 8.0), tunnel("t2", 42.0, 180.0, 8.0)];
    let two = survey(&graft).through.unwrap();
    // A circle of radius r inside 12, tangent to both tubes of radius 4 centred 8 off the axis:
    // its centre lies at h across with 12 − r = h and (4 + r)² = 64 + h², so r = 192/32 = 6.
    assert!((two.free_mm - 12.0).abs() < 0.02, "{}", two.free_mm);
    graft.tunnels[0].length_mm = None;
    assert_eq!(survey(&graft).through, None);
    assert_eq!(survey(&graft).buildable, Buildable::Unknown);
}

#[test]
fn what_cannot_be_made_is_named() {
    let code = |change: fn(&mut Graft)| {
        let mut graft = waist(70.0, 0.0);
        change(&mut graft);
        survey(&graft).findings.iter().map(|f| f.code).collect::<Vec<_>>()
    };
    assert_eq!(code(|_| {}), Vec::<&str>::new());
    assert_eq!(code(|g| g.tunnels[0].mouth_u_mm = 20.0), ["tunnel_beyond_fabric"]);
    assert_eq!(code(|g| g.sections[0].covered = false), ["tunnel_on_bare_part"; 2]);
    assert_eq!(code(|g| g.tunnels[1].diameter_mm = Some(25.0)), ["tunnel_too_wide"]);
    assert_eq!(code(|g| g.tunnels[1].diameter_mm = None), ["tunnel_size_unknown"]);
    assert_eq!(code(|g| g.tunnels[1].mouth_across_mm = None), ["mouth_size_unknown"]);
    let window = |u_mm: f64| Fenestration {
        id: "f1".into(),
        serves: "LSA".into(),
        u_mm,
        clock_deg: 0.0,
        along_mm: 9.0,
        across_mm: 9.0,
    };
    assert_eq!(window(3.0).u_mm, 3.0);
    let mut graft = waist(70.0, 0.0);
    graft.fenestrations = vec![window(3.0)];
    assert_eq!(survey(&graft).findings[0].code, "opening_over_edge");
    graft.fenestrations = vec![window(74.0)];
    assert_eq!(survey(&graft).findings[0].code, "openings_meet");
    graft.fenestrations = vec![window(85.0)];
    let between = &survey(&graft).between[2];
    // t2 at 70 with a mouth of 8, f1 at 85 with 9: 15 − 4 − 4.5.
    assert!((between.edges_mm.unwrap() - 6.5).abs() < 1e-9);
}

#[test]
fn a_maker_s_steps_are_minded() {
    let mut graft = waist(70.0, 9.0);
    graft.maker_steps = Some(MakerSteps { u_mm: 1.0, clock_deg: 7.5 });
    graft.scallops =
        vec![Scallop { id: "s1".into(), serves: "IA".into(), clock_deg: 180.0, width_mm: 20.0, depth_mm: 12.5 }];
    let found = survey(&graft);
    assert_eq!(found.buildable, Buildable::Yes);
    let texts: Vec<&str> = found.findings.iter().map(|f| f.text.as_str()).collect();
    assert_eq!(found.findings.len(), 2, "{texts:?}");
    assert!(texts[0].contains("9") && texts[0].contains("7.5"), "{texts:?}");
}

// Whatever is typed, every number is finite.
#[test]
fn degenerate_grafts_give_no_nan() {
    let mut graft = waist(42.0, 0.0);
    graft.sections[0].from_diameter_mm = 0.0;
    graft.sections[0].to_diameter_mm = 0.0;
    graft.sections[0].offset_mm = 30.0;
    let found = survey(&graft);
    assert_eq!(found.buildable, Buildable::No);
    assert!(found.through.is_some_and(|t| t.free_mm.is_finite() && t.free_mm2.is_finite()));
    assert!(found.between.iter().all(|b| b.edges_mm.is_none_or(f64::is_finite)));
    assert_eq!(survey(&Graft::default()).buildable, Buildable::Yes);
}
