//! Ostia and vessels: openings of the wall, what leaves through them, and trunks that divide beyond it.

use super::{LIST, list, put};
use crate::anatomy::edges::Reach;
use crate::casefile::fields::ranges::{STATION, number};
use crate::casefile::shape::{Field, Shape, measured, optional};
use crate::entry::table::{Column, Row, Source, Table};
use serde_json::{Value, json};

/// Ostia, each with the vessels that leave through it.
pub static OSTIA: Table = Table {
    name: "ostia",
    title: "Ostia",
    one: "ostium",
    columns: &[
        Column { source: Source::Own(&LEAVING), ..Column::at("vessels", "Vessels", "") },
        Column {
            source: Source::Own(&UPSTREAM),
            edge: Some(Reach::UpstreamEdge),
            ..Column::at("upstream_mm", "Upstream edge", "")
        },
        Column::at("station_mm", "Centre", "/anatomy/ostia/*/station_mm"),
        Column {
            source: Source::Own(&DOWNSTREAM),
            edge: Some(Reach::DownstreamEdge),
            ..Column::at("downstream_mm", "Downstream edge", "")
        },
        Column::at("clock_deg", "Clock", "/anatomy/ostia/*/clock_deg"),
        Column::at("along_mm", "Along", "/anatomy/ostia/*/along_mm"),
        Column::at("across_mm", "Around", "/anatomy/ostia/*/across_mm"),
    ],
    needs: &[&["vessels"], &["station_mm", "upstream_mm", "downstream_mm"]],
    names: "o",
    open: |anatomy, _| open_ostia(anatomy),
    close: |anatomy, _, rows| close_ostia(anatomy, rows),
    ..LIST
};

static UPSTREAM: Field = measured(
    "upstream_mm",
    "Upstream edge",
    number(&STATION),
    "Station of the upstream edge, where the sheet gives the distance to it; the centre follows along the wall.",
);

static DOWNSTREAM: Field = measured(
    "downstream_mm",
    "Downstream edge",
    number(&STATION),
    "Station of the downstream edge, where the sheet gives the distance to it; the centre follows along the wall.",
);

static LEAVING: Field = optional(
    "vessels",
    "Vessels",
    Shape::List { of: &Shape::Id, at_least: 0, at_most: 10 },
    "Vessels that leave through the opening: IA, LCCA, LSA, or several as IA, LCCA.",
);

/// Vessels: where they leave, how, and how wide they are.
pub static VESSELS: Table = Table {
    name: "vessels",
    title: "Vessels: take-off and diameters",
    one: "vessel",
    columns: &[
        Column::at("id", "Vessel", "/anatomy/vessels/*/id"),
        Column::at("from", "From", "/anatomy/vessels/*/from"),
        Column::at("at_mm", "At", "/anatomy/vessels/*/at_mm"),
        Column::at("takeoff_deg", "Take-off", "/anatomy/vessels/*/takeoff_deg"),
        Column::at("lean_deg", "Lean", "/anatomy/vessels/*/lean_deg"),
        Column::at("d0", "⌀ 0", DIAMETER),
        Column::at("d10", "⌀ 10", DIAMETER),
        Column::at("d20", "⌀ 20", DIAMETER),
        Column::at("d30", "⌀ 30", DIAMETER),
        Column::at("d40", "⌀ 40", DIAMETER),
    ],
    needs: &[&["id"], &["from"]],
    open: |anatomy, _| open_vessels(anatomy),
    close: |anatomy, _, rows| close_vessels(anatomy, rows),
    ..LIST
};

const DIAMETER: &str = "/anatomy/vessels/*/diameters/*/diameter_mm";

/// Distances at which the vessels' diameters have a column, mm.
const DIAMETERS_AT: [(&str, f64); 5] = [("d0", 0.0), ("d10", 10.0), ("d20", 20.0), ("d30", 30.0), ("d40", 40.0)];

/// Vessels: what hangs on them.
pub static HANGING: Table = Table {
    name: "hanging",
    title: "Vessels: landing and what hangs on them",
    one: "vessel",
    columns: &[
        Column::at("healthy_from_mm", "Healthy from", "/anatomy/vessels/*/healthy_from_mm"),
        Column::at("to_first_branch_mm", "First branch", "/anatomy/vessels/*/to_first_branch_mm"),
        Column::at("carries", "Carries", "/anatomy/vessels/*/carries"),
        Column::at("mammary_at_mm", "Mammary at", "/anatomy/vessels/*/mammary_at_mm"),
        Column::at("vertebral_at_mm", "Vertebral at", "/anatomy/vessels/*/vertebral_at_mm"),
        Column::at("vertebral_is", "Vertebral is", "/anatomy/vessels/*/vertebral_is"),
        Column::at("mammary_graft", "Graft to heart", "/anatomy/vessels/*/mammary_graft"),
        Column::at("fed_from", "Fed from", "/anatomy/vessels/*/fed_from"),
        Column::at("needs", "Needs", "/anatomy/vessels/*/needs"),
    ],
    grows: false,
    open: |anatomy, _| open_vessels(anatomy),
    close: |anatomy, _, rows| close_vessels(anatomy, rows),
    ..LIST
};

/// Ostia with the names of the vessels that leave through them.
fn open_ostia(anatomy: &Value) -> Vec<Row> {
    let vessels = list(anatomy, "vessels");
    let mut rows = list(anatomy, "ostia");
    for row in &mut rows {
        let leaving = vessels.iter().filter(|vessel| vessel.get("from") == row.get("id"));
        let names: Vec<Value> = leaving.filter_map(|vessel| vessel.get("id").cloned()).collect();
        if !names.is_empty() {
            row.insert("vessels".into(), names.into());
        }
    }
    rows
}

/// A vessel that is named and not there yet is added; one that is named no more goes.
fn close_ostia(anatomy: &mut Value, mut rows: Vec<Row>) {
    let mut vessels = list(anatomy, "vessels");
    let ostia_before: Vec<Value> = list(anatomy, "ostia").iter().filter_map(|row| row.get("id").cloned()).collect();
    let mut named: Vec<(Value, Value)> = Vec::new();
    for row in &mut rows {
        let id = row.get("id").cloned().unwrap_or_default();
        let names = row.remove("vessels");
        named.extend(
            names.as_ref().and_then(Value::as_array).into_iter().flatten().map(|name| (name.clone(), id.clone())),
        );
    }
    vessels.retain(|vessel| {
        let leaves_wall = vessel.get("from").is_some_and(|from| ostia_before.contains(from));
        !leaves_wall || named.iter().any(|(name, _)| Some(name) == vessel.get("id"))
    });
    for (name, ostium) in named {
        match vessels.iter_mut().find(|vessel| vessel.get("id") == Some(&name)) {
            Some(vessel) => drop(vessel.insert("from".into(), ostium)),
            None => vessels.push(Row::from_iter([("id".into(), name), ("from".into(), ostium)])),
        }
    }
    put(anatomy, "vessels", vessels);
    put(anatomy, "ostia", rows);
}

/// Vessels with the diameters that have a column; others stay among `diameters`.
fn open_vessels(anatomy: &Value) -> Vec<Row> {
    let mut rows = list(anatomy, "vessels");
    for row in &mut rows {
        let Some(Value::Array(mut diameters)) = row.remove("diameters") else { continue };
        for (key, at_mm) in DIAMETERS_AT {
            let place = diameters.iter().position(|d| d.get("at_mm").and_then(Value::as_f64) == Some(at_mm));
            if let Some(mut found) = place.map(|place| diameters.remove(place)) {
                row.insert(key.into(), found["diameter_mm"].take());
            }
        }
        row.insert("diameters".into(), diameters.into());
    }
    rows
}

fn close_vessels(anatomy: &mut Value, mut rows: Vec<Row>) {
    for row in &mut rows {
        let mut diameters = match row.remove("diameters") {
            Some(Value::Array(others)) => others,
            _ => Vec::new(),
        };
        for (key, at_mm) in DIAMETERS_AT {
            diameters.extend(row.remove(key).map(|diameter| json!({ "at_mm": at_mm, "diameter_mm": diameter })));
        }
        let at = |diameter: &Value| diameter.get("at_mm").and_then(Value::as_f64).unwrap_or_default();
        diameters.sort_by(|a, b| at(a).total_cmp(&at(b)));
        row.insert("diameters".into(), diameters.into());
    }
    put(anatomy, "vessels", rows);
}
