//! All numbers of a report as lines of CSV, each with its unit: for a spreadsheet or a script.
//!
//! Reads the report as JSON, so that it can hold no other number than the report does. Units come
//! from the ends of names, as everywhere; a number that is not known is empty, with its reason.

use serde_json::{Map, Value};

/// The first line.
const HEAD: &str = "part,id,lie,length_kept_by,name,value,unit,why";

/// The lines, the head first; each ends with a newline.
pub fn csv(report: &Value) -> String {
    let mut text = format!("{HEAD}\n");
    if let Some(parts) = report.as_object() {
        for (part, value) in parts {
            walk(part, value, &Row::default(), "", &Map::new(), &mut text);
        }
    }
    text
}

/// What tells a row from others of its part.
#[derive(Clone, Default)]
struct Row {
    id: String,
    lie: String,
    kept: String,
}

fn walk(part: &str, value: &Value, row: &Row, name: &str, beside: &Map<String, Value>, text: &mut String) {
    match value {
        Value::Object(map) => {
            let word = |key: &str| map.get(key).and_then(Value::as_str);
            let ids = ["id", "tunnel", "at", "rule", "for", "component", "serves", "key"];
            let id = ids.into_iter().find_map(word).map_or(row.id.clone(), str::to_owned);
            // Verdicts of one rule are told apart by what they are about.
            let id = word("of").map_or(id.clone(), |of| format!("{id} {of}"));
            let own = |key: &str, before: &str| word(key).unwrap_or(before).to_owned();
            let own = Row { id, lie: own("lie", &row.lie), kept: own("length_kept_by", &row.kept) };
            for (key, value) in map {
                let name = if name.is_empty() { key.clone() } else { format!("{name}.{key}") };
                walk(part, value, &own, &name, map, text);
            }
        }
        Value::Array(items) => {
            let parts = items.iter().any(Value::is_object);
            for (index, item) in items.iter().enumerate() {
                // A point's numbers bear the names of its axes.
                let axis = ["x", "y", "z"].get(index).filter(|_| name.contains("lps") && items.len() == 3);
                let step = axis.map_or_else(|| (index + 1).to_string(), |axis| (*axis).to_owned());
                let name = match (name.is_empty(), parts) {
                    (true, true) => String::new(),
                    (true, false) => step.clone(),
                    (false, _) => format!("{name}.{step}"),
                };
                let row = if parts && row.id.is_empty() { Row { id: step, ..row.clone() } } else { row.clone() };
                walk(part, item, &row, &name, beside, text);
            }
        }
        Value::Number(number) => line(part, row, name, &number.to_string(), beside, "", text),
        Value::Null if unit(name).is_some() || ["value", "margin", "error"].contains(&name) => {
            let why = beside.get("why").and_then(Value::as_str).unwrap_or_default();
            line(part, row, name, "", beside, why, text);
        }
        Value::Bool(_) | Value::String(_) | Value::Null => {}
    }
}

fn line(part: &str, row: &Row, name: &str, value: &str, beside: &Map<String, Value>, why: &str, text: &mut String) {
    let unit = match unit(name) {
        Some(unit) => unit,
        None => beside.get("unit").and_then(Value::as_str).unwrap_or_default(),
    };
    let name = if name.is_empty() { part } else { name };
    let cells = [part, &row.id, &row.lie, &row.kept, name, value, unit, why].map(cell);
    text.push_str(&cells.join(","));
    text.push('\n');
}

/// The unit that ends a name.
fn unit(name: &str) -> Option<&'static str> {
    const UNITS: [(&str, &str); 7] = [
        ("_per_mm2", "1/mm²"),
        ("_per_mm", "1/mm"),
        ("_mm2", "mm²"),
        ("_mm", "mm"),
        ("_deg", "deg"),
        ("_percent", "%"),
        ("_minutes", "min"),
    ];
    let mut name = name;
    // A place in a list of numbers, or an axis, says no unit.
    while let Some((before, last)) = name.rsplit_once('.')
        && (last.parse::<usize>().is_ok() || ["x", "y", "z"].contains(&last))
    {
        name = before;
    }
    UNITS.iter().find(|(end, _)| name.ends_with(end)).map(|(_, unit)| *unit)
}

/// A cell as RFC 4180 writes it.
fn cell(words: &str) -> String {
    if words.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", words.replace('"', "\"\""))
    } else {
        words.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn every_number_has_its_unit_and_an_unknown_its_reason() {
        let report = json!({
            "version": 1,
            "arch_plane": { "normal_lps": [0.5, 0.0, 1.0], "rms_mm": 2.5 },
            "tunnels": [{ "id": "t1", "lie": "middle", "length_kept_by": "axis", "straight_mm": null,
                          "why": "No size, \"none\"", "path": { "turn_deg": 84.5 } }],
            "verdicts": [{ "rule": "r1", "of": "t1", "value": 3.25, "unit": "%" }],
            "folds": [{ "from_station_mm": 3.0 }]
        });
        let text = csv(&report);
        for line in [
            "arch_plane,,,,rms_mm,2.5,mm,",
            "arch_plane,,,,normal_lps.z,1.0,,",
            "tunnels,t1,middle,axis,straight_mm,,mm,\"No size, \"\"none\"\"\"",
            "tunnels,t1,middle,axis,path.turn_deg,84.5,deg,",
            "verdicts,r1 t1,,,value,3.25,%,",
            "folds,1,,,from_station_mm,3.0,mm,",
        ] {
            assert!(text.lines().any(|own| own == line), "{line} in\n{text}");
        }
    }
}
