//! What one part of a file asks of another: order, stretches, limits, and, in [`references`], where ids lead.
//!
//! Works on values, whether or not each fits its shape, so that a file's faults all come at once:
//! what is missing or of the wrong kind is passed over here and named by [`super::check`].

mod references;

use super::fields::anatomy::MOST_POINTS;
use super::measured::SheetArch;
use super::sheet_arch;
use crate::fault::{Fault, Faults};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Sections of a graft count as touching within this, mm: one thousandth of what anyone measures.
const TOUCHING_MM: f64 = 1e-3;

/// Everything in a case in which one part does not fit another.
pub fn case(value: &Value) -> Faults {
    let mut look = Look::default();
    look.anatomy_order(value);
    references::case(value, &mut look.faults);
    for (index, component) in items(value, &["components"]).iter().enumerate() {
        if let Some(graft) = component.get("graft") {
            look.graft(graft, &format!("/components/{index}/graft"));
        }
    }
    look.rules(value, "");
    for (index, set) in items(value, &["rule_sets"]).iter().enumerate() {
        look.rules(set, &format!("/rule_sets/{index}"));
    }
    for limit in ["primary_limit_deg", "secondary_limit_deg"] {
        if let [low, high] = items(value, &["carm", limit])
            && low.as_f64() >= high.as_f64()
        {
            look.fault(
                "empty_stretch",
                format!("/carm/{limit}"),
                "The lower limit is not below the upper one.",
                "Write the lower limit first.",
            );
        }
    }
    look.faults
}

/// Everything in a graft file in which one part does not fit another.
pub fn graft(value: &Value) -> Faults {
    let mut look = Look::default();
    references::graft(value, &mut look.faults);
    look.graft(value, "");
    look.faults
}

/// Everything in a rule file in which one part does not fit another.
pub fn rules(value: &Value) -> Faults {
    let mut look = Look::default();
    references::rules(value, &mut look.faults);
    look.rules(value, "");
    look.faults
}

#[derive(Default)]
struct Look {
    faults: Faults,
}

impl Look {
    fn fault(&mut self, code: &str, place: String, text: impl Into<String>, mend: impl Into<String>) {
        self.faults.add(Fault::new(code, place, text, mend));
    }

    fn anatomy_order(&mut self, case: &Value) {
        let Some(anatomy) = case.get("anatomy") else { return };
        if anatomy.get("centreline").is_some_and(Value::is_object)
            && anatomy.get("sheet_arch").is_some_and(Value::is_object)
        {
            self.fault(
                "two_arches",
                "/anatomy".into(),
                "Both a centreline and an arch from a measuring sheet are given.",
                "Keep the centreline and set \"sheet_arch\" to null, or the other way round.",
            );
        }
        let points = items(anatomy, &["centreline", "points_lps_mm"]);
        if anatomy.get("centreline").is_some_and(Value::is_object) && points.len() <= MOST_POINTS {
            let distinct: BTreeSet<Vec<u64>> = points.iter().map(point_bits).collect();
            if distinct.len() < 5 {
                self.fault(
                    "too_few_points",
                    "/anatomy/centreline/points_lps_mm".into(),
                    format!("The centreline has {} distinct points; it needs at least 5.", distinct.len()),
                    "Give points about every millimetre along the aorta.",
                );
            }
        }
        let mut last: BTreeMap<&str, f64> = BTreeMap::new();
        for (index, section) in items(anatomy, &["lumen"]).iter().enumerate() {
            let place = format!("/anatomy/lumen/{index}");
            if let (Some(kind), Some(station)) = (text(section, "kind"), number(section, "station_mm"))
                && let Some(before) = last.insert(kind, station)
            {
                self.grows("station_mm", before, station, &place);
            }
            if let (Some(largest), Some(smallest)) = (number(section, "largest_mm"), number(section, "smallest_mm"))
                && smallest > largest
            {
                self.fault(
                    "smallest_above_largest",
                    format!("{place}/smallest_mm"),
                    format!("The smallest diameter, {smallest} mm, is larger than the largest, {largest} mm."),
                    "Swap the two.",
                );
            }
            let radii = items(section, &["radii_mm"]).len();
            if (2..8).contains(&radii) {
                self.fault(
                    "too_few_radii",
                    format!("{place}/radii_mm"),
                    format!("A contour of {radii} radii does not say where the wall runs."),
                    "Give one radius for a circle, or at least 8 evenly spaced ones.",
                );
            }
        }
        self.all_grow(items(anatomy, &["true_lumen"]), "station_mm", "/anatomy/true_lumen");
        for (index, section) in items(anatomy, &["true_lumen"]).iter().enumerate() {
            if let (Some(own), Some(whole)) = (number(section, "diameter_mm"), number(section, "whole_diameter_mm"))
                && own > whole
            {
                self.fault(
                    "part_above_whole",
                    format!("/anatomy/true_lumen/{index}/diameter_mm"),
                    format!("The true lumen, {own} mm, is wider than the whole aorta, {whole} mm."),
                    "Correct one of the two.",
                );
            }
        }
        for (index, vessel) in items(anatomy, &["vessels"]).iter().enumerate() {
            self.all_grow(items(vessel, &["diameters"]), "at_mm", &format!("/anatomy/vessels/{index}/diameters"));
        }
        for (index, stretch) in items(anatomy, &["wall"]).iter().enumerate() {
            self.stretch(stretch, "from_station_mm", "to_station_mm", &format!("/anatomy/wall/{index}"));
        }
        if let Some(Ok(sheet)) = anatomy.get("sheet_arch").map(SheetArch::deserialize) {
            sheet_arch::faults(&sheet).into_iter().for_each(|fault| self.faults.add(fault));
        }
        for name in ["lesion", "sheet_arch"] {
            if let Some(stretch) = anatomy.get(name) {
                self.stretch(stretch, "from_station_mm", "to_station_mm", &format!("/anatomy/{name}"));
            }
        }
    }

    fn all_grow(&mut self, list: &[Value], key: &str, place: &str) {
        let mut before: Option<f64> = None;
        for (index, item) in list.iter().enumerate() {
            let Some(now) = number(item, key) else { continue };
            if let Some(before) = before {
                self.grows(key, before, now, &format!("{place}/{index}"));
            }
            before = Some(now);
        }
    }

    fn grows(&mut self, key: &str, before: f64, now: f64, place: &str) {
        if now > before {
            return;
        }
        let (code, text, mend) = if now == before {
            ("given_twice", format!("{now} mm is given twice."), "Keep one of the two.")
        } else {
            ("out_of_order", format!("{now} mm stands after {before} mm."), "Sort the list, smallest first.")
        };
        self.fault(code, format!("{place}/{key}"), text, mend);
    }

    fn stretch(&mut self, item: &Value, from: &str, to: &str, place: &str) {
        if let (Some(start), Some(end)) = (number(item, from), number(item, to))
            && start >= end
        {
            self.fault(
                "empty_stretch",
                format!("{place}/{to}"),
                format!("It ends at {end} mm, which is not beyond its beginning at {start} mm."),
                format!("Let \"{from}\" be the smaller of the two."),
            );
        }
    }

    fn graft(&mut self, graft: &Value, place: &str) {
        let length = number(graft, "length_mm");
        let mut end: Option<f64> = None;
        for (index, section) in items(graft, &["sections"]).iter().enumerate() {
            let here = format!("{place}/sections/{index}");
            self.stretch(section, "from_u_mm", "to_u_mm", &here);
            let from = number(section, "from_u_mm");
            let to = number(section, "to_u_mm");
            if let (Some(end), Some(from)) = (end, from)
                && (from - end).abs() > TOUCHING_MM
            {
                let (code, what) = if from > end { ("gap", "a gap") } else { ("overlap", "an overlap") };
                self.fault(
                    code,
                    format!("{here}/from_u_mm"),
                    format!("It begins at {from} mm, but the section before it ends at {end} mm: {what}."),
                    format!("Begin it at {end} mm, or move the end of the section before it."),
                );
            }
            self.on_fabric(from, length, &here, "from_u_mm");
            self.on_fabric(to, length, &here, "to_u_mm");
            end = to.or(end);
        }
        for (name, key) in [("tunnels", "mouth_u_mm"), ("fenestrations", "u_mm"), ("scallops", "depth_mm")] {
            for (index, opening) in items(graft, &[name]).iter().enumerate() {
                self.on_fabric(number(opening, key), length, &format!("{place}/{name}/{index}"), key);
            }
        }
        for (index, barbs) in items(graft, &["barbs"]).iter().enumerate() {
            self.stretch(barbs, "from_u_mm", "to_u_mm", &format!("{place}/barbs/{index}"));
        }
    }

    fn on_fabric(&mut self, at: Option<f64>, length: Option<f64>, place: &str, key: &str) {
        if let (Some(at), Some(length)) = (at, length)
            && !(-TOUCHING_MM..=length + TOUCHING_MM).contains(&at)
        {
            self.fault(
                "off_fabric",
                format!("{place}/{key}"),
                format!("{at} mm is not on the fabric, which runs from 0 to {length} mm."),
                "Correct the position or the length of the graft.",
            );
        }
    }

    fn rules(&mut self, owner: &Value, under: &str) {
        for (index, rule) in items(owner, &["rules"]).iter().enumerate() {
            let place = format!("{under}/rules/{index}");
            match (number(rule, "at_least"), number(rule, "at_most")) {
                (None, None) if rule.is_object() => self.fault(
                    "no_limit",
                    place,
                    "The rule has neither a lower nor an upper limit.",
                    "Give \"at_least\", \"at_most\" or both.",
                ),
                (Some(least), Some(most)) if least > most => self.fault(
                    "limits_crossed",
                    format!("{place}/at_most"),
                    format!("The upper limit, {most}, lies below the lower one, {least}."),
                    "Swap the two.",
                ),
                _ => {}
            }
        }
    }
}

/// The list at a path, or nothing where there is none.
fn items<'v>(value: &'v Value, path: &[&str]) -> &'v [Value] {
    let found = path.iter().try_fold(value, |value, key| value.get(*key));
    found.and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn text<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value.get(key)?.as_str()
}

fn number(value: &Value, key: &str) -> Option<f64> {
    value.get(key)?.as_f64()
}

/// A point as exact bits, so that points can be told apart without a tolerance.
fn point_bits(point: &Value) -> Vec<u64> {
    // Adding 0 makes −0 and 0 the same.
    point.as_array().map_or(Vec::new(), |numbers| {
        numbers.iter().take(3).map(|n| (n.as_f64().unwrap_or(0.0) + 0.0).to_bits()).collect()
    })
}
