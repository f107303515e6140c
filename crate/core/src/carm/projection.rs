//! Points, rings and lines of the patient on the detector's picture.
//!
//! Lengths are those in the plane of the isocentre, mm, x to the right and y up as the picture is
//! shown. Without a beam the rays are parallel and only angles count; with one, what lies nearer to
//! the source looks larger: in the plane of the isocentre by SOD/(SOD + t), on the detector by
//! SID/(SOD + t), t the distance from that plane towards the detector.

use super::angles::Screen;
use crate::units::{Angle, Point3, Vec3};
use std::f64::consts::{PI, TAU};

/// Directions in which two rings are tried apart.
const TRIED: usize = 180;

/// The X-ray source and the detector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Source to isocentre (SOD), mm.
    pub source_to_isocentre_mm: f64,
    /// Source to detector (SID), mm.
    pub source_to_detector_mm: f64,
}

/// A picture: its axes in the patient, the isocentre, and the beam where magnification counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Picture {
    /// Axes in the patient.
    pub screen: Screen,
    /// The isocentre, LPS mm: in the middle of the picture.
    pub isocentre: Point3,
    /// The beam; parallel rays without one.
    pub beam: Option<Beam>,
}

/// A flat ring in space: an opening's rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Its centre, LPS mm.
    pub centre: Point3,
    /// Half of its length, as a vector.
    pub half_along: Vec3,
    /// Half of its width, as a vector square to the other.
    pub half_across: Vec3,
}

impl Beam {
    /// How much larger something is on the detector, by its distance from the plane of the isocentre
    /// towards the detector; `None` at or behind the source.
    pub fn magnification(&self, towards_mm: f64) -> Option<f64> {
        let from_source = self.source_to_isocentre_mm + towards_mm;
        (from_source > 1.0).then(|| self.source_to_detector_mm / from_source)
    }
}

impl Picture {
    /// Where a point lies in the plane of the isocentre, mm right and up; `None` at or behind the
    /// source.
    pub fn spot(&self, point: &Point3) -> Option<[f64; 2]> {
        let [right, up, toward] = self.screen.split_point(point, &self.isocentre);
        let scale = match &self.beam {
            None => 1.0,
            Some(beam) => beam.magnification(toward)? * beam.source_to_isocentre_mm / beam.source_to_detector_mm,
        };
        Some([right * scale, up * scale])
    }

    /// A line of points.
    pub fn line(&self, points: &[Point3]) -> Vec<[f64; 2]> {
        points.iter().filter_map(|point| self.spot(point)).collect()
    }

    /// The direction of the ray through a point, towards the detector; not of unit length.
    pub fn ray(&self, point: &Point3) -> Vec3 {
        match &self.beam {
            None => self.screen.toward,
            Some(beam) => point - self.isocentre + self.screen.toward * beam.source_to_isocentre_mm,
        }
    }
}

impl Ring {
    /// Points round the rim, the first not repeated.
    pub fn points(&self, count: usize) -> Vec<Point3> {
        (0..count)
            .map(|k| {
                let turn = Angle::rad(TAU * k as f64 / count as f64);
                self.centre + self.half_along * turn.cos() + self.half_across * turn.sin()
            })
            .collect()
    }

    /// The two half axes of the ring as it looks from a direction with parallel rays, the longer
    /// first, mm.
    pub fn looks(&self, screen: &Screen) -> [f64; 2] {
        let [ax, ay, _] = screen.split(&self.half_along);
        let [bx, by, _] = screen.split(&self.half_across);
        // Singular values of the 2 × 2 matrix of the two halves.
        let (sum, area) = (ax * ax + ay * ay + bx * bx + by * by, (ax * by - ay * bx).abs());
        let wide = ((sum + 2.0 * area).sqrt() + (sum - 2.0 * area).max(0.0).sqrt()) / 2.0;
        [wide, if wide > 0.0 { area / wide } else { 0.0 }]
    }

    /// The gap between two rings as they look from a direction, mm; negative where they overlap, by
    /// as much as one would have to move.
    pub fn gap(&self, other: &Ring, screen: &Screen) -> f64 {
        let apart = screen.split(&(other.centre - self.centre));
        let reach = |ring: &Ring, x: f64, y: f64| {
            let along = screen.split(&ring.half_along);
            let across = screen.split(&ring.half_across);
            (along[0] * x + along[1] * y).hypot(across[0] * x + across[1] * y)
        };
        // Ovals lie apart if some direction parts them.
        (0..TRIED)
            .map(|k| {
                let turn = Angle::rad(PI * k as f64 / TRIED as f64);
                let (x, y) = (turn.cos(), turn.sin());
                (apart[0] * x + apart[1] * y).abs() - reach(self, x, y) - reach(other, x, y)
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::angles::Positioner;
    use super::*;

    fn picture(at: Positioner, beam: Option<Beam>) -> Picture {
        Picture { screen: at.screen(), isocentre: Point3::new(3.0, -4.0, 5.0), beam }
    }

    // Cone beam with SID 1150, SOD 750: 1150/750 at the isocentre, 1150/790 nearer the detector by 40.
    #[test]
    fn magnification_of_a_cone_beam() {
        let beam = Beam { source_to_isocentre_mm: 750.0, source_to_detector_mm: 1150.0 };
        assert!((beam.magnification(0.0).unwrap() - 1.533_333_333_33).abs() < 1e-9);
        assert!((beam.magnification(40.0).unwrap() - 1.455_696_202_53).abs() < 1e-9);
        assert_eq!(beam.magnification(-750.0), None);
        let cone = picture(Positioner::deg(30.0, 20.0), Some(beam));
        let flat = picture(Positioner::deg(30.0, 20.0), None);
        // In the plane of the isocentre both are alike.
        let on = cone.isocentre + cone.screen.right * 20.0 + cone.screen.up * 7.0;
        for (a, b) in cone.spot(&on).unwrap().iter().zip([20.0, 7.0]) {
            assert!((a - b).abs() < 1e-12);
        }
        let nearer = on + cone.screen.toward * 40.0;
        assert!((cone.spot(&nearer).unwrap()[0] - 20.0 * 750.0 / 790.0).abs() < 1e-12);
        assert!((flat.spot(&nearer).unwrap()[0] - 20.0).abs() < 1e-12);
        assert_eq!(cone.spot(&(on - cone.screen.toward * 800.0)), None);
    }

    #[test]
    fn a_ring_edge_on_is_a_line_and_en_face_itself() {
        let screen = Positioner::deg(25.0, -10.0).screen();
        let ring = |a: Vec3, b: Vec3| Ring { centre: Point3::origin(), half_along: a * 7.0, half_across: b * 4.0 };
        let edge = ring(screen.right, screen.toward).looks(&screen);
        assert!((edge[0] - 7.0).abs() < 1e-12 && edge[1].abs() < 1e-12, "{edge:?}");
        let face = ring(screen.right, screen.up).looks(&screen);
        assert!((face[0] - 7.0).abs() < 1e-12 && (face[1] - 4.0).abs() < 1e-12, "{face:?}");
        // Tilted by 30° about its length it is half as wide as sin 30°.
        let tilted = ring(screen.right, screen.up * 0.5 + screen.toward * 0.75f64.sqrt()).looks(&screen);
        assert!((tilted[1] - 2.0).abs() < 1e-12, "{tilted:?}");
    }

    #[test]
    fn gaps_of_rings() {
        let screen = Positioner::deg(0.0, 0.0).screen();
        let ring = |x: f64, z: f64| Ring {
            centre: Point3::new(x, 0.0, z),
            half_along: Vec3::x() * 7.0,
            half_across: Vec3::z() * 4.0,
        };
        assert!((ring(0.0, 0.0).gap(&ring(20.0, 0.0), &screen) - 6.0).abs() < 1e-9);
        assert!((ring(0.0, 0.0).gap(&ring(0.0, 9.0), &screen) - 1.0).abs() < 1e-9);
        assert!(ring(0.0, 0.0).gap(&ring(10.0, 0.0), &screen) < 0.0);
        // From the side only the depth differs, and one hides the other.
        assert!(ring(0.0, 0.0).gap(&ring(20.0, 0.0), &Positioner::deg(90.0, 0.0).screen()) < 1e-9);
    }
}
