//! The stent to order, worked by hand, and what makes that there is none.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::bridging::path::{NoPath, TunnelPath};
use extrados::bridging::stent::{
    Choice, OVERLAP_MM, STENTS_OVERLAP_MM, StentOrder, TUNNEL_OVERSIZE, VESSEL_OVERSIZE, order,
};
use extrados::bridging::vessel::{LANDING_MM, LANDING_SUBCLAVIAN_MM, landing};
use extrados::casefile::case::{Case, Flow, Stock, Tunnel};
use extrados::message;
use extrados::quantity::Quantity;
use outside::outside;

mod common;
mod outside;

/// A path of this length with this error.
fn path(length_mm: f64, error: f64) -> TunnelPath {
    TunnelPath { length_mm: Quantity::known(length_mm, error), none: None, ..TunnelPath::none(NoPath::NoRoom) }
}

/// One vessel: healthy from the wall, first branch at 40 mm, 10 mm wide, 9.5 mm at 20 mm.
fn case_with(vessel: serde_json::Value, stock: Option<Stock>) -> Case {
    let mut case = Case { stock, ..Case::default() };
    let mut anatomy = (*case.anatomy).clone();
    anatomy.vessels = serde_json::from_value(vessel).unwrap();
    case.anatomy = anatomy.into();
    case.errors.station_sd_mm = 0.0;
    case
}

fn usual(id: &str) -> serde_json::Value {
    serde_json::json!([{"id": id, "from": "o1", "to_first_branch_mm": 40, "healthy_from_mm": 0,
        "diameters": [{"at_mm": 0, "diameter_mm": 10}, {"at_mm": 20, "diameter_mm": 9.5}]}])
}

fn stock(lengths: &[f64], diameters: &[f64]) -> Option<Stock> {
    Some(Stock { stent_lengths_mm: lengths.to_vec(), stent_diameters_mm: diameters.to_vec(), ..Stock::default() })
}

fn tunnel(id: &str) -> Tunnel {
    Tunnel { diameter_mm: Some(9.0), length_mm: Some(25.0), ..common::tunnel("t1", id, Flow::Antegrade, 50.0) }
}

fn ordered(case: &Case, tunnel: &Tunnel, paths: &[TunnelPath]) -> StentOrder {
    order(case, "arch", tunnel, paths.iter())
}

// Overlap 15 + path 20 + landing 15 = 50 at least; body 25 + path 20 + first branch 40 = 85 at most.
// Tunnel 9 mm: 9 to 11.25; vessel 10 mm and, at the landing's end, 9.625: 10.5 to 12.03.
#[test]
fn one_stent_worked_by_hand() {
    assert_eq!((OVERLAP_MM, LANDING_MM), (15.0, 15.0));
    assert_eq!((TUNNEL_OVERSIZE, VESSEL_OVERSIZE), ([0.0, 0.25], [0.05, 0.25]));
    let case = case_with(usual("IA"), stock(&[80.0, 40.0, 50.0, 60.0, 60.0], &[9.0, 10.0, 11.0, 12.0]));
    let order = ordered(&case, &tunnel("IA"), &[path(20.0, 0.0)]);
    let hand = outside("worked by hand: overlap + path + landing, oversize at both ends", "IA, path 20, tunnel 9 × 25");
    let [shortest, longest] = order.length_mm.clone().unwrap();
    hand.near("shortest stent", shortest, 50.0, 1e-12, "mm");
    hand.near("longest stent", longest, 85.0, 1e-12, "mm");
    let [least, most] = order.diameter_mm().unwrap();
    hand.near("narrowest stent", least, 10.5, 1e-12, "mm");
    hand.near("widest stent", most, 11.25, 1e-12, "mm");
    let [_, vessel] = order.in_vessel_mm.clone().unwrap();
    hand.near("widest stent in the vessel", vessel, 1.25 * 9.625, 1e-12, "mm");
    let Choice::One { length, diameter } = &order.choice else { panic!("{:?}", order.choice) };
    assert_eq!((length.mm, length.down_mm, length.up_mm), (50.0, Some(40.0), Some(60.0)));
    assert_eq!((diameter.mm, diameter.down_mm, diameter.up_mm), (11.0, Some(10.0), Some(12.0)));
}

// Over the possibilities the longest path asks for length and the shortest limits it; each error and
// that of the place in the vessel add as squares.
#[test]
fn every_possibility_and_the_error_count() {
    let mut case = case_with(usual("IA"), None);
    let both = [path(20.0, 3.0), path(28.0, 3.0)];
    case.errors.station_sd_mm = 4.0;
    let order = ordered(&case, &tunnel("IA"), &both);
    let hand = outside("worked by hand: errors of path and place add as squares", "paths 20 and 28 ± 3, place ± 4");
    let [shortest, longest] = order.length_mm.clone().unwrap();
    hand.near("shortest stent", shortest, 15.0 + 28.0 + 15.0 + 5.0, 1e-12, "mm");
    hand.near("longest stent", longest, 25.0 + 20.0 + 40.0 - 5.0, 1e-12, "mm");
    assert_eq!(order.choice, Choice::NoStock);
    assert_eq!(order.beside_path_mm, Some(30.0));
}

// The left subclavian artery is landed in over 25 mm; its mammary or vertebral artery, or a vessel
// that leaves it, limits the stent where it lies before the first branch that was typed.
#[test]
fn nothing_is_covered() {
    assert_eq!(LANDING_SUBCLAVIAN_MM, 25.0);
    let lsa = |more: serde_json::Value| {
        let mut vessel = usual("LSA");
        vessel[0].as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        case_with(vessel, None)
    };
    let end = |case: &Case| {
        let landing = landing(case, "LSA", None).unwrap();
        (landing.nearest_mm, landing.farthest_mm, landing.farthest_is)
    };
    for (more, expected) in [
        (serde_json::json!({}), (25.0, 40.0, "first branch")),
        (serde_json::json!({"vertebral_at_mm": 38}), (25.0, 38.0, "vertebral artery")),
        (serde_json::json!({"mammary_at_mm": 30, "vertebral_at_mm": 38}), (25.0, 30.0, "mammary artery")),
        (serde_json::json!({"healthy_from_mm": 12}), (37.0, 40.0, "first branch")),
    ] {
        let hand =
            outside("worked by hand: healthy wall + 25 mm, to the first thing that leaves", format!("LSA, {more}"));
        hand.same("landing of a stent", end(&lsa(more)), expected);
    }
    // A carotid that leaves the innominate 18 mm from the wall.
    let mut trunk = usual("IA");
    trunk.as_array_mut().unwrap().push(serde_json::json!({"id": "LCCA", "from": "IA", "at_mm": 18}));
    assert_eq!(landing(&case_with(trunk, None), "IA", None).unwrap().farthest_mm, 18.0);
}

#[test]
fn no_landing_is_said() {
    let mut case = case_with(usual("LSA"), stock(&[60.0], &[11.0]));
    let mut anatomy = (*case.anatomy).clone();
    anatomy.vessels[0].healthy_from_mm = Some(18.0);
    case.anatomy = anatomy.into();
    let order = ordered(&case, &tunnel("LSA"), &[path(20.0, 0.0)]);
    assert_eq!(order.choice, Choice::None(message::landing_too_short(40.0, "first branch", 25.0, 43.0)));
    // The user may ask for less.
    case.stock.as_mut().unwrap().least_landing_mm = Some(10.0);
    let Choice::One { length, .. } = ordered(&case, &tunnel("LSA"), &[path(10.0, 0.0)]).choice else { panic!() };
    assert_eq!(length.mm, 60.0);
}

// Too long for one: two that overlap by at least 20 mm reach, and no longer pair is taken.
#[test]
fn two_stents_overlap() {
    assert_eq!(STENTS_OVERLAP_MM, 20.0);
    let case = case_with(usual("IA"), stock(&[30.0, 40.0, 50.0], &[11.0]));
    let order = ordered(&case, &tunnel("IA"), &[path(25.0, 0.0)]);
    assert_eq!(order.length_mm, Ok([55.0, 90.0]));
    assert_eq!(order.choice, Choice::Two { length_mm: [40.0, 40.0], diameter_mm: [11.0, 11.0] });
}

// Ways to lie that are far apart leave no single length: two that overlap can be set on the table.
#[test]
fn two_stents_serve_ways_that_are_far_apart() {
    let case = case_with(usual("IA"), stock(&[40.0, 60.0, 80.0, 100.0], &[11.0]));
    let order = ordered(&case, &tunnel("IA"), &[path(5.0, 0.0), path(55.0, 0.0)]);
    assert_eq!(order.length_mm, Ok([85.0, 70.0]));
    assert_eq!(order.choice, Choice::Two { length_mm: [60.0, 60.0], diameter_mm: [11.0, 11.0] });
    let one_length = case_with(usual("IA"), stock(&[40.0], &[11.0]));
    let order = ordered(&one_length, &tunnel("IA"), &[path(5.0, 0.0), path(55.0, 0.0)]);
    assert_eq!(order.choice, Choice::None(message::no_length_serves(85.0, 70.0)));
}

// No diameter fits both ends: each stent is sized for its own.
#[test]
fn two_stents_of_two_widths() {
    let case = case_with(usual("IA"), stock(&[40.0, 60.0], &[7.0, 8.0, 9.0, 10.0, 11.0, 12.0]));
    let narrow = Tunnel { diameter_mm: Some(7.0), ..tunnel("IA") };
    let order = ordered(&case, &narrow, &[path(20.0, 0.0)]);
    let [least, most] = order.diameter_mm().unwrap();
    assert!(least > most);
    assert_eq!(order.choice, Choice::Two { length_mm: [40.0, 40.0], diameter_mm: [7.0, 11.0] });
    let few = case_with(usual("IA"), stock(&[60.0], &[7.0]));
    let order = ordered(&few, &narrow, &[path(20.0, 0.0)]);
    assert!(
        matches!(&order.choice, Choice::None(why) if why.starts_with("No diameter fits both ends")),
        "{:?}",
        order.choice
    );
}

// What is not known is asked for, and never taken as in order.
#[test]
fn unknown_is_unknown() {
    let full = stock(&[60.0], &[11.0]);
    let unknown = |key: &str| {
        let mut vessel = usual("IA");
        vessel[0].as_object_mut().unwrap().remove(key);
        ordered(&case_with(vessel, full.clone()), &tunnel("IA"), &[path(20.0, 0.0)]).choice
    };
    assert_eq!(unknown("to_first_branch_mm"), Choice::Unknown(message::NO_FIRST_BRANCH.into()));
    assert_eq!(unknown("healthy_from_mm"), Choice::Unknown(message::NO_HEALTHY_FROM.into()));
    assert_eq!(unknown("diameters"), Choice::Unknown(message::NO_VESSEL_DIAMETER.into()));
    let case = case_with(usual("IA"), full);
    let without = |tunnel: Tunnel| ordered(&case, &tunnel, &[path(20.0, 0.0)]).choice;
    let no_length = Tunnel { length_mm: None, ..tunnel("IA") };
    assert_eq!(without(no_length), Choice::Unknown(message::NO_TUNNEL_LENGTH.into()));
    let no_width = Tunnel { diameter_mm: None, ..tunnel("IA") };
    assert_eq!(without(no_width), Choice::Unknown(message::NO_TUNNEL_DIAMETER.into()));
    let short = Tunnel { length_mm: Some(12.0), ..tunnel("IA") };
    assert_eq!(without(short), Choice::None(message::tunnel_too_short(12.0, 15.0)));
    // One way of lying that cannot be bridged is enough for none.
    let loops = ordered(&case, &tunnel("IA"), &[path(20.0, 0.0), TunnelPath::none(NoPath::WouldLoop)]);
    assert_eq!(loops.choice, Choice::None(message::WOULD_LOOP.into()));
}

// A trunk divides 22 mm from the wall: what leaves it there is landed in beyond, 22 + 15, even where it was
// typed as healthy from the wall. Two vessels of one opening part at the wall.
#[test]
fn a_vessel_that_leaves_a_trunk_is_landed_in_beyond_its_division() {
    let trunk = |from: &str, at_mm: f64| {
        let mut vessels = usual("IA");
        vessels.as_array_mut().unwrap().push(serde_json::json!({"id": "LCCA", "from": from, "at_mm": at_mm,
            "to_first_branch_mm": 60, "healthy_from_mm": 0, "diameters": [{"at_mm": 30, "diameter_mm": 8}]}));
        case_with(vessels, None)
    };
    let own = landing(&trunk("IA", 22.0), "LCCA", None).unwrap();
    assert_eq!((own.from_mm, own.nearest_mm, own.farthest_mm), (22.0, 37.0, 60.0));
    assert_eq!(landing(&trunk("o1", 0.0), "LCCA", None).unwrap().from_mm, 0.0);
}
