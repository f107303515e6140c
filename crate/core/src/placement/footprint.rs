//! What lies on the wall and matters to fabric: ostia, points to keep clear, ways of the false lumen,
//! each as a set of wall points over its footprint and 3 mm beyond.
//!
//! A footprint is the oval of the two lengths that were measured on the wall; its points are found by
//! lengths on the wall, so that its edges along the flow are the ostium's own. They depend on what was
//! measured alone and are kept through a drag.

use crate::anatomy::Anatomy;
use crate::anatomy::openings::WallPlace;
use crate::anatomy::twelve;
use crate::anatomy::wall::Wall;
use crate::casefile::case::{Case, Way, WayKind};
use crate::message;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3};
use serde::Serialize;
use std::f64::consts::{PI, TAU};

/// Space is looked at this far beyond a footprint, mm.
pub const BEYOND_MM: f64 = 3.0;
/// Points of a ring.
const AROUND: usize = 12;
/// Abscissae of the two-point Gauss rule on (0, 1), for the square of the radius.
const GAUSS: [f64; 2] = [0.211_324_865_405_187_1, 0.788_675_134_594_812_9];

/// What a footprint is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Site {
    /// An ostium.
    Ostium,
    /// A point to keep clear.
    KeepClear,
    /// A way in or out of the false lumen.
    Way,
}

/// A point of the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// The point, LPS mm.
    pub point: Point3,
    /// Its station, mm.
    pub station_mm: f64,
    /// Area of wall that it stands for, mm²; 0 for the centre.
    pub area_mm2: f64,
    /// Whether it belongs to the footprint itself, and not to what lies beyond.
    pub own: bool,
}

/// A footprint on the wall.
#[derive(Clone, Debug)]
pub struct Footprint {
    /// Its id in the case.
    pub id: String,
    /// What it is of.
    pub site: Site,
    /// First and last station of its points, mm.
    pub range_mm: (f64, f64),
    /// Its centre.
    pub centre: Result<Spot, Unknown>,
    /// Points over it and beyond, the outermost ring last.
    pub spots: Result<Vec<Spot>, Unknown>,
}

impl Footprint {
    /// Where the outermost ring begins among so many points.
    pub fn rim_from(count: usize) -> usize {
        count.saturating_sub(AROUND)
    }
}

/// Everything of a case that has a place on the wall: ostia, points to keep clear, ways.
pub fn footprints(case: &Case, anatomy: &Anatomy) -> Vec<Footprint> {
    let wall = anatomy.wall();
    let one = |id: &str, site: Site, place: &WallPlace, halves: Result<(f64, f64), Unknown>| {
        let clock = place.clock.get().copied();
        let point = place.point.get().copied();
        let centre = point.map(|point| Spot { point, station_mm: place.station_mm, area_mm2: 0.0, own: true });
        let spots = || spread(wall.clone()?, place, clock?, halves?);
        let spots = spots();
        let stations = spots.iter().flatten().map(|spot| spot.station_mm);
        let own = (place.station_mm, place.station_mm);
        let range_mm = stations.fold(own, |(first, last), s| (first.min(s), last.max(s)));
        Footprint { id: id.into(), site, range_mm, centre, spots }
    };
    let mut all = Vec::new();
    for ostium in &anatomy.ostia {
        let halves = || Ok((*ostium.along_mm.get()? / 2.0, *ostium.across_mm.get()? / 2.0));
        all.push(one(&ostium.id, Site::Ostium, &ostium.place, halves()));
    }
    for point in &anatomy.keep_clear {
        all.push(one(&point.id, Site::KeepClear, &point.place, point.radius_mm.get().map(|r| (*r, *r))));
    }
    for way in case.anatomy.ways.iter().filter(|w| w.kind != WayKind::Vessel) {
        if let Some(station_mm) = way.station_mm {
            let place = way_place(case, way, station_mm, wall.clone());
            let halves = way.along_mm.zip(way.across_mm).map(|(a, b)| (a / 2.0, b / 2.0));
            all.push(one(&way.id, Site::Way, &place, halves.ok_or(Unknown::because(message::NO_SIZE))));
        }
    }
    all
}

fn way_place(case: &Case, way: &Way, station_mm: f64, wall: Result<&Wall, Unknown>) -> WallPlace {
    let course = wall.as_ref().map(|wall| wall.course()).map_err(Clone::clone);
    let read = twelve::read(case, course, station_mm, way.clock_deg);
    let clock = read.as_ref().map_err(Clone::clone).and_then(|clock| clock.get().copied());
    let on_wall = clock.clone().and_then(|clock| wall.map(|wall| (wall, clock)));
    let point = on_wall.clone().and_then(|(wall, clock)| wall.point(station_mm, clock));
    WallPlace {
        station_mm,
        station_sd_mm: case.errors.station_sd_mm,
        clock: match read {
            Ok(clock) => clock,
            Err(Unknown(why)) => Quantity::Unknown { why },
        },
        point: point.into(),
        line: on_wall.map(|(wall, clock)| wall.line(clock)),
    }
}

/// Points over an oval and 3 mm beyond, ring by ring outwards: two rings inside by Gauss's rule in the
/// square of the radius, three beyond by Simpson's, the first of them on its edge.
fn spread(wall: &Wall, place: &WallPlace, clock: Angle, (along, across): (f64, f64)) -> Result<Vec<Spot>, Unknown> {
    let line = place.line.as_ref().map_err(Clone::clone)?;
    let radius = wall.lumen().radius_along(place.station_mm, clock).0;
    let mut spots = Vec::with_capacity(5 * AROUND);
    let mut ring = |half: (f64, f64), own: bool, area: &dyn Fn(f64, f64) -> f64| -> Result<(), Unknown> {
        for k in 0..AROUND {
            let (sin, cos) = (TAU * k as f64 / AROUND as f64).sin_cos();
            let station_mm = wall.station_at(line, place.station_mm, half.0 * cos)?;
            // No footprint reaches further round than half the wall.
            let turn = if radius > 0.0 { (half.1 * sin / radius).clamp(-PI / 2.0, PI / 2.0) } else { 0.0 };
            let point = wall.point(station_mm, clock + Angle::rad(turn))?;
            spots.push(Spot { point, station_mm, area_mm2: area(cos, sin), own });
        }
        Ok(())
    };
    let share = TAU / AROUND as f64;
    for square in GAUSS {
        let reach = square.sqrt();
        ring((along * reach, across * reach), true, &|_, _| share * along * across / 4.0)?;
    }
    for (out, weight) in [(0.0, 1.0), (0.5, 4.0), (1.0, 1.0)] {
        let half = (along + out * BEYOND_MM, across + out * BEYOND_MM);
        let area = |cos: f64, sin: f64| share * BEYOND_MM * weight / 6.0 * (half.1 * cos * cos + half.0 * sin * sin);
        ring(half, out == 0.0, &area)?;
    }
    Ok(spots)
}
