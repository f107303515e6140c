//! Periodic cubic spline through evenly spaced values: a closed contour's radius.

use std::f64::consts::TAU;

/// A periodic cubic spline over one turn.
#[derive(Clone, Debug, PartialEq)]
pub struct PeriodicSpline {
    values: Vec<f64>,
    /// Second derivatives per (radian)².
    seconds: Vec<f64>,
}

impl PeriodicSpline {
    /// Through values evenly spaced over a turn from angle 0; three or more, else it is constant.
    pub fn through(values: &[f64]) -> Self {
        let n = values.len();
        if n < 3 {
            return PeriodicSpline { values: values.to_vec(), seconds: vec![0.0; n] };
        }
        let h = TAU / n as f64;
        // Circulant system m[i-1] + 4 m[i] + m[i+1] = 6 (y[i-1] - 2 y[i] + y[i+1]) / h². Its inverse
        // decays like (2 - √3)^k from the diagonal, so Gauss–Seidel converges in a few sweeps; the
        // sweeps go on until nothing changes, with a bound that is never reached.
        let right: Vec<f64> =
            (0..n).map(|i| 6.0 * (values[(i + n - 1) % n] - 2.0 * values[i] + values[(i + 1) % n]) / (h * h)).collect();
        let mut m = vec![0.0; n];
        for _ in 0..200 {
            let mut change: f64 = 0.0;
            for i in 0..n {
                let new = (right[i] - m[(i + n - 1) % n] - m[(i + 1) % n]) / 4.0;
                change = change.max((new - m[i]).abs());
                m[i] = new;
            }
            if change == 0.0 {
                break;
            }
        }
        PeriodicSpline { values: values.to_vec(), seconds: m }
    }

    /// Value and derivative by the angle, at an angle in radians.
    pub fn value_and_slope(&self, angle: crate::units::Angle) -> (f64, f64) {
        let n = self.values.len();
        if n < 3 {
            return (self.values.first().copied().unwrap_or(0.0), 0.0);
        }
        let h = TAU / n as f64;
        let x = angle.to_rad().rem_euclid(TAU) / h;
        let i = (x.floor() as usize).min(n - 1);
        let j = (i + 1) % n;
        let b = x - i as f64;
        let a = 1.0 - b;
        let (y0, y1, m0, m1) = (self.values[i], self.values[j], self.seconds[i], self.seconds[j]);
        let value = a * y0 + b * y1 + ((a * a * a - a) * m0 + (b * b * b - b) * m1) * h * h / 6.0;
        let slope = (y1 - y0) / h + ((1.0 - 3.0 * a * a) * m0 + (3.0 * b * b - 1.0) * m1) * h / 6.0;
        (value, slope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Angle;

    // A low harmonic is met to the spline's fourth order; halving the spacing gains sixteenfold.
    #[test]
    fn fourth_order_on_a_harmonic() {
        let error = |n: usize| {
            let f = |a: f64| 17.0 + 2.0 * (2.0 * a).cos() + 0.5 * (3.0 * a).sin();
            let spline = PeriodicSpline::through(&(0..n).map(|i| f(TAU * i as f64 / n as f64)).collect::<Vec<_>>());
            (0..1000)
                .map(|k| {
                    let a = TAU * f64::from(k) / 1000.0;
                    (spline.value_and_slope(Angle::rad(a)).0 - f(a)).abs()
                })
                .fold(0.0, f64::max)
        };
        let (coarse, fine) = (error(24), error(48));
        assert!(coarse / fine > 14.0 && coarse / fine < 18.5, "{coarse} {fine}");
    }
}
