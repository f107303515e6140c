//! Grafts in the order of their rooms: a graft that was made for a known placement is found again, and
//! nothing random is better.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::anatomy::Anatomy;
use extrados::casefile::Document;
use extrados::casefile::case::{Case, Graft, LengthKeptBy, MakerSteps, Placement, Rule};
use extrados::casefile::document::read_graft;
use extrados::graft::buildable::{Buildable, survey};
use extrados::graft::lie::{Lie, PlacedGraft};
use extrados::placement::tunnel::{Paths, tunnels};
use extrados::plan::Plan;
use extrados::ranking::design::Designing;
use extrados::ranking::together::End;
use extrados::ranking::{Ranking, Standing};
use extrados::report;
use extrados::room::ellipse;
use extrados::room::landing;
use extrados::room::plane::Move;
use extrados::rules::verdict::Word;
use extrados::task::{Progress, Task};
use std::sync::Arc;

/// Station of the proximal edge and clock for which the graft is made.
const PLANTED: (f64, f64) = (10.0, -7.0);

/// Most that a mouth may be turned from its ostium, degrees.
const CLOCK_DEG: f64 = 45.0;

/// Numbers from a fixed seed, even in [0, 1).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The worked arch (straight to station 30, then a circle of radius 40, 34 mm wide; ostia at 70, 85 and
/// 103 at 12:00, 14, 8 and 10 mm long) with a graft that fills it. Along its outer curve a millimetre of
/// station is (40 + 17) / 40 mm of wall. Mouths 8 mm long whose edges are 27.5 mm from their ostia's lie in
/// the middle of 5 to 50 mm, all three alike; turned by the planted clock they point at 12:00.
fn planted() -> (Case, Arc<Graft>) {
    let path = format!("{}/../../tests/reference/worked-arch.json", env!("CARGO_MANIFEST_DIR"));
    let mut case = (*Document::read(&std::fs::read(path).unwrap()).unwrap().case).clone();
    let limit = |id: &str, measure: &str, at_least: Option<f64>, at_most: f64| Rule {
        id: id.into(),
        at_least,
        at_most: Some(at_most),
        required: true,
        ..Rule::on(measure)
    };
    case.rules = vec![
        limit("clearance", "tunnel.edge_clearance_mm", Some(5.0), 50.0),
        limit("clock", "tunnel.clock_error_deg", None, CLOCK_DEG),
    ];
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.label = "planted".into();
    graft.length_kept_by = LengthKeptBy::Axis;
    let sides = [(70.0, 14.0, 1.0), (85.0, 8.0, 1.0), (103.0, 10.0, -1.0)];
    for (tunnel, (ostium, along, upstream)) in graft.tunnels.iter_mut().zip(sides) {
        let centres = 27.5 + 4.0 + along / 2.0;
        tunnel.mouth_along_mm = Some(8.0);
        tunnel.mouth_across_mm = Some(8.0);
        tunnel.mouth_u_mm = ostium - upstream * centres * 40.0 / 57.0 - PLANTED.0;
        tunnel.mouth_clock_deg = -PLANTED.1;
    }
    (case, Arc::new(graft))
}

/// The same with its mouths elsewhere.
fn rival(graft: &Graft, random: &mut Random, name: usize) -> (String, Arc<Graft>) {
    let mut rival = graft.clone();
    for tunnel in &mut rival.tunnels {
        tunnel.mouth_u_mm += 16.0 * (random.next() - 0.5);
        tunnel.mouth_clock_deg += 40.0 * (random.next() - 0.5);
    }
    (format!("rival {name}"), Arc::new(rival))
}

fn ranked(case: &Case, grafts: Vec<(String, Arc<Graft>)>) -> Vec<Standing> {
    Ranking::new(Plan::new(Arc::new(case.clone())), grafts).finish().unwrap()
}

#[test]
fn a_planted_graft_comes_first_and_its_placement_is_found() {
    let (case, graft) = planted();
    let mut random = Random(7);
    let mut grafts: Vec<_> = (0..6).map(|name| rival(&graft, &mut random, name)).collect();
    grafts.insert(3, ("planted".into(), graft));
    let all = ranked(&case, grafts);
    let first = &all[0];
    assert_eq!(first.name, "planted");
    let placement = first.placement.unwrap();
    assert!((placement.station_mm - PLANTED.0).abs() < 0.25, "{placement:?}");
    assert!((placement.clock_deg - PLANTED.1).abs() < 0.5, "{placement:?}");
    // Half of the room: 22.5 mm of wall along, 45° around.
    let found = first.found.as_ref().unwrap();
    let far: Vec<f64> = found.room.reaches.iter().map(|reach| reach.far).collect();
    for (far, expected) in far.iter().zip([22.5 * 40.0 / 57.0, 22.5 * 40.0 / 57.0, 45.0, 45.0]) {
        assert!((far - expected).abs() < 0.25, "{far} {expected}");
    }
    for other in &all[1..] {
        assert!(other.size < first.size, "{} {} {}", other.name, other.size, first.size);
    }
    // A hundred thousand other placements, none with a larger ellipse.
    let (low, high) = ([-20.0, -60.0], [20.0, 60.0]);
    for _ in 0..100_000 {
        let at = [0, 1].map(|k: usize| low[k] + (high[k] - low[k]) * random.next());
        let size = ellipse::size_at(&found.room.holds, found.errors, Move::new(at[0], at[1]));
        assert!(size <= first.size + 1e-3, "{at:?}: {size} beside {}", first.size);
    }
}

/// Where the planted graft lies at many stations: every rival has its shape.
fn laid(case: &Case, graft: &Arc<Graft>, anatomy: &Anatomy) -> Vec<PlacedGraft> {
    let there = |station_mm: f64| {
        let mut component = case.components[0].clone();
        component.graft = Some(graft.clone());
        component.placement = Some(Placement { held_u_mm: 0.0, station_mm, clock_deg: 0.0 });
        PlacedGraft::new(&component, case, anatomy, None)
    };
    (-10..=20).filter_map(|step| there(2.0 * f64::from(step))).collect()
}

/// More than any room of a graft can measure. An ellipse has its whole height at its centre's station, and
/// there, on the centreline, every degree of turn is one of clock error: so all tunnels together leave at
/// most twice the limit less how far their clock errors lie apart. A degree more for stations between.
fn at_most(rival: &Arc<Graft>, laid: &[PlacedGraft], anatomy: &Anatomy, turn_sd_deg: f64) -> f64 {
    let leaves = |placed: &PlacedGraft| {
        let there = placed.with_graft(&placed.component, rival.clone());
        let all = tunnels(&there, anatomy, 0.0, Paths::Left);
        let middle = all.iter().filter(|own| own.possibility.lie == Lie::Middle);
        let clocks: Option<Vec<f64>> = middle.map(|own| own.clock_error.value().map(|own| own.to_deg())).collect();
        let ends = clocks.map(|all| all.iter().fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(*x), b.max(*x))));
        ends.map_or(f64::INFINITY, |(low, high)| 2.0 * CLOCK_DEG - (high - low) + 1.0)
    };
    laid.iter().map(leaves).fold(0.0, f64::max) / 2.0 / turn_sd_deg
}

// Ten thousand random designs; only those whose room could be larger than the planted one's are ranked.
#[test]
fn no_random_rival_is_better() {
    let (case, graft) = planted();
    let plan = Plan::new(Arc::new(case.clone()));
    let anatomy = plan.anatomy.clone().unwrap();
    let laid = laid(&case, &graft, &anatomy);
    let turn_sd_deg = landing(&case).turn_deg;
    let first = ranked(&case, vec![("planted".into(), graft.clone())]).remove(0);
    let own = at_most(&graft, &laid, &anatomy, turn_sd_deg);
    assert!(first.size <= own && own < first.size + 1.0 / turn_sd_deg, "{own} {}", first.size);
    let mut random = Random(11);
    let rivals = (0..10_000).map(|name| rival(&graft, &mut random, name));
    let could = |(_, graft): &(String, Arc<Graft>)| at_most(graft, &laid, &anatomy, turn_sd_deg) > first.size;
    let looked: Vec<_> = rivals.filter(could).collect();
    assert!(looked.len() > 10, "{} could be better", looked.len());
    for some in looked.chunks(20) {
        for other in ranked(&case, some.to_vec()) {
            assert!(other.size <= first.size + 1e-3, "{} {} {}", other.name, other.size, first.size);
        }
    }
}

#[test]
fn slices_change_no_order_and_ties_stay_as_given() {
    let (case, graft) = planted();
    let grafts = vec![("one".to_owned(), graft.clone()), ("two".to_owned(), graft)];
    let mut ranking = Ranking::new(Plan::new(Arc::new(case)), grafts);
    let all = loop {
        if let Progress::Done(all) = ranking.advance(3) {
            break all;
        }
    };
    assert_eq!(all.iter().map(|own| own.name.as_str()).collect::<Vec<_>>(), ["one", "two"]);
    assert!((all[0].size - all[1].size).abs() < 1e-9);
}

#[test]
fn the_vessel_that_costs_room_is_named() {
    // The third mouth 14 mm too far upstream: its own room no longer fits the others'.
    let (case, graft) = planted();
    let mut off = (*graft).clone();
    off.tunnels[2].mouth_u_mm -= 14.0;
    let id = off.tunnels[2].id.clone();
    let all = ranked(&case, vec![("off".into(), Arc::new(off))]);
    let (of, without) = &all[0].costs[0];
    assert_eq!(of, &[id]);
    assert!(*without > all[0].size + 0.5);
}

fn demo(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/../../demo-data/{name}.json", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

// A graft from the shelf beside one that was made for the arch: the one shared opening needs two mouths side
// by side.
#[test]
fn the_common_trunk_s_own_graft_forgives_far_more_than_the_shelf_s() {
    let case = Document::read(&demo("common-trunk")).unwrap().case;
    let graft = |name: &str| (name.to_owned(), Arc::new(read_graft(&demo(name)).unwrap()));
    let grafts = vec![graft("graft-three-tunnel-shelf"), graft("graft-three-tunnel-made")];
    let all = ranked(&case, grafts);
    assert_eq!(all[0].name, "graft-three-tunnel-made");
    assert!(all[0].size > 1.0 && all[0].size > 4.0 * all[1].size, "{} {}", all[0].size, all[1].size);
    // The case has no stents at hand, so how far they may bend is unknown, and that is said.
    assert!(!all[0].holds());
    let told = report::ranking::report(&all, &case, "");
    for own in &told.grafts {
        assert!(own.text.contains("unknown"), "{}", own.text);
    }
    assert!(report::ranking::costs(&all[1]).contains("costs most"), "{}", told.grafts[1].text);
    let vessels = ["IA", "LCCA", "LSA"];
    assert!(vessels.iter().any(|vessel| report::ranking::costs(&all[1]).contains(vessel)));
}

// A rule asks how far an extension overlaps: alone the graft leaves it unknown, with a tube beyond its distal
// edge it holds, and the tube's place follows from the overlap.
#[test]
fn a_tube_that_is_here_too_is_put_beside_it() {
    let (mut case, graft) = planted();
    case.rules.push(Rule {
        id: "overlap".into(),
        of: "extension1".into(),
        at_least: Some(20.0),
        at_most: Some(80.0),
        required: true,
        ..Rule::on("component.overlap_mm")
    });
    let length_mm = 60.0;
    let mut tube = (*graft).clone();
    tube.label = "tube".into();
    tube.length_mm = length_mm;
    tube.tunnels.clear();
    tube.markers.clear();
    tube.sections.truncate(1);
    (tube.sections[0].from_u_mm, tube.sections[0].to_u_mm) = (0.0, length_mm);
    let grafts = vec![("planted".to_owned(), graft.clone()), ("tube".to_owned(), Arc::new(tube))];
    let all = ranked(&case, grafts);
    let names: Vec<&str> = all.iter().map(|own| own.name.as_str()).collect();
    assert_eq!(names[0], "planted + tube", "{names:?}");
    let joined = all[0].joined.as_ref().unwrap();
    assert_eq!(joined.end, End::Downstream);
    assert!(all[0].holds() && all[0].given_up.is_empty(), "{:?}", all[0].given_up);
    let alone = all.iter().find(|own| own.name == "planted").unwrap();
    assert!(!alone.holds() && alone.given_up.iter().any(|rule| rule.rule == "overlap"));
    // Taken in one step: the case has both, and the plan of it holds.
    let plan = Plan::new(all[0].case.clone());
    assert_eq!(plan.grafts.len(), 2);
    let verdict = plan.verdicts.iter().find(|own| own.rule == "overlap").unwrap();
    assert!(verdict.word >= Word::Borderline && verdict.value.unwrap() >= 20.0, "{verdict:?}");
    let told = report::ranking::report(&all, &case, "");
    assert_eq!(told.grafts[0].with.as_ref().unwrap().lengthens, "downstream");
}

#[test]
fn tunnels_are_made_where_they_were_planted_in_the_maker_s_steps() {
    let (mut case, graft) = planted();
    let mut off = (*graft).clone();
    off.maker_steps = Some(MakerSteps { u_mm: 1.0, clock_deg: 7.5 });
    let moves = [(9.0, 22.0), (-7.0, -31.0), (12.0, 14.0)];
    for (tunnel, (mm, deg)) in off.tunnels.iter_mut().zip(moves) {
        tunnel.diameter_mm = Some(6.0);
        tunnel.length_mm = Some(15.0);
        tunnel.mouth_u_mm += mm;
        tunnel.mouth_clock_deg += deg;
    }
    case.components[0].graft = Some(Arc::new(off));
    case.components[0].placement = Some(Placement { held_u_mm: 0.0, station_mm: PLANTED.0, clock_deg: PLANTED.1 });
    let plan = Plan::new(Arc::new(case));
    let made = Designing::of(&plan, "arch").unwrap().finish().unwrap().unwrap();
    assert_eq!(survey(&made).buildable, Buildable::Yes);
    for (tunnel, planted) in made.tunnels.iter().zip(&graft.tunnels) {
        assert!((tunnel.mouth_u_mm - planted.mouth_u_mm).abs() <= 1.0, "{tunnel:?}");
        assert!((tunnel.mouth_clock_deg - 7.5).abs() < 1e-9, "{tunnel:?}");
        assert!((tunnel.mouth_u_mm - tunnel.mouth_u_mm.round()).abs() < 1e-9);
    }
    // Two bodies where there is depth for one: they are put apart, or nothing is made.
    let mut case = (*plan.case).clone();
    case.components[0].graft = Some(Arc::new(wide(&made)));
    assert_ne!(survey(&wide(&made)).buildable, Buildable::Yes);
    let plan = plan.follow(Arc::new(case));
    if let Ok(made) = Designing::of(&plan, "arch").unwrap().finish().unwrap() {
        assert_eq!(survey(&made).buildable, Buildable::Yes);
    }
}

/// The same with bodies so wide and long that two of them share a stretch.
fn wide(graft: &Graft) -> Graft {
    let mut wide = graft.clone();
    for tunnel in &mut wide.tunnels {
        tunnel.diameter_mm = Some(18.0);
        tunnel.length_mm = Some(30.0);
    }
    wide
}
