//! Natural cubic smoothing splines, in Reinsch's form.
//!
//! Minimises Σ wᵢ (yᵢ − f(xᵢ))² + λ ∫ f″² (Reinsch 1967; Green and Silverman 1994, 2.3): with γ the
//! second derivatives at the inner nodes, (R + λ Qᵀ W⁻¹ Q) γ = Qᵀ y and f = y − λ W⁻¹ Q γ. The system
//! is symmetric with two bands beside the diagonal and solved in linear time. λ = 0 interpolates.
//! Same penalty as `scipy.interpolate.make_smoothing_spline`.

use super::quadrature::panel;
use crate::Vec3;

/// A natural cubic spline with values in space.
#[derive(Clone, Debug, PartialEq)]
pub struct SpaceSpline {
    nodes: Vec<f64>,
    values: Vec<Vec3>,
    /// Of each piece: value and derivatives at its first node, the third one constant.
    pieces: Vec<[[f64; 3]; 4]>,
}

/// Value and derivatives of a space curve by its parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jet {
    /// Position.
    pub value: Vec3,
    /// First derivative.
    pub first: Vec3,
    /// Second derivative.
    pub second: Vec3,
    /// Third derivative.
    pub third: Vec3,
}

impl SpaceSpline {
    /// Fits values at strictly growing nodes with weights and a penalty λ ≥ 0.
    ///
    /// The caller makes sure that the three lists are of one length, at least 3, the nodes strictly
    /// growing and the weights positive.
    pub fn fit(nodes: &[f64], values: &[Vec3], weights: &[f64], lambda: f64) -> Self {
        let n = nodes.len();
        let h: Vec<f64> = nodes.windows(2).map(|w| w[1] - w[0]).collect();
        // Column j of Q has entries 1/h[j], -1/h[j] - 1/h[j+1], 1/h[j+1] in rows j, j+1, j+2.
        let q = |j: usize| [1.0 / h[j], -1.0 / h[j] - 1.0 / h[j + 1], 1.0 / h[j + 1]];
        let inner = n - 2;
        let mut band = vec![[0.0f64; 3]; inner];
        for j in 0..inner {
            let qj = q(j);
            band[j][0] = (h[j] + h[j + 1]) / 3.0 + lambda * (0..3).map(|r| qj[r] * qj[r] / weights[j + r]).sum::<f64>();
            if j + 1 < inner {
                let qn = q(j + 1);
                band[j][1] =
                    h[j + 1] / 6.0 + lambda * (qj[1] * qn[0] / weights[j + 1] + qj[2] * qn[1] / weights[j + 2]);
            }
            if j + 2 < inner {
                band[j][2] = lambda * qj[2] * q(j + 2)[0] / weights[j + 2];
            }
        }
        let right: Vec<Vec3> = (0..inner)
            .map(|j| (values[j + 2] - values[j + 1]) / h[j + 1] - (values[j + 1] - values[j]) / h[j])
            .collect();
        let gamma = solve_five_bands(band, right);
        let mut fitted = values.to_vec();
        for (j, g) in gamma.iter().enumerate() {
            let qj = q(j);
            for r in 0..3 {
                fitted[j + r] -= g * (lambda * qj[r] / weights[j + r]);
            }
        }
        let mut seconds = vec![Vec3::zeros(); n];
        seconds[1..n - 1].copy_from_slice(&gamma);
        let piece = |i: usize| {
            let ends = |of: &[Vec3]| [of[i].data.0[0], of[i + 1].data.0[0]];
            let ([y0, y1], [m0, m1]) = (ends(&fitted), ends(&seconds));
            let mut own = [y0, [0.0; 3], m0, [0.0; 3]];
            for c in 0..3 {
                own[1][c] = (y1[c] - y0[c]) / h[i] - (2.0 * m0[c] + m1[c]) * (h[i] / 6.0);
                own[3][c] = (m1[c] - m0[c]) / h[i];
            }
            own
        };
        let pieces = (0..n - 1).map(piece).collect();
        SpaceSpline { nodes: nodes.to_vec(), values: fitted, pieces }
    }

    /// The nodes.
    pub fn nodes(&self) -> &[f64] {
        &self.nodes
    }

    /// The fitted values at the nodes.
    pub fn values(&self) -> &[Vec3] {
        &self.values
    }

    /// Value and derivatives at a parameter; beyond the ends the end piece goes on.
    pub fn jet(&self, x: f64) -> Jet {
        let (piece, x) = self.piece(x);
        let [mut value, mut second] = [[0.0; 3]; 2];
        for c in 0..3 {
            let [y, d, m, j] = [piece[0][c], piece[1][c], piece[2][c], piece[3][c]];
            value[c] = y + x * (d + x * (m / 2.0 + x * (j / 6.0)));
            second[c] = m + x * j;
        }
        Jet {
            value: Vec3::from(value),
            first: Vec3::from(first(piece, x)),
            second: Vec3::from(second),
            third: Vec3::from(piece[3]),
        }
    }

    /// The first derivative alone.
    pub fn first(&self, x: f64) -> Vec3 {
        let (piece, x) = self.piece(x);
        Vec3::from(first(piece, x))
    }

    /// Length between two parameters of one piece, by one panel.
    pub fn length(&self, from: f64, to: f64) -> f64 {
        let (piece, x) = self.piece((from + to) / 2.0);
        let half = (to - from) / 2.0;
        panel(x - half, x + half, |x| first(piece, x).iter().map(|d| d * d).sum::<f64>().sqrt())
    }

    /// The piece in which a parameter lies, and how far into it.
    fn piece(&self, x: f64) -> (&[[f64; 3]; 4], f64) {
        let i = self.nodes.partition_point(|node| *node <= x).clamp(1, self.pieces.len()) - 1;
        (&self.pieces[i], x - self.nodes[i])
    }
}

/// First derivative in a piece, so far into it.
fn first(piece: &[[f64; 3]; 4], x: f64) -> [f64; 3] {
    let mut first = [0.0; 3];
    for c in 0..3 {
        first[c] = piece[1][c] + x * (piece[2][c] + x * (piece[3][c] / 2.0));
    }
    first
}

/// Solves a symmetric positive definite system with two bands beside the diagonal by L D Lᵀ.
/// `band[j]` holds the entries (j, j), (j, j+1), (j, j+2).
fn solve_five_bands(mut band: Vec<[f64; 3]>, mut right: Vec<Vec3>) -> Vec<Vec3> {
    let n = band.len();
    for j in 0..n {
        let [d, e, f] = band[j];
        let (l1, l2) = (e / d, f / d);
        if j + 1 < n {
            band[j + 1][0] -= l1 * e;
            band[j + 1][1] -= l1 * f;
            let step = right[j] * l1;
            right[j + 1] -= step;
        }
        if j + 2 < n {
            band[j + 2][0] -= l2 * f;
            let step = right[j] * l2;
            right[j + 2] -= step;
        }
        band[j] = [d, l1, l2];
    }
    for j in (0..n).rev() {
        let mut x = right[j] / band[j][0];
        if j + 1 < n {
            x -= right[j + 1] * band[j][1];
        }
        if j + 2 < n {
            x -= right[j + 2] * band[j][2];
        }
        right[j] = x;
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked values by an own Reinsch solver and scipy's make_smoothing_spline (agree to 1e-14).
    #[test]
    fn worked_smoothing_spline() {
        let x = [0.0, 1.0, 2.5, 3.0, 4.0, 5.5, 6.0, 7.0, 8.5, 9.0, 10.0, 12.0];
        let y = [0.1, 0.9, 2.2, 2.1, 3.4, 3.9, 4.4, 4.0, 3.1, 3.3, 2.0, 0.4];
        let values: Vec<Vec3> = y.iter().map(|v| Vec3::new(*v, 0.0, 0.0)).collect();
        let spline = SpaceSpline::fit(&x, &values, &[1.0; 12], 2.0);
        let value = |at: f64| spline.jet(at).value.x;
        let second = |at: f64| spline.jet(at).second.x;
        for (got, expected) in [
            (value(0.0), 0.112935975452),
            (value(4.0), 3.22467241167),
            (value(5.0), 3.77361402476),
            (spline.jet(5.0).first.x, 0.424583292058),
            (value(8.5), 3.31193207131),
            (value(12.0), 0.461644997447),
            (second(4.0), -0.191849916129),
            (second(8.5), -0.183856793379),
        ] {
            assert!((got - expected).abs() < 1e-11, "{got} {expected}");
        }
    }

    // Closed form: far from its ends an arc of radius 40 with λ = 6⁴ at 1 mm steps comes back with
    // radius 40 / (1 + (6/40)⁴) = 39.9797602463.
    #[test]
    fn shrinks_an_arc_as_the_closed_form_says() {
        let n = 700;
        let x: Vec<f64> = (0..n).map(f64::from).collect();
        let values: Vec<Vec3> = x.iter().map(|s| Vec3::new((s / 40.0).cos(), (s / 40.0).sin(), 0.0) * 40.0).collect();
        let spline = SpaceSpline::fit(&x, &values, &vec![1.0; n as usize], 1296.0);
        let radius = spline.jet(350.0).value.norm();
        assert!((radius - 39.9797602463).abs() < 1e-6, "{radius}");
    }
}
