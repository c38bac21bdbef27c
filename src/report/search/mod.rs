//! A search as files. As everywhere in this stage, every figure is in the
//! [`Search`](crate::search::Search).

pub mod text;

use super::{File, ReportError};
use crate::search::Search;

/// Every file of a search.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(search: &Search) -> Result<Vec<File>, ReportError> {
    let mut json = serde_json::to_vec_pretty(search)?;
    json.push(b'\n');
    Ok(vec![
        File {
            name: "search.txt",
            bytes: text::report(search, super::text::Style::Plain).into_bytes(),
        },
        File {
            name: "search.json",
            bytes: json,
        },
    ])
}
