//! The anatomy looked over: arch type by both definitions, angles, tortuosity, diameters and bends by
//! stretch. Lists what a case selection asks for; judges nothing and knows nothing of grafts.

use super::lumen::Sizing;
use super::openings::Ostium;
use super::{Anatomy, Stretch};
use crate::message;
use crate::quantity::Unknown;
use crate::units::{Angle, Point3};

/// Stretches are looked at this far apart, mm.
const STEP_MM: f64 = 1.0;
/// Diameter of a vessel for the arch type: the one measured nearest to this far from the wall, mm.
const VESSEL_WIDTH_AT_MM: f64 = 10.0;

/// Type of an arch, and from what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArchType {
    /// 1, 2 or 3.
    pub number: u8,
    /// How far the innominate ostium's centre lies below the top of the outer curve, mm.
    pub drop_mm: f64,
    /// Up to how far below it is type 1, mm.
    pub first_mm: f64,
    /// Up to how far below it is type 2, mm.
    pub second_mm: f64,
}

impl ArchType {
    fn of(drop_mm: f64, first_mm: f64, second_mm: f64) -> Self {
        let number = if drop_mm <= first_mm {
            1
        } else if drop_mm <= second_mm {
            2
        } else {
            3
        };
        ArchType { number, drop_mm, first_mm, second_mm }
    }

    /// By vessel widths: the innominate ostium less than one, up to two, or more widths of the left
    /// common carotid below the top of the arch (teaching definition, secondary source).
    pub fn by_widths(drop_mm: f64, lcca_mm: f64) -> Self {
        Self::of(drop_mm, lcca_mm, 2.0 * lcca_mm)
    }
}

/// The angle at the top of the arch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArchAngle {
    /// Between the straight lines from the top of the centreline to its two legs.
    pub angle: Angle,
    /// Station of the top.
    pub top_mm: f64,
    /// Station of the leg's point upstream.
    pub up_mm: f64,
    /// Station of the leg's point downstream, as high as that upstream.
    pub down_mm: f64,
}

impl Anatomy {
    /// The vessel's ostium, if it is known.
    ///
    /// # Errors
    /// Unknown where it was not entered.
    pub fn ostium_for(&self, vessel: &str) -> Result<&Ostium, Unknown> {
        self.ostium_of(vessel).ok_or_else(|| Unknown(message::no_vessel(vessel)))
    }

    /// Sizes of the lumen at every measured station of a stretch and at its two ends.
    ///
    /// # Errors
    /// Unknown without a lumen.
    pub fn sizes(&self, from_mm: f64, to_mm: f64) -> Result<Vec<Sizing>, Unknown> {
        let lumen = self.lumen()?;
        let inside = lumen.stations_mm().iter().copied().filter(|s| *s > from_mm && *s < to_mm);
        Ok(std::iter::once(from_mm).chain(inside).chain([to_mm]).map(|s| lumen.sizing(s)).collect())
    }

    /// Curvature of the wall's inner line times the diameter at a station, κ_i D with
    /// κ_i = κ / (1 − κ D / 2).
    ///
    /// # Errors
    /// Unknown without a lumen, or where the inner wall folds.
    pub fn inner_bend(&self, station_mm: f64) -> Result<f64, Unknown> {
        let radius = self.lumen()?.mean_mm(station_mm);
        let bend = self.course.line().at(station_mm).curvature.norm() * radius;
        if bend >= 1.0 {
            return Err(Unknown(message::folds_at(station_mm)));
        }
        Ok(2.0 * bend / (1.0 - bend))
    }

    /// The station of a stretch where [`Anatomy::inner_bend`] is largest, and that value.
    ///
    /// # Errors
    /// As [`Anatomy::inner_bend`].
    pub fn sharpest(&self, from_mm: f64, to_mm: f64) -> Result<(f64, f64), Unknown> {
        let mut sharpest = (from_mm, f64::NEG_INFINITY);
        for station in stations(from_mm, to_mm) {
            let bend = self.inner_bend(station)?;
            if bend > sharpest.1 {
                sharpest = (station, bend);
            }
        }
        Ok(sharpest)
    }

    /// Angle between the centreline's directions at two stations.
    pub fn turn_between(&self, from_mm: f64, to_mm: f64) -> Angle {
        let (a, b) = (self.course.line().at(from_mm).tangent, self.course.line().at(to_mm).tangent);
        Angle::atan2(a.cross(&b).norm(), a.dot(&b))
    }

    /// Turning of the centreline between two stations, ∫κ ds.
    pub fn turning(&self, from_mm: f64, to_mm: f64) -> Angle {
        let line = self.course.line();
        let steps = ((to_mm - from_mm) / STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
        let at = |k: usize| from_mm + (to_mm - from_mm) * k as f64 / steps as f64;
        let piece = |k| crate::numeric::quadrature::panel(at(k), at(k + 1), |s| line.at(s).curvature.norm());
        Angle::rad((0..steps).map(piece).sum())
    }

    /// Length of the centreline over the straight distance between two stations; `None` where they are
    /// at one point.
    pub fn tortuosity(&self, from_mm: f64, to_mm: f64) -> Option<f64> {
        let line = self.course.line();
        let chord = (line.at(to_mm).point - line.at(from_mm).point).norm();
        (chord > 1e-6).then(|| (to_mm - from_mm) / chord)
    }

    /// Angle at the top of the centreline between the straight lines to its two legs: upstream to the
    /// origin, downstream to the point as high as that; both higher up where data end before.
    ///
    /// # Errors
    /// Unknown where the top lies at an end of the data.
    pub fn arch_angle(&self) -> Result<ArchAngle, Unknown> {
        let line = self.course.line();
        let (first, last) = line.range_mm();
        let high = |s: f64| line.at(s).point.z;
        let (top_mm, _) = highest(first, last, high);
        let begin = first.max(0.0).min(top_mm);
        // The lower of the two legs may end early: both are then cut at the higher of their ends.
        let level = high(begin).max(lowest(top_mm, last, high));
        let (Some(up_mm), Some(down_mm)) = (reaches(top_mm, begin, level, high), reaches(top_mm, last, level, high))
        else {
            return Err(Unknown::because(message::NO_ARCH_TOP));
        };
        let top = line.at(top_mm).point;
        let (up, down) = (line.at(up_mm).point - top, line.at(down_mm).point - top);
        if up.norm() < 1.0 || down.norm() < 1.0 {
            return Err(Unknown::because(message::NO_ARCH_TOP));
        }
        Ok(ArchAngle { angle: Angle::atan2(up.cross(&down).norm(), up.dot(&down)), top_mm, up_mm, down_mm })
    }

    /// How far the innominate ostium's centre lies below the top of the wall along a clock, mm.
    fn drop(&self, clock: Angle) -> Result<(f64, &Ostium), Unknown> {
        let innominate = self.ostium_for("IA")?;
        let point: &Point3 = innominate.place.point.get()?;
        let (wall, plane) = (self.wall()?, self.course.plane()?);
        // Both ends are known, so every station between is.
        wall.point(plane.from_mm, clock).and(wall.point(plane.to_mm, clock))?;
        let height = |s: f64| wall.point(s, clock).map_or(f64::NEG_INFINITY, |point| point.z);
        let (_, high) = highest(plane.from_mm, plane.to_mm, height);
        Ok((high - point.z, innominate))
    }

    /// Arch type by vessel widths; `lcca_mm` is the width of the left common carotid.
    ///
    /// # Errors
    /// Unknown without wall, clock or innominate ostium.
    pub fn type_by_widths(&self, lcca_mm: Result<f64, Unknown>) -> Result<ArchType, Unknown> {
        let (drop, _) = self.drop(Angle::ZERO)?;
        Ok(ArchType::by_widths(drop, lcca_mm?))
    }

    /// Arch type by horizontal planes (definition from memory): 1 where the plane on top of the outer
    /// curve still meets the innominate ostium, 2 down to the plane on top of the inner curve, 3 below.
    ///
    /// # Errors
    /// Unknown without wall, clock, innominate ostium or its size.
    pub fn type_by_planes(&self) -> Result<ArchType, Unknown> {
        let (drop, innominate) = self.drop(Angle::ZERO)?;
        let (below_inner, _) = self.drop(Angle::HALF_TURN)?;
        Ok(ArchType::of(drop, innominate.along_mm.get()? / 2.0, drop - below_inner))
    }
}

/// Stations of a stretch at most 1 mm apart, ends included.
pub(crate) fn stations(from_mm: f64, to_mm: f64) -> impl Iterator<Item = f64> {
    let steps = ((to_mm - from_mm) / STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
    (0..=steps).map(move |k| from_mm + (to_mm - from_mm) * k as f64 / steps as f64)
}

/// The station of a stretch where something is highest, to about 1e-4 mm, and how high.
fn highest(from_mm: f64, to_mm: f64, high: impl Fn(f64) -> f64) -> (f64, f64) {
    let best = |from: f64, to: f64, steps: usize| {
        (0..=steps)
            .map(|k| from + (to - from) * k as f64 / steps as f64)
            .map(|s| (s, high(s)))
            .fold((from, f64::NEG_INFINITY), |best, here| if here.1 > best.1 { here } else { best })
    };
    let steps = ((to_mm - from_mm) / STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
    let (mut at, mut top) = best(from_mm, to_mm, steps);
    let mut reach = (to_mm - from_mm) / steps as f64;
    for _ in 0..4 {
        (at, top) = best((at - reach).max(from_mm), (at + reach).min(to_mm), 20);
        reach /= 10.0;
    }
    (at, top)
}

fn lowest(from_mm: f64, to_mm: f64, high: impl Fn(f64) -> f64) -> f64 {
    stations(from_mm, to_mm).map(high).fold(f64::INFINITY, f64::min)
}

/// The first station from one on the way to another at which the height has fallen to a level.
fn reaches(from_mm: f64, to_mm: f64, level: f64, high: impl Fn(f64) -> f64) -> Option<f64> {
    let way = to_mm - from_mm;
    let steps = (way.abs() / STEP_MM).ceil().clamp(1.0, 5000.0) as usize;
    let at = |k: usize| from_mm + way * k as f64 / steps as f64;
    // A hair of slack, so that the end that gave the level is met in spite of rounding.
    let k = (1..=steps).find(|k| high(at(*k)) <= level + 1e-9)?;
    let (low, up) = (at(k).min(at(k - 1)), at(k).max(at(k - 1)));
    crate::numeric::roots::bracketed(low, up, 1e-9, |s| high(s) - level).or(Some(at(k)))
}

/// Width of a vessel: the diameter measured nearest to 10 mm from the wall.
///
/// # Errors
/// Unknown where none was measured.
pub fn vessel_width(case: &crate::casefile::case::Case, vessel: &str) -> Result<f64, Unknown> {
    let own =
        case.anatomy.vessels.iter().find(|v| v.id == vessel).ok_or_else(|| Unknown(message::no_vessel(vessel)))?;
    let away = |at: f64| (at - VESSEL_WIDTH_AT_MM).abs();
    let nearest = own.diameters.iter().min_by(|a, b| away(a.at_mm).total_cmp(&away(b.at_mm)));
    nearest.map(|d| d.diameter_mm).ok_or_else(|| Unknown(message::no_vessel_diameter(vessel)))
}

/// The stretch in which a centreline's bends are summed: from the first to the last ostium.
pub fn arch_stretch(anatomy: &Anatomy) -> Option<Stretch> {
    let (first, last) = (anatomy.ostia.first()?, anatomy.ostia.last()?);
    Some(Stretch { from_mm: first.place.station_mm, to_mm: last.place.station_mm })
}
