//! Fixes in strictly rising time.
//!
//! Segments are put in order of time, then the longest strictly rising subsequence of all times is
//! kept (patience sorting: C. Schensted, "Longest increasing and decreasing subsequences", Canadian
//! Journal of Mathematics 13 (1961) 179-191, DOI 10.4153/CJM-1961-015-3). A clock that was wrong for a
//! few fixes, ahead or behind, so costs these few and no others.

use super::{MOST_OUT_OF_ORDER, Sample};
use crate::track::{Finding, Fix, Ledger};
use chrono::{DateTime, Utc};

/// Why a log cannot be put in order.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Disorder {
    /// More steps go back in time than forward; the first one ends on this line of this file.
    Backwards { place: (u16, u32) },
    /// Too many fixes would have to go; the first of them stands on this line of this file.
    Mixed {
        out_of_order: usize,
        place: (u16, u32),
    },
}

/// All fixes in order of time; what does not fit goes into the ledger.
pub(super) fn in_time(
    mut segments: Vec<Vec<Fix>>,
    ledger: &mut Ledger,
) -> Result<Vec<Sample>, Disorder> {
    segments.retain(|segment| !segment.is_empty());
    refuse_backwards(&segments)?;
    order_segments(&mut segments, ledger);
    let samples: Vec<Sample> = (0..)
        .zip(&segments)
        .flat_map(|(segment, fixes)| {
            fixes.iter().map(move |&fix| Sample {
                fix,
                segment,
                after_jump: false,
            })
        })
        .collect();
    if samples.is_sorted_by(|a, b| a.fix.time < b.fix.time) {
        return Ok(samples);
    }
    keep_rising(&samples, ledger)
}

fn refuse_backwards(segments: &[Vec<Fix>]) -> Result<(), Disorder> {
    let (mut forward, mut back, mut first) = (0_usize, 0_usize, None);
    for pair in segments.iter().flat_map(|segment| segment.windows(2)) {
        match pair[0].time.cmp(&pair[1].time) {
            std::cmp::Ordering::Less => forward += 1,
            std::cmp::Ordering::Equal => {}
            std::cmp::Ordering::Greater => {
                back += 1;
                first.get_or_insert((pair[1].file, pair[1].line));
            }
        }
    }
    match first {
        Some(place) if back > forward => Err(Disorder::Backwards { place }),
        _ => Ok(()),
    }
}

/// Sorts the segments by the time in their middle, which a single bad time does not move.
fn order_segments(segments: &mut [Vec<Fix>], ledger: &mut Ledger) {
    let middle = |segment: &Vec<Fix>| segment[segment.len() / 2].time;
    for pair in segments.windows(2) {
        if middle(&pair[1]) < middle(&pair[0]) {
            let first = &pair[1][0];
            ledger.add_at(first, Finding::OutOfOrder, first.recorded());
        }
    }
    segments.sort_by_key(middle);
}

fn keep_rising(samples: &[Sample], ledger: &mut Ledger) -> Result<Vec<Sample>, Disorder> {
    let times: Vec<_> = samples.iter().map(|sample| sample.fix.time).collect();
    let keep = longest_rising(&times);
    let mut kept: Vec<Sample> = Vec::with_capacity(samples.len());
    let (mut out_of_order, mut first) = (0, None);
    for (sample, keep) in samples.iter().zip(keep) {
        if keep {
            kept.push(*sample);
            continue;
        }
        let Fix {
            time, line, file, ..
        } = sample.fix;
        let finding = if kept.last().is_some_and(|last| last.fix.time == time) {
            Finding::DuplicateTime
        } else {
            out_of_order += 1;
            first.get_or_insert((file, line));
            Finding::TimeReversed
        };
        ledger.add_at(&sample.fix, finding, sample.fix.recorded());
    }
    match first {
        Some(place) if out_of_order as f64 > MOST_OUT_OF_ORDER * samples.len() as f64 => {
            Err(Disorder::Mixed {
                out_of_order,
                place,
            })
        }
        _ => Ok(kept),
    }
}

/// Which elements form the longest strictly rising subsequence; of equal times the first is taken.
///
/// Worked from the end: `heads[k]` is the element with the latest time that k later ones can follow.
fn longest_rising(times: &[DateTime<Utc>]) -> Vec<bool> {
    let mut heads: Vec<usize> = Vec::with_capacity(times.len());
    let mut next = vec![usize::MAX; times.len()];
    for (index, &time) in times.iter().enumerate().rev() {
        let rank = match heads.last() {
            Some(&head) if times[head] > time => heads.len(),
            _ => heads.partition_point(|&head| times[head] > time),
        };
        if rank > 0 {
            next[index] = heads[rank - 1];
        }
        if rank == heads.len() {
            heads.push(index);
        } else {
            heads[rank] = index;
        }
    }
    let mut keep = vec![false; times.len()];
    let mut at = heads.last().copied().unwrap_or(usize::MAX);
    while at != usize::MAX {
        keep[at] = true;
        at = next[at];
    }
    keep
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kept(seconds: &[i64]) -> Vec<i64> {
        let times: Vec<_> = seconds
            .iter()
            .map(|&s| DateTime::from_timestamp(s, 0).unwrap())
            .collect();
        let keep = longest_rising(&times);
        seconds
            .iter()
            .zip(keep)
            .filter(|(_, keep)| *keep)
            .map(|(s, _)| *s)
            .collect()
    }

    /// By hand.
    #[test]
    fn drops_the_few_that_do_not_fit() {
        assert_eq!(kept(&[1, 2, 3]), [1, 2, 3]);
        assert_eq!(kept(&[1, 2, 2, 3, 3]), [1, 2, 3]);
        assert_eq!(kept(&[1, 2, 99, 3, 4]), [1, 2, 3, 4], "a clock ahead");
        assert_eq!(kept(&[99, 1, 2, 3]), [1, 2, 3], "a first fix ahead");
        assert_eq!(kept(&[10, 11, 3, 12]), [10, 11, 12], "a clock behind");
        assert_eq!(
            kept(&[1, 2, 3, 4, 3, 4, 5]),
            [1, 2, 3, 4, 5],
            "a repeated piece"
        );
        assert_eq!(kept(&[]), [0; 0]);
    }

    proptest! {
        /// Against the quadratic textbook recurrence.
        #[test]
        fn as_long_as_any_rising_subsequence(seconds in prop::collection::vec(0_i64..30, 0..40)) {
            let mut longest = vec![1_usize; seconds.len()];
            for j in 0..seconds.len() {
                for i in 0..j {
                    if seconds[i] < seconds[j] {
                        longest[j] = longest[j].max(longest[i] + 1);
                    }
                }
            }
            let found = kept(&seconds);
            prop_assert!(found.is_sorted_by(|a, b| a < b));
            prop_assert_eq!(found.len(), longest.into_iter().max().unwrap_or(0));
        }
    }
}
