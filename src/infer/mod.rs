//! The plan of a flight without a tasking, worked out from the flight itself.
//!
//! ```text
//! Track ─runs→ straight runs ─sweep, passes, figure→ what they may be ─choose→ one of them
//!       ─parallel, about_datum→ its values and their intervals ─text→ a tasking file
//! ```
//!
//! Nothing is known of the scale: drones fly lines 20 m apart, aircraft 5 NM. So runs are looked for at a
//! ladder of tolerances, and a pattern counts only where its spacing is several times the tolerance that its
//! runs were found with. What is no pattern is refused, with what was found instead.
//!
//! A plan inferred from a flight cannot show what that flight left out at its edges: a wrong area, a missed
//! first or last leg. Whatever is written from it says so.

mod about_datum;
mod edges;
mod figure;
mod frame;
mod handled;
mod none;
mod numbering;
mod parallel;
mod passes;
mod runs;
mod settled;
mod shape;
mod sweep;
pub mod tasked;
mod text;
mod value;
mod ways;

pub use handled::Handled;
pub use tasked::Tasked;
pub use text::{Given, sortie, text};
pub use value::{Estimate, Inferred, Layout, NoPattern};

use crate::geodesy::LocalFrame;
use crate::plan::PatternKind;
use crate::track::{Track, seconds_between};
use crate::units::Length;
use figure::{Figure, figures};
use geo::Coord;
use none::Courses;
use passes::out_and_back;
use runs::{Flown, Run, dot, runs};
use sweep::{Sweep, sweeps};

/// Tolerances of straight runs, metres: the first, and each twice the one before. Chosen: from what receivers
/// scatter at best to a third of the widest spacing searched with.
const FINEST_M: f64 = 1.5;
const TOLERANCES: u32 = 10;
/// With a tolerance that leaves more runs than this none are looked for, since the work grows with their cube. Chosen:
/// a hundred lines with their turns are a few hundred runs; thousands are noise cut into pieces.
const MOST_RUNS: usize = 400;
/// Lines of a pattern are this many tolerances apart, at least. Chosen: else what is straight within the
/// tolerance may be two of them.
const APART_TOLERANCES: f64 = 3.0;
/// Of the runs that were flown between the first and the last of a pattern this share, by length, must be its
/// own. Chosen: among the many runs of a wandering flight some are always parallel.
const OWN_SHARE: f64 = 0.6;
/// Runs shorter than this share of the pattern's median one are turns and do not count. Chosen.
const TURN_SHARE: f64 = 0.35;
/// Patterns that are told beside the one chosen.
const MOST_OTHERS: usize = 5;
/// Of patterns that explain nearly as much as the best, that found with the finest tolerance is taken: the wider
/// it is, the more of the turns is taken for straight. Chosen.
const NEARLY: f64 = 0.9;

/// A pattern that the runs may be.
#[derive(Clone, Debug)]
enum Found {
    Parallel(Sweep),
    AboutDatum(Figure),
}

impl Found {
    fn score_m(&self) -> f64 {
        match self {
            Self::Parallel(sweep) => sweep.score_m(),
            Self::AboutDatum(figure) => figure.score_m(),
        }
    }

    /// Indices of its runs, in the order flown.
    fn runs(&self) -> Vec<usize> {
        match self {
            Self::Parallel(sweep) => sweep.on.iter().map(|on| on.run).collect(),
            Self::AboutDatum(figure) => figure.on.iter().map(|on| on.run).collect(),
        }
    }
}

/// A pattern with the runs it was found in.
struct Choice {
    found: Found,
    runs: Vec<Run>,
    /// Others among the same runs.
    others: Vec<Found>,
}

/// The plan that a flight is likely to have followed.
///
/// # Errors
/// When no pattern is recognised in it.
pub fn infer(track: &Track) -> Result<Inferred, NoPattern> {
    let positions = || track.fixes.iter().map(|fix| fix.position);
    let about = track.fixes[track.fixes.len() / 2].position;
    let rough = LocalFrame::new(about);
    let flown = |plane: &LocalFrame| Flown {
        xy: positions().map(|at| plane.forward(at)).collect(),
        time_s: track
            .fixes
            .iter()
            .map(|fix| seconds_between(track.fixes[0].time, fix.time))
            .collect(),
    };
    // First in a plane about some fix, then in one about the pattern, where its lines are straightest.
    let first = flown(&rough);
    let choice = choose(&first)?;
    let plane = LocalFrame::new(rough.inverse(middle(&choice)));
    let flown = flown(&plane);
    let choice = choose(&flown)?;
    let own: Vec<&Run> = choice
        .found
        .runs()
        .iter()
        .map(|i| &choice.runs[*i])
        .collect();
    let handled = handled::along(&own, &flown, track);
    let others = choice.others.iter().map(in_words).collect();
    Ok(match &choice.found {
        Found::Parallel(sweep) => {
            parallel::laid(sweep, (&choice.runs, &flown), &plane, handled, others)
        }
        Found::AboutDatum(figure) => {
            about_datum::laid(figure, &choice.runs, &plane, handled, others)
        }
    })
}

/// The middle of a pattern's runs.
fn middle(choice: &Choice) -> Coord<f64> {
    let own = choice.found.runs();
    let sum = own.iter().fold(Coord { x: 0.0, y: 0.0 }, |sum, i| {
        sum + choice.runs[*i].middle
    });
    sum / own.len() as f64
}

/// The pattern that explains most of the flight.
fn choose(flown: &Flown) -> Result<Choice, NoPattern> {
    let mut choices: Vec<Choice> = Vec::new();
    // Shown where there is no pattern: the runs at the tolerance that leaves fewest pieces of the longest way.
    let mut shown: Vec<Run> = Vec::new();
    for step in 0..TOLERANCES {
        let tolerance_m = FINEST_M * f64::from(1u32 << step);
        let runs = runs(flown, tolerance_m);
        let way_m = |runs: &[Run]| runs.iter().map(Run::length_m).sum::<f64>();
        if way_m(&runs) > 1.05 * way_m(&shown) {
            shown.clone_from(&runs);
        }
        if runs.len() > MOST_RUNS {
            continue;
        }
        let apart_m = APART_TOLERANCES * tolerance_m;
        let mut all: Vec<Found> = sweeps(&runs, apart_m)
            .into_iter()
            .map(Found::Parallel)
            .chain(figures(&runs, apart_m).into_iter().map(Found::AboutDatum))
            .filter(|found| is_flights_own(found, &runs))
            .collect();
        if all.is_empty() {
            let pairs = out_and_back(&runs, apart_m)
                .into_iter()
                .map(Found::Parallel);
            all.extend(pairs);
        }
        all.sort_by(|a, b| b.score_m().total_cmp(&a.score_m()));
        let mut all = all.into_iter();
        if let Some(found) = all.next() {
            let others = apart_from(&found, all.collect());
            choices.push(Choice {
                found,
                runs,
                others,
            });
        }
    }
    let best = choices
        .iter()
        .map(|c| c.found.score_m())
        .fold(0.0, f64::max);
    choices
        .into_iter()
        .find(|choice| choice.found.score_m() >= NEARLY * best)
        .ok_or_else(|| NoPattern(Courses::of(&shown)))
}

/// Those that share no run with a pattern nor with a better one of them.
fn apart_from(found: &Found, all: Vec<Found>) -> Vec<Found> {
    let mut taken = found.runs();
    let mut others = Vec::new();
    for other in all {
        let own = other.runs();
        if others.len() < MOST_OTHERS && own.iter().all(|run| !taken.contains(run)) {
            taken.extend(own);
            others.push(other);
        }
    }
    others
}

/// Whether most of what was flown from the first run of a pattern to its last belongs to it.
fn is_flights_own(found: &Found, runs: &[Run]) -> bool {
    let own = found.runs();
    let mut lengths: Vec<f64> = own.iter().map(|i| runs[*i].length_m()).collect();
    lengths.sort_by(f64::total_cmp);
    let least_m = TURN_SHARE * lengths[lengths.len() / 2];
    let across = |run: &Run| match found {
        // Ways from line to line lie across them.
        Found::Parallel(sweep) => dot(run.along, sweep.frame.along).abs() < 0.5,
        Found::AboutDatum(_) => false,
    };
    let (first, last) = own.iter().fold((usize::MAX, 0), |(low, high), i| {
        (low.min(*i), high.max(*i))
    });
    let foreign_m: f64 = (first..=last)
        .filter(|i| !own.contains(i))
        .map(|i| &runs[i])
        .filter(|run| run.length_m() >= least_m)
        .filter(|run| !across(run) || run.length_m() > 2.0 * least_m / TURN_SHARE)
        .map(Run::length_m)
        .sum();
    let own_m: f64 = lengths.iter().sum();
    own_m >= OWN_SHARE * (own_m + foreign_m)
}

/// A pattern that is left out, for the reader.
fn in_words(found: &Found) -> String {
    match found {
        Found::Parallel(sweep) => {
            let course = sweep.frame.along.x.atan2(sweep.frame.along.y).to_degrees();
            let course = course.rem_euclid(180.0).round() as u32 % 180;
            format!(
                "{} parallel legs along {course:03}° or {:03}°, {:.2} NM apart",
                sweep.lines,
                course + 180,
                Length::from_m(sweep.spacing_m).nm()
            )
        }
        Found::AboutDatum(figure) => {
            let size = Length::from_m(figure.placed.size_m).nm();
            match figure.shape.kind {
                shape::Kind::Square => format!(
                    "{} of {} legs with a spacing of {size:.2} NM",
                    PatternKind::ExpandingSquare.name(),
                    figure.legs
                ),
                shape::Kind::Sector { .. } => format!(
                    "{} with a radius of {size:.2} NM",
                    PatternKind::Sector.name()
                ),
            }
        }
    }
}
