//! Roots of one function of one variable.

/// The root of `f` in \[a, b\], where `f` has different signs at the two ends, to `accuracy` in x.
///
/// Regula falsi with the Illinois change, and bisection whenever a step gains too little, so that it
/// ends after a bounded number of steps. `None` where the signs agree or a value is not finite.
pub fn bracketed(mut a: f64, mut b: f64, accuracy: f64, mut f: impl FnMut(f64) -> f64) -> Option<f64> {
    let mut fa = f(a);
    let mut fb = f(b);
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || fa * fb > 0.0 {
        return None;
    }
    for step in 0..200 {
        if (b - a).abs() <= accuracy {
            break;
        }
        let falsi = b - fb * (b - a) / (fb - fa);
        let x = if step % 3 == 2 || !falsi.is_finite() { (a + b) / 2.0 } else { falsi };
        let fx = f(x);
        if fx == 0.0 {
            return Some(x);
        }
        if !fx.is_finite() {
            return None;
        }
        if fx * fb < 0.0 {
            a = b;
            fa = fb;
        } else {
            fa /= 2.0;
        }
        b = x;
        fb = fx;
    }
    Some(b)
}

/// The root of `f` near a guess, by secants that begin with a `step`, within \[low, high\], to `accuracy`
/// in x; `None` where they lead out or do not settle.
pub fn near(guess: f64, step: f64, [low, high]: [f64; 2], accuracy: f64, mut f: impl FnMut(f64) -> f64) -> Option<f64> {
    let (mut a, mut fa) = (guess, f(guess));
    let mut b = if guess + step <= high { guess + step } else { guess - step };
    for _ in 0..12 {
        if fa == 0.0 {
            return Some(a);
        }
        if !fa.is_finite() {
            return None;
        }
        let fb = f(b);
        let next = b - fb * (b - a) / (fb - fa);
        if !next.is_finite() || next < low || next > high {
            return None;
        }
        if (next - b).abs() <= accuracy {
            return Some(next);
        }
        (a, fa, b) = (b, fb, next);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::{bracketed, near};

    #[test]
    fn near_a_guess() {
        let f = |x: f64| (x - 0.7) * (1.0 + x * x);
        assert!((near(0.5, 0.1, [-1.0, 2.0], 1e-9, f).unwrap() - 0.7).abs() < 1e-9);
        assert_eq!(near(0.5, 0.1, [0.0, 0.6], 1e-9, f), None);
        assert_eq!(near(0.5, 0.1, [0.0, 1.0], 1e-9, |_| f64::NAN), None);
        assert_eq!(near(0.5, 0.1, [0.0, 1.0], 1e-9, |_| 1.0), None);
    }

    #[test]
    fn finds_a_planted_root_from_both_sides() {
        for root in [0.001, 0.5, 1.999] {
            let f = |x: f64| (x - root) * (1.0 + x * x);
            for (a, b) in [(0.0, 2.0), (2.0, 0.0)] {
                let found = bracketed(a, b, 1e-13, f).unwrap();
                assert!((found - root).abs() < 1e-12, "{root} {found}");
            }
        }
    }

    #[test]
    fn refuses_equal_signs_and_nan() {
        assert_eq!(bracketed(0.0, 1.0, 1e-9, |x| x + 1.0), None);
        assert_eq!(bracketed(0.0, 1.0, 1e-9, |_| f64::NAN), None);
    }
}
