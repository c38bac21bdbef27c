//! Wind and true airspeed from ground velocities: at a steady airspeed they lie on a circle whose
//! centre is the wind and whose radius is the airspeed.

use crate::track::motion::Motion;
use crate::units::{Bearing, Speed};
use geo::Coord;
use serde::Serialize;
use std::ops::Range;

/// Width of the course sectors within which velocities are averaged first, so that long legs do not
/// outweigh the turns, degrees. Chosen.
const SECTOR_DEG: f64 = 10.0;
/// Seconds of flight that a sector needs to count. Chosen.
const SECTOR_LEAST_S: f64 = 3.0;
/// Widest gap between courses that still pins the circle down, degrees. Chosen: half a circle, as
/// turns to alternate sides give, does; two opposite courses alone leave the wind across them
/// undetermined.
const WIDEST_GAP_DEG: f64 = 200.0;

/// An estimated wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wind {
    /// True direction it blows **from**.
    #[serde(rename = "from_true_deg")]
    pub from: Bearing,
    /// Its speed.
    #[serde(rename = "speed_mps")]
    pub speed: Speed,
    /// Mean true airspeed.
    #[serde(rename = "true_airspeed_mps")]
    pub true_airspeed: Speed,
    /// Root mean square distance of the ground velocities from the circle.
    #[serde(rename = "residual_mps")]
    pub residual: Speed,
    /// Widest gap between neighbouring courses, degrees; the smaller, the better the circle is
    /// pinned down.
    pub widest_course_gap_deg: f64,
}

impl Wind {
    /// Estimates the wind from the velocities at `fixes`; `None` where the courses flown do not pin
    /// it down.
    ///
    /// Mean velocities by sector of course are fitted with a circle: first algebraically (I. Kåsa,
    /// "A circle fitting procedure and its error analysis", IEEE Trans. Instrum. Meas. 25 (1976) 8-14),
    /// then geometrically by Gauss-Newton.
    #[must_use]
    pub fn estimate(fixes: Range<usize>, motion: &Motion) -> Option<Self> {
        let velocities = sector_means(fixes, motion);
        let widest_course_gap_deg = widest_gap_deg(&velocities);
        if velocities.len() < 4 || widest_course_gap_deg > WIDEST_GAP_DEG {
            return None;
        }
        let (centre, radius) = circle(&velocities)?;
        let residual = (velocities
            .iter()
            .map(|v| ((v.x - centre.x).hypot(v.y - centre.y) - radius).powi(2))
            .sum::<f64>()
            / velocities.len() as f64)
            .sqrt();
        Some(Self {
            // It blows from where the drift does not go.
            from: Bearing::from_deg(centre.x.atan2(centre.y).to_degrees() + 180.0),
            speed: Speed::from_mps(centre.x.hypot(centre.y)),
            true_airspeed: Speed::from_mps(radius),
            residual: Speed::from_mps(residual),
            widest_course_gap_deg,
        })
    }

    /// Component across a course, positive from left to right.
    #[must_use]
    pub fn across(&self, course: Bearing) -> Speed {
        let to_deg = self.from.deg() + 180.0;
        Speed::from_mps(self.speed.mps() * (to_deg - course.deg()).to_radians().sin())
    }
}

/// Mean velocity in each sector of course flown long enough.
fn sector_means(fixes: Range<usize>, motion: &Motion) -> Vec<Coord<f64>> {
    let sectors = (360.0 / SECTOR_DEG) as usize;
    let mut sums = vec![(Coord { x: 0.0, y: 0.0 }, 0.0, 0.0); sectors];
    for i in fixes.clone() {
        if !motion.is_flying(i) {
            continue;
        }
        // A step over a gap says nothing of how long this course was flown.
        let dt = (motion.time_s[(i + 1).min(fixes.end - 1)] - motion.time_s[i]).min(10.0);
        let sector = ((motion.course_deg[i] / SECTOR_DEG) as usize).min(sectors - 1);
        let v = motion.velocity(i);
        let sum = &mut sums[sector];
        sum.0 = Coord {
            x: sum.0.x + v.x,
            y: sum.0.y + v.y,
        };
        sum.1 += 1.0;
        sum.2 += dt;
    }
    sums.into_iter()
        .filter(|(_, _, seconds)| *seconds >= SECTOR_LEAST_S)
        .map(|(sum, count, _)| Coord {
            x: sum.x / count,
            y: sum.y / count,
        })
        .collect()
}

fn widest_gap_deg(velocities: &[Coord<f64>]) -> f64 {
    let mut courses: Vec<f64> = velocities
        .iter()
        .map(|v| crate::units::wrap_360(v.x.atan2(v.y).to_degrees()))
        .collect();
    courses.sort_by(f64::total_cmp);
    let (Some(first), Some(last)) = (courses.first(), courses.last()) else {
        return 360.0;
    };
    let around = first + 360.0 - last;
    courses
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .fold(around, f64::max)
}

/// Centre and radius of the circle nearest to the points.
fn circle(points: &[Coord<f64>]) -> Option<(Coord<f64>, f64)> {
    let (mut centre, mut radius) = algebraic_circle(points)?;
    // Gauss-Newton on the distances to the circle; it settles in a few rounds.
    for _ in 0..20 {
        let rows: Vec<([f64; 3], f64)> = points
            .iter()
            .map(|p| {
                let (dx, dy) = (p.x - centre.x, p.y - centre.y);
                let d = dx.hypot(dy).max(1e-9);
                ([dx / d, dy / d, 1.0], d - radius)
            })
            .collect();
        let step = least_squares(&rows)?;
        centre = Coord {
            x: centre.x + step[0],
            y: centre.y + step[1],
        };
        radius += step[2];
        if step.iter().all(|s| s.abs() < 1e-9) {
            break;
        }
    }
    (radius.is_finite() && radius > 0.0).then_some((centre, radius))
}

/// Kåsa's fit: x² + y² = 2 a x + 2 b y + c, linear in a, b and c.
fn algebraic_circle(points: &[Coord<f64>]) -> Option<(Coord<f64>, f64)> {
    let rows: Vec<([f64; 3], f64)> = points
        .iter()
        .map(|p| ([2.0 * p.x, 2.0 * p.y, 1.0], p.x * p.x + p.y * p.y))
        .collect();
    let [a, b, c] = least_squares(&rows)?;
    let square = c + a * a + b * b;
    (square > 0.0).then(|| (Coord { x: a, y: b }, square.sqrt()))
}

/// Least-squares solution of three unknowns by the normal equations and Cramer's rule.
fn least_squares(rows: &[([f64; 3], f64)]) -> Option<[f64; 3]> {
    let mut m = [[0.0; 3]; 3];
    let mut r = [0.0; 3];
    for (row, value) in rows {
        for i in 0..3 {
            for j in 0..3 {
                m[i][j] += row[i] * row[j];
            }
            r[i] += row[i] * value;
        }
    }
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    if whole.abs() < 1e-12 {
        return None;
    }
    let mut solution = [0.0; 3];
    for (column, value) in solution.iter_mut().enumerate() {
        let mut replaced = m;
        for i in 0..3 {
            replaced[i][column] = r[i];
        }
        *value = det(&replaced) / whole;
    }
    Some(solution)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// By hand: points on the circle of radius 46 about (3, -4).
    #[test]
    fn circle_is_found_exactly() {
        let points: Vec<Coord<f64>> = [0.0f64, 40.0, 100.0, 170.0, 260.0]
            .iter()
            .map(|deg| {
                let (sin, cos) = deg.to_radians().sin_cos();
                Coord {
                    x: 3.0 + 46.0 * sin,
                    y: -4.0 + 46.0 * cos,
                }
            })
            .collect();
        let (centre, radius) = circle(&points).unwrap();
        assert_relative_eq!(centre.x, 3.0, epsilon = 1e-9);
        assert_relative_eq!(centre.y, -4.0, epsilon = 1e-9);
        assert_relative_eq!(radius, 46.0, epsilon = 1e-9);
    }

    /// By hand: wind from the west blows from left to right across a course north.
    #[test]
    fn across_is_positive_from_the_left() {
        let wind = Wind {
            from: Bearing::from_deg(270.0),
            speed: Speed::from_kt(10.0),
            true_airspeed: Speed::from_kt(90.0),
            residual: Speed::from_kt(0.0),
            widest_course_gap_deg: 10.0,
        };
        assert_relative_eq!(
            wind.across(Bearing::from_deg(0.0)).kt(),
            10.0,
            epsilon = 1e-9
        );
        assert_relative_eq!(
            wind.across(Bearing::from_deg(180.0)).kt(),
            -10.0,
            epsilon = 1e-9
        );
    }
}
