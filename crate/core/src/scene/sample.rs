//! A made-up arch for the tests of drawings: arch P of the worked example, drawn by hand.
//!
//! Straight to s = 30, then a radius of 40 mm through 180°, then straight; lumen diameter 34; IA at
//! s 70, LCCA at 85, LSA at 103; coronaries at −8. Its numbers are typed, not computed: drawings
//! are tested here, not geometry.

use super::axes::{AlongPoint, WallSpot};
use super::map_input::*;
use crate::units::{Angle, ThreeOClock};
use std::f64::consts::PI;
use std::sync::Arc;

pub fn at(station_mm: f64, deg: f64) -> WallSpot {
    WallSpot { station_mm, clock: Angle::deg(deg) }
}

/// An ellipse on the wall of radius 17, sizes in mm of station and of wall around.
pub fn oval(station_mm: f64, deg: f64, along: f64, across: f64) -> Vec<WallSpot> {
    (0..48)
        .map(|index| {
            let turn = f64::from(index) / 48.0 * 2.0 * PI;
            let around = (across / 2.0 * turn.sin() / 17.0).to_degrees();
            at(station_mm + along / 2.0 * turn.cos(), deg + around)
        })
        .collect()
}

pub fn around(station_mm: f64) -> Vec<WallSpot> {
    (-36..=36).map(|step| at(station_mm, f64::from(step) * 5.0)).collect()
}

fn ostium(id: &str, name: &str, station: f64, deg: f64, along: f64, across: f64) -> MapOstium {
    MapOstium {
        id: id.into(),
        name: name.into(),
        station_mm: station,
        edges_mm: Some([station - along / 2.0, station + along / 2.0]),
        clock: Some(Angle::deg(deg)),
        outline: oval(station, deg, along, across),
    }
}

fn tunnel(id: &str, vessel: &str, antegrade: bool, station: f64, deg: f64, to: (f64, f64)) -> MapTunnel {
    let (along, across, long) = (11.0, 9.0, 24.0);
    let ahead = if antegrade { 1.0 } else { -1.0 };
    let half = (across / 2.0 / 17.0_f64).to_degrees();
    let edge = station + ahead * along / 2.0;
    let value = ahead * (to.0 - edge);
    let back = station - ahead * long;
    MapTunnel {
        id: id.into(),
        vessel: vessel.into(),
        antegrade,
        mouth: Some(at(station, deg)),
        outline: oval(station, deg, along, across),
        body: vec![at(station, deg - half), at(station, deg + half), at(back, deg + half), at(back, deg - half)],
        path: Vec::new(),
        ghosts: vec![oval(station - 0.12 * (station - 8.0), deg, along, across)],
        clearance: MapClearance {
            from: Some(at(edge, deg)),
            to: Some(at(to.0, to.1)),
            value_mm: Some(value),
            standing: if value < 5.0 {
                Standing::Unmet
            } else if value < 7.0 {
                Standing::Borderline
            } else {
                Standing::Met
            },
            remark: String::new(),
            clock_error: Some(Angle::deg(deg - to.1).wrapped()),
            clock_standing: Standing::Met,
        },
    }
}

/// The arch with its graft, moved and turned.
pub fn arch_p(shift: f64, turn: f64) -> MapInput {
    let edge = 8.0 + shift;
    let bend = |s: f64| (s - 30.0).clamp(0.0, 40.0 * PI) / 40.0;
    let stretch =
        |from: f64, to: f64, cover| Stretch { upstream: around(edge + from), downstream: around(edge + to), cover };
    let graft = MapGraft {
        id: "arch".into(),
        stretches: vec![
            stretch(0.0, 24.0, Cover::Seal),
            stretch(24.0, 34.0, Cover::Touching),
            stretch(34.0, 118.0, Cover::Free),
            stretch(118.0, 142.0, Cover::Seal),
        ],
        edges: vec![around(edge), around(edge + 142.0)],
        reference: (0..=142).map(|u| at(edge + f64::from(u), turn + f64::from(u) * 0.05)).collect(),
        handle: Some(at(edge, turn)),
        edge_mm: Some(edge),
        turned: Angle::deg(turn),
        tunnels: vec![
            tunnel("t1", "IA", true, 40.0 + shift, turn + 8.0, (63.0, 15.0)),
            tunnel("t2", "LCCA", true, 57.0 + shift, turn - 12.0, (81.0, 0.0)),
            tunnel("t3", "LSA", false, 126.0 + shift, turn + 6.0, (108.0, 12.0)),
        ],
        marks: vec![at(edge + 2.0, turn), at(edge + 60.0, turn), at(edge + 140.0, turn)],
        diameters: vec![
            [edge, 38.0],
            [edge + 24.0, 38.0],
            [edge + 36.0, 30.0],
            [edge + 112.0, 30.0],
            [edge + 118.0, 34.0],
            [edge + 142.0, 34.0],
        ],
        seals: vec![
            SealZone {
                from_mm: edge,
                to_mm: edge + 24.0,
                oversize_percent: Some([9.2, 12.1]),
                standing: Standing::Borderline,
            },
            SealZone {
                from_mm: edge + 118.0,
                to_mm: edge + 142.0,
                oversize_percent: Some([14.0, 14.3]),
                standing: Standing::Met,
            },
        ],
        openings: Vec::new(),
    };
    let anatomy = MapAnatomy {
        sutures: Vec::new(),
        flap: Vec::new(),
        ways: Vec::new(),
        rough: None,
        missing: None,
        origin: Some("sinotubular junction".into()),
        hand: Some(ThreeOClock::FrontLeft),
        aorta: (-60..=230)
            .map(|s| {
                let s = f64::from(s);
                AlongPoint { station_mm: s, outer_mm: s + 17.0 * bend(s), radius_mm: 17.0 }
            })
            .collect(),
        uncertain: vec![[-60.0, -40.0], [210.0, 230.0]],
        zones: vec![
            ZoneBand { zone: 0, from_mm: 0.0, to_mm: 77.0 },
            ZoneBand { zone: 1, from_mm: 77.0, to_mm: 89.0 },
            ZoneBand { zone: 2, from_mm: 89.0, to_mm: 108.0 },
            ZoneBand { zone: 3, from_mm: 108.0, to_mm: 128.0 },
        ],
        lesion: Some([90.0, 125.0]),
        landmarks: vec![("isthmus".into(), 135.0)],
        folds: Vec::new(),
        ostia: vec![
            ostium("o1", "IA", 70.0, 15.0, 14.0, 13.0),
            ostium("o2", "LCCA", 85.0, 0.0, 8.0, 8.0),
            ostium("o3", "LSA", 103.0, 12.0, 10.0, 10.0),
        ],
        keep_clear: vec![
            MapPoint {
                id: "rca".into(),
                name: "right coronary".into(),
                station_mm: -8.0,
                clock: Some(Angle::deg(-40.0)),
                outline: oval(-8.0, -40.0, 4.0, 4.0),
            },
            MapPoint {
                id: "lca".into(),
                name: "left coronary".into(),
                station_mm: -8.0,
                clock: Some(Angle::deg(60.0)),
                outline: oval(-8.0, 60.0, 4.0, 4.0),
            },
        ],
        lumen: (-60..=230)
            .map(|s| {
                let s = f64::from(s);
                let d = 34.0 - 5.0 * (s / 290.0) + 2.0 * (-(s - 20.0).powi(2) / 900.0).exp();
                LumenPoint {
                    station_mm: s,
                    diameter_mm: d,
                    band_mm: (s < 120.0).then_some([d - 1.5, d + 1.5]),
                    inscribed: false,
                    measured: (s as i32) % 30 == 0,
                }
            })
            .collect(),
        wall_scale: None,
    };
    MapInput {
        open_ways: Vec::new(),
        label: "arch P".into(),
        anatomy: Arc::new(anatomy),
        grafts: vec![graft],
        kept_clear: vec![Standing::Met, Standing::Met],
        possibility: String::new(),
        space: None,
    }
}
