//! Small systems of linear equations, and Student's t.

/// A square matrix.
#[derive(Clone, Debug)]
pub(crate) struct Matrix {
    n: usize,
    values: Vec<f64>,
}

/// A pivot below this share of the largest is zero.
const SINGULAR: f64 = 1e-9;

impl Matrix {
    pub(crate) fn zero(n: usize) -> Self {
        Self {
            n,
            values: vec![0.0; n * n],
        }
    }

    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        self.values[row * self.n + column]
    }

    pub(crate) fn add(&mut self, row: usize, column: usize, value: f64) {
        self.values[row * self.n + column] += value;
    }
}

/// The solution of `matrix` · x = `side` by elimination with pivots; `None` if there is no single one.
pub(crate) fn solve(mut matrix: Matrix, mut side: Vec<f64>) -> Option<Vec<f64>> {
    let n = matrix.n;
    let largest = matrix.values.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| {
            let size = |row: usize| matrix.at(row, column).abs();
            size(*a).total_cmp(&size(*b))
        })?;
        if matrix.at(pivot, column).abs() <= SINGULAR * largest {
            return None;
        }
        for k in 0..n {
            matrix.values.swap(column * n + k, pivot * n + k);
        }
        side.swap(column, pivot);
        for row in column + 1..n {
            let share = matrix.at(row, column) / matrix.at(column, column);
            for k in column..n {
                let value = share * matrix.at(column, k);
                matrix.add(row, k, -value);
            }
            side[row] -= share * side[column];
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|k| matrix.at(row, k) * side[k]).sum();
        side[row] = (side[row] - known) / matrix.at(row, row);
    }
    Some(side)
}

/// Half the width of a 95 % interval in standard errors: Student's t that is exceeded with a chance of
/// 2.5 %.
pub(crate) fn student_95(freedom: usize) -> f64 {
    match freedom {
        0 => f64::INFINITY,
        1 => 12.706_205,
        2 => 4.302_653,
        _ => student(1.959_964, freedom),
    }
}

/// The same for 99 %.
pub(crate) fn student_99(freedom: usize) -> f64 {
    match freedom {
        0 => f64::INFINITY,
        1 => 63.656_741,
        2 => 9.924_843,
        3 => 5.840_909,
        _ => student(2.575_829, freedom),
    }
}

/// Student's t by its expansion about the normal quantile `z` (M. Abramowitz and I. A. Stegun, *Handbook
/// of Mathematical Functions*, 26.7.5), within 1 % as it is used here.
fn student(z: f64, freedom: usize) -> f64 {
    let v = freedom as f64;
    let g1 = (z.powi(3) + z) / 4.0;
    let g2 = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let g3 = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    let g4 = (79.0 * z.powi(9) + 776.0 * z.powi(7) + 1482.0 * z.powi(5)
        - 1920.0 * z.powi(3)
        - 945.0 * z)
        / 92_160.0;
    z + g1 / v + g2 / v.powi(2) + g3 / v.powi(3) + g4 / v.powi(4)
}

/// F with two degrees of freedom above and `freedom` below that is exceeded with the chance `alpha`:
/// (v/2)(α^(-2/v) - 1), from the closed form of the distribution.
pub(crate) fn f_two(alpha: f64, freedom: usize) -> f64 {
    let v = freedom as f64;
    v / 2.0 * (alpha.powf(-2.0 / v) - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the tables of percentage points in Abramowitz and Stegun (26.9, 26.10), from memory.
    #[test]
    fn percentage_points_are_those_of_the_tables() {
        for (freedom, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (5, 2.571),
            (10, 2.228),
            (30, 2.042),
        ] {
            let off = (student_95(freedom) / t - 1.0).abs();
            assert!(off < 0.01, "{freedom}: {}", student_95(freedom));
        }
        for (freedom, t) in [(3, 5.841), (4, 4.604), (5, 4.032), (10, 3.169)] {
            let off = (student_99(freedom) / t - 1.0).abs();
            assert!(off < 0.01, "{freedom}: {}", student_99(freedom));
        }
        for (freedom, f) in [(1, 4999.5), (4, 18.00), (10, 7.56), (30, 5.39)] {
            let off = (f_two(0.01, freedom) / f - 1.0).abs();
            assert!(off < 0.002, "{freedom}: {}", f_two(0.01, freedom));
        }
    }

    /// By hand: x + 2y = 5 and 3x - y = 1 meet at (1, 2); and two that are the same do not.
    #[test]
    fn equations_are_solved() {
        let matrix = |values: [f64; 4]| Matrix {
            n: 2,
            values: values.to_vec(),
        };
        let x = solve(matrix([1.0, 2.0, 3.0, -1.0]), vec![5.0, 1.0]).unwrap();
        assert!((x[0] - 1.0).abs() < 1e-12 && (x[1] - 2.0).abs() < 1e-12);
        assert!(solve(matrix([1.0, 2.0, 2.0, 4.0]), vec![5.0, 10.0]).is_none());
    }
}
