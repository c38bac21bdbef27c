//! Rings filled with slanting lines: a sign that needs no colour.

use super::xy;
use geo::Coord;

/// Which way hatching leans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slant {
    /// Upwards to the right, like `/`.
    Rising,
    /// Downwards to the right, like `\`.
    Falling,
}

/// Lines `step` pixels apart through a ring. They lie on one raster for the whole picture, so that
/// neighbours join up. Points inside an odd number of windings count as inside.
#[must_use]
pub fn hatched(ring: &[Coord<f64>], slant: Slant, step: f64) -> Vec<Vec<Coord<f64>>> {
    // In (u, v) the lines are horizontal: u along them, v across.
    let turn = |p: Coord<f64>| match slant {
        Slant::Rising => xy(p.x - p.y, p.x + p.y),
        Slant::Falling => xy(p.x + p.y, p.x - p.y),
    };
    let back = |q: Coord<f64>| match slant {
        Slant::Rising => xy((q.y + q.x) / 2.0, (q.y - q.x) / 2.0),
        Slant::Falling => xy((q.x + q.y) / 2.0, (q.x - q.y) / 2.0),
    };
    let corners: Vec<Coord<f64>> = ring.iter().map(|p| turn(*p)).collect();
    let low = corners.iter().map(|q| q.y).fold(f64::INFINITY, f64::min);
    let high = corners
        .iter()
        .map(|q| q.y)
        .fold(f64::NEG_INFINITY, f64::max);
    let step = step * std::f64::consts::SQRT_2;
    let mut lines = Vec::new();
    let mut v = (low / step).ceil() * step;
    while v < high {
        let mut crossings: Vec<f64> = corners
            .iter()
            .zip(corners.iter().cycle().skip(1))
            .filter(|(a, b)| (a.y <= v) != (b.y <= v))
            .map(|(a, b)| a.x + (b.x - a.x) * (v - a.y) / (b.y - a.y))
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            lines.push(vec![back(xy(pair[0], v)), back(xy(pair[1], v))]);
        }
        v += step;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::rectangle;
    use super::*;

    #[test]
    fn hatching_stays_inside_and_leans_as_told() {
        let ring = rectangle(xy(10.0, 20.0), 60.0, 30.0);
        for (slant, sign) in [(Slant::Rising, -1.0), (Slant::Falling, 1.0)] {
            let lines = hatched(&ring, slant, 6.0);
            // Across the diagonal the rectangle measures (60 + 30) / √2 pixels.
            let expected = (90.0 / std::f64::consts::SQRT_2 / 6.0) as usize;
            assert!(lines.len().abs_diff(expected) <= 1, "{} lines", lines.len());
            for line in lines {
                for p in &line {
                    assert!((9.999..=70.001).contains(&p.x) && (19.999..=50.001).contains(&p.y));
                }
                let step = line[1] - line[0];
                assert!((step.y - sign * step.x).abs() < 1e-9, "{step:?}");
            }
        }
    }

    #[test]
    fn a_notch_is_left_free() {
        let ring = [
            xy(0.0, 0.0),
            xy(40.0, 0.0),
            xy(40.0, 40.0),
            xy(20.0, 20.0),
            xy(0.0, 40.0),
        ]
        .to_vec();
        for line in hatched(&ring, Slant::Rising, 5.0) {
            let middle = (line[0] + line[1]) / 2.0;
            assert!(
                middle.y <= 20.0 + (middle.x - 20.0).abs() + 1e-9,
                "{middle:?}"
            );
        }
    }
}
