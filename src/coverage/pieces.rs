//! What is flown in each of several steps of time.

use super::looking::FlownLine;
use crate::track::motion::Motion;
use geo::Coord;

/// A part of a line flown while looking.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// Which passage it belongs to.
    pub passage: usize,
    /// Where the line was last bent or begun before the piece, if it is not where the piece begins, and the piece.
    points: Vec<Coord<f64>>,
    /// Where it begins among them.
    begins: usize,
}

impl Piece {
    /// The piece and nothing else.
    pub fn line(&self) -> &[Coord<f64>] {
        &self.points[self.begins..]
    }

    /// From the last bend on.
    pub fn with_bend(&self) -> &[Coord<f64>] {
        &self.points
    }
}

/// The pieces flown in each step, which begins where the one before ends; the first begins with the lines. Between two
/// fixes kept the place goes with time: it lies on the line, and the pieces of a line put together are the line.
pub(super) fn pieces(flown: &[FlownLine], motion: &Motion, ends_s: &[f64]) -> Vec<Vec<Piece>> {
    let mut steps: Vec<Vec<Piece>> = vec![Vec::new(); ends_s.len()];
    for line in flown {
        let time = |i: usize| motion.time_s[line.fixes[i]];
        let place = |i: usize| motion.xy[line.fixes[i]];
        let last = line.fixes.len() - 1;
        // How many of its fixes lie before a time.
        let before = |s: f64| line.fixes.partition_point(|fix| motion.time_s[*fix] < s);
        let at = |s: f64| {
            let after = before(s).min(last);
            match after.checked_sub(1) {
                Some(before) if time(after) > s => {
                    let share = (s - time(before)) / (time(after) - time(before));
                    place(before) + (place(after) - place(before)) * share
                }
                _ => place(after),
            }
        };
        let first_step = ends_s.partition_point(|end| *end <= time(0));
        let mut from_s = time(0);
        for (end_s, step) in ends_s.iter().zip(&mut steps).skip(first_step) {
            let to_s = end_s.min(time(last));
            let bend = before(from_s).checked_sub(1);
            let between = (before(from_s)..before(to_s)).filter(|i| time(*i) > from_s);
            let begun = bend.map(place).into_iter().chain([at(from_s)]);
            let points = begun.chain(between.map(place)).chain([at(to_s)]).collect();
            step.push(Piece {
                passage: line.passage,
                begins: usize::from(bend.is_some()),
                points,
            });
            from_s = to_s;
            if to_s >= time(last) {
                break;
            }
        }
    }
    steps
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Two passages: one that winds and turns back beside itself, one straight, with a fix every four seconds and a hole
    /// between them.
    pub fn flown() -> (Vec<FlownLine>, Motion) {
        let winding = (0..150).map(|i| {
            let (t, aside) = (f64::from(i), if i < 100 { 0.0 } else { 350.0 });
            let forth = if i < 100 { t } else { 200.0 - t };
            Coord {
                x: 1_500.0 + aside + 300.0 * (0.11 * t).sin(),
                y: 60.0 * forth,
            }
        });
        let straight = (0..60).map(|i| Coord {
            x: 3_900.0,
            y: 100.0 * f64::from(i),
        });
        let xy: Vec<Coord<f64>> = winding.chain(straight).collect();
        let time = |i: usize| 4.0 * i as f64 + if i < 150 { 0.0 } else { 90.0 };
        let motion = Motion {
            time_s: (0..xy.len()).map(time).collect(),
            xy,
            speed_mps: Vec::new(),
            course_deg: Vec::new(),
            turn_rate_dps: Vec::new(),
            airborne: 0..210,
        };
        let line = |passage, fixes: std::ops::Range<usize>| FlownLine {
            passage,
            fixes: fixes.collect(),
        };
        (vec![line(0, 0..150), line(1, 150..210)], motion)
    }

    fn length_m(line: &[Coord<f64>]) -> f64 {
        let step = |pair: &[Coord<f64>]| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
        line.windows(2).map(step).sum()
    }

    /// Put together the pieces are the lines: as long, each beginning where the one before ended, and as bent.
    #[test]
    fn pieces_make_the_lines() {
        let (flown, motion) = flown();
        // Also steps that end on a fix, in the hole, and twice between the same two fixes.
        let ends_s = [4.0, 9.0, 10.5, 30.0, 400.0, 596.0, 620.0, 700.0, 926.0];
        let steps = pieces(&flown, &motion, &ends_s);
        for line in &flown {
            let parts: Vec<&Piece> = steps
                .iter()
                .flatten()
                .filter(|piece| piece.passage == line.passage)
                .collect();
            let whole = line.looking(&motion).line;
            let together: f64 = parts.iter().map(|part| length_m(part.line())).sum();
            assert!((together - length_m(&whole)).abs() < 1e-6, "{together}");
            assert_eq!(parts[0].line()[0], whole[0]);
            for pair in parts.windows(2) {
                assert_eq!(pair[0].line().last(), pair[1].line().first());
            }
            for bend in whole.windows(3) {
                let has = |part: &&Piece| {
                    let mut inner = part.with_bend().windows(3).map(|three| three[1]);
                    inner.any(|at| at == bend[1])
                };
                assert!(parts.iter().any(has), "{bend:?}");
            }
        }
        // Nothing was flown in the hole, and half the way between fixes half a step after one.
        assert!(steps[6].is_empty());
        assert_eq!(
            steps[1][0].line().last(),
            Some(&{
                let (a, b) = (motion.xy[2], motion.xy[3]);
                a + (b - a) * 0.25
            })
        );
    }
}
