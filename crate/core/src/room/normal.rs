//! Probabilities of a plane normal distribution: of polygons, in the plane of placements.
//!
//! In whitened axes the probability of a region is a sum over its edges of
//! h / 4π ∫ F((h² + t²) / 2) dt with F(x) = (1 − e⁻ˣ) / x, h the edge's distance from the mean and t the way
//! along it (Stokes on the radial form of the density). It holds for regions that are not convex, for
//! holes, and for edges through the mean. Errors are about 1e-12.

use super::border::Ring;
use super::plane::Move;
use crate::casefile::case::RotationError;
use crate::numeric::quadrature::panel;
use std::f64::consts::PI;

/// A normal distribution in the plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Normal {
    /// Its mean.
    pub mean: [f64; 2],
    /// Standard deviations.
    pub sd: [f64; 2],
    /// Correlation.
    pub correlation: f64,
}

impl Normal {
    /// Without correlation.
    pub fn new(mean: [f64; 2], sd: [f64; 2]) -> Self {
        Normal { mean, sd, correlation: 0.0 }
    }

    fn whitened(&self, at: [f64; 2]) -> [f64; 2] {
        // An error of nothing is as good as none.
        let [x, y] = [0, 1].map(|k: usize| (at[k] - self.mean[k]) / self.sd[k].max(1e-9));
        [x, (y - self.correlation * x) / (1.0 - self.correlation * self.correlation).max(1e-12).sqrt()]
    }

    /// The signed probability of a closed polygon: positive where its corners go round towards the second
    /// axis.
    pub fn of_polygon(&self, corners: impl IntoIterator<Item = [f64; 2]>) -> f64 {
        let corners: Vec<[f64; 2]> = corners.into_iter().map(|at| self.whitened(at)).collect();
        let edges = (0..corners.len()).map(|i| (corners[i], corners[(i + 1) % corners.len()]));
        edges.map(|(a, b)| of_edge(a, b)).sum()
    }
}

/// What an edge in whitened axes adds.
fn of_edge(a: [f64; 2], b: [f64; 2]) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = along[0].hypot(along[1]);
    if length <= 0.0 {
        return 0.0;
    }
    let unit = [along[0] / length, along[1] / length];
    // + where the mean lies to the left of the way.
    let h = a[0] * unit[1] - a[1] * unit[0];
    let (from, to) = (a[0] * unit[0] + a[1] * unit[1], b[0] * unit[0] + b[1] * unit[1]);
    h / (4.0 * PI) * (to_foot(h, to) - to_foot(h, from))
}

/// ∫ F from the foot of the perpendicular to t.
fn to_foot(h: f64, t: f64) -> f64 {
    let f = |t: f64| {
        let x = (h * h + t * t) / 2.0;
        if x > 0.0 { -(-x).exp_m1() / x } else { 1.0 }
    };
    let end = t.abs();
    let (mut from, mut sum) = (0.0, 0.0);
    while from < end {
        // Far out F falls like 2 / t², and panels may grow with it.
        let to = (from + 0.25_f64.max(0.15 * from)).min(end);
        sum += panel(from, to, f);
        from = to;
    }
    sum.copysign(t)
}

/// The probability that a placement lands within rings: the landing along the aorta is normal, the rotation
/// a mixture of a narrow and a wide normal. `times` multiplies all standard deviations, `at` is where is
/// aimed.
pub fn landing_within(rings: &[Ring], at: Move, axial: [f64; 2], rotation: &RotationError, times: f64) -> f64 {
    let of = |sd_deg: f64| {
        let mean = [at.shift_mm + axial[0], at.turn_deg + rotation.mean_deg];
        let normal = Normal::new(mean, [axial[1] * times, sd_deg * times]);
        let ring = |ring: &Ring| normal.of_polygon(ring.iter().map(|point| [point.at.shift_mm, point.at.turn_deg]));
        // Holes go round the other way.
        rings.iter().map(ring).sum::<f64>().abs()
    };
    let share = rotation.large_share.clamp(0.0, 1.0);
    (1.0 - share) * of(rotation.small_sd_deg) + share * of(rotation.large_sd_deg)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PENTAGON: [[f64; 2]; 5] = [[-6.0, -20.0], [5.0, -25.0], [8.0, 5.0], [2.0, 22.0], [-7.0, 12.0]];

    fn rectangle([a, b]: [f64; 2], [c, d]: [f64; 2]) -> Vec<[f64; 2]> {
        vec![[a, c], [b, c], [b, d], [a, d]]
    }

    // The check values of the geometry, "Probabilities": each by this sum, by strips and, for boxes, by
    // scipy's multivariate_normal (1e-6).
    #[test]
    fn polygons_as_computed_by_two_unrelated_methods() {
        let inside = |normal: Normal, corners: &[[f64; 2]], expected: f64| {
            let found = normal.of_polygon(corners.iter().copied());
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
            let round = normal.of_polygon(corners.iter().rev().copied());
            assert!((found + round).abs() < 1e-12);
        };
        let window = rectangle([-4.0, 6.0], [-12.0, 10.0]);
        let leaning = Normal { correlation: 0.3, ..Normal::new([0.5, -2.0], [2.5, 6.0]) };
        inside(leaning, &window, 0.886_459_624_573);
        inside(Normal { correlation: 0.0, ..leaning }, &window, 0.883_141_047_181);
        let centred = Normal::new([0.0, 0.0], [3.0, 8.0]);
        inside(centred, &PENTAGON, 0.958_445_939_678);
        inside(Normal { correlation: 0.5, ..centred }, &PENTAGON, 0.951_316_537_764);
        let l_shape = [[-5.0, -20.0], [6.0, -20.0], [6.0, -2.0], [1.0, -2.0], [1.0, 18.0], [-5.0, 18.0]];
        inside(Normal { correlation: 0.5, ..centred }, &l_shape, 0.650_465_949_184);
        // An edge through the mean.
        inside(centred, &rectangle([0.0, 6.0], [-20.0, 20.0]), 0.471_322_744_137);
    }

    #[test]
    fn the_best_aim_of_a_pentagon() {
        let aimed = |at: [f64; 2]| Normal::new(at, [3.0, 8.0]).of_polygon(PENTAGON);
        assert!((aimed([0.225_290_8, -2.018_614]) - 0.961_772_937_151).abs() < 1e-9);
    }

    #[test]
    fn a_hole_is_taken_away_and_the_whole_plane_is_one() {
        let far = rectangle([-1e3, 1e3], [-1e3, 1e3]);
        let normal = Normal::new([0.3, 0.1], [1.0, 2.0]);
        assert!((normal.of_polygon(far.clone()) - 1.0).abs() < 1e-9);
        let hole: Vec<[f64; 2]> = rectangle([-1.0, 1.0], [-1.0, 1.0]).into_iter().rev().collect();
        let around = normal.of_polygon(far) + normal.of_polygon(hole.clone());
        assert!((around - (1.0 + normal.of_polygon(hole))).abs() < 1e-12);
    }
}
