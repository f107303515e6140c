//! Space curves, and the centreline: a curve by its arc length, with a station 0.
//!
//! [`Curve`] is any curve by some parameter; [`spline`] makes one from measured points. A
//! [`Centreline`] measures it once and then answers by station. Nothing here knows of a wall or a graft.

pub mod spline;

use crate::numeric::quadrature::panel;
pub use crate::numeric::smoothing::Jet;
use crate::{Point3, Vec3};
use std::fmt::Debug;
use std::sync::Arc;

/// A smooth curve by a parameter.
pub trait Curve: Debug + Send + Sync {
    /// First and last parameter.
    fn domain(&self) -> (f64, f64);

    /// Position and derivatives by the parameter.
    fn jet(&self, t: f64) -> Jet;

    /// First derivative alone, where a curve can say it sooner.
    fn first(&self, t: f64) -> Vec3 {
        self.jet(t).first
    }

    /// Length between two parameters that lie within one millimetre and between two joints, by one panel.
    fn length(&self, from: f64, to: f64) -> f64 {
        panel(from, to, |t| self.first(t).norm())
    }

    /// Third derivative for the torsion, where a curve has a better one than its jet's.
    fn third(&self, t: f64) -> Vec3 {
        self.jet(t).third
    }

    /// Inner parameters where a derivative jumps: quadrature is split there.
    fn joints(&self) -> Vec<f64> {
        Vec::new()
    }

    /// Those of the joints where the curvature itself jumps.
    fn kinks(&self) -> Vec<f64> {
        Vec::new()
    }
}

/// Longest panel of the arc-length table, mm.
const PANEL_MM: f64 = 1.0;
/// Newton ends after a step this small: the next would be about its square.
const NEWTON_ENDS: f64 = 1e-7;
/// Squared speed below which the line stands still.
const LEAST_SPEED2: f64 = 1e-20;
/// Longest step of the search for a nearest point, mm.
const NEAREST_STEP_MM: f64 = 5.0;
/// Below this curvature the torsion is not told: its direction is noise.
const LEAST_CURVATURE_PER_MM: f64 = 1e-3;

/// The centreline by stations: arc length in mm, growing with the blood flow.
#[derive(Clone, Debug)]
pub struct Centreline {
    curve: Arc<dyn Curve>,
    /// Parameters of the table.
    parameters: Vec<f64>,
    /// Arc length from the first point of the curve at each.
    lengths_mm: Vec<f64>,
    /// Length of the first derivative at each: mm per unit of the parameter.
    speeds: Vec<f64>,
    /// Arc length at which station 0 lies.
    origin_mm: f64,
    kinks: Vec<f64>,
}

/// The centreline at one station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CentrePoint {
    /// The station, mm.
    pub station_mm: f64,
    /// Its point, LPS mm.
    pub point: Point3,
    /// Unit tangent, downstream.
    pub tangent: Vec3,
    /// Curvature vector dT/ds, towards the centre of curvature, per mm.
    pub curvature: Vec3,
}

/// A point's nearest point on the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Station of the nearest point, mm.
    pub station_mm: f64,
    /// Distance to it, mm.
    pub distance_mm: f64,
}

impl Centreline {
    /// Measures a curve; stations count from its first point until [`Centreline::with_origin`].
    pub fn new(curve: Arc<dyn Curve>) -> Self {
        let (first, last) = curve.domain();
        let mut parameters = vec![first];
        let mut lengths_mm = vec![0.0];
        let mut bounds = curve.joints();
        bounds.push(last);
        let (mut from, mut length) = (first, 0.0);
        for to in bounds {
            let rough = curve.length(from, to);
            // Bounded, so that a curve of absurd length cannot ask for endless panels.
            let pieces = (rough / PANEL_MM).ceil().clamp(1.0, 20_000.0) as usize;
            for k in 0..pieces {
                let a = from + (to - from) * k as f64 / pieces as f64;
                let b = from + (to - from) * (k + 1) as f64 / pieces as f64;
                length += curve.length(a, b);
                parameters.push(b);
                lengths_mm.push(length);
            }
            from = to;
        }
        let speeds = parameters.iter().map(|t| curve.first(*t).norm()).collect();
        let mut line = Centreline { curve, parameters, lengths_mm, speeds, origin_mm: 0.0, kinks: Vec::new() };
        line.kinks = line.curve.kinks().iter().map(|t| line.length_at(*t)).collect();
        line
    }

    /// The same line with station 0 at an arc length from its first point.
    pub fn with_origin(mut self, at_mm: f64) -> Self {
        self.origin_mm = at_mm;
        self
    }

    /// Arc length of the whole line, mm.
    pub fn length_mm(&self) -> f64 {
        self.lengths_mm.last().copied().unwrap_or(0.0)
    }

    /// First and last station with data.
    pub fn range_mm(&self) -> (f64, f64) {
        (-self.origin_mm, self.length_mm() - self.origin_mm)
    }

    /// Whether there are data at a station.
    pub fn reaches(&self, station_mm: f64) -> bool {
        let (first, last) = self.range_mm();
        // A hair of slack, so that the ends themselves count in spite of rounding.
        station_mm >= first - 1e-9 && station_mm <= last + 1e-9
    }

    /// Stations where the curvature jumps (none on a line fitted to points).
    pub fn kinks_mm(&self) -> impl Iterator<Item = f64> + '_ {
        self.kinks.iter().map(|s| s - self.origin_mm)
    }

    /// Stations of the table, about a millimetre apart.
    pub fn stations_mm(&self) -> impl Iterator<Item = f64> + '_ {
        self.lengths_mm.iter().map(|s| s - self.origin_mm)
    }

    /// The line at a station; a station beyond the data is answered at the nearer end.
    pub fn at(&self, station_mm: f64) -> CentrePoint {
        centre_point(station_mm, &self.curve.jet(self.parameter(station_mm)))
    }

    /// Torsion at a station, per mm; `None` where the line is too straight to have one.
    pub fn torsion_per_mm(&self, station_mm: f64) -> Option<f64> {
        let t = self.parameter(station_mm);
        let jet = self.curve.jet(t);
        let across = jet.first.cross(&jet.second);
        let curvature = across.norm() / jet.first.norm().powi(3);
        (curvature >= LEAST_CURVATURE_PER_MM).then(|| across.dot(&self.curve.third(t)) / across.norm_squared())
    }

    /// The nearest point of the line: a scan over the table, then Newton on (P − C)·T = 0.
    ///
    /// Unique only while the point is nearer than the radius of curvature (which a lumen without
    /// folds ensures).
    pub fn nearest(&self, point: &Point3) -> Nearest {
        let distance2 = |t: f64| (self.curve.jet(t).value - point.coords).norm_squared();
        let mut best = (f64::INFINITY, 0);
        for (i, t) in self.parameters.iter().enumerate() {
            let d = distance2(*t);
            if d < best.0 {
                best = (d, i);
            }
        }
        let i = best.1;
        let low = self.parameters[i.saturating_sub(1)];
        let high = self.parameters[(i + 1).min(self.parameters.len() - 1)];
        let slope = |t: f64| {
            let jet = self.curve.jet(t);
            (jet.value - point.coords).dot(&jet.first)
        };
        let t = crate::numeric::roots::bracketed(low, high, 1e-14 * (1.0 + high.abs()), slope)
            .unwrap_or(self.parameters[i]);
        Nearest { station_mm: self.length_at(t) - self.origin_mm, distance_mm: distance2(t).sqrt() }
    }

    /// The nearest point of the line, by Newton from a station that is near it already; at most the
    /// nearer end. It goes by the curve's parameter, of which the station is asked once, at the end.
    pub fn nearest_from(&self, point: &Point3, station_mm: f64) -> CentrePoint {
        let (first, last) = (self.parameters[0], self.parameters[self.parameters.len() - 1]);
        let mut t = self.guess(station_mm).1;
        let mut jet = self.curve.jet(t);
        for _ in 0..20 {
            let speed2 = jet.first.norm_squared();
            if speed2 < LEAST_SPEED2 {
                break;
            }
            let away = point.coords - jet.value;
            // Beyond the centre of curvature the distance has no least there; then the slope alone is
            // followed.
            let bend = (speed2 - away.dot(&jet.second)).max(0.2 * speed2);
            let longest = NEAREST_STEP_MM / speed2.sqrt();
            let next = (t + (away.dot(&jet.first) / bend).clamp(-longest, longest)).clamp(first, last);
            let moved_mm = (next - t).abs() * speed2.sqrt();
            t = next;
            jet = self.curve.jet(t);
            // The next step would be about its square.
            if moved_mm < 1e-6 {
                break;
            }
        }
        centre_point(self.length_at(t) - self.origin_mm, &jet)
    }

    /// Arc length from the first point to a parameter, mm.
    pub fn length_at(&self, t: f64) -> f64 {
        let i = self.parameters.partition_point(|p| *p <= t).clamp(1, self.parameters.len()) - 1;
        self.lengths_mm[i] + self.curve.length(self.parameters[i], t)
    }

    /// The parameter at a station: guessed, then Newton on the arc length, whose error is the square of
    /// its last step.
    fn parameter(&self, station_mm: f64) -> f64 {
        let (i, mut t) = self.guess(station_mm);
        let s = (station_mm + self.origin_mm).clamp(0.0, self.length_mm());
        let (t0, t1, s0) = (self.parameters[i], self.parameters[i + 1], self.lengths_mm[i]);
        if self.lengths_mm[i + 1] <= s0 {
            return t0;
        }
        for _ in 0..4 {
            let step = (s0 + self.curve.length(t0, t) - s) / self.curve.first(t).norm();
            t = (t - step).clamp(t0, t1);
            if step.is_nan() || step.abs() <= NEWTON_ENDS {
                break;
            }
        }
        t
    }

    /// The panel in which a station lies, and its parameter by a cubic through the table's values and
    /// slopes, good to about 1e-7 over a millimetre.
    fn guess(&self, station_mm: f64) -> (usize, f64) {
        let s = (station_mm + self.origin_mm).clamp(0.0, self.length_mm());
        let i = self.lengths_mm.partition_point(|l| *l <= s).clamp(1, self.lengths_mm.len() - 1) - 1;
        let (t0, t1) = (self.parameters[i], self.parameters[i + 1]);
        let (s0, s1) = (self.lengths_mm[i], self.lengths_mm[i + 1]);
        if s1 <= s0 {
            return (i, t0);
        }
        let t = cubic((s - s0) / (s1 - s0), t0, t1, (s1 - s0) / self.speeds[i], (s1 - s0) / self.speeds[i + 1]);
        (i, if (t0..=t1).contains(&t) { t } else { t0 + (t1 - t0) * (s - s0) / (s1 - s0) })
    }
}

/// The line where its curve has a position and derivatives.
fn centre_point(station_mm: f64, jet: &Jet) -> CentrePoint {
    let speed2 = jet.first.norm_squared();
    // Where points double back the line can stand still for an instant; it has no direction there, and
    // must not hand on a NaN.
    if speed2 < LEAST_SPEED2 {
        let (tangent, curvature) = (Vec3::z(), Vec3::zeros());
        return CentrePoint { station_mm, point: Point3::from(jet.value), tangent, curvature };
    }
    let tangent = jet.first / speed2.sqrt();
    let curvature = (jet.second - tangent * tangent.dot(&jet.second)) / speed2;
    CentrePoint { station_mm, point: Point3::from(jet.value), tangent, curvature }
}

/// Cubic on the unit interval with values and slopes at both ends.
fn cubic(x: f64, y0: f64, y1: f64, d0: f64, d1: f64) -> f64 {
    let rise = y1 - y0;
    y0 + x * (d0 + x * (3.0 * rise - 2.0 * d0 - d1 + x * (d0 + d1 - 2.0 * rise)))
}
