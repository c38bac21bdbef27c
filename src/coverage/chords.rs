//! A line flown, coarser the farther off it is seen from.
//!
//! The line is halved again and again down to its segments; every part knows its chord and how far the line
//! bows out from it. Seen from far enough, a part is as good as its chord.

use super::segment::Segment;
use crate::detection::View;
use geo::Coord;

/// A chord stands for its part of the line at places so far from it that its bow is no more than this share of d²/W, d their
/// distance. Chosen: exposure falls as K/d², so that a pass is off by 2 bow/d of it at most, q/(2π) W/d, and by less because a
/// line wanders to both sides of its chord. Lines farther off add less each, and may bow by more.
const MOST_BOW: f64 = 0.0015;
/// Where only part of the ground is in view, no more than this share of their distance: a chord points elsewhere than its pieces, and
/// so divides the ground ahead of it into other sides. Chosen.
const MOST_BOW_IN_PART: f64 = 0.001;

/// A line and its parts.
#[derive(Clone, Debug)]
pub(super) struct Chords {
    /// Every part after its halves, so that the whole line is the last.
    parts: Vec<Part>,
    width_m: f64,
    view: View,
}

/// Some of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub chord: Segment,
    /// No place of the part is farther from its chord, metres.
    pub bow_m: f64,
    /// From here on the chord stands for it, metres.
    straight_from_m: f64,
    halves: Option<[usize; 2]>,
}

impl Chords {
    /// For a law of so wide a sweep and what is in view; `None` where the line has no length.
    pub fn of(line: &[Coord<f64>], width_m: f64, view: View) -> Option<Self> {
        let mut points = line.to_vec();
        points.dedup();
        let mut chords = Self {
            parts: Vec::new(),
            width_m,
            view,
        };
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
        let bow_m = if halves.is_some() { bow_m } else { 0.0 };
        self.parts.push(Part {
            chord,
            bow_m,
            straight_from_m: if self.view.is_whole() {
                bow_m + (bow_m * self.width_m / MOST_BOW).sqrt()
            } else {
                bow_m + bow_m / MOST_BOW_IN_PART
            },
            halves,
        });
        self.parts.len() - 1
    }

    /// All of the line, as one of its parts.
    pub const fn whole(&self) -> usize {
        self.parts.len() - 1
    }

    /// Goes through a part of the line and down its halves, and theirs, wherever `is_done` says that it is not done with one.
    /// It has to be done with segments.
    pub fn go_through(&self, part: usize, is_done: &mut impl FnMut(usize, &Part) -> bool) {
        if is_done(part, &self.parts[part]) {
            return;
        }
        for half in self.parts[part].halves.into_iter().flatten() {
            self.go_through(half, is_done);
        }
    }
}

impl Part {
    /// No longer than this is the way from its one end to the other and out to its farthest place, metres.
    pub const fn length_m(&self) -> f64 {
        self.chord.length_m + self.bow_m
    }

    pub const fn is_segment(&self) -> bool {
        self.halves.is_none()
    }

    /// Whether the chord is as good as the part, as seen from `radius_m` about a place that lies `at` from the chord.
    pub fn is_straight(&self, at: (f64, f64), radius_m: f64) -> bool {
        let away_m = radius_m + self.straight_from_m;
        self.chord.distance2_m2(at) >= away_m * away_m
    }
}
