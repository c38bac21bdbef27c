//! Turns back onto the next leg: begun late, rolled out late, to one side otherwise than to the other.

use super::{Cause, Flights, Kind, Place, Shown, words};
use crate::statistics::student_99;
use crate::tasking::Side;
use crate::training::flight::{Flight, TurnFlown};
use crate::training::measures::{Measure, overshoot_m, reversals, standard_radius_m};
use crate::training::rank::median;
use crate::training::resample;

/// Turns it takes to say so. Chosen.
const FEWEST: usize = 4;
/// Turns of either side it takes to compare them. Chosen.
const FEWEST_EACH: usize = 4;

pub(super) fn causes(all: &Flights<'_>) -> Vec<Cause> {
    let reach = |flight: &Flight, turn: &TurnFlown| {
        Some(turn.past_end_m? - standard_radius_m(flight.ground_speed_mps))
    };
    let past = overshoot_m;
    let late = middle(all, Measure::TurnReach, reach).map(|found| Cause {
        seen: words::late_turns(found.size, found.interval),
        practise: words::PRACTISE_LATE_TURNS.to_owned(),
        ..found.cause(Kind::LateTurns)
    });
    let wide = middle(all, Measure::Overshoot, past).map(|found| Cause {
        seen: words::wide_turns(found.size, found.interval),
        practise: words::PRACTISE_WIDE_TURNS.to_owned(),
        ..found.cause(Kind::WideTurns)
    });
    [late, wide, unequal(all)].into_iter().flatten().collect()
}

/// A middle value beyond what is good enough.
struct Found {
    size: f64,
    interval: (f64, f64),
    most: f64,
    shown_by: Option<Place>,
}

impl Found {
    fn cause(&self, kind: Kind) -> Cause {
        Cause {
            kind,
            size: self.size,
            interval: Some(self.interval),
            tolerance: self.most,
            seen: String::new(),
            practise: String::new(),
            may_follow_drift: false,
            lessens: false,
            shown_by: self.shown_by.clone(),
        }
    }
}

fn middle(
    all: &Flights<'_>,
    measure: Measure,
    value: impl Fn(&Flight, &TurnFlown) -> Option<f64>,
) -> Option<Found> {
    let most = all.tolerances.most(measure, all.spacing_m())?;
    let groups: Vec<Vec<f64>> = all
        .flights
        .iter()
        .map(|flight| {
            reversals(flight)
                .filter_map(|turn| value(flight, turn))
                .collect()
        })
        .collect();
    if groups.iter().map(Vec::len).sum::<usize>() < FEWEST {
        return None;
    }
    let size = median(groups.iter().flatten().copied())?;
    let interval = resample::interval(&groups, |drawn| median(drawn.iter().copied()))?;
    (interval.0 > most).then(|| Found {
        size,
        interval,
        most,
        shown_by: all.turn_place(value),
    })
}

/// Overshoot of left turns less that of right turns, by Welch's interval (B. L. Welch, The Generalization of Student's Problem When Several Different
/// Population Variances Are Involved, Biometrika 34 (1947)) with the smaller number of degrees of freedom.
fn unequal(all: &Flights<'_>) -> Option<Cause> {
    let most = all.tolerances.most(Measure::LeftRight, all.spacing_m())?;
    let of_side = |side: Side| -> Option<(f64, f64, usize)> {
        let overshoots = |flight| {
            let turns = reversals(flight).filter(|turn| turn.side == side);
            turns.filter_map(|turn| overshoot_m(flight, turn))
        };
        let values: Vec<f64> = all.flights.iter().flat_map(overshoots).collect();
        let count = values.len();
        let mean = values.iter().sum::<f64>() / count as f64;
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        (count >= FEWEST_EACH).then(|| (mean, squares / (count - 1) as f64 / count as f64, count))
    };
    let ((left, left_error, left_count), (right, right_error, right_count)) =
        of_side(Side::Left).zip(of_side(Side::Right))?;
    let size = left - right;
    let half = student_99(left_count.min(right_count) - 1) * (left_error + right_error).sqrt();
    (size.abs() > half && size.abs() >= most).then(|| Cause {
        kind: Kind::UnequalTurns,
        size,
        interval: Some((size - half, size + half)),
        tolerance: most,
        seen: words::unequal_turns(left, right),
        practise: words::practise_unequal(size > 0.0),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.turn_place(|flight, turn| {
            let wider = if size > 0.0 { Side::Left } else { Side::Right };
            overshoot_m(flight, turn).filter(|_| turn.side == wider)
        }),
    })
}

impl Flights<'_> {
    /// The turn that `size` makes the largest of.
    fn turn_place(self, size: impl Fn(&Flight, &TurnFlown) -> Option<f64>) -> Option<Place> {
        let turns = self
            .flights
            .iter()
            .enumerate()
            .flat_map(|(i, flight)| reversals(flight).map(move |turn| (i, flight, turn)));
        let sized = turns.filter_map(|(i, flight, turn)| Some((i, turn, size(flight, turn)?)));
        let (flight, turn, _) = sized.max_by(|a, b| a.2.total_cmp(&b.2))?;
        Some(Place {
            flight,
            sortie: self.flights[flight].sortie.clone(),
            leg: turn.before.clone(),
            time: turn.from,
            shown: Shown::Turn,
        })
    }
}
