//! Which of the evenly spaced lines each run is on.

use super::sweep::{FEW, HOLE_SPACINGS, OnLine};

/// Runs nearer to each other than this, in spacings, are on one line. Chosen.
const ONE_LINE_SPACINGS: f64 = 0.35;
/// Lines are whole spacings apart within this, in spacings, where some between them are left out; of the lines one
/// in so many, at most. Chosen: crews add a line here and there.
const OFF_EVEN: f64 = 0.2;
const LEFT_OUT_ONE_IN: usize = 5;

/// Gives runs the numbers of their lines from left to right, stepping over lines that were not flown; how many lines
/// there are.
pub(super) type Numbering = fn(&mut Vec<OnLine>, f64) -> Option<usize>;

/// Every run is on a line.
#[expect(
    clippy::ptr_arg,
    reason = "one of two ways to number, of which the other leaves runs out"
)]
pub(super) fn numbered(on: &mut Vec<OnLine>, spacing_m: f64) -> Option<usize> {
    let lines = side_by_side(on, spacing_m);
    let mut number = 0;
    for (i, line) in lines.iter().enumerate() {
        if let Some(before) = i.checked_sub(1) {
            let apart = (line.right_m - lines[before].right_m) / spacing_m;
            number += apart.round().max(1.0) as usize;
        }
        for run in &line.runs {
            on[*run].line = number;
        }
    }
    Some(number + 1)
}

/// The longest way on lines that lie whole spacings apart; a few that were flown between them are left out. `None`
/// where these are many, or the lines few.
pub(super) fn numbered_evenly(on: &mut Vec<OnLine>, spacing_m: f64) -> Option<usize> {
    let lines = side_by_side(on, spacing_m);
    // For each line the longest way that ends there, the line before it and the spacings between.
    let mut ways: Vec<(f64, Option<(usize, usize)>)> = Vec::with_capacity(lines.len());
    for line in &lines {
        let before = (0..ways.len()).filter_map(|from| {
            let apart = (line.right_m - lines[from].right_m) / spacing_m;
            let whole = apart.round();
            let fits = (1.0..=HOLE_SPACINGS).contains(&whole) && (apart - whole).abs() <= OFF_EVEN;
            fits.then_some((ways[from].0, Some((from, whole as usize))))
        });
        let longest = before.max_by(|a, b| a.0.total_cmp(&b.0));
        let (way_m, before) = longest.unwrap_or((0.0, None));
        ways.push((way_m + line.length_m, before));
    }
    let last = (0..ways.len()).max_by(|a, b| ways[*a].0.total_cmp(&ways[*b].0))?;
    let mut steps = vec![(last, 0)];
    while let Some((from, whole)) = ways[steps[steps.len() - 1].0].1 {
        steps.push((from, whole));
    }
    let left_out = lines.len() - steps.len();
    if left_out > 0 && (steps.len() <= FEW || LEFT_OUT_ONE_IN * left_out > steps.len()) {
        return None;
    }
    let mut kept = vec![false; on.len()];
    let mut number = 0;
    // Each step holds the spacings from its own line to the one after it.
    for (line, onwards) in steps.iter().rev() {
        for run in &lines[*line].runs {
            on[*run].line = number;
            kept[*run] = true;
        }
        number += onwards;
    }
    let mut kept = kept.into_iter();
    on.retain(|_| kept.next() == Some(true));
    Some(number + 1)
}

/// Runs on one line, whatever its number.
struct SideBySide {
    right_m: f64,
    /// Length of the longest run.
    length_m: f64,
    runs: Vec<usize>,
}

/// The lines from left to right.
fn side_by_side(on: &[OnLine], spacing_m: f64) -> Vec<SideBySide> {
    let mut by_place: Vec<usize> = (0..on.len()).collect();
    by_place.sort_by(|a, b| on[*a].right_m.total_cmp(&on[*b].right_m));
    let mut lines: Vec<SideBySide> = Vec::new();
    for i in by_place {
        let run = &on[i];
        let length_m = run.high_m - run.low_m;
        match lines.last_mut() {
            Some(line) if run.right_m - line.right_m <= ONE_LINE_SPACINGS * spacing_m => {
                let before = line.runs.len() as f64;
                line.right_m += (run.right_m - line.right_m) / (before + 1.0);
                line.length_m = line.length_m.max(length_m);
                line.runs.push(i);
            }
            _ => lines.push(SideBySide {
                right_m: run.right_m,
                length_m,
                runs: vec![i],
            }),
        }
    }
    lines
}
