//! Straight runs of a track, however it was recorded.
//!
//! Course and rate of turn need fixes that lie close in time: of a turn between two legs a log with a fix a
//! minute may hold none. So the track is taken here as a line in a plane and cut where it departs from
//! straight by more than a tolerance (D. H. Douglas and T. K. Peucker, Cartographica 10 (1973) 112-122);
//! what one line explains is joined again. How many fixes there are, and how far apart, does not matter.

use geo::Coord;
use std::ops::Range;

/// Fewest fixes of a run: two always lie on a line.
const FEWEST_FIXES: usize = 3;
/// Shortest run, in tolerances. Chosen: less is a bend.
const SHORTEST_TOLERANCES: f64 = 4.0;
/// Two neighbouring pieces are one if the scatter about their common line is at most this share of the
/// tolerance, and no end of them farther off than this many tolerances. Chosen.
const SAME_RMS: f64 = 0.4;
const SAME_END: f64 = 1.2;
/// The end of a run is where its course has turned by this, degrees, over a piece of this many standard
/// deviations of the scatter. Chosen: the noise of the receiver turns so long a piece by about ten degrees.
const TURNED_DEG: f64 = 8.0;
const PIECE_SDS: f64 = 8.0;
/// Runs are one that an orbit or a hole in the log parts if they lie in one line within this many tolerances
/// and degrees, and nothing longer than half of the longer of them lies between. Chosen.
const APART_TOLERANCES: f64 = 2.0;
const APART_DEG: f64 = 8.0;
/// How many runs later the other part is looked for.
const LOOK_AHEAD: usize = 8;

/// The track in a plane.
#[derive(Clone, Debug)]
pub(super) struct Flown {
    pub(super) xy: Vec<Coord<f64>>,
    pub(super) time_s: Vec<f64>,
}

/// A straight run.
#[derive(Clone, Debug)]
pub(super) struct Run {
    /// Fixes on it, in one piece or, where it was broken off and taken up, in several.
    pub(super) pieces: Vec<Range<usize>>,
    /// Mean place of what was flown.
    pub(super) middle: Coord<f64>,
    /// Unit vector in the direction flown.
    pub(super) along: Coord<f64>,
    /// First and last fix on it, metres along from the middle.
    pub(super) from_m: f64,
    pub(super) to_m: f64,
    /// To the fix before the first and to that after the last: so far it may go on unseen.
    pub(super) before_m: f64,
    pub(super) after_m: f64,
    /// Scatter about it.
    pub(super) rms_m: f64,
}

impl Run {
    pub(super) fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    pub(super) fn first(&self) -> usize {
        self.pieces[0].start
    }

    pub(super) fn start(&self) -> Coord<f64> {
        self.middle + self.along * self.from_m
    }

    pub(super) fn end(&self) -> Coord<f64> {
        self.middle + self.along * self.to_m
    }

    pub(super) fn course_deg(&self) -> f64 {
        self.along.x.atan2(self.along.y).to_degrees()
    }

    pub(super) fn fixes(&self) -> impl Iterator<Item = usize> + '_ {
        self.pieces.iter().cloned().flatten()
    }
}

/// Metres right of the line through `at` along the unit vector `along`.
pub(super) fn right_of(point: Coord<f64>, at: Coord<f64>, along: Coord<f64>) -> f64 {
    let v = point - at;
    v.x * along.y - v.y * along.x
}

pub(super) fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

/// Length of a vector.
pub(super) fn size(v: Coord<f64>) -> f64 {
    v.x.hypot(v.y)
}

/// All runs that are straight within `tolerance_m`, in the order flown.
pub(super) fn runs(flown: &Flown, tolerance_m: f64) -> Vec<Run> {
    let sums = Sums::of(&flown.xy);
    let mut pieces = joined(corners(&flown.xy, tolerance_m), &sums, flown, tolerance_m);
    pieces.retain(|piece| piece.len() >= FEWEST_FIXES);
    let runs: Vec<Run> = pieces
        .into_iter()
        .filter_map(|piece| trimmed(piece, &sums, flown, tolerance_m))
        .filter(|run| run.length_m() >= SHORTEST_TOLERANCES * tolerance_m)
        .collect();
    taken_up(runs, &sums, flown, tolerance_m)
}

/// Pieces between the corners of the track; neighbours share a fix.
fn corners(xy: &[Coord<f64>], tolerance_m: f64) -> Vec<Range<usize>> {
    let mut is_corner = vec![false; xy.len()];
    let mut todo = vec![(0, xy.len() - 1)];
    while let Some((a, b)) = todo.pop() {
        is_corner[a] = true;
        is_corner[b] = true;
        let farthest = (a + 1..b)
            .map(|i| (i, off_segment(xy[i], xy[a], xy[b])))
            .max_by(|x, y| x.1.total_cmp(&y.1));
        if let Some((i, off)) = farthest
            && off > tolerance_m
        {
            todo.push((a, i));
            todo.push((i, b));
        }
    }
    let corners: Vec<usize> = (0..xy.len()).filter(|i| is_corner[*i]).collect();
    corners
        .windows(2)
        .map(|pair| pair[0]..pair[1] + 1)
        .collect()
}

/// Distance of a point from the straight piece between two others.
fn off_segment(point: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let (v, w) = (b - a, point - a);
    let square = dot(v, v);
    let share = if square > 0.0 {
        (dot(v, w) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    size(w - v * share)
}

/// Neighbouring pieces that one line explains, as one.
fn joined(
    mut pieces: Vec<Range<usize>>,
    sums: &Sums,
    flown: &Flown,
    tolerance_m: f64,
) -> Vec<Range<usize>> {
    let one = |a: &Range<usize>, b: &Range<usize>| {
        let Some(line) = sums.line(std::slice::from_ref(&(a.start..b.end))) else {
            return false;
        };
        let places = [a.start, a.end - 1, b.end - 1].map(|fix| flown.xy[fix]);
        let (v, w) = (places[1] - places[0], places[2] - places[1]);
        let onwards = |v: Coord<f64>| dot(v, line.along).abs() >= 0.9 * size(v);
        line.rms_m <= SAME_RMS * tolerance_m
            && dot(v, w) > 0.0
            && onwards(v)
            && onwards(w)
            && places
                .iter()
                .all(|at| right_of(*at, line.middle, line.along).abs() <= SAME_END * tolerance_m)
    };
    loop {
        let before = pieces.len();
        let mut kept: Vec<Range<usize>> = Vec::with_capacity(before);
        for piece in pieces {
            match kept.last_mut() {
                Some(last) if one(last, &piece) => last.end = piece.end,
                _ => kept.push(piece),
            }
        }
        pieces = kept;
        if pieces.len() == before {
            return pieces;
        }
    }
}

/// The run of a piece, without what at its ends belongs to the turns.
fn trimmed(piece: Range<usize>, sums: &Sums, flown: &Flown, tolerance_m: f64) -> Option<Run> {
    // The middle of it tells the line; the ends bend away.
    let tenth = piece.len() / 10;
    let core = piece.start + tenth..piece.end - tenth;
    let line = sums.line(std::slice::from_ref(&core))?;
    let sd_m = line.rms_m.max(tolerance_m / 50.0);
    let least_m = PIECE_SDS * sd_m;
    let least_cos = TURNED_DEG.to_radians().cos();
    let on = |end: usize, mut inwards: &mut dyn Iterator<Item = usize>| {
        let far = |i: &usize| size(flown.xy[end] - flown.xy[*i]) >= least_m;
        let Some(back) = Iterator::find(&mut inwards, far) else {
            return true;
        };
        let v = flown.xy[end] - flown.xy[back];
        dot(v, line.along).abs() >= least_cos * size(v)
    };
    let (mut first, mut end) = (piece.start, piece.end);
    while end - first > FEWEST_FIXES && !on(end - 1, &mut (first..end - 1).rev()) {
        end -= 1;
    }
    while end - first > FEWEST_FIXES && !on(first, &mut (first + 1..end)) {
        first += 1;
    }
    Run::of(std::iter::once(first..end).collect(), sums, flown)
}

impl Run {
    fn of(pieces: Vec<Range<usize>>, sums: &Sums, flown: &Flown) -> Option<Self> {
        let line = sums.line(&pieces)?;
        let (first, last) = (pieces[0].start, pieces[pieces.len() - 1].end - 1);
        let v = flown.xy[last] - flown.xy[first];
        let along = if dot(v, line.along) < 0.0 {
            line.along * -1.0
        } else {
            line.along
        };
        let at = |fix: usize| dot(flown.xy[fix] - line.middle, along);
        let step = |a: Option<usize>, b: usize| {
            a.and_then(|a| flown.xy.get(a))
                .map_or(0.0, |at| size(*at - flown.xy[b]))
        };
        Some(Self {
            from_m: at(first),
            to_m: at(last),
            before_m: step(first.checked_sub(1), first),
            after_m: step(Some(last + 1), last),
            middle: line.middle,
            along,
            rms_m: line.rms_m,
            pieces,
        })
    }
}

/// Runs that were broken off and taken up again, as one.
fn taken_up(runs: Vec<Run>, sums: &Sums, flown: &Flown, tolerance_m: f64) -> Vec<Run> {
    let mut runs: Vec<Option<Run>> = runs.into_iter().map(Some).collect();
    for i in 0..runs.len() {
        let mut j = i + 1;
        while j < runs.len().min(i + 1 + LOOK_AHEAD) {
            let (Some(a), Some(b)) = (&runs[i], &runs[j]) else {
                j += 1;
                continue;
            };
            let longer_m = a.length_m().max(b.length_m());
            let between = runs[i + 1..j].iter().flatten();
            if between
                .into_iter()
                .any(|run| run.length_m() > longer_m / 2.0)
            {
                break;
            }
            match one_line(a, b, sums, flown, tolerance_m) {
                Some(whole) => {
                    runs[i] = Some(whole);
                    for run in &mut runs[i + 1..=j] {
                        *run = None;
                    }
                    j = i + 1;
                }
                None => j += 1,
            }
        }
    }
    runs.into_iter().flatten().collect()
}

fn one_line(a: &Run, b: &Run, sums: &Sums, flown: &Flown, tolerance_m: f64) -> Option<Run> {
    let longer_m = a.length_m().max(b.length_m());
    let hole_m = dot(b.start() - a.end(), a.along);
    let onwards = dot(a.along, b.along) >= APART_DEG.to_radians().cos()
        && hole_m >= -longer_m / 4.0
        && hole_m <= longer_m;
    if !onwards {
        return None;
    }
    let whole = Run::of([a.pieces.clone(), b.pieces.clone()].concat(), sums, flown)?;
    let ends = [a.start(), a.end(), b.start(), b.end()];
    let in_line = ends.iter().all(|end| {
        right_of(*end, whole.middle, whole.along).abs() <= APART_TOLERANCES * tolerance_m
    });
    (in_line && whole.length_m() > longer_m).then_some(whole)
}

/// Running sums over the track, each fix weighed by half the way to its neighbours, so that neither the
/// recording rate nor a change of it sways a line.
struct Sums(Vec<[f64; 6]>);

/// A line by least squares of the distances from it.
struct Line {
    middle: Coord<f64>,
    along: Coord<f64>,
    rms_m: f64,
}

impl Sums {
    fn of(xy: &[Coord<f64>]) -> Self {
        let mut sums = Vec::with_capacity(xy.len() + 1);
        let mut sum = [0.0; 6];
        sums.push(sum);
        for (i, at) in xy.iter().enumerate() {
            let before = i.checked_sub(1).map_or(0.0, |b| size(*at - xy[b]));
            let after = xy.get(i + 1).map_or(0.0, |next| size(*next - *at));
            let w = (before + after) / 2.0;
            let terms = [1.0, at.x, at.y, at.x * at.x, at.x * at.y, at.y * at.y];
            for (sum, term) in sum.iter_mut().zip(terms) {
                *sum += w * term;
            }
            sums.push(sum);
        }
        Self(sums)
    }

    /// The line through the fixes of all pieces; `None` where they do not spread.
    fn line(&self, pieces: &[Range<usize>]) -> Option<Line> {
        let mut s = [0.0; 6];
        for piece in pieces {
            for (k, sum) in s.iter_mut().enumerate() {
                *sum += self.0[piece.end][k] - self.0[piece.start][k];
            }
        }
        if s[0] <= 0.0 {
            return None;
        }
        let middle = Coord {
            x: s[1] / s[0],
            y: s[2] / s[0],
        };
        let (xx, xy, yy) = (
            s[3] / s[0] - middle.x * middle.x,
            s[4] / s[0] - middle.x * middle.y,
            s[5] / s[0] - middle.y * middle.y,
        );
        let angle = (2.0 * xy).atan2(xx - yy) / 2.0;
        let (sin, cos) = angle.sin_cos();
        let across = xx * sin * sin - 2.0 * xy * sin * cos + yy * cos * cos;
        Some(Line {
            middle,
            along: Coord { x: cos, y: sin },
            rms_m: across.max(0.0).sqrt(),
        })
    }
}
