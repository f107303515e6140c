//! Dissection: the true lumen along the aorta, and the ways into the false one.

use super::LIST;
use crate::entry::table::{Column, Table};

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
    needs: &[&["station_mm"], &["diameter_mm", "centre_clock_deg", "flap_clock_deg", "whole_diameter_mm"]],
    order: "station_mm",
    ..LIST
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
    needs: &[&["kind"]],
    names: "w",
    ..LIST
};
