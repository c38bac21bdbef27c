//! A line flown, coarser the farther off it is seen from.
//!
//! The line is halved again and again down to its segments; every part knows its chord and how far the line
//! bows out from it. Seen from far enough, a part is as good as its chord.

use super::segment::Segment;
use geo::Coord;

/// A chord stands for its part of the line at places farther from it than its bow divided by this. Chosen:
/// exposure falls with the square of the distance, so that it errs by twice this share at most, and by less
/// because a line wanders to both sides of its chord.
const MOST_BOW: f64 = 0.0025;

/// A line and its parts.
#[derive(Clone, Debug)]
pub(super) struct Chords {
    /// Every part after its halves, so that the whole line is the last.
    parts: Vec<Part>,
}

#[derive(Clone, Copy, Debug)]
struct Part {
    chord: Segment,
    /// No place of the part is farther from its chord, metres.
    bow_m: f64,
    halves: Option<[usize; 2]>,
}

impl Chords {
    /// `None` where the line has no length.
    pub fn of(line: &[Coord<f64>]) -> Option<Self> {
        let mut points = line.to_vec();
        points.dedup();
        let mut chords = Self { parts: Vec::new() };
        (points.len() > 1).then(|| {
            chords.add(&points);
            chords
        })
    }

    /// Adds what lies between the first and the last of at least two points.
    fn add(&mut self, points: &[Coord<f64>]) -> usize {
        let (first, last) = (points[0], points[points.len() - 1]);
        let middle = points.len() / 2;
        let halves =
            (points.len() > 2).then(|| [self.add(&points[..=middle]), self.add(&points[middle..])]);
        let (chord, bow_m) = match Segment::between(first, last) {
            Some(chord) => {
                let farthest2_m2 = points
                    .iter()
                    .map(|p| chord.distance2_m2(chord.locate(*p)))
                    .fold(0.0, f64::max);
                (chord, farthest2_m2.sqrt())
            }
            // It comes back to where it began, and no chord stands for it.
            None => (
                Segment {
                    start: first,
                    along: Coord { x: 0.0, y: 1.0 },
                    length_m: 0.0,
                },
                f64::INFINITY,
            ),
        };
        self.parts.push(Part {
            chord,
            bow_m: if halves.is_some() { bow_m } else { 0.0 },
            halves,
        });
        self.parts.len() - 1
    }

    /// Calls `f(chord, where the centre lies)` for segments or chords that together stand for the line at every place within
    /// `radius_m` of `centre`. `may_stand(cross, reach)` says whether a chord may stand for its part as far as what is
    /// in view goes, at the signed distance `cross` of the centre from it, within `reach` of that.
    pub fn seen_from(
        &self,
        centre: Coord<f64>,
        radius_m: f64,
        mut f: impl FnMut(&Segment, (f64, f64)),
        may_stand: impl Fn(f64, f64) -> bool,
    ) {
        self.visit(
            self.parts.len() - 1,
            &|part, (along_m, cross_m)| {
                let away_m = radius_m + part.bow_m * (1.0 + 1.0 / MOST_BOW);
                part.chord.distance2_m2((along_m, cross_m)) >= away_m * away_m
                    && may_stand(cross_m, radius_m + part.bow_m)
            },
            centre,
            &mut f,
        );
    }

    fn visit(
        &self,
        part: usize,
        stands: &impl Fn(&Part, (f64, f64)) -> bool,
        centre: Coord<f64>,
        f: &mut impl FnMut(&Segment, (f64, f64)),
    ) {
        let part = &self.parts[part];
        let at = part.chord.locate(centre);
        match part.halves {
            Some(halves) if !stands(part, at) => {
                for half in halves {
                    self.visit(half, stands, centre, f);
                }
            }
            _ => f(&part.chord, at),
        }
    }
}
