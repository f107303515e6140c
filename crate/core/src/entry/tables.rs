//! The tables of the anatomy: which columns a sheet has, and where each is kept in a case.
//!
//! Labels, units, ranges and help come from the field table; here stand only the heads of columns
//! and how a list opens into rows.

use super::table::{Column, PIECES, Row, Source, Table};
use crate::anatomy::edges::Reach;
use crate::casefile::fields::ranges::{STATION, number};
use crate::casefile::shape::{Field, Shape, measured, optional, required, word};
use serde_json::{Value, json};

/// No bound but the field table's.
const MANY: usize = usize::MAX;

/// Every table, in the order in which a sheet is usually entered.
pub static TABLES: &[&Table] = &[
    &LUMEN,
    &OSTIA,
    &VESSELS,
    &HANGING,
    &WALL,
    &KEEP_CLEAR,
    &VALVE,
    &LESION,
    &BYPASSES,
    &LANDMARKS,
    &TRUE_LUMEN,
    &WAYS,
    &PLUGS,
    &TUBES,
];

/// The table with a name.
pub fn named(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.name == name).copied()
}

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
    grows: true,
    most: MANY,
    needs: &[&["station_mm"], &["area_mm", "largest_mm", "inscribed_mm", "radii_mm"]],
    order: "station_mm",
    names: "",
    open: open_lumen,
    close: close_lumen,
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
    grows: true,
    most: MANY,
    needs: &[&["vessels"], &["station_mm", "upstream_mm", "downstream_mm"]],
    order: "",
    names: "o",
    open: open_ostia,
    close: close_ostia,
};

const DIAMETER: &str = "/anatomy/vessels/*/diameters/*/diameter_mm";

/// Distances at which the vessels' diameters have a column, mm.
const DIAMETERS_AT: [(&str, f64); 5] = [("d0", 0.0), ("d10", 10.0), ("d20", 20.0), ("d30", 30.0), ("d40", 40.0)];

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
    grows: true,
    most: MANY,
    needs: &[&["id"], &["from"]],
    order: "",
    names: "",
    open: open_vessels,
    close: close_vessels,
};

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
    most: MANY,
    needs: &[],
    order: "",
    names: "",
    open: open_vessels,
    close: close_vessels,
};

/// The wall by stretches.
pub static WALL: Table = Table {
    name: "wall",
    title: "Wall",
    one: "stretch",
    columns: &[
        Column::at("from_station_mm", "From", "/anatomy/wall/*/from_station_mm"),
        Column::at("to_station_mm", "To", "/anatomy/wall/*/to_station_mm"),
        Column::at("kind", "Wall", "/anatomy/wall/*/kind"),
        Column::at("signs", "Signs", "/anatomy/wall/*/signs"),
        Column::at("diameter_measured", "Diameter measured", "/anatomy/wall/*/diameter_measured"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["from_station_mm"], &["to_station_mm"], &["kind"]],
    order: "",
    names: "",
    open: |anatomy| list(anatomy, "wall"),
    close: |anatomy, rows| put(anatomy, "wall", rows),
};

/// Points that stay clear of fabric.
pub static KEEP_CLEAR: Table = Table {
    name: "keep_clear",
    title: "Points to keep clear: coronaries, vein grafts",
    one: "point",
    columns: &[
        Column::at("kind", "Kind", "/anatomy/keep_clear/*/kind"),
        Column::at("side", "Side", "/anatomy/keep_clear/*/side"),
        Column::at("station_mm", "Station", "/anatomy/keep_clear/*/station_mm"),
        Column::at("clock_deg", "Clock", "/anatomy/keep_clear/*/clock_deg"),
        Column::at("radius_mm", "Radius", "/anatomy/keep_clear/*/radius_mm"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["kind"], &["station_mm"]],
    order: "",
    names: "k",
    open: |anatomy| list(anatomy, "keep_clear"),
    close: |anatomy, rows| put(anatomy, "keep_clear", rows),
};

/// The aortic valve.
pub static VALVE: Table = Table {
    name: "valve",
    title: "Aortic valve",
    one: "valve",
    columns: &[
        Column::at("kind", "Valve", "/anatomy/valve/kind"),
        Column::at("annulus_station_mm", "Annulus", "/anatomy/valve/annulus_station_mm"),
    ],
    grows: true,
    most: 1,
    needs: &[&["kind"]],
    order: "",
    names: "",
    open: |anatomy| single(anatomy, "valve"),
    close: |anatomy, rows| put_single(anatomy, "valve", rows),
};

/// The stretch to be treated.
pub static LESION: Table = Table {
    name: "lesion",
    title: "Lesion",
    one: "lesion",
    columns: &[
        Column::at("from_station_mm", "From", "/anatomy/lesion/from_station_mm"),
        Column::at("to_station_mm", "To", "/anatomy/lesion/to_station_mm"),
        Column::at("side", "Side", "/anatomy/lesion/side"),
    ],
    grows: true,
    most: 1,
    needs: &[&["from_station_mm"], &["to_station_mm"]],
    order: "",
    names: "",
    open: |anatomy| single(anatomy, "lesion"),
    close: |anatomy, rows| put_single(anatomy, "lesion", rows),
};

/// Bypasses.
pub static BYPASSES: Table = Table {
    name: "bypasses",
    title: "Bypasses, done or planned",
    one: "bypass",
    columns: &[
        Column::at("kind", "Kind", "/anatomy/bypasses/*/kind"),
        Column::at("from", "From", "/anatomy/bypasses/*/from"),
        Column::at("to", "To", "/anatomy/bypasses/*/to"),
        Column::at("state", "State", "/anatomy/bypasses/*/state"),
        Column::at("stage", "Stage", "/anatomy/bypasses/*/stage"),
        Column::at("at_mm", "Tied or begun at", "/anatomy/bypasses/*/at_mm"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["kind"], &["from"], &["to"]],
    order: "",
    names: "",
    open: |anatomy| list(anatomy, "bypasses"),
    close: |anatomy, rows| put(anatomy, "bypasses", rows),
};

/// Named stations.
pub static LANDMARKS: Table = Table {
    name: "landmarks",
    title: "Landmarks",
    one: "landmark",
    columns: &[
        Column::at("id", "Landmark", "/anatomy/landmarks/*/id"),
        Column::at("station_mm", "Station", "/anatomy/landmarks/*/station_mm"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["id"], &["station_mm"]],
    order: "",
    names: "",
    open: |anatomy| list(anatomy, "landmarks"),
    close: |anatomy, rows| put(anatomy, "landmarks", rows),
};

/// The true lumen in dissection.
pub static TRUE_LUMEN: Table = Table {
    name: "true_lumen",
    title: "True lumen, in dissection",
    one: "station",
    columns: &[
        Column::at("station_mm", "Station", "/anatomy/true_lumen/*/station_mm"),
        Column::at("diameter_mm", "True lumen", "/anatomy/true_lumen/*/diameter_mm"),
        Column::at("centre_clock_deg", "Its clock", "/anatomy/true_lumen/*/centre_clock_deg"),
        Column::at("flap_clock_deg", "Flap's clock", "/anatomy/true_lumen/*/flap_clock_deg"),
        Column::at("whole_diameter_mm", "Whole aorta", "/anatomy/true_lumen/*/whole_diameter_mm"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["station_mm"], &["diameter_mm", "centre_clock_deg", "flap_clock_deg", "whole_diameter_mm"]],
    order: "station_mm",
    names: "",
    open: |anatomy| list(anatomy, "true_lumen"),
    close: |anatomy, rows| put(anatomy, "true_lumen", rows),
};

/// Ways into the false lumen.
pub static WAYS: Table = Table {
    name: "ways",
    title: "Ways into the false lumen",
    one: "way",
    columns: &[
        Column::at("kind", "Kind", "/anatomy/ways/*/kind"),
        Column::at("station_mm", "Station", "/anatomy/ways/*/station_mm"),
        Column::at("clock_deg", "Clock", "/anatomy/ways/*/clock_deg"),
        Column::at("in_vessel", "In vessel", "/anatomy/ways/*/in_vessel"),
        Column::at("at_mm", "At", "/anatomy/ways/*/at_mm"),
        Column::at("along_mm", "Along", "/anatomy/ways/*/along_mm"),
        Column::at("across_mm", "Around", "/anatomy/ways/*/across_mm"),
        Column::at("closed_by", "Closed by", "/anatomy/ways/*/closed_by"),
        Column::at("stage", "Stage", "/anatomy/ways/*/stage"),
        Column::at("left_on_purpose", "Left open", "/anatomy/ways/*/left_on_purpose"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["kind"]],
    order: "",
    names: "w",
    open: |anatomy| list(anatomy, "ways"),
    close: |anatomy, rows| put(anatomy, "ways", rows),
};

const DIAMETER_OF_TUBE: &str = "/components/*/graft/sections/*/from_diameter_mm";

/// Plugs and coils.
pub static PLUGS: Table = Table {
    name: "plugs",
    title: "Plugs and coils",
    one: "plug",
    columns: &[
        Column { source: Source::Of("/components/*", "plug", "in"), ..Column::at("in", "In vessel", "") },
        Column { source: Source::Of("/components/*", "plug", "at_mm"), ..Column::at("at_mm", "At", "") },
        Column { source: Source::Of("/components/*", "plug", "length_mm"), ..Column::at("length_mm", "Length", "") },
        Column { source: Source::Of("/components/*", "plug", "diameter_mm"), ..Column::at("diameter_mm", "Wide", "") },
        Column::at("stage", "Stage", "/components/*/stage"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["in"]],
    order: "",
    names: "plug",
    open: |anatomy| pieces(anatomy, is_plug),
    close: |anatomy, rows| {
        let plug = |mut row: Row| {
            row.insert("kind".into(), "plug".into());
            row
        };
        put_pieces(anatomy, is_plug, rows.into_iter().map(plug).collect());
    },
};

/// Tubes of one section: ascending tubes and extensions.
pub static TUBES: Table = Table {
    name: "tubes",
    title: "Tubes: into the ascending aorta, or downstream of the arch",
    one: "tube",
    columns: &[
        Column { source: Source::Own(&WHICH_TUBE), ..Column::at("kind", "Kind", "") },
        Column::at("station_mm", "Upstream edge", "/components/*/placement/station_mm"),
        Column::at("length_mm", "Length", "/components/*/graft/length_mm"),
        Column::at("from_mm", "Wide", DIAMETER_OF_TUBE),
        Column::at("to_mm", "to", DIAMETER_OF_TUBE),
        Column::at("stage", "Stage", "/components/*/stage"),
    ],
    grows: true,
    most: MANY,
    needs: &[&["kind"], &["station_mm"], &["length_mm"], &["from_mm"], &["to_mm"]],
    order: "",
    names: "tube",
    open: |anatomy| pieces(anatomy, is_tube).into_iter().map(open_tube).collect(),
    close: |anatomy, rows| put_pieces(anatomy, is_tube, rows.into_iter().map(close_tube).collect()),
};

static WHICH_TUBE: Field = required(
    "kind",
    "Kind",
    Shape::Choice(&[word("ascending_tube", "ascending tube"), word("extension", "extension")]),
    "An ascending tube upstream of the arch graft, or an extension downstream of it.",
);

fn is_plug(piece: &Value) -> bool {
    piece["kind"] == "plug"
}

/// A tube that one line of a sheet holds whole: one section, held at its upstream edge, nothing in it.
fn is_tube(piece: &Value) -> bool {
    let graft = &piece["graft"];
    let empty = |list: &str| graft[list].as_array().is_none_or(Vec::is_empty);
    matches!(piece["kind"].as_str(), Some("ascending_tube" | "extension"))
        && graft["sections"].as_array().is_some_and(|sections| sections.len() == 1)
        && ["tunnels", "fenestrations", "scallops"].into_iter().all(empty)
        && piece["placement"]["held_u_mm"].as_f64() == Some(0.0)
}

fn open_tube(mut row: Row) -> Row {
    let section = row.get("graft").map(|graft| graft["sections"][0].clone()).unwrap_or_default();
    let station = row.get("placement").map(|placement| placement["station_mm"].clone()).unwrap_or_default();
    row.insert("length_mm".into(), section["to_u_mm"].clone());
    row.insert("from_mm".into(), section["from_diameter_mm"].clone());
    row.insert("to_mm".into(), section["to_diameter_mm"].clone());
    row.insert("station_mm".into(), station);
    row
}

fn close_tube(mut row: Row) -> Row {
    let mut take = |key: &str| row.remove(key).unwrap_or_default();
    let [length, from, to, station] = ["length_mm", "from_mm", "to_mm", "station_mm"].map(&mut take);
    let mut graft = take("graft");
    if graft.is_null() {
        graft = json!({ "label": "", "sections": [{ "from_u_mm": 0, "seals": true }] });
    }
    graft["length_mm"] = length.clone();
    let section = &mut graft["sections"][0];
    section["to_u_mm"] = length;
    section["from_diameter_mm"] = from;
    section["to_diameter_mm"] = to;
    let mut placement = take("placement");
    if placement.is_null() {
        placement = json!({ "held_u_mm": 0, "clock_deg": 0 });
    }
    placement["station_mm"] = station;
    row.insert("graft".into(), graft);
    row.insert("placement".into(), placement);
    row
}

/// The pieces of a kind, which an anatomy is lent for the time of a table.
fn pieces(anatomy: &Value, own: fn(&Value) -> bool) -> Vec<Row> {
    let all = anatomy.get(PIECES).and_then(Value::as_array);
    let known = |piece: &Value| {
        let mut row = piece.as_object().cloned()?;
        row.retain(|_, value| !value.is_null());
        Some(row)
    };
    all.into_iter().flatten().filter(|piece| own(piece)).filter_map(known).collect()
}

/// Puts rows in the places of the pieces of a kind; new ones come last.
fn put_pieces(anatomy: &mut Value, own: fn(&Value) -> bool, rows: Vec<Row>) {
    let Some(Value::Array(all)) = anatomy.get_mut(PIECES).map(Value::take) else { return };
    let (mut kept, mut named) = (Vec::new(), rows);
    for piece in all {
        if !own(&piece) {
            kept.push(piece);
        } else if let Some(place) = named.iter().position(|row| row.get("id") == piece.get("id")) {
            kept.push(Value::Object(named.remove(place)));
        }
    }
    kept.extend(named.into_iter().map(Value::Object));
    anatomy[PIECES] = kept.into();
}

/// The items of a list; what nobody knows is left out.
fn list(anatomy: &Value, name: &str) -> Vec<Row> {
    let items = anatomy.get(name).and_then(Value::as_array);
    let known = |item: &Value| {
        let mut row = item.as_object().cloned()?;
        row.retain(|_, value| !value.is_null());
        Some(row)
    };
    items.into_iter().flatten().filter_map(known).collect()
}

fn put(anatomy: &mut Value, name: &str, rows: Vec<Row>) {
    anatomy[name] = rows.into_iter().map(Value::Object).collect();
}

/// Of what a case has one: a table of at most one row.
fn single(anatomy: &Value, name: &str) -> Vec<Row> {
    let mut row = anatomy.get(name).and_then(Value::as_object).cloned();
    row.iter_mut().for_each(|row| row.retain(|_, value| !value.is_null()));
    row.into_iter().collect()
}

fn put_single(anatomy: &mut Value, name: &str, rows: Vec<Row>) {
    anatomy[name] = rows.into_iter().next().map_or(Value::Null, Value::Object);
}

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
