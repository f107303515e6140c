//! Tables of the anatomy: what is typed in them comes into the case, and what is in a case stands in
//! them. Sources: the field table and the demo cases; the two typed-by-two test needs none, it holds
//! the program against itself.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::anatomy::Anatomy;
use extrados::casefile::case::{LumenKind, LumenSection};
use extrados::casefile::{Case, Document};
use extrados::entry::table::{Applied, Table, Written, lists};
use extrados::entry::tables::{self, TABLES};
use extrados::plan::Plan;
use extrados::report::build;
use extrados::units::ThreeOClock;
use serde_json::Value;
use std::sync::Arc;

fn demo(name: &str) -> Case {
    let file = format!("{}/../../demo-data/{name}.json", env!("CARGO_MANIFEST_DIR"));
    (*Document::read(&std::fs::read(file).unwrap()).unwrap().case).clone()
}

fn table(name: &str) -> &'static Table {
    tables::named(name).unwrap()
}

fn cells(table: &Table, letters: &[(&str, &str)]) -> Vec<(usize, String)> {
    letters.iter().map(|(key, letters)| (table.column(key).unwrap(), (*letters).to_owned())).collect()
}

fn new_row(case: &Case, name: &str, letters: &[(&str, &str)]) -> Result<Applied, String> {
    let table = table(name);
    let written = [Written { row: None, cells: cells(table, letters) }];
    table.apply(case, &written).map_err(|faults| faults.iter().map(|(_, fault)| fault.text.clone() + " ").collect())
}

fn cell(case: &Case, name: &str, row: usize, key: &str, letters: &str) -> Result<Applied, String> {
    let table = table(name);
    let written = [Written { row: Some(row), cells: cells(table, &[(key, letters)]) }];
    table.apply(case, &written).map_err(|faults| faults[0].1.text.clone())
}

fn shown(case: &Case, name: &str) -> Vec<Vec<String>> {
    let table = table(name);
    let rows = table.rows(&lists(case));
    let letters = |row| (0..table.columns.len()).map(|c| table.letters(row, c, case.clock.three_oclock_is)).collect();
    rows.iter().map(letters).collect()
}

#[test]
fn every_column_has_a_field_with_help() {
    for table in TABLES {
        for column in table.columns {
            let field = column.field().unwrap_or_else(|| panic!("{} {}", table.name, column.key));
            assert!(field.help.ends_with('.') && !field.label.is_empty() && !column.head.is_empty());
        }
        for key in table.needs.iter().flat_map(|group| *group).filter(|key| **key != "radii_mm") {
            assert!(table.column(key).is_some(), "{} needs {key}", table.name);
        }
    }
}

// Opening and closing every table of every demo leaves the case as it was.
#[test]
fn a_table_that_is_not_written_in_changes_nothing() {
    for name in ["plain-arch", "steep-arch", "common-trunk", "dissection"] {
        let case = demo(name);
        for table in TABLES {
            let applied = table.apply(&case, &[]).unwrap();
            assert_eq!(applied.case, case, "{name} {}", table.name);
            assert!(Arc::ptr_eq(&applied.case.anatomy, &case.anatomy), "what did not change is shared");
            assert!(applied.moved.iter().enumerate().all(|(was, now)| *now == Some(was)));
        }
    }
}

#[test]
fn diameters_stand_in_the_column_that_says_how_they_were_measured() {
    let case = new_row(&Case::default(), "lumen", &[("station_mm", "40"), ("area_mm", "33,5")]).unwrap().case;
    let applied = new_row(&case, "lumen", &[("station_mm", "0"), ("largest_mm", "36"), ("smallest_mm", "33")]).unwrap();
    assert_eq!((applied.at.clone(), applied.moved.clone()), (vec![0], vec![Some(1)]), "rows keep their order");
    let case = new_row(&applied.case, "lumen", &[("station_mm", "40"), ("inscribed_mm", "32")]).unwrap();
    assert_eq!(case.at, [1], "a second measurement at a station joins its row");
    assert_eq!(
        case.case.anatomy.lumen,
        [
            LumenSection {
                station_mm: 0.0,
                kind: LumenKind::MaxMin { largest_mm: 36.0, smallest_mm: 33.0, largest_clock_deg: None }
            },
            LumenSection { station_mm: 40.0, kind: LumenKind::Area { diameter_mm: 33.5 } },
            LumenSection { station_mm: 40.0, kind: LumenKind::Inscribed { diameter_mm: 32.0 } },
        ]
    );
    assert_eq!(shown(&case.case, "lumen")[1], ["40", "33.5", "", "", "", "32"]);
    let moved = cell(&case.case, "lumen", 0, "station_mm", "50").unwrap();
    assert_eq!((moved.at, moved.moved), (vec![1], vec![Some(1), Some(0)]));
    assert!(cell(&case.case, "lumen", 0, "smallest_mm", "").unwrap_err().contains("Smallest"));
    assert!(cell(&case.case, "lumen", 0, "smallest_mm", "37").unwrap_err().contains("larger than the largest"));
    assert!(cell(&case.case, "lumen", 1, "area_mm", "").is_ok());
    let lacking = new_row(&case.case, "lumen", &[("station_mm", "70")]).unwrap_err();
    assert!(lacking.contains("Still missing: area-derived diameter or largest diameter or inscribed"), "{lacking}");
    let twice = new_row(&case.case, "lumen", &[("station_mm", "40"), ("area_mm", "34")]).unwrap_err();
    assert!(twice.contains("given twice"), "{twice}");
}

#[test]
fn contours_of_a_file_stay_in_their_rows() {
    let mut case = Case::default();
    let kind = LumenKind::Contour { radii_mm: vec![17.0; 12] };
    Arc::make_mut(&mut case.anatomy).lumen = vec![LumenSection { station_mm: 10.0, kind: kind.clone() }];
    let case = cell(&case, "lumen", 0, "station_mm", "12").unwrap().case;
    assert_eq!(case.anatomy.lumen, [LumenSection { station_mm: 12.0, kind }]);
}

#[test]
fn ostia_bring_their_vessels() {
    let case =
        new_row(&Case::default(), "ostia", &[("vessels", "IA, LCCA"), ("station_mm", "60"), ("clock_deg", "12:30")]);
    let case = case.unwrap().case;
    let case = new_row(&case, "ostia", &[("vessels", "LSA"), ("station_mm", "90")]).unwrap().case;
    let from: Vec<_> = case.anatomy.vessels.iter().map(|v| (v.id.as_str(), v.from.as_str())).collect();
    assert_eq!(from, [("IA", "o1"), ("LCCA", "o1"), ("LSA", "o2")]);
    assert_eq!(shown(&case, "ostia")[0], ["IA, LCCA", "", "60", "", "12:30", "", ""]);
    let case = cell(&case, "ostia", 0, "vessels", "IA").unwrap().case;
    assert_eq!(case.anatomy.vessels.len(), 2, "a vessel that is named no more goes");
    let case = cell(&case, "vessels", 0, "d20", "11").unwrap().case;
    let case = cell(&case, "vessels", 0, "d0", "12,5").unwrap().case;
    let case = cell(&case, "hanging", 0, "carries", "right carotid, right vert").unwrap().case;
    let ia = &case.anatomy.vessels[0];
    let diameters: Vec<_> = ia.diameters.iter().map(|d| (d.at_mm, d.diameter_mm)).collect();
    assert_eq!((diameters, ia.carries.len()), (vec![(0.0, 12.5), (20.0, 11.0)], 2));
    let case = table("ostia").remove(&case, 0).unwrap();
    assert_eq!(case.moved, [None, Some(0)]);
    assert_eq!(case.case.anatomy.vessels.len(), 1);
    assert!(new_row(&case.case, "vessels", &[("id", "LV"), ("from", "o9")]).unwrap_err().contains("\"o9\""));
}

#[test]
fn a_bad_cell_and_a_bad_row_change_nothing_and_say_why() {
    let case = demo("plain-arch");
    assert!(cell(&case, "ostia", 0, "clock_deg", "noon").unwrap_err().contains("12:30"));
    assert!(cell(&case, "ostia", 0, "station_mm", "7000").unwrap_err().contains("-100 to 1000 mm"));
    assert!(cell(&case, "ostia", 0, "vessels", "").unwrap_err().contains("Still missing: vessels"));
    let served = table("ostia").remove(&case, 0).unwrap_err();
    assert!(served.contains("called"), "a tunnel serves its vessel: {served}");
    assert!(table("ostia").remove(&case, 99).is_err());
    let both = [("vessels", "X"), ("station_mm", "60"), ("upstream_mm", "50"), ("clock_deg", "15"), ("along_mm", "9")];
    assert!(new_row(&case, "ostia", &both).unwrap_err().contains("not several"));
}

#[test]
fn a_block_from_a_spreadsheet_is_cells() {
    let lumen = table("lumen");
    let block = lumen.block(0, "Station\tArea\r\n0\t34\r\n\"10,5\"\t33\r\n\r\n").unwrap();
    let cells = |a: &str, b: &str| vec![(0, a.to_owned()), (1, b.to_owned())];
    assert_eq!(block, [cells("0", "34"), cells("10,5", "33")]);
    assert!(lumen.block(3, "1\t2\t3\t4").unwrap_err().contains("4 columns wide"));
    assert!(lumen.block(0, &"1\t2\n".repeat(501)).unwrap_err().contains("500"));
    assert_eq!(lumen.block(0, "").unwrap().len(), 0);
    // Whatever is pasted, nothing panics.
    for text in ["\t\t\t", "\n\n", "\u{0}", "a\tb\nc", "\"\t\""] {
        let _ = lumen.block(0, text);
        let _ = lumen.block(99, text);
    }
}

#[test]
fn an_edge_that_was_typed_is_where_the_edge_lies() {
    let case = demo("plain-arch");
    let stretch = |case: &Case, k: usize| {
        let anatomy = Anatomy::measure(&Arc::new(case.clone())).unwrap();
        let id = &case.anatomy.ostia[k].id;
        anatomy.ostia.iter().find(|o| o.id == *id).unwrap().edges_mm.clone().unwrap()
    };
    let (up, down) = stretch(&case, 1);
    let typed = cell(&case, "ostia", 1, "upstream_mm", &format!("{}", up + 4.0)).unwrap().case;
    assert!((stretch(&typed, 1).0 - up - 4.0).abs() < 1e-5);
    let back = cell(&typed, "ostia", 1, "downstream_mm", &format!("{down}")).unwrap().case;
    assert!((back.anatomy.ostia[1].station_mm - case.anatomy.ostia[1].station_mm).abs() < 1e-5);
    let mut asked = case.clone();
    asked.clock.three_oclock_is = None;
    let why = cell(&asked, "ostia", 1, "upstream_mm", "60").unwrap_err();
    assert!(why.contains("cannot be found from the edge yet") && why.contains("3:00"), "{why}");
}

/// A sheet of paper: vessels, station of the centre, clock in minutes of the front-left hand, sizes.
const PAPER: [(&str, f64, i32, f64, f64); 3] =
    [("IA", 62.0, 24, 14.0, 13.0), ("LCCA", 78.0, 6, 9.0, 8.0), ("LSA", 96.0, -18, 11.0, 10.0)];

/// The report of the sheet as it is typed: in a hand of the clock, hours or degrees, edges or centres.
fn typed(hand: ThreeOClock, hours: bool, edges: Option<&[(f64, f64)]>, asked_first: bool) -> (Case, Value) {
    let mut case = demo("plain-arch");
    let anatomy = Arc::make_mut(&mut case.anatomy);
    anatomy.bypasses.clear();
    case.components.truncate(1);
    case.procedure = None;
    for list in [&mut anatomy.ways as &mut dyn Clear, &mut anatomy.ostia, &mut anatomy.vessels, &mut anatomy.keep_clear]
    {
        list.empty();
    }
    anatomy.lumen.clear();
    case.clock.three_oclock_is = asked_first.then_some(hand);
    for (station, diameter) in [("-20", "36"), ("30", "34,5"), ("80", "33"), ("150", "30")] {
        case = new_row(&case, "lumen", &[("station_mm", station), ("area_mm", diameter)]).unwrap().case;
    }
    let clock = |minutes: i32| {
        let minutes = if hand == ThreeOClock::FrontLeft { minutes } else { -minutes };
        match hours {
            true => format!("{}:{:02}", (minutes.rem_euclid(720) / 60 + 11) % 12 + 1, minutes.rem_euclid(60)),
            false => format!("{}°", f64::from(minutes) / 2.0).replace('.', ","),
        }
    };
    let ostia = table("ostia");
    let rows = PAPER.iter().enumerate().map(|(k, (vessels, station, minutes, along, across))| {
        let place = match edges {
            None => ("station_mm", format!("{station}")),
            Some(edges) if k % 2 == 0 => ("upstream_mm", format!("{}", edges[k].0)),
            Some(edges) => ("downstream_mm", format!("{}", edges[k].1)),
        };
        let letters = [
            ("vessels", (*vessels).to_owned()),
            place,
            ("clock_deg", clock(*minutes)),
            ("along_mm", format!("{along} mm")),
            ("across_mm", format!("{across}")),
        ];
        Written { row: None, cells: letters.map(|(key, letters)| (ostia.column(key).unwrap(), letters)).to_vec() }
    });
    case = ostia.apply(&case, &rows.collect::<Vec<_>>()).unwrap().case;
    let lean = if hand == ThreeOClock::FrontLeft { "8" } else { "−8" };
    for row in 0..3 {
        case = cell(&case, "vessels", row, "takeoff_deg", "75").unwrap().case;
        case = cell(&case, "vessels", row, "lean_deg", lean).unwrap().case;
    }
    case = new_row(
        &case,
        "keep_clear",
        &[("kind", "coronary"), ("side", "left"), ("station_mm", "-12"), ("clock_deg", &clock(60)), ("radius_mm", "2")],
    )
    .unwrap()
    .case;
    if !asked_first {
        // The graft was placed in the program's own hand; only the sheet's numbers wait for the answer.
        let components = case.components.clone();
        case = case.with_hand(hand);
        case.components = components;
    }
    let plan = Plan::new(Arc::new(case.clone()));
    (case, serde_json::to_value(build::report(&plan, "")).unwrap())
}

trait Clear {
    fn empty(&mut self);
}
impl<T> Clear for Vec<T> {
    fn empty(&mut self) {
        self.clear();
    }
}

/// Everything that differs between two reports by more than a hundred-thousandth. A clock in words
/// shows its hours in the sheet's own hand, but always the same side.
fn differences(a: &Value, b: &Value, place: &str, found: &mut Vec<String>) {
    match (a, b) {
        (Value::Object(a), Value::Object(b)) => {
            for key in a.keys().chain(b.keys()).filter(|key| !matches!(key.as_str(), "sheet" | "case_sha256")) {
                let (a, b) = (a.get(key).unwrap_or(&Value::Null), b.get(key).unwrap_or(&Value::Null));
                differences(a, b, &format!("{place}/{key}"), found);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (k, (a, b)) in a.iter().zip(b).enumerate() {
                differences(a, b, &format!("{place}/{k}"), found);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            if (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() > 1e-5 {
                found.push(format!("{place}: {a} {b}"));
            }
        }
        (Value::String(a), Value::String(b)) if place.ends_with("/clock") => {
            let side = |text: &str| text.split_once(' ').map(|(_, side)| side.to_owned());
            if side(a).is_none() || side(a) != side(b) {
                found.push(format!("{place}: {a} {b}"));
            }
        }
        _ if a == b => {}
        _ => found.push(format!("{place}: {a} {b}")),
    }
}

// The two typed-by-two test: one paper sheet in both hands, in hours and degrees, in edges and
// centres, with the hand answered first or last, gives one report.
#[test]
fn a_sheet_gives_the_same_report_however_it_is_typed() {
    let (case, report) = typed(ThreeOClock::FrontLeft, true, None, true);
    assert!(
        report["tunnels"].as_array().is_some_and(|tunnels| tunnels.iter().any(|t| t["edge_clearance_mm"].is_number()))
    );
    let anatomy = Anatomy::measure(&Arc::new(case)).unwrap();
    let edges: Vec<(f64, f64)> = anatomy.ostia.iter().map(|o| o.edges_mm.clone().unwrap()).collect();
    for hand in [ThreeOClock::FrontLeft, ThreeOClock::BackRight] {
        for hours in [true, false] {
            for (edges, asked_first) in [(None, true), (None, false), (Some(&edges[..]), true)] {
                let (_, other) = typed(hand, hours, edges, asked_first);
                let mut found = Vec::new();
                differences(&report, &other, "", &mut found);
                assert_eq!(
                    found.iter().take(6).collect::<Vec<_>>(),
                    Vec::<&String>::new(),
                    "{hand:?} {hours} {} {asked_first}",
                    edges.is_some()
                );
            }
        }
    }
}
