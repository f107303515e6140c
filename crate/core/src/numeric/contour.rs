//! Lines on which a grid of values is zero.
//!
//! Values stand at whole rows and columns; between them they are linear along the grid's lines
//! (marching squares, with the two ways through a saddle told apart by the cell's mean). Knows nothing
//! of what the values mean.

/// Lines of zero, as points (row, column) in fractions of the grid, in order along each line; a closed
/// line ends where it begins. Rows lie one after the other in `values`; where `wraps`, the last column
/// is followed by the first. Cells with a value that is not finite have no line.
pub fn zero_lines(values: &[f64], columns: usize, wraps: bool) -> Vec<Vec<[f64; 2]>> {
    let rows = values.len().checked_div(columns).unwrap_or(0);
    if rows < 2 || columns < 2 {
        return Vec::new();
    }
    let at = |row: usize, column: usize| values[row * columns + column % columns];
    // Edge 2k runs from grid point k along its row, 2k + 1 along its column.
    let edge = |row: usize, column: usize, down: bool| 2 * (row * columns + column % columns) + usize::from(down);
    let place = |edge: usize| -> [f64; 2] {
        let (row, column) = ((edge / 2) / columns, (edge / 2) % columns);
        let (from, to) =
            if edge % 2 == 1 { (at(row, column), at(row + 1, column)) } else { (at(row, column), at(row, column + 1)) };
        let share = if (from - to).abs() > 0.0 { (from / (from - to)).clamp(0.0, 1.0) } else { 0.5 };
        if edge % 2 == 1 { [row as f64 + share, column as f64] } else { [row as f64, column as f64 + share] }
    };
    // Each edge that is crossed joins at most two pieces of line.
    let mut joins: Vec<[Option<usize>; 2]> = vec![[None; 2]; 2 * values.len()];
    let mut join = |a: usize, b: usize| {
        for (own, other) in [(a, b), (b, a)] {
            if let Some(free) = joins[own].iter_mut().find(|join| join.is_none()) {
                *free = Some(other);
            }
        }
    };
    let last = if wraps { columns } else { columns - 1 };
    for row in 0..rows - 1 {
        for column in 0..last {
            let corners = [at(row, column), at(row, column + 1), at(row + 1, column + 1), at(row + 1, column)];
            if !corners.iter().all(|value| value.is_finite()) {
                continue;
            }
            // Round the cell: over it, right of it, under it, left of it.
            let sides = [
                edge(row, column, false),
                edge(row, column + 1, true),
                edge(row + 1, column, false),
                edge(row, column, true),
            ];
            let above = corners.map(|value| value > 0.0);
            let crossed: Vec<usize> = (0..4).filter(|k| above[*k] != above[(k + 1) % 4]).map(|k| sides[k]).collect();
            match crossed.as_slice() {
                [a, b] => join(*a, *b),
                [a, b, c, d] => {
                    // The corners that look like the middle are joined through it.
                    let middle = corners.iter().sum::<f64>() > 0.0;
                    if middle == above[0] {
                        join(*a, *b);
                        join(*c, *d);
                    } else {
                        join(*a, *d);
                        join(*b, *c);
                    }
                }
                _ => {}
            }
        }
    }
    let mut lines = Vec::new();
    let mut used = vec![false; joins.len()];
    // Lines with ends first, then those that close.
    for open in [true, false] {
        for start in 0..joins.len() {
            let ends = joins[start].iter().flatten().count();
            if used[start] || ends == 0 || (open && ends != 1) {
                continue;
            }
            let mut line = vec![place(start)];
            used[start] = true;
            let mut here = start;
            while let Some(next) = joins[here].iter().flatten().copied().find(|next| !used[*next]) {
                used[next] = true;
                line.push(place(next));
                here = next;
            }
            if !open {
                line.push(place(start));
            }
            lines.push(line);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(rows: usize, columns: usize, f: impl Fn(f64, f64) -> f64) -> Vec<f64> {
        (0..rows * columns).map(|k| f((k / columns) as f64, (k % columns) as f64)).collect()
    }

    #[test]
    fn a_circle_is_one_closed_line() {
        let values = grid(41, 41, |r, c| (r - 20.0).hypot(c - 20.0) - 12.3);
        let lines = zero_lines(&values, 41, false);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].first(), lines[0].last());
        assert!(lines[0].len() > 60);
        for [r, c] in &lines[0] {
            assert!(((r - 20.0).hypot(c - 20.0) - 12.3).abs() < 0.02);
        }
    }

    #[test]
    fn a_line_across_the_seam_goes_on() {
        // Zero at column 9.75 and 4.75 of ten that wrap.
        let values = grid(6, 10, |_, c| ((c + 0.25) / 10.0 * std::f64::consts::TAU).sin());
        let lines = zero_lines(&values, 10, true);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| line.len() == 6));
        assert_eq!(zero_lines(&values, 10, false).len(), 1);
    }

    #[test]
    fn a_saddle_and_gaps_do_no_harm() {
        let saddle = grid(2, 2, |r, c| if (r + c) as i32 % 2 == 0 { 1.0 } else { -0.5 });
        assert_eq!(zero_lines(&saddle, 2, false).len(), 2);
        let mut values = grid(9, 9, |r, _| r - 4.5);
        values[40] = f64::NAN;
        let lines = zero_lines(&values, 9, false);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().flatten().flatten().all(|x| x.is_finite()));
        assert!(zero_lines(&[], 0, false).is_empty() && zero_lines(&[1.0, -1.0], 2, true).is_empty());
    }
}
