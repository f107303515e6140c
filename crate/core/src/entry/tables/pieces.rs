//! Further pieces of a plan that one line of a sheet holds whole: plugs and tubes.

use super::LIST;
use crate::casefile::shape::{Field, Shape, required, word};
use crate::entry::table::{Column, PIECES, Row, Source, Table};
use serde_json::{Value, json};

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
    needs: &[&["in"]],
    names: "plug",
    open: |anatomy, _| pieces(anatomy, is_plug),
    close: |anatomy, _, rows| {
        let plug = |mut row: Row| {
            row.insert("kind".into(), "plug".into());
            row
        };
        put_pieces(anatomy, is_plug, rows.into_iter().map(plug).collect());
    },
    ..LIST
};

const DIAMETER_OF_TUBE: &str = "/components/*/graft/sections/*/from_diameter_mm";

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
    needs: &[&["kind"], &["station_mm"], &["length_mm"], &["from_mm"], &["to_mm"]],
    names: "tube",
    open: |anatomy, _| pieces(anatomy, is_tube).into_iter().map(open_tube).collect(),
    close: |anatomy, _, rows| put_pieces(anatomy, is_tube, rows.into_iter().map(close_tube).collect()),
    ..LIST
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
