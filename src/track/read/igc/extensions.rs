//! The I record: which columns the fix records have beyond the basic ones.

/// Decimals of the second (from memory).
pub(super) const SECONDS: &str = "TDS";
/// Further decimals of the minute of latitude (from memory).
pub(super) const LATITUDE: &str = "LAD";
/// Further decimals of the minute of longitude (from memory).
pub(super) const LONGITUDE: &str = "LOD";

/// First column that can be added, from 1: the basic record has 35.
const FIRST_COLUMN: usize = 36;

/// Columns by their code.
#[derive(Default)]
pub(super) struct Extensions(Vec<(String, std::ops::Range<usize>)>);

impl Extensions {
    /// `I`, how many there are (two digits), and for each the first and the last column from 1 (two
    /// digits each) and a code of three characters. `None` if the table does not keep to that.
    pub(super) fn parse(record: &str) -> Option<Self> {
        let count: usize = number(record.get(1..3)?)?;
        let table = record.get(3..3 + 7 * count)?;
        let mut columns = Vec::with_capacity(count);
        for at in (0..count).map(|i| 7 * i) {
            let (first, last) = (
                number(table.get(at..at + 2)?)?,
                number(table.get(at + 2..at + 4)?)?,
            );
            if first < FIRST_COLUMN || last < first {
                return None;
            }
            columns.push((table.get(at + 4..at + 7)?.to_owned(), first - 1..last));
        }
        Some(Self(columns))
    }

    /// What a fix record has in the column of that code; nothing if there is none, or if the record
    /// ends before it.
    pub(super) fn of<'a>(&self, code: &str, record: &'a str) -> &'a str {
        self.0
            .iter()
            .find(|(name, _)| name == code)
            .and_then(|(_, columns)| record.get(columns.clone()))
            .unwrap_or_default()
    }
}

fn number(digits: &str) -> Option<usize> {
    let are_digits = digits.bytes().all(|byte| byte.is_ascii_digit());
    are_digits.then(|| digits.parse().ok())?
}
