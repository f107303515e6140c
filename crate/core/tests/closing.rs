//! Dissection and extent: the worked dissection P8, the demo planned to no remaining flow and each act left
//! out, and that closing anything never adds flow.
#![cfg(not(target_family = "wasm"))]
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod common;

use common::*;
use extrados::casefile::Document;
use extrados::casefile::case::*;
use extrados::dissection::Extent;
use extrados::dissection::flow::{Flow, Lies, Opening, Origin, Outside, Run, Space, Works};
use extrados::plan::Plan;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::sync::Arc;

const DEMO: &str = include_str!("../../../demo-data/dissection.json");

fn extent(case: Case) -> Extent {
    Extent::of(&Plan::new(Arc::new(case))).unwrap()
}

fn read(value: &Value) -> Case {
    let text = serde_json::to_vec(value).unwrap();
    Document::read(&text).map(|document| (*document.case).clone()).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn demo(change: impl FnOnce(&mut Value)) -> Extent {
    let mut value: Value = serde_json::from_str(DEMO).unwrap();
    change(&mut value);
    extent(read(&value))
}

fn way(id: &str, place: Value) -> Way {
    let mut value = json!({ "id": id, "kind": "entry", "clock_deg": 0, "along_mm": 6, "across_mm": 5 });
    value.as_object_mut().unwrap().extend(place.as_object().unwrap().clone());
    serde_json::from_value(value).unwrap()
}

/// The worked arch P with a longer descending aorta, entries at a suture line, in the LSA and at s 260, and a
/// graft to s 200; bridged: with the tunnel for the LSA; extended: with a piece from s 180 to s 280.
fn p8(bridged: bool, extended: bool) -> Extent {
    let mut case = arch_p(LengthKeptBy::Axis);
    let anatomy = Arc::make_mut(&mut case.anatomy);
    anatomy.lumen[1].station_mm = 330.0;
    anatomy.ways = vec![
        way("suture", json!({ "kind": "suture_line", "station_mm": 40 })),
        way("in_lsa", json!({ "in_vessel": "LSA", "at_mm": 10, "clock_deg": null })),
        way("distal", json!({ "station_mm": 260 })),
    ];
    anatomy.landmarks = vec![Landmark { id: "coeliac".into(), station_mm: 310.0 }];
    for vessel in &mut anatomy.vessels {
        vessel.healthy_from_mm = Some(if vessel.id == "LSA" { 15.0 } else { 0.0 });
        vessel.to_first_branch_mm = Some(60.0);
        vessel.diameters = vec![VesselDiameter { at_mm: 10.0, diameter_mm: 9.0 }];
    }
    let mut graft = (**case.components[0].graft.as_ref().unwrap()).clone();
    graft.length_mm = 192.0;
    graft.sections[0].to_u_mm = 192.0;
    if !bridged {
        graft.tunnels.retain(|tunnel| tunnel.serves != "LSA");
    }
    let tube = Graft { length_mm: 100.0, tunnels: Vec::new(), ..graft.clone() };
    let tube = Graft {
        sections: vec![Section {
            to_u_mm: 100.0,
            from_diameter_mm: 39.0,
            to_diameter_mm: 39.0,
            ..tube.sections[0].clone()
        }],
        ..tube
    };
    case.components[0].graft = Some(Arc::new(graft));
    if extended {
        let mut piece = case.components[0].clone();
        piece.id = "ext".into();
        piece.kind = ComponentKind::Extension;
        piece.graft = Some(Arc::new(tube));
        piece.placement = Some(Placement { held_u_mm: 0.0, station_mm: 180.0, clock_deg: 0.0 });
        case.components.push(piece);
    }
    let curve = FlatArch { from: -60.0, to: 330.0, bend_at: 30.0, radius: 40.0 };
    Extent::of(&Plan::on_curve(Arc::new(case), by_station(curve))).unwrap()
}

fn remaining(extent: &Extent) -> [Vec<String>; 3] {
    extent.stages.last().unwrap().remaining()
}

fn ids(list: &[&str]) -> Vec<String> {
    list.iter().map(|id| (*id).to_owned()).collect()
}

// P8 of the published checks: fed by two, named; bridged and extended, by none; covered length up, free
// length above the coeliac artery down. The lengths follow from where the pieces are put.
#[test]
fn p8_two_ways_stay_and_bridged_and_extended_none() {
    let short = p8(false, false);
    assert_eq!(remaining(&short), [ids(&["in_lsa", "distal"]), ids(&[]), ids(&[])]);
    let only_bridged = p8(true, false);
    assert_eq!(remaining(&only_bridged), [ids(&["distal"]), ids(&[]), ids(&[])]);
    let only_extended = p8(false, true);
    assert_eq!(remaining(&only_extended), [ids(&["in_lsa"]), ids(&[]), ids(&[])]);
    let whole = p8(true, true);
    assert_eq!(remaining(&whole), [ids(&[]), ids(&[]), ids(&[])]);
    let lengths = |extent: &Extent| {
        let covered = &extent.stages.last().unwrap().covered;
        [covered.covered_mm.value().unwrap(), covered.free_mm.value().unwrap()].map(|range| *range)
    };
    for (extent, covered, free) in [(&short, 192.0, 110.0), (&whole, 272.0, 30.0)] {
        // The middle and the rod lie on straight wall at both ends, 0.1 mm.
        for (range, wanted) in lengths(extent).into_iter().zip([covered, free]) {
            assert!(range.iter().all(|mm| (mm - wanted).abs() < 0.1), "{range:?} instead of {wanted}");
        }
    }
}

#[test]
fn the_demo_is_planned_to_no_remaining_flow_in_three_stages() {
    let demo = demo(|_| ());
    let ends: Vec<[Vec<String>; 3]> = demo.stages.iter().map(|end| end.remaining()).collect();
    let four = ids(&["w1", "w2", "w3", "w4"]);
    assert_eq!(ends[0], [four.clone(), ids(&["w5"]), ids(&[])], "as measured");
    assert_eq!(ends[1], [four, ids(&["w5"]), ids(&[])], "after the bypass");
    assert_eq!(ends[2], [ids(&[]), ids(&["w5"]), ids(&[])], "after the graft: one left on purpose");
    assert_eq!(ends[3], [ids(&[]), ids(&[]), ids(&[])], "after the last stage");
    assert!(demo.remarks.is_empty(), "{:?}", demo.remarks);
    for end in &demo.stages {
        for (vessel, flow) in &end.vessels {
            assert!(matches!(flow, Flow::Flows(_)), "{vessel} at the end of stage {}", end.stage);
        }
    }
}

// What is left out is taken from the case itself, and what the plan says of it must be what then holds.
#[test]
fn each_omission_names_what_still_flows() {
    let whole = demo(|_| ());
    let components = |value: &mut Value, id: &str| {
        value["components"].as_array_mut().unwrap().retain(|component| component["id"] != id);
        value["rules"].as_array_mut().unwrap().retain(|rule| rule["of"] != id);
        // Its steps, and those on its tunnels, go with it.
        value["procedure"]["steps"] = json!([]);
        for way in value["anatomy"]["ways"].as_array_mut().unwrap() {
            way["closed_by"].as_array_mut().unwrap().retain(|closer| closer != id);
        }
    };
    let expected: [(&str, &str, &[&str]); 4] = [
        ("arch graft arch", "arch", &["w1", "w2"]),
        ("extension ext", "ext", &["w4"]),
        ("extension ext2", "ext2", &["w5"]),
        ("plug plug1 in the LSA", "plug1", &["w3"]),
    ];
    for (act, id, wanted) in expected {
        let said = whole.left_out.iter().find(|own| own.act == act).unwrap();
        assert_eq!(said.flows, ids(wanted), "{act}");
        let without = demo(|value| components(value, id));
        let end = without.stages.last().unwrap();
        let flows: Vec<String> =
            end.ways.iter().filter(|way| matches!(way.flow, Flow::Flows(_))).map(|way| way.id.clone()).collect();
        assert_eq!(flows, ids(wanted), "the case without {act}");
    }
    for tunnel in ["IA bridged through t1", "LCCA bridged through t2"] {
        let said = whole.left_out.iter().find(|own| own.act == tunnel).unwrap();
        assert_eq!(said.flows, ids(&["w1"]), "an open mouth fills the space: {tunnel}");
    }
    // The bypass closes no way; without it the vessel that the mammary graft hangs on has no blood.
    let bypass = whole.left_out.iter().find(|own| own.act == "LCCA–LSA bypass").unwrap();
    assert_eq!((&bypass.flows, &bypass.unfed), (&ids(&[]), &ids(&["LSA"])));
    assert_eq!(whole.left_out.len(), 7, "every act of the plan");
}

#[test]
fn what_is_not_known_is_never_closed() {
    let unsized_way = demo(|value| value["anatomy"]["ways"][3]["along_mm"] = Value::Null);
    assert_eq!(remaining(&unsized_way), [ids(&[]), ids(&[]), ids(&["w4"])]);
    let unplaced = demo(|value| value["anatomy"]["ways"][2]["at_mm"] = Value::Null);
    assert_eq!(remaining(&unplaced)[2], ids(&["w3"]));
    let plug = demo(|value| value["components"][3]["length_mm"] = Value::Null);
    assert_eq!(remaining(&plug)[2], ids(&["w3"]));
    let hand = demo(|value| value["clock"]["three_oclock_is"] = Value::Null);
    let [flows, _, unknown] = remaining(&hand);
    assert!(
        flows.is_empty() && unknown.contains(&"w1".into()) && unknown.contains(&"w2".into()),
        "{flows:?} {unknown:?}"
    );
}

#[test]
fn a_narrow_or_short_plug_and_a_vessel_of_the_false_lumen_stay_open() {
    let narrow = demo(|value| value["components"][3]["diameter_mm"] = json!(9));
    assert_eq!(remaining(&narrow)[2], ids(&["w3"]));
    let short = demo(|value| value["components"][3]["length_mm"] = json!(8));
    assert_eq!(remaining(&short)[0], ids(&["w3"]));
    assert!(short.remarks.iter().any(|said| said.contains("w3")), "{:?}", short.remarks);
    // Nobody entered a way in the IA, yet it is said to be fed from the false lumen.
    let fed = demo(|value| value["anatomy"]["vessels"][0]["fed_from"] = json!("both"));
    assert!(fed.ways.iter().any(|way| way.id == "IA" && way.implied));
    assert!(fed.stages[0].remaining()[0].contains(&"IA".into()));
    assert_eq!(remaining(&fed), [ids(&[]), ids(&[]), ids(&[])], "its stent closes it");
}

#[test]
fn a_waist_wider_than_the_true_lumen_is_said() {
    assert!(demo(|_| ()).waists.is_empty());
    let wide = demo(|value| value["anatomy"]["true_lumen"][0]["diameter_mm"] = json!(25.9));
    let at: Vec<f64> = wide.waists.iter().map(|waist| waist.station_mm).collect();
    assert!(at.contains(&75.0), "{at:?}");
    assert!(wide.remarks.iter().any(|said| said.contains("no space between graft and wall")));
}

#[test]
fn surgery_says_what_it_changes() {
    let surgery = |bypass: Value| {
        demo(|value| {
            value["anatomy"]["bypasses"] = json!([bypass]);
            value["anatomy"]["vessels"][2]["vertebral_is"] = json!("dominant");
        })
    };
    let bypass = surgery(json!({ "from": "LCCA", "to": "LSA", "kind": "bypass", "stage": 1 }));
    let own = &bypass.surgeries[0];
    // From the downstream edge of the LCCA's ostium to that of the LSA, both along the wall at their clock.
    assert!((own.gained_mm.unwrap() - 19.2).abs() < 0.1, "{:?}", own.gained_mm);
    assert!(own.landing.contains("zone 2") && own.feed.contains("mammary graft"), "{own:?}");
    assert!(bypass.minded.iter().any(|said| said.contains("dominant vertebral")), "{:?}", bypass.minded);
    // Cut upstream of the way, without a plug: what lies beyond fills backwards and reaches it.
    let cut = |at: Value| {
        demo(|value| {
            value["anatomy"]["bypasses"] =
                json!([{ "from": "LCCA", "to": "LSA", "kind": "transposition", "stage": 1, "at_mm": at }]);
            value["anatomy"]["ways"][2]["closed_by"] = json!([]);
            value["components"].as_array_mut().unwrap().retain(|component| component["id"] != "plug1");
            value["procedure"]["steps"].as_array_mut().unwrap().retain(|step| step["on"] != "plug1");
        })
    };
    assert_eq!(remaining(&cut(json!(2))), [ids(&["w3"]), ids(&[]), ids(&[])]);
    assert_eq!(remaining(&cut(json!(20))), [ids(&[]), ids(&[]), ids(&[])], "cut beyond it");
    assert_eq!(remaining(&cut(Value::Null))[2], ids(&["w3"]), "nobody said where it is cut");
    // An interposed graft is healthy wall from its beginning on.
    let graft = surgery(json!({ "from": "LSA", "to": "LSA", "kind": "interposition", "stage": 1, "at_mm": 5 }));
    let lsa = graft.vessels.iter().find(|vessel| vessel.id == "LSA").unwrap();
    assert_eq!(lsa.landing.as_ref().unwrap().from_mm, 5.0);
}

// ---------------------------------------------------------------- random anatomies

fn outside() -> impl Strategy<Value = Outside> {
    prop_oneof![
        Just(Outside::Blood),
        (0..3_usize).prop_map(Outside::Space),
        (0..3_usize).prop_map(Outside::Both),
        Just(Outside::Shut),
        (0..3_usize).prop_map(|space| Outside::Unknown(Some(space), "why".into())),
    ]
}

fn stretch() -> impl Strategy<Value = (f64, f64)> {
    (0..40_u32, 0..15_u32).prop_map(|(from, length)| (f64::from(from), f64::from(from + length)))
}

fn run(index: usize) -> impl Strategy<Value = Run> {
    let blocks = prop::collection::vec(stretch().prop_map(|(a, b)| ("block".to_owned(), a, b)), 0..3);
    let stent = prop::option::of((1..40_u32).prop_map(|reach| ("stent".to_owned(), f64::from(reach))));
    let replaced = prop::option::of((0..40_u32).prop_map(|at| ("graft".to_owned(), f64::from(at))));
    let doubt = prop::option::weighted(0.1, Just("why".to_owned()));
    (outside(), any::<bool>(), stent, blocks, replaced, doubt).prop_map(
        move |(outside, from_false, stent, blocks, replaced, doubt)| Run {
            id: format!("v{index}"),
            origin: Origin::Wall { outside, from_true: true, from_false },
            stent,
            blocks,
            replaced,
            doubt,
        },
    )
}

fn works() -> impl Strategy<Value = Works> {
    let leaks = prop::collection::vec((Just("leak".to_owned()), prop::option::of(Just("why".to_owned()))), 0..3);
    let spaces = prop::collection::vec(leaks.prop_map(|leaks| Space { leaks }), 3);
    let vessels = (run(0), run(1), run(2)).prop_map(|(a, b, c)| vec![a, b, c]);
    let lies = prop_oneof![
        outside().prop_map(Lies::Aorta),
        (0..3_usize, stretch()).prop_map(|(vessel, (a, b))| Lies::Vessel(vessel, a, b)),
    ];
    (spaces, vessels, prop::collection::vec(lies, 1..6)).prop_map(|(spaces, vessels, ways)| Works {
        spaces,
        vessels,
        bypasses: vec![("bypass".into(), 0, 1)],
        ways: ways
            .into_iter()
            .enumerate()
            .map(|(index, lies)| Opening { id: format!("w{index}"), lies, doubt: None })
            .collect(),
    })
}

/// Shuts one thing: a leak, an opening of the wall, a stretch of a vessel.
fn closed(works: &Works, which: usize, at: (f64, f64)) -> Works {
    let mut works = works.clone();
    let place = which / 4;
    match which % 4 {
        0 => {
            let space = place % works.spaces.len();
            works.spaces[space].leaks.pop();
        }
        1 => {
            let way = place % works.ways.len();
            match &mut works.ways[way].lies {
                Lies::Aorta(outside) => *outside = Outside::Shut,
                Lies::Vessel(vessel, from, to) => works.vessels[*vessel].blocks.push(("plug".into(), *from, *to)),
                Lies::Unknown(_) => {}
            }
        }
        2 => {
            let vessel = place % works.vessels.len();
            if let Origin::Wall { outside, .. } = &mut works.vessels[vessel].origin {
                *outside = Outside::Shut;
            }
        }
        _ => {
            let vessel = place % works.vessels.len();
            works.vessels[vessel].blocks.push(("plug".into(), at.0, at.1));
        }
    }
    works
}

fn rank(flow: &Flow) -> u8 {
    match flow {
        Flow::Shut => 0,
        Flow::Unknown(_) => 1,
        Flow::Flows(_) => 2,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn closing_never_adds_flow(works in works(), which in 0..40_usize, at in stretch()) {
        let before = works.flows().unwrap();
        let after = closed(&works, which, at).flows().unwrap();
        for (old, new) in before.ways.iter().zip(&after.ways) {
            prop_assert!(rank(&new.1) <= rank(&old.1), "{old:?} becomes {new:?}");
        }
    }
}
