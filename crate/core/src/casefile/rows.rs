//! Rows of tables that are added or taken away, so that the rest still fits: a graft's, the lists of
//! the sheets, the stents that were put in.
//!
//! A list is named by its JSON pointer (`/components/0/graft/tunnels`); the answer is the whole list as
//! it would be. What is not known of a new row is left unknown, and what its table asks for is a
//! place to start from, not a proposal. Sections stay without gaps: a new one is the second half of
//! the last, and the neighbour of one that goes fills its place.

use super::case::{Case, Component, Graft};
use super::lists;
use crate::casefile::json::value_of;
use serde_json::{Value, json};

/// Size that a new opening starts with, mm.
const START_MM: f64 = 8.0;

/// The list with one more row; `None` where there is no such list, or nothing a row could serve. A
/// maker's steps, of which a graft has one pair, begin at 1 mm and a quarter of an hour. A list of the
/// sheets that is empty begins with the program's own lines.
pub fn added(case: &Case, list: &str) -> Option<Value> {
    if let Some(mut rows) = of_case(case, list) {
        match (list, rows.is_empty()) {
            (STENTS, _) => rows.push(json!({ "serves": case.anatomy.vessels.first()?.id })),
            (KIT, true) => return Some(value_of(&lists::kit(case))),
            (_, true) => return Some(value_of(&lists::checklist(case))),
            (_, false) => rows.push(json!({ "text": "", "source": "" })),
        }
        return Some(Value::Array(rows));
    }
    let (graft, name) = find(case, list)?;
    if name == "maker_steps" {
        return Some(json!({ "u_mm": 1, "clock_deg": 7.5 }));
    }
    let mut rows = rows(graft, name)?;
    let middle = (graft.length_mm / 2.0).round();
    let serves = unserved(case);
    let row = match name {
        "sections" => {
            let last = graft.sections.last()?;
            let half = (last.from_u_mm + last.to_u_mm) / 2.0;
            let wide = (last.from_diameter_mm + last.to_diameter_mm) / 2.0;
            let first = rows.last_mut()?;
            let mut second = first.clone();
            first["to_u_mm"] = json!(half);
            first["to_diameter_mm"] = json!(wide);
            second["from_u_mm"] = json!(half);
            second["from_diameter_mm"] = json!(wide);
            second
        }
        "tunnels" => json!({
            "id": free_id(case, "t"), "serves": serves?, "flow": "antegrade",
            "mouth_u_mm": middle, "mouth_clock_deg": 0
        }),
        "fenestrations" => json!({
            "id": free_id(case, "f"), "serves": serves?, "u_mm": middle, "clock_deg": 0,
            "along_mm": START_MM, "across_mm": START_MM
        }),
        "scallops" => json!({
            "id": free_id(case, "s"), "serves": serves?, "clock_deg": 0, "width_mm": START_MM, "depth_mm": START_MM
        }),
        "markers" => json!({ "name": "", "u_mm": 0, "clock_deg": 0 }),
        "barbs" => json!({ "from_u_mm": 0, "to_u_mm": 5.0_f64.min(graft.length_mm) }),
        _ => return None,
    };
    rows.push(row);
    Some(Value::Array(rows))
}

/// The list without one of its rows; `None` where there is no such row.
pub fn removed(case: &Case, list: &str, index: usize) -> Option<Value> {
    if let Some(mut rows) = of_case(case, list) {
        return (index < rows.len()).then(|| {
            rows.remove(index);
            Value::Array(rows)
        });
    }
    let (graft, name) = find(case, list)?;
    let mut rows = rows(graft, name)?;
    if index >= rows.len() {
        return None;
    }
    let gone = rows.remove(index);
    if name == "sections" {
        match index.checked_sub(1) {
            Some(before) => rows[before]["to_u_mm"] = gone["to_u_mm"].clone(),
            None => rows.first_mut()?["from_u_mm"] = gone["from_u_mm"].clone(),
        }
    }
    Some(Value::Array(rows))
}

const KIT: &str = "/procedure/kit";
const CHECKLIST: &str = "/procedure/checklist";
const STENTS: &str = "/done/stents";

/// The rows of a list that is no graft's; none of it yet is an empty list.
fn of_case(case: &Case, list: &str) -> Option<Vec<Value>> {
    if ![KIT, CHECKLIST, STENTS].contains(&list) {
        return None;
    }
    let rows = value_of(case).pointer_mut(list).map(Value::take);
    Some(rows.and_then(|rows| rows.as_array().cloned()).unwrap_or_default())
}

/// The graft and the name of a list in it.
fn find<'a, 'b>(case: &'a Case, list: &'b str) -> Option<(&'a Graft, &'b str)> {
    let (component, name) = list.strip_prefix("/components/")?.split_once("/graft/")?;
    let component: &Component = case.components.get(component.parse::<usize>().ok()?)?;
    Some((component.graft.as_deref()?, name))
}

fn rows(graft: &Graft, name: &str) -> Option<Vec<Value>> {
    match value_of(graft).get_mut(name).map(Value::take)? {
        Value::Array(rows) => Some(rows),
        _ => None,
    }
}

/// The first vessel that no graft serves, else the first.
fn unserved(case: &Case) -> Option<&str> {
    let grafts = || case.components.iter().filter_map(|c| c.graft.as_deref());
    let served = |id: &str| {
        grafts().any(|g| {
            g.tunnels.iter().any(|t| t.serves == id)
                || g.fenestrations.iter().any(|f| f.serves == id)
                || g.scallops.iter().any(|s| s.serves == id)
        })
    };
    let vessels = &case.anatomy.vessels;
    vessels.iter().find(|v| !served(&v.id)).or(vessels.first()).map(|v| v.id.as_str())
}

/// A name that nothing in the case has: a stem and a number.
pub fn free_id(case: &Case, stem: &str) -> String {
    let text = serde_json::to_string(case).unwrap_or_default();
    let taken = |id: &str| text.contains(&format!("\"{id}\""));
    (1..10_000).map(|n| format!("{stem}{n}")).find(|id| !taken(id)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::{Document, edit};

    fn demo() -> Case {
        let text = include_str!("../../../../demo-data/plain-arch.json");
        // Without steps: what a step is done on does not go while the step stays.
        Case { procedure: None, ..(*Document::read(text.as_bytes()).unwrap().case).clone() }
    }

    // A row of every table can be added to and taken from a case, which stays a sound one.
    #[test]
    fn rows_come_and_go() {
        for name in ["sections", "tunnels", "fenestrations", "scallops", "markers", "barbs"] {
            let list = format!("/components/0/graft/{name}");
            let case = demo();
            let more = edit::set(&case, &list, added(&case, &list).unwrap()).unwrap_or_else(|f| panic!("{name}: {f}"));
            let count = |case: &Case| rows(case.components[0].graft.as_ref().unwrap(), name).unwrap().len();
            assert_eq!(count(&more), count(&case) + 1, "{name}");
            for index in 0..count(&more) {
                let fewer = edit::set(&more, &list, removed(&more, &list, index).unwrap());
                assert_eq!(count(&fewer.unwrap_or_else(|f| panic!("{name}: {f}"))), count(&case), "{name}");
            }
            assert_eq!(removed(&more, &list, 99), None);
        }
    }

    #[test]
    fn lists_of_the_sheets_begin_with_the_program_s_own_lines() {
        for list in [KIT, CHECKLIST] {
            let case = edit::set(&demo(), list, added(&demo(), list).unwrap()).unwrap();
            let lines = of_case(&case, list).unwrap().len();
            assert!(lines > 5, "{list}");
            let more = edit::set(&case, list, added(&case, list).unwrap()).unwrap();
            assert_eq!(of_case(&more, list).unwrap().len(), lines + 1);
            let fewer = edit::set(&case, list, removed(&case, list, 0).unwrap()).unwrap();
            assert_eq!(of_case(&fewer, list).unwrap().len(), lines - 1);
            assert_eq!(removed(&case, list, 99), None);
        }
        let done = edit::set(&demo(), STENTS, added(&demo(), STENTS).unwrap()).unwrap();
        assert_eq!(done.done.unwrap().stents.len(), 1);
    }

    #[test]
    fn what_is_not_there_is_left_alone() {
        for list in ["", "/components/9/graft/tunnels", "/components/0/graft/label", "/anatomy/ostia"] {
            assert_eq!(added(&demo(), list), None, "{list}");
            assert_eq!(removed(&demo(), list, 0), None, "{list}");
        }
    }

    #[test]
    fn a_new_tunnel_serves_what_nothing_serves_and_has_its_own_name() {
        let rows = added(&demo(), "/components/0/graft/tunnels").unwrap();
        let last = rows.as_array().unwrap().last().unwrap();
        assert_eq!((last["id"].as_str(), last["serves"].as_str()), (Some("t3"), Some("LSA")));
        assert!(last.get("diameter_mm").is_none_or(Value::is_null));
    }
}
