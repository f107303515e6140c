//! Symmetric equations in which an unknown meets only its five neighbours on either side: the rod's
//! two unknowns a plane, coupled over three planes.

/// Neighbours on either side.
const REACH: usize = 5;

/// A symmetric matrix of half-bandwidth five: row `i` holds columns `i − 5` to `i`.
#[derive(Clone, Debug, Default)]
pub struct Banded {
    rows: Vec<[f64; REACH + 1]>,
}

impl Banded {
    /// All zero, of a size.
    pub fn reset(&mut self, size: usize) {
        self.rows.clear();
        self.rows.resize(size, [0.0; REACH + 1]);
    }

    /// Adds to the entry in row `i` and column `j`, `i ≥ j ≥ i − 5`.
    pub fn add(&mut self, i: usize, j: usize, value: f64) {
        self.rows[i][j + REACH - i] += value;
    }

    /// Takes an unknown out: it will not move.
    pub fn hold(&mut self, i: usize) {
        self.rows[i] = [0.0; REACH + 1];
        self.rows[i][REACH] = 1.0;
        for k in i + 1..(i + REACH + 1).min(self.rows.len()) {
            self.rows[k][i + REACH - k] = 0.0;
        }
    }

    /// The entry in row `i` and column `j ≤ i`.
    pub fn entry(&self, i: usize, j: usize) -> f64 {
        if i - j > REACH { 0.0 } else { self.rows[i][j + REACH - i] }
    }

    /// Largest entry on the diagonal.
    pub fn largest_on_diagonal(&self) -> f64 {
        self.rows.iter().fold(0.0, |most, row| row[REACH].max(most))
    }

    /// Cholesky factor of this matrix with `more` added on the diagonal, into `factor`; false where
    /// the sum is not positive definite.
    pub fn factor(&self, more: f64, factor: &mut Banded) -> bool {
        factor.rows.clear();
        factor.rows.extend_from_slice(&self.rows);
        for i in 0..factor.rows.len() {
            let from = i.saturating_sub(REACH);
            let mut row = factor.rows[i];
            for j in from..i {
                let other = &factor.rows[j];
                let mut sum = row[j + REACH - i];
                for k in from.max(j.saturating_sub(REACH))..j {
                    sum -= row[k + REACH - i] * other[k + REACH - j];
                }
                // The diagonal holds its own inverse.
                row[j + REACH - i] = sum * other[REACH];
            }
            let mut pivot = row[REACH] + more;
            for value in &row[from + REACH - i..REACH] {
                pivot -= value * value;
            }
            // A pivot that rounding ate up says nothing.
            if pivot.is_nan() || pivot <= 1e-14 * (row[REACH].abs() + more) {
                return false;
            }
            row[REACH] = 1.0 / pivot.sqrt();
            factor.rows[i] = row;
        }
        true
    }

    /// Solves with a factor made by [`Banded::factor`], in place.
    pub fn solve(&self, x: &mut [f64]) {
        let n = self.rows.len().min(x.len());
        for i in 0..n {
            let first = i.saturating_sub(REACH);
            let row = &self.rows[i][first + REACH - i..REACH];
            let known: f64 = row.iter().zip(&x[first..i]).map(|(a, x)| a * x).sum();
            x[i] = (x[i] - known) * self.rows[i][REACH];
        }
        for i in (0..n).rev() {
            let value = x[i] * self.rows[i][REACH];
            x[i] = value;
            let first = i.saturating_sub(REACH);
            let row = &self.rows[i][first + REACH - i..REACH];
            for (a, x) in row.iter().zip(&mut x[first..i]) {
                *x -= a * value;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Against nalgebra's dense Cholesky.
    #[test]
    fn agrees_with_a_dense_solver() {
        const N: usize = 23;
        let mut banded = Banded::default();
        banded.reset(N);
        let mut dense = nalgebra::DMatrix::<f64>::zeros(N, N);
        for i in 0..N {
            for j in i.saturating_sub(REACH)..=i {
                let value = if i == j { 9.0 + i as f64 * 0.1 } else { ((i * 7 + j * 3) % 11) as f64 / 11.0 - 0.5 };
                banded.add(i, j, value);
                dense[(i, j)] = value;
                dense[(j, i)] = value;
            }
        }
        let right: Vec<f64> = (0..N).map(|i| (i as f64).sin()).collect();
        for more in [0.0, 2.5] {
            let mut factor = Banded::default();
            assert!(banded.factor(more, &mut factor));
            let mut x = right.clone();
            factor.solve(&mut x);
            let shifted = dense.clone() + nalgebra::DMatrix::identity(N, N) * more;
            let exact = shifted.cholesky().unwrap().solve(&nalgebra::DVector::from_vec(right.clone()));
            for (a, b) in x.iter().zip(exact.iter()) {
                assert!((a - b).abs() < 1e-13, "{a} {b}");
            }
        }
        assert!(!banded.factor(-20.0, &mut Banded::default()));
        banded.hold(4);
        let mut factor = Banded::default();
        assert!(banded.factor(0.0, &mut factor));
        let mut x = right.clone();
        x[4] = 0.0;
        factor.solve(&mut x);
        assert_eq!(x[4], 0.0);
    }
}
