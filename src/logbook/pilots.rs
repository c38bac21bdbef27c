//! Names of pilots as people type them.

use super::Logbook;
use super::read::text;
use crate::input::InputError;

/// Most names that are suggested.
const MOST_NEAR: usize = 3;

impl Logbook {
    /// Every pilot with the number of their sorties, by name.
    ///
    /// # Errors
    /// When the logbook cannot be read, or holds a name that no logbook does.
    pub fn pilots(&self) -> Result<Vec<(String, u32)>, InputError> {
        let sql =
            "SELECT min(id) AS id, pilot, count(*) FROM sorties GROUP BY pilot ORDER BY pilot";
        self.rows(sql, [], |row| Ok((text(row, 1)?, row.get(2)?)))
    }

    /// The names in the logbook that a name stands for: itself, or where there is none such, those that differ in capital
    /// letters alone.
    ///
    /// # Errors
    /// As [`pilots`](Self::pilots) has them.
    pub fn pilots_called(&self, name: &str) -> Result<Vec<String>, InputError> {
        let name = name.trim();
        let (exact, others): (Vec<String>, Vec<String>) = self
            .pilots()?
            .into_iter()
            .map(|(pilot, _)| pilot)
            .filter(|pilot| pilot.to_lowercase() == name.to_lowercase())
            .partition(|pilot| pilot == name);
        Ok(if exact.is_empty() { others } else { exact })
    }

    /// The names in the logbook that come near one that is not in it, the nearest first.
    ///
    /// # Errors
    /// As [`pilots`](Self::pilots) has them.
    pub fn pilots_near(&self, name: &str) -> Result<Vec<String>, InputError> {
        let wanted = name.trim().to_lowercase();
        // A letter in three wrong, or a part of the name alone.
        let most = (wanted.chars().count() / 3).max(1);
        let mut near: Vec<(usize, String)> = self
            .pilots()?
            .into_iter()
            .filter_map(|(pilot, _)| {
                let own = pilot.to_lowercase();
                let part = !wanted.is_empty() && own.contains(&wanted);
                let apart = strsim::damerau_levenshtein(&own, &wanted);
                (part || apart <= most).then_some((apart, pilot))
            })
            .collect();
        near.sort();
        near.truncate(MOST_NEAR);
        Ok(near.into_iter().map(|(_, pilot)| pilot).collect())
    }
}
