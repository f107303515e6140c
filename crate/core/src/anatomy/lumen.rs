//! The lumen: distance from the centreline to the wall at every station and clock position.
//!
//! Between measured stations r(s, θ) is shape-preserving (PCHIP) in s at each θ, and constant beyond
//! the first and last. Knows nothing of the centreline's shape.

use crate::casefile::case::{LumenKind, LumenSection};
use crate::numeric::periodic::PeriodicSpline;
use crate::numeric::quadrature::panel;
use crate::numeric::shape_preserving::{Place, place, value_and_slope};
use crate::units::Angle;
use std::f64::consts::TAU;

/// Radius of the lumen and its derivatives at one wall point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Radius {
    /// Distance from the centreline, mm.
    pub mm: f64,
    /// Change along the flow, mm per mm.
    pub along: f64,
    /// Change around, mm per radian.
    pub around: f64,
}

/// A measured cross-section's outline about the centreline.
#[derive(Clone, Debug, PartialEq)]
enum Outline {
    Circle(f64),
    Ellipse { a: f64, b: f64, largest_at: Angle },
    Contour(PeriodicSpline),
}

impl Outline {
    fn of(kind: &LumenKind) -> Self {
        match kind {
            LumenKind::Area { diameter_mm } | LumenKind::Inscribed { diameter_mm } => {
                Outline::Circle(diameter_mm / 2.0)
            }
            LumenKind::MaxMin { largest_mm, smallest_mm, largest_clock_deg } => match largest_clock_deg {
                Some(clock) => {
                    Outline::Ellipse { a: largest_mm / 2.0, b: smallest_mm / 2.0, largest_at: Angle::deg(*clock) }
                }
                // Nobody measured where the largest diameter points: the circle of equal area.
                None => Outline::Circle((largest_mm * smallest_mm).sqrt() / 2.0),
            },
            LumenKind::Contour { radii_mm } => Outline::Contour(PeriodicSpline::through(radii_mm)),
        }
    }

    /// Radius and its derivative by the clock angle.
    fn radius(&self, clock: Angle) -> (f64, f64) {
        match self {
            Outline::Circle(r) => (*r, 0.0),
            Outline::Ellipse { a, b, largest_at } => {
                let d = clock - *largest_at;
                let (x, y) = (b * d.cos(), a * d.sin());
                let q = x * x + y * y;
                let r = a * b / q.sqrt();
                (r, -r / q * (a * a - b * b) * d.sin() * d.cos())
            }
            Outline::Contour(spline) => spline.value_and_slope(clock),
        }
    }
}

/// Sizing of one measured section: what its kind can say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizing {
    /// Station, mm.
    pub station_mm: f64,
    /// Diameter of the circle of equal area; `None` for inscribed spheres.
    pub area_mm: Option<f64>,
    /// Largest diameter; `None` where only an area or an inscribed sphere is known.
    pub largest_mm: Option<f64>,
    /// Smallest diameter.
    pub smallest_mm: Option<f64>,
}

/// The measured lumen.
#[derive(Clone, Debug, PartialEq)]
pub struct Lumen {
    stations_mm: Vec<f64>,
    outlines: Vec<Outline>,
    sizes: Vec<Sizing>,
    round: bool,
    /// Stations 1 mm apart or less with the inscribed radius there: it is asked for at every step of
    /// every drag, and takes a search around the clock to find.
    least: Vec<(f64, f64)>,
}

/// Spacing of the table of inscribed radii, mm.
const LEAST_STEP_MM: f64 = 1.0;

impl Lumen {
    /// From measured sections in order of station; `None` where nothing was measured.
    ///
    /// Where one station was measured in several ways the one that says most about the shape is
    /// drawn: contour, then largest and smallest, area, inscribed sphere.
    pub fn new(sections: &[LumenSection]) -> Option<Self> {
        let mut lumen =
            Lumen { stations_mm: Vec::new(), outlines: Vec::new(), sizes: Vec::new(), round: true, least: Vec::new() };
        let mut ordered: Vec<&LumenSection> = sections.iter().collect();
        ordered.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm).then(rank(&a.kind).cmp(&rank(&b.kind))));
        for section in ordered {
            if lumen.stations_mm.last().is_some_and(|last| section.station_mm - last < 1e-9) {
                continue;
            }
            let outline = Outline::of(&section.kind);
            lumen.round &= matches!(outline, Outline::Circle(_));
            lumen.stations_mm.push(section.station_mm);
            lumen.sizes.push(sizing(section, &outline));
            lumen.outlines.push(outline);
        }
        if lumen.stations_mm.is_empty() {
            return None;
        }
        lumen.least = lumen.table_of_least();
        Some(lumen)
    }

    /// Inscribed radii at every measured station and 1 mm apart between.
    fn table_of_least(&self) -> Vec<(f64, f64)> {
        let mut table = vec![(self.stations_mm[0], self.search_least(self.stations_mm[0]))];
        for pair in self.stations_mm.windows(2) {
            let pieces = ((pair[1] - pair[0]) / LEAST_STEP_MM).ceil().clamp(1.0, 2000.0) as usize;
            for k in 1..=pieces {
                let station = pair[0] + (pair[1] - pair[0]) * k as f64 / pieces as f64;
                table.push((station, self.search_least(station)));
            }
        }
        table
    }

    /// Stations that were measured.
    pub fn stations_mm(&self) -> &[f64] {
        &self.stations_mm
    }

    /// First and last measured station.
    pub fn range_mm(&self) -> (f64, f64) {
        (self.stations_mm[0], self.stations_mm[self.stations_mm.len() - 1])
    }

    /// Radius at a station and clock position.
    pub fn radius(&self, station_mm: f64, clock: Angle) -> Radius {
        match place(&self.stations_mm, station_mm) {
            None | Some(Place::Constant(_)) if self.stations_mm.is_empty() => {
                Radius { mm: 0.0, along: 0.0, around: 0.0 }
            }
            None => Radius { mm: 0.0, along: 0.0, around: 0.0 },
            Some(at) => self.radius_at(at, clock),
        }
    }

    fn radius_at(&self, at: Place, clock: Angle) -> Radius {
        let (mm, along) = value_and_slope(&self.stations_mm, at, |i| self.outlines[i].radius(clock).0);
        let around = if self.round {
            0.0
        } else {
            // PCHIP is not linear in its data, so the derivative around is taken of the result: the
            // centred difference over a hundredth of a degree errs by about 1e-9 mm per radian.
            let step = Angle::deg(0.01);
            let value = |c: Angle| value_and_slope(&self.stations_mm, at, |i| self.outlines[i].radius(c).0).0;
            (value(clock + step) - value(clock - step)) / (2.0 * step.to_rad())
        };
        Radius { mm, along, around }
    }

    /// Radius without derivatives around, for quadrature along the flow.
    pub(crate) fn radius_along(&self, station_mm: f64, clock: Angle) -> (f64, f64) {
        place(&self.stations_mm, station_mm)
            .map_or((0.0, 0.0), |at| value_and_slope(&self.stations_mm, at, |i| self.outlines[i].radius(clock).0))
    }

    /// Radius of the largest circle about the centreline that fits: the least r(s, θ) over θ, mm.
    /// Between the table's stations it is interpolated linearly, which is good to 1e-3 mm.
    pub fn inscribed_mm(&self, station_mm: f64) -> f64 {
        if self.round {
            return self.radius_along(station_mm, Angle::ZERO).0;
        }
        let last = self.least.len() - 1;
        let i = self.least.partition_point(|p| p.0 <= station_mm);
        if i == 0 || i > last {
            return self.least[i.min(last)].1;
        }
        let ((s0, r0), (s1, r1)) = (self.least[i - 1], self.least[i]);
        r0 + (r1 - r0) * (station_mm - s0) / (s1 - s0)
    }

    fn search_least(&self, station_mm: f64) -> f64 {
        // 5° apart, then a parabola through the least and its neighbours: on an outline of low
        // harmonics this is good to 1e-4 mm.
        const STEPS: usize = 72;
        let value = |k: usize| self.radius_along(station_mm, Angle::rad(TAU * (k % STEPS) as f64 / STEPS as f64)).0;
        let radii: Vec<f64> = (0..STEPS).map(value).collect();
        let least = (0..STEPS).fold(0, |best, k| if radii[k] < radii[best] { k } else { best });
        let (before, here, after) = (radii[(least + STEPS - 1) % STEPS], radii[least], radii[(least + 1) % STEPS]);
        let bend = before - 2.0 * here + after;
        if bend > 0.0 { here - (before - after).powi(2) / (8.0 * bend) } else { here }
    }

    /// Mean radius around, mm.
    pub fn mean_mm(&self, station_mm: f64) -> f64 {
        self.around(|clock| self.radius_along(station_mm, clock).0)
    }

    /// Sizing diameters at a station, interpolated between measured sections as the radii are. A
    /// kind that one of the neighbouring sections lacks is `None`.
    pub fn sizing(&self, station_mm: f64) -> Sizing {
        let Some(at) = place(&self.stations_mm, station_mm) else {
            return Sizing { station_mm, area_mm: None, largest_mm: None, smallest_mm: None };
        };
        let needed = match at {
            Place::Constant(i) => i..=i,
            Place::Between { i, .. } => i..=i + 1,
        };
        let interpolate = |pick: fn(&Sizing) -> Option<f64>| {
            if !needed.clone().all(|i| pick(&self.sizes[i]).is_some()) {
                return None;
            }
            // A further neighbour that lacks the kind lends its nearer neighbour's value, so that it
            // only flattens the curve there.
            let value = |i: usize| {
                pick(&self.sizes[i])
                    .or_else(|| pick(&self.sizes[i.clamp(*needed.start(), *needed.end())]))
                    .unwrap_or(0.0)
            };
            Some(value_and_slope(&self.stations_mm, at, value).0)
        };
        Sizing {
            station_mm,
            area_mm: interpolate(|s| s.area_mm),
            largest_mm: interpolate(|s| s.largest_mm),
            smallest_mm: interpolate(|s| s.smallest_mm),
        }
    }

    fn around(&self, f: impl Fn(Angle) -> f64) -> f64 {
        if self.round {
            return f(Angle::ZERO);
        }
        const STEPS: usize = 72;
        (0..STEPS).map(|k| f(Angle::rad(TAU * k as f64 / STEPS as f64))).sum::<f64>() / STEPS as f64
    }
}

fn rank(kind: &LumenKind) -> u8 {
    match kind {
        LumenKind::Contour { .. } => 0,
        LumenKind::MaxMin { .. } => 1,
        LumenKind::Area { .. } => 2,
        LumenKind::Inscribed { .. } => 3,
    }
}

fn sizing(section: &LumenSection, outline: &Outline) -> Sizing {
    let (area_mm, largest_mm, smallest_mm) = match &section.kind {
        LumenKind::Area { diameter_mm } => (Some(*diameter_mm), None, None),
        LumenKind::MaxMin { largest_mm, smallest_mm, .. } => {
            (Some((largest_mm * smallest_mm).sqrt()), Some(*largest_mm), Some(*smallest_mm))
        }
        LumenKind::Inscribed { .. } => (None, None, None),
        LumenKind::Contour { .. } => {
            // Area of the outline ½∫r² dθ; widths are taken through the centreline.
            const PANELS: usize = 72;
            let radius = |a: f64| outline.radius(Angle::rad(a)).0;
            let step = TAU / PANELS as f64;
            let area: f64 =
                (0..PANELS).map(|k| panel(k as f64 * step, (k + 1) as f64 * step, |a| radius(a).powi(2) / 2.0)).sum();
            let widths = (0..PANELS).map(|k| {
                let a = k as f64 * step;
                radius(a) + radius(a + TAU / 2.0)
            });
            let largest = widths.clone().fold(f64::NEG_INFINITY, f64::max);
            let smallest = widths.fold(f64::INFINITY, f64::min);
            (Some((4.0 * area / std::f64::consts::PI).sqrt()), Some(largest), Some(smallest))
        }
    };
    Sizing { station_mm: section.station_mm, area_mm, largest_mm, smallest_mm }
}
