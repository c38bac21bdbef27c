//! How far a batch is.

use std::time::Duration;

/// How far a batch is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Sorties asked for.
    pub all: usize,
    /// Those that were done already.
    pub kept: usize,
    /// Those debriefed by now.
    pub debriefed: usize,
    /// Those that failed.
    pub failed: usize,
}

impl Progress {
    /// Sorties that are dealt with.
    #[must_use]
    pub const fn over(&self) -> usize {
        self.kept + self.debriefed + self.failed
    }

    /// Of `places` how many stand for what is dealt with.
    #[must_use]
    pub const fn of(&self, places: usize) -> usize {
        match (self.over() * places).checked_div(self.all) {
            Some(filled) => filled,
            None => places,
        }
    }

    /// The time to go after this time, if the rest takes as long, sortie by sortie, as those that were worked on; `None` before
    /// the first of these. What was done already took no time to speak of and tells nothing about the rest.
    #[must_use]
    pub fn to_go(&self, elapsed: Duration) -> Option<Duration> {
        let worked = self.debriefed + self.failed;
        let left = self.all.saturating_sub(self.over());
        (worked > 0).then(|| elapsed.mul_f64(left as f64 / worked as f64))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_to_go_is_that_of_the_sorties_left() {
        let progress = Progress {
            all: 40,
            kept: 10,
            debriefed: 4,
            failed: 1,
        };
        assert_eq!(progress.over(), 15);
        assert_eq!(progress.of(20), 7);
        let minute = Duration::from_secs(60);
        assert_eq!(progress.to_go(minute), Some(5 * minute));
        assert_eq!(Progress::default().to_go(minute), None);
        assert_eq!(Progress::default().of(20), 20);
    }
}
