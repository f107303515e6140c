//! Shape-preserving cubic interpolation (PCHIP): no overshoot between data.
//!
//! Fritsch and Carlson 1980 with the weighted harmonic mean of Fritsch and Butland 1984 for inner
//! slopes and the three-point end formula of Moler, *Numerical Computing with MATLAB*, 3.6; the same
//! choices as `scipy.interpolate.PchipInterpolator`.

/// Where a value is sought among nodes, and the pieces of the interpolation there.
///
/// It is made from the nodes alone, so that one search serves many curves over the same nodes (the
/// lumen's radius at every clock position).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Outside the nodes, or a single node: the value of this node, slope 0.
    Constant(usize),
    /// Between node `i` and the next, `x` from node `i`.
    Between {
        /// The node before.
        i: usize,
        /// Distance from it.
        x: f64,
    },
}

/// Finds the place of `at` among strictly growing nodes. `None` where there are no nodes.
pub fn place(nodes: &[f64], at: f64) -> Option<Place> {
    let last = nodes.len().checked_sub(1)?;
    if at <= nodes[0] {
        return Some(Place::Constant(0));
    }
    if at >= nodes[last] {
        return Some(Place::Constant(last));
    }
    let i = nodes.partition_point(|n| *n <= at) - 1;
    Some(Place::Between { i, x: at - nodes[i] })
}

/// Value and slope at a place; `value(i)` gives the datum at node i and is asked for at most four.
pub fn value_and_slope(nodes: &[f64], place: Place, value: impl Fn(usize) -> f64) -> (f64, f64) {
    match place {
        Place::Constant(i) => (value(i), 0.0),
        Place::Between { i, x } => {
            let h = nodes[i + 1] - nodes[i];
            let (y0, y1) = (value(i), value(i + 1));
            let delta = (y1 - y0) / h;
            let before = (i > 0).then(|| {
                let hb = nodes[i] - nodes[i - 1];
                (hb, (y0 - value(i - 1)) / hb)
            });
            let after = (i + 2 < nodes.len()).then(|| {
                let ha = nodes[i + 2] - nodes[i + 1];
                (ha, (value(i + 2) - y1) / ha)
            });
            let d0 = match (before, after) {
                (Some((hb, db)), _) => inner_slope(hb, db, h, delta),
                (None, Some((ha, da))) => end_slope(h, delta, ha, da),
                (None, None) => delta,
            };
            let d1 = match (after, before) {
                (Some((ha, da)), _) => inner_slope(h, delta, ha, da),
                (None, Some((hb, db))) => end_slope(h, delta, hb, db),
                (None, None) => delta,
            };
            let c = (3.0 * delta - 2.0 * d0 - d1) / h;
            let b = (d0 - 2.0 * delta + d1) / (h * h);
            (y0 + x * (d0 + x * (c + x * b)), d0 + x * (2.0 * c + 3.0 * b * x))
        }
    }
}

fn inner_slope(h0: f64, d0: f64, h1: f64, d1: f64) -> f64 {
    if d0 * d1 <= 0.0 {
        return 0.0;
    }
    let w0 = 2.0 * h1 + h0;
    let w1 = h1 + 2.0 * h0;
    (w0 + w1) / (w0 / d0 + w1 / d1)
}

fn end_slope(h0: f64, d0: f64, h1: f64, d1: f64) -> f64 {
    let d = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if d * d0 <= 0.0 {
        0.0
    } else if d0 * d1 <= 0.0 && d.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        d
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // scipy.interpolate.PchipInterpolator([0, 1, 3, 4, 7], [0, 1, 1.5, 5, 4]), values and slopes.
    #[test]
    fn agrees_with_scipy() {
        let nodes = [0.0, 1.0, 3.0, 4.0, 7.0];
        let data = [0.0, 1.0, 1.5, 5.0, 4.0];
        for (at, value, slope) in [
            (0.25, 0.31194196428571425, 1.2254464285714284),
            (0.9, 0.9485357142857143, 0.5975),
            (2.0, 1.2280444964871196, 0.13875878220140508),
            (3.5, 3.3145491803278686, 5.120901639344263),
            (4.5, 4.99537037037037, -0.02777777777777777),
            (6.5, 4.421296296296296, -0.6944444444444444),
        ] {
            let place = place(&nodes, at).unwrap();
            let (v, s) = value_and_slope(&nodes, place, |i| data[i]);
            assert!((v - value).abs() < 1e-12, "{at}: {v} {value}");
            assert!((s - slope).abs() < 1e-12, "{at}: {s} {slope}");
        }
    }

    #[test]
    fn constant_outside() {
        let nodes = [1.0, 2.0];
        for (at, expected) in [(-5.0, 3.0), (9.0, 4.0)] {
            let p = place(&nodes, at).unwrap();
            assert_eq!(value_and_slope(&nodes, p, |i| [3.0, 4.0][i]), (expected, 0.0));
        }
        assert_eq!(place(&[], 0.0), None);
    }
}
