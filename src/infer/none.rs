//! What was found where no pattern was.

use super::runs::Run;
use crate::units::{Length, wrap_180};

/// Courses within this are counted as one, degrees. Chosen.
const ONE_COURSE_DEG: f64 = 10.0;
/// Most courses that are named.
const NAMED: usize = 4;

/// The straight runs of a flight by their courses.
#[derive(Clone, Debug, Default)]
pub(super) struct Courses {
    /// How many runs.
    runs: usize,
    shortest: Length,
    longest: Length,
    /// Course of the longest run of each direction, either way, degrees below 180, and how many run so.
    families: Vec<(f64, usize)>,
}

impl Courses {
    pub(super) fn of(runs: &[Run]) -> Self {
        let mut by_length: Vec<&Run> = runs.iter().collect();
        by_length.sort_by(|a, b| b.length_m().total_cmp(&a.length_m()));
        let mut families: Vec<(f64, usize)> = Vec::new();
        for run in &by_length {
            let course = run.course_deg();
            let same = families.iter_mut().find(|(other, _)| {
                let off = wrap_180(course - other).abs();
                off.min(180.0 - off) <= ONE_COURSE_DEG
            });
            match same {
                Some((_, count)) => *count += 1,
                None => families.push((course.rem_euclid(180.0), 1)),
            }
        }
        families.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        let length = |run: Option<&&Run>| Length::from_m(run.map_or(0.0, |run| run.length_m()));
        Self {
            runs: runs.len(),
            shortest: length(by_length.last()),
            longest: length(by_length.first()),
            families,
        }
    }

    pub(super) fn words(&self) -> String {
        if self.runs == 0 {
            return "it has no straight run".to_owned();
        }
        let named: Vec<String> = self
            .families
            .iter()
            .take(NAMED)
            .map(|(course, count)| {
                let course = course.round() as u32 % 180;
                format!("{count} along {course:03}° or {:03}°", course + 180)
            })
            .collect();
        let more = self.families.len().saturating_sub(NAMED);
        let more = match more {
            0 => String::new(),
            1 => " and 1 other direction".to_owned(),
            more => format!(" and {more} other directions"),
        };
        let lengths = if self.runs == 1 {
            format!("1 straight run of {:.2} NM", self.longest.nm())
        } else {
            format!(
                "{} straight runs of {:.2} to {:.2} NM",
                self.runs,
                self.shortest.nm(),
                self.longest.nm()
            )
        };
        format!(
            "it has {lengths}, {}{more}, and they are neither evenly spaced parallel legs nor an expanding \
             square nor a sector search",
            named.join(", ")
        )
    }
}
