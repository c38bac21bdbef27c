//! How often the ground beside the lines flown while looking was passed.

use super::looking::LookingLine;
use super::raster::Grid;
use super::ribbon::{Ribbon, Row};
use super::segment::Segment;
use crate::detection::View;

/// How many passages went by each cell within `half_width_m`, abeam, row after row. Around a joint of a
/// line the swath is round; at the ends of the line it is square.
#[must_use]
pub fn passes_within(
    grid: &Grid,
    lines: &[LookingLine],
    half_width_m: f64,
    view: View,
) -> Vec<u16> {
    let mut passages = Passages {
        count: vec![0; grid.columns * grid.rows],
        counted_by: vec![0; grid.columns * grid.rows],
    };
    let half_width2_m2 = half_width_m * half_width_m;
    for looking in lines {
        let mut before: Option<Segment> = None;
        for pair in looking.line.windows(2) {
            let Some(segment) = Segment::between(pair[0], pair[1]) else {
                continue;
            };
            let beside = Ribbon {
                segment,
                along_m: 0.0..=segment.length_m,
                cross_m: -half_width_m..=half_width_m,
            };
            beside.for_rows(grid, |row| {
                passages.pass(looking.passage, &row, |i| view.sees(row.cross_m(i)));
            });
            if let Some(before) = before {
                outside_the_bend(&before, segment, half_width_m).for_rows(grid, |row| {
                    passages.pass(looking.passage, &row, |i| {
                        let (along_m, cross_m) = (row.along_m(i), row.cross_m(i));
                        along_m * along_m + cross_m * cross_m <= half_width2_m2
                            && view.sees(cross_m)
                    });
                });
            }
            before = Some(segment);
        }
    }
    passages.count
}

struct Passages {
    /// How many went by each cell.
    count: Vec<u16>,
    /// The one counted last there, plus one.
    counted_by: Vec<u32>,
}

impl Passages {
    /// Counts a passage at the cells of a row that it `passes`, if it was not counted there before.
    fn pass(&mut self, passage: usize, row: &Row, passes: impl Fn(usize) -> bool) {
        let this = passage as u32 + 1;
        let counted_by = &mut self.counted_by[row.cells.clone()];
        let count = &mut self.count[row.cells.clone()];
        for (i, (by, count)) in counted_by.iter_mut().zip(count).enumerate() {
            if *by != this && passes(i) {
                *by = this;
                *count = count.saturating_add(1);
            }
        }
    }
}

/// What lies abeam of neither of two segments that follow each other but within `half_width_m` of their joint,
/// and some of what lies beside the first.
fn outside_the_bend(before: &Segment, after: Segment, half_width_m: f64) -> Ribbon {
    let ahead = before.along.x * after.along.x + before.along.y * after.along.y;
    // Sine of the turn, right positive; the outer side of a right turn is the left.
    let turn = before.along.y * after.along.x - before.along.x * after.along.y;
    // It lies between the normals of both, of which the first ends this far behind the second …
    let back_m = half_width_m * if ahead > 0.0 { turn.abs() } else { 1.0 };
    // … and, past a right angle, this far on its inner side.
    let inner_m = half_width_m * (-ahead).max(0.0);
    Ribbon {
        segment: after,
        along_m: -back_m..=0.0,
        cross_m: if turn > 0.0 {
            -half_width_m..=inner_m
        } else {
            -inner_m..=half_width_m
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::detection::Scanners;
    use geo::{Coord, Distance, Euclidean, Line, Point};

    const HALF_WIDTH_M: f64 = 700.0;

    fn grid() -> Grid {
        Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            cell_m: 90.0,
            columns: 110,
            rows: 110,
        }
    }

    /// Two passages over lines with bends of every kind, the second in two lines.
    fn lines() -> Vec<LookingLine> {
        let line = |passage, points: &[(f64, f64)]| LookingLine {
            passage,
            line: points.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect(),
        };
        vec![
            line(
                0,
                &[
                    (1_000.0, 1_000.0),
                    (1_050.0, 4_000.0),
                    (1_000.0, 4_100.0),
                    (3_000.0, 7_000.0),
                    (5_000.0, 6_000.0),
                    (4_000.0, 2_500.0),
                    (6_900.0, 2_400.0),
                ],
            ),
            line(1, &[(500.0, 8_000.0), (8_000.0, 8_100.0)]),
            line(1, &[(7_000.0, 5_000.0), (7_100.0, 8_500.0)]),
        ]
    }

    fn distance_m(line: &[Coord<f64>], p: Coord<f64>) -> f64 {
        line.windows(2)
            .map(|pair| Euclidean.distance(&Point::from(p), &Line::new(pair[0], pair[1])))
            .fold(f64::INFINITY, f64::min)
    }

    /// Against the distance from the lines at every cell that is not beside the end of one.
    #[test]
    fn a_swath_is_what_lies_near_the_line() {
        let (grid, lines) = (grid(), lines());
        let got = passes_within(&grid, &lines, HALF_WIDTH_M, View::WHOLE);
        let mut compared = 0;
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                let p = grid.centre(column, row);
                let ends = lines
                    .iter()
                    .flat_map(|l| [l.line[0], l.line[l.line.len() - 1]]);
                if ends
                    .into_iter()
                    .any(|end| Euclidean.distance(end, p) <= HALF_WIDTH_M)
                {
                    continue;
                }
                let near = |passage: usize| {
                    lines
                        .iter()
                        .filter(|l| l.passage == passage)
                        .any(|l| distance_m(&l.line, p) <= HALF_WIDTH_M)
                };
                let plain = u16::from(near(0)) + u16::from(near(1));
                assert_eq!(got[row * grid.columns + column], plain, "{p:?}");
                compared += 1;
            }
        }
        assert!(compared > 9_000 && got.contains(&2) && got.contains(&0));
    }

    /// Nothing before the beginning, behind the end, or on the side that was not looked to.
    #[test]
    fn ends_are_square_and_sides_kept_apart() {
        let grid = grid();
        let lines = [LookingLine {
            passage: 0,
            line: vec![
                Coord {
                    x: 5_000.0,
                    y: 2_000.0,
                },
                Coord {
                    x: 5_000.0,
                    y: 8_000.0,
                },
            ],
        }];
        for (scanners, from, to) in [
            (Scanners::Both, -700.0, 700.0),
            (Scanners::Left, -700.0, 0.0),
            (Scanners::Right, 0.0, 700.0),
        ] {
            let got = passes_within(&grid, &lines, HALF_WIDTH_M, View::of(scanners));
            for row in 0..grid.rows {
                for column in 0..grid.columns {
                    let p = grid.centre(column, row);
                    let inside = (2_000.0..=8_000.0).contains(&p.y)
                        && (from..=to).contains(&(p.x - 5_000.0));
                    assert_eq!(got[row * grid.columns + column] == 1, inside, "{p:?}");
                }
            }
        }
    }
}
