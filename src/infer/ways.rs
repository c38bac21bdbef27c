//! Ways in and home that lie beside a sweep, as one more of its lines would.

use super::sweep::{FEWEST_IN_ORDER, OnLine, even_spacing};

/// A leg that sticks out of both its neighbours by more than this, in spacings, has a way in or home at its
/// end. Chosen.
pub(super) const STICKS_OUT_SPACINGS: f64 = 1.0;
/// Of a way in or home that lies beside the pattern more than this differs from the lines, in spacings: how far it lies off
/// the place of its line, or goes over from one end to the other; and as many times the scatter of the lines. Chosen.
const WAY_OFF_SPACINGS: f64 = 0.12;
const WAY_OFF_SDS: f64 = 3.0;

/// Leaves out what was flown on the first and on the last line where these lie at the edge, stick out of all others to the
/// side they come from or go to, and lie past a hole or differ from them as none of them does: a way in, a way home. Whether there were such.
pub(super) fn leave_out_ways(on: &mut Vec<OnLine>, spacing_m: f64) -> bool {
    let before = on.len();
    let of_first = on.iter().take_while(|run| run.line == on[0].line).count();
    let of_last = on
        .iter()
        .rev()
        .take_while(|run| run.line == on[before - 1].line)
        .count();
    if of_first + of_last + FEWEST_IN_ORDER > before + 1 {
        return false;
    }
    let (ways_in, rest) = on.split_at(of_first);
    let (between, ways_home) = rest.split_at(rest.len() - of_last);
    let past_a_hole = |line: usize| on.iter().all(|run| run.line.abs_diff(line) != 1);
    let home = is_way(
        ways_home,
        between,
        (false, past_a_hole(ways_home[0].line)),
        spacing_m,
    );
    if is_way(
        ways_in,
        between,
        (true, past_a_hole(ways_in[0].line)),
        spacing_m,
    ) {
        on.drain(..of_first);
    }
    if home {
        on.truncate(on.len() - of_last);
    }
    on.len() < before
}

/// Whether the runs on one line are a way in (`first`) or home and no leg, beside those flown between.
fn is_way(
    way: &[OnLine],
    between: &[OnLine],
    (first, past_a_hole): (bool, bool),
    spacing_m: f64,
) -> bool {
    let line = way[0].line;
    let at_edge = between.iter().all(|other| other.line > line)
        || between.iter().all(|other| other.line < line);
    let low = |on: &[OnLine]| on.iter().map(|run| run.low_m).fold(f64::INFINITY, f64::min);
    let high = |on: &[OnLine]| {
        on.iter()
            .map(|run| run.high_m)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let (low_m, high_m) = (low(between), high(between));
    let beside_m = |run: &OnLine| (run.high_m.min(high_m) - run.low_m.max(low_m)).max(0.0);
    let Some(way_beside) = way
        .iter()
        .max_by(|a, b| beside_m(a).total_cmp(&beside_m(b)))
    else {
        return false;
    };
    // It comes from, or goes to, its low end.
    let out_m = if first == way_beside.reversed {
        high(way) - high_m
    } else {
        low_m - low(way)
    };
    let Some((first_m, own_spacing_m)) = even_spacing(between) else {
        return false;
    };
    if !at_edge || out_m <= STICKS_OUT_SPACINGS * spacing_m {
        return false;
    }
    // Beyond a line that was not flown, straight in from afar.
    if past_a_hole {
        return true;
    }
    let n = between.len() as f64;
    let slope = between.iter().map(|run| run.slope).sum::<f64>() / n;
    // Where it lies beside the others, not in its own middle.
    let middle_m = |run: &OnLine| f64::midpoint(run.high_m.min(high_m), run.low_m.max(low_m));
    let off_m = |run: &OnLine| {
        let in_its_middle_m = run.right_m - first_m - own_spacing_m * run.line as f64;
        in_its_middle_m + run.slope * (middle_m(run) - f64::midpoint(run.low_m, run.high_m))
    };
    let over_m = |run: &OnLine| (run.slope - slope) * beside_m(run);
    let stands_out = |of: &dyn Fn(&OnLine) -> f64| {
        let sd_m = (between.iter().map(|run| of(run).powi(2)).sum::<f64>() / n).sqrt();
        let least_m = (WAY_OFF_SPACINGS * spacing_m).max(WAY_OFF_SDS * sd_m);
        of(way_beside).abs() > least_m
    };
    stands_out(&off_m) || stands_out(&over_m)
}
