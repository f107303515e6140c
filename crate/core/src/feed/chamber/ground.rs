//! The wall under some grafts as cells: wall points with what is seen of each graft from them, as far as
//! that does not hang on how the grafts are turned and held.

use super::laying::Laying;
use super::{Chamber, Piece, Place};
use crate::anatomy::Anatomy;
use crate::anatomy::openings::WallPlace;
use crate::anatomy::wall::Wall;
use crate::message;
use crate::placement::footprint::{Footprint, Spot};
use crate::placement::space;
use crate::quantity::{Quantity, Unknown};
use crate::units::{Angle, Point3};
use std::f64::consts::TAU;

/// Farthest apart that cells are, along and around, mm.
const CELL_MM: f64 = 2.5;
/// How far beyond an end of a graft cells are laid, mm: an end that lies askew is still within.
const BEYOND_MM: f64 = 7.5;
/// How far inside a section its first and last cells lie, mm.
const INSIDE_MM: f64 = 0.05;
/// Fewest and most cells around.
const AROUND: (usize, usize) = (24, 72);
/// Most rows of cells.
const MOST_ROWS: usize = 600;
/// Most grafts one over another.
const MOST_PIECES: usize = 8;

/// What of a graft's axis lies nearest to a wall point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    pub(super) u_mm: f64,
    pub(super) on_graft: Angle,
    pub(super) distance_mm: f64,
}

/// A wall point with what is seen of each piece from it; `None` where its axis does not reach.
#[derive(Clone, Debug)]
pub(super) struct Probe(pub(super) Vec<Option<Seen>>);

/// An opening of the wall that may be reached.
#[derive(Clone, Debug)]
pub(super) struct Site {
    pub(super) id: String,
    pub(super) station_mm: f64,
    pub(super) clock: Angle,
    pub(super) centre: Probe,
    /// Points of its own footprint with the share of its area each stands for.
    pub(super) spots: Vec<(f64, Probe)>,
    /// Its shorter diameter, mm.
    pub(super) across_mm: Option<f64>,
    /// How far off its place on the wall may be, along or around, whichever is more, mm.
    pub(super) off_mm: f64,
}

/// The wall under some grafts, as far as that does not hang on how they are turned and held.
#[derive(Clone, Debug)]
pub struct Ground {
    pub(super) rows_mm: Vec<f64>,
    pub(super) around: usize,
    pub(super) cells: Vec<Probe>,
    pub(super) sites: Vec<Result<Site, (String, String)>>,
    pub(super) error_mm: f64,
}

/// How far off a place may be on the wall, one standard deviation along or around, whichever is more, mm.
fn off(wall: &Wall, place: &WallPlace, clock: Angle) -> Result<f64, Unknown> {
    let around = match &place.clock {
        Quantity::Known { error, .. } => Angle::deg(*error).arc_mm(wall.lumen().radius(place.station_mm, clock).mm),
        Quantity::Unknown { .. } => 0.0,
    };
    Ok((place.station_sd_mm * wall.scale(place.station_mm, clock)?).max(around))
}

impl Ground {
    /// Of grafts as they lie. `error_mm` is that of a distance from an axis to the wall.
    ///
    /// # Errors
    /// Unknown without a wall, where a lie could not be found, and with too many grafts.
    pub fn of(
        anatomy: &Anatomy,
        footprints: &[Footprint],
        pieces: &[Piece<'_>],
        error_mm: f64,
    ) -> Result<Self, Unknown> {
        let wall = anatomy.wall()?;
        if pieces.len() > MOST_PIECES {
            return Err(Unknown::because(message::TOO_MANY_GRAFTS));
        }
        let seen = |point: &Point3, station_mm: f64| look(pieces, point, station_mm);
        let rows_mm = rows(anatomy, footprints, pieces);
        let widest = rows_mm.iter().map(|s| wall.lumen().mean_mm(*s)).fold(0.0, f64::max);
        let around = ((TAU * widest / CELL_MM).ceil() as usize).clamp(AROUND.0, AROUND.1);
        let mut cells = Vec::with_capacity(rows_mm.len() * around);
        for station_mm in &rows_mm {
            for k in 0..around {
                cells.push(seen(&wall.point(*station_mm, clock_of(k, around))?, *station_mm)?);
            }
        }
        let site = |print: &Footprint| -> Result<Site, Unknown> {
            let centre = print.centre.as_ref().map_err(Clone::clone)?;
            let shorter = |along: &Quantity, across: &Quantity| Some(along.value()?.min(*across.value()?));
            let ostia = anatomy.ostia.iter().map(|o| (&o.id, &o.place, shorter(&o.along_mm, &o.across_mm)));
            let points = anatomy.keep_clear.iter();
            let points = points.map(|k| (&k.id, &k.place, k.radius_mm.value().map(|radius| 2.0 * radius)));
            let own = ostia.chain(points).find(|(id, ..)| **id == print.id);
            let clock = match &own {
                Some((_, place, _)) => *place.clock.get()?,
                None => {
                    anatomy.course.frame(centre.station_mm)?.clock_of(&(centre.point - centre_point(anatomy, centre)))
                }
            };
            let own_spots = print.spots.iter().flatten().filter(|spot| spot.own);
            let area: f64 = own_spots.clone().map(|spot| spot.area_mm2).sum();
            let spots = own_spots.filter(|spot| spot.area_mm2 > 0.0);
            let spots = spots.map(|s| Ok((s.area_mm2 / area, seen(&s.point, s.station_mm)?)));
            let off_mm = own.as_ref().map_or(Ok(0.0), |(_, place, _)| off(wall, place, clock))?;
            Ok(Site {
                id: print.id.clone(),
                station_mm: centre.station_mm,
                clock,
                centre: seen(&centre.point, centre.station_mm)?,
                spots: spots.collect::<Result<_, Unknown>>()?,
                across_mm: own.and_then(|(_, _, shorter)| shorter),
                off_mm,
            })
        };
        let sites = footprints.iter().map(|f| site(f).map_err(|Unknown(why)| (f.id.clone(), why))).collect();
        Ok(Ground { rows_mm, around, cells, sites, error_mm })
    }

    pub(super) fn cell(&self, row: usize, column: usize) -> usize {
        row * self.around + column % self.around
    }

    pub(super) fn place(&self, cell: usize) -> Place {
        Place { station_mm: self.rows_mm[cell / self.around], clock: clock_of(cell % self.around, self.around) }
    }

    pub(super) fn row_at(&self, station_mm: f64) -> usize {
        let after = self.rows_mm.partition_point(|s| *s < station_mm).min(self.rows_mm.len() - 1);
        let before = after.saturating_sub(1);
        if station_mm - self.rows_mm[before] < self.rows_mm[after] - station_mm { before } else { after }
    }

    /// The four cells around a place.
    pub(super) fn cells_at(&self, place: &Place) -> [usize; 4] {
        let after = self.rows_mm.partition_point(|s| *s < place.station_mm).min(self.rows_mm.len() - 1);
        let share = place.clock.to_deg().rem_euclid(360.0) / 360.0 * self.around as f64;
        let (low, high) = (share.floor() as usize, share.ceil() as usize);
        // A place on a row or a column is the business of that one alone.
        let on_row = (self.rows_mm[after] - place.station_mm).abs() < 1e-6;
        let before = if on_row { after } else { after.saturating_sub(1) };
        [(before, low), (before, high), (after, low), (after, high)].map(|(row, column)| self.cell(row, column))
    }

    /// The chamber while the pieces stand so; they are those that this was made of, in their order.
    ///
    /// # Errors
    /// Unknown where a piece is held to an unknown diameter or its mouths cannot be placed.
    pub fn chamber(&self, anatomy: &Anatomy, pieces: &[Piece<'_>]) -> Result<Chamber, Unknown> {
        Laying::new(self, anatomy, pieces)?.passages()
    }
}

/// What is seen of each piece from a wall point near a station.
pub(super) fn look(pieces: &[Piece<'_>], point: &Point3, station_mm: f64) -> Result<Probe, Unknown> {
    let of = |piece: &Piece<'_>| {
        // Across a bend another stretch of the aorta may lie near: no fabric of it is over the point.
        let near = |(first, last): (&(f64, f64), &(f64, f64))| {
            station_mm > first.1 - space::FAR_MM && station_mm < last.1 + space::FAR_MM
        };
        let places = piece.lie.places();
        if places.first().zip(places.last()).is_some_and(|ends| !near(ends)) {
            return Ok(None);
        }
        let nearest = piece.lie.nearest(point, station_mm)?;
        Ok(nearest.map(|n| Seen { u_mm: n.axis.u_mm, on_graft: n.on_graft, distance_mm: n.distance_mm }))
    };
    Ok(Probe(pieces.iter().map(of).collect::<Result<_, Unknown>>()?))
}

/// Where the cells' rows lie: close enough everywhere, inside the ends of every section, at every site.
fn rows(anatomy: &Anatomy, footprints: &[Footprint], pieces: &[Piece<'_>]) -> Vec<f64> {
    let (first, last) = anatomy.course.line().range_mm();
    let ends = pieces.iter().filter_map(|p| Some((p.lie.places().first()?.1, p.lie.places().last()?.1)));
    let Some((from, to)) = ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))) else { return vec![first] };
    let (from, to) = ((from - BEYOND_MM).max(first), (to + BEYOND_MM).min(last));
    let count = (((to - from) / CELL_MM).ceil() as usize).clamp(1, MOST_ROWS);
    let mut rows: Vec<f64> = (0..=count).map(|k| from + (to - from) * k as f64 / count as f64).collect();
    for piece in pieces {
        let us = piece.graft.sections.iter().flat_map(|s| [s.from_u_mm + INSIDE_MM, s.to_u_mm - INSIDE_MM]);
        rows.extend(us.take(MOST_ROWS).filter_map(|u| piece.lie.station_mm(u).ok()));
    }
    rows.extend(footprints.iter().filter_map(|f| Some(f.centre.as_ref().ok()?.station_mm)));
    rows.retain(|s| (from..=to).contains(s));
    rows.sort_by(f64::total_cmp);
    rows.dedup_by(|a, b| *a - *b < INSIDE_MM / 2.0);
    rows
}

fn centre_point(anatomy: &Anatomy, spot: &Spot) -> Point3 {
    anatomy.course.line().at(spot.station_mm).point
}

fn clock_of(column: usize, around: usize) -> Angle {
    Angle::rad(TAU * (column % around) as f64 / around as f64).wrapped()
}
