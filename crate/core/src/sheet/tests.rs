use super::block::width_mm;
use super::*;
use crate::casefile::Document;
use crate::report::build::report;
use crate::scene::style::{Medium, TextSize};
use crate::scene::{Anchor, Item, Shape};

const SHA256: &str = "f0e1d2c3b4a5968778695a4b3c2d1e0f00112233445566778899aabbccddeeff";

fn demos() -> Vec<Plan> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data");
    let names = ["plain-arch", "dissection", "common-trunk"];
    let read = |name: &str| std::fs::read(format!("{folder}/{name}.json")).unwrap();
    names.iter().map(|name| Plan::new(Document::read(&read(name)).unwrap().case)).collect()
}

fn printed(plan: &Plan, wanted: Wanted) -> Vec<Scene> {
    let map = MapInput::from_plan(plan, None);
    let compared = [Some(Arc::new(plan.clone())), None];
    let source = Source {
        plan,
        map: &map,
        along: Along::Centreline,
        around: Around::Clock,
        sha256: SHA256,
        room: None,
        compared: &compared,
    };
    pages(&source, wanted)
}

fn texts(scene: &Scene) -> String {
    let words = scene.items.iter().filter_map(|item| match &item.shape {
        Shape::Text { words, .. } => Some(words.as_str()),
        _ => None,
    });
    words.collect::<Vec<_>>().join(" ")
}

/// Where words of the sheet's own begin and end.
fn ends(item: &Item) -> Option<[f64; 2]> {
    match &item.shape {
        Shape::Text { at, words, anchor, patch: false, .. } => {
            let wide = width_mm(item.token, words);
            let left = match anchor {
                Anchor::Start => at[0],
                Anchor::Middle => at[0] - wide / 2.0,
                Anchor::End => at[0] - wide,
            };
            Some([left, left + wide])
        }
        _ => None,
    }
}

#[test]
fn every_entry_of_the_report_is_printed_and_no_words_leave_the_margins() {
    for plan in demos() {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = printed(&plan, Wanted { paper, true_size: true, ..Wanted::default() });
            let said: Vec<String> = pages.iter().map(texts).collect();
            let said = said.join(" ");
            for entry in report(&plan, SHA256).sheet {
                assert!(said.contains(&entry.text), "{}: {:?}", entry.id, entry.text);
            }
            let room = paper.room();
            for page in &pages {
                assert_eq!([page.width_mm, page.height_mm], paper.size_mm());
                for [left, right] in page.items.iter().filter_map(ends) {
                    assert!(left >= room.left - 0.01 && right <= room.right + 0.02, "{left} {right} on {}", page.title);
                }
                assert!(texts(page).contains(message::CAUTIONS[0]), "cautions on every page");
            }
        }
    }
}

// What the wall sheet must not hold: nothing under 11 points, no hash, no page of another kind unasked.
#[test]
fn the_wall_sheet_is_first_and_readable() {
    assert!(Medium::Paper.text_mm(TextSize::Small) * 72.0 / 25.4 >= 10.999);
    for plan in demos() {
        let only = Wanted { lists: false, alternatives: false, true_size: false, ..Wanted::default() };
        let pages = printed(&plan, only);
        let wall = texts(&pages[0]);
        assert!(wall.contains("Patient's label") && wall.contains("Not to scale."), "{wall}");
        assert!(wall.contains("May go upstream:") && wall.contains("Must not go upstream beyond"));
        assert!(!wall.contains(&SHA256[..8]) && wall.contains(&code(SHA256)));
        assert!(!pages.iter().any(|page| texts(page).contains("Checklist")));
        assert!(!pages.iter().any(|page| texts(page).contains("measure both bars")));
    }
}

#[test]
fn unmet_and_unknown_rules_are_named_across_the_head() {
    let plan = demos().remove(2);
    let wall = texts(&printed(&plan, Wanted::default())[0]);
    assert!(wall.contains("Unmet: edge clearance (LCCA, LSA); proximal oversize (arch graft)"), "{wall}");
    assert!(wall.contains("Unknown: bend over limit (IA, LCCA, LSA)"), "{wall}");
}

#[test]
fn alternatives_stand_on_one_page() {
    let plan = demos().remove(0);
    let mut case = (*plan.case).clone().with_new_alternative("further down");
    case.alternatives[0].changes = serde_json::json!({ "diagnosis": "another" });
    let plan = plan.follow(Arc::new(case));
    let pages = printed(&plan, Wanted::default());
    let page: Vec<&Scene> = pages.iter().filter(|page| texts(page).contains("side by side")).collect();
    let [page] = page.as_slice() else { panic!("one page") };
    assert!(texts(page).contains("further down") && texts(page).contains("Diagnosis:"), "{}", texts(page));
    assert!(texts(page).contains("not computed"), "what is not there is said");
}

// The record of a landing 3 mm downstream of where the edge was planned, held at its own edge.
#[test]
fn what_was_done_is_told_from_the_plan() {
    let plan = demos().remove(0);
    let planned = plan.grafts[0].placement.station_mm;
    let mut case = (*plan.case).clone();
    let done = serde_json::json!({ "landing_station_mm": planned + 3.0, "turn_deg": -12,
        "stents": [{ "serves": "IA", "length_mm": 60, "diameter_mm": 14 }] });
    case.done = serde_json::from_value(done).unwrap();
    let plan = plan.follow(Arc::new(case));
    let record = crate::report::record::record(&plan).unwrap();
    assert!(record.landings.len() == plan.possibilities().len());
    for landing in &record.landings {
        assert!((landing.difference_mm.unwrap() - 3.0).abs() < 0.01, "{landing:?}");
    }
    let said = crate::report::record::lines(&record);
    assert_eq!(said[0].1, format!("{}: +3.0 mm from the plan (+ downstream)", words::mm(planned + 3.0)));
    assert_eq!(said[1].1, "12° to the back-right");
    assert_eq!(said[2].1, "60 × 14 mm; planned 80 × 14 mm");
}

#[test]
fn a_code_tells_states_apart_and_reads_as_no_hash() {
    let other = SHA256.replace('f', "e");
    assert_ne!(code(SHA256), code(&other));
    assert_eq!(code(SHA256).len(), 7);
    assert_eq!(code(""), "000-000");
}
