//! Diameters along the aorta: several kinds of measurement at one station are one row.

use super::{LIST, list, put};
use crate::entry::table::{Column, Row, Source, Table};
use serde_json::Value;

/// Diameters along the aorta. A row is a station; what was measured there stands in the column that
/// says how.
pub static LUMEN: Table = Table {
    name: "lumen",
    title: "Diameters along the aorta",
    one: "station",
    columns: &[
        Column::at("station_mm", "Station", "/anatomy/lumen/*/station_mm"),
        Column {
            source: Source::Of("/anatomy/lumen/*", "area", "diameter_mm"),
            ..Column::at("area_mm", "From the area", "")
        },
        Column::at("largest_mm", "Largest", "/anatomy/lumen/*/largest_mm"),
        Column::at("smallest_mm", "Smallest", "/anatomy/lumen/*/smallest_mm"),
        Column::at("largest_clock_deg", "Clock of largest", "/anatomy/lumen/*/largest_clock_deg"),
        Column {
            source: Source::Of("/anatomy/lumen/*", "inscribed", "diameter_mm"),
            ..Column::at("inscribed_mm", "Inscribed", "")
        },
    ],
    needs: &[&["station_mm"], &["area_mm", "largest_mm", "inscribed_mm", "radii_mm"]],
    order: "station_mm",
    open: |anatomy, _| open_lumen(anatomy),
    close: |anatomy, _, rows| close_lumen(anatomy, rows),
    ..LIST
};

/// Sections of the lumen by station: several kinds of measurement at one station are one row.
fn open_lumen(anatomy: &Value) -> Vec<Row> {
    let mut sections = list(anatomy, "lumen");
    let station = |row: &Row| row.get("station_mm").and_then(Value::as_f64).unwrap_or_default();
    sections.sort_by(|a, b| station(a).total_cmp(&station(b)));
    let mut rows: Vec<Row> = Vec::new();
    for mut section in sections {
        let kind = section.remove("kind").and_then(|kind| kind.as_str().map(str::to_owned)).unwrap_or_default();
        if let Some(diameter) = section.remove("diameter_mm") {
            section.insert(format!("{kind}_mm"), diameter);
        }
        match rows.last_mut().filter(|row| station(row) == station(&section)) {
            Some(row) => row.append(&mut section),
            None => rows.push(section),
        }
    }
    rows
}

fn close_lumen(anatomy: &mut Value, rows: Vec<Row>) {
    let mut sections = Vec::new();
    for row in rows {
        let station = row.get("station_mm").cloned().unwrap_or_default();
        let mut section = |kind: &str, keys: &[(&str, &str)]| {
            let mut section = Row::from_iter([("station_mm".into(), station.clone()), ("kind".into(), kind.into())]);
            for (from, to) in keys {
                section.extend(row.get(*from).map(|value| ((*to).to_owned(), value.clone())));
            }
            if section.len() > 2 {
                sections.push(section);
            }
        };
        section("area", &[("area_mm", "diameter_mm")]);
        let own = |key| (key, key);
        section("max_min", &[own("largest_mm"), own("smallest_mm"), own("largest_clock_deg")]);
        section("inscribed", &[("inscribed_mm", "diameter_mm")]);
        section("contour", &[own("radii_mm")]);
    }
    put(anatomy, "lumen", sections);
}
