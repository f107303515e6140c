//! What else was said of the aorta: its wall, what is kept clear, valve, lesion, bypasses, landmarks.

use super::{LIST, ONE};
use crate::entry::table::{Column, Table};

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
    needs: &[&["from_station_mm"], &["to_station_mm"], &["kind"]],
    ..LIST
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
    needs: &[&["kind"], &["station_mm"]],
    names: "k",
    ..LIST
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
    needs: &[&["kind"]],
    ..ONE
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
    needs: &[&["from_station_mm"], &["to_station_mm"]],
    ..ONE
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
    needs: &[&["kind"], &["from"], &["to"]],
    ..LIST
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
    needs: &[&["id"], &["station_mm"]],
    ..LIST
};
