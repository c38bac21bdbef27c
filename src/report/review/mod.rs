//! A training review as files. Every figure is in the [`Review`].

pub mod csv;
pub mod legs;
pub mod page;
pub mod panels;
pub mod progress;
pub mod replay;
pub mod text;
pub mod words;

use super::{File, ReportError};
use crate::training::Review;
use serde::Serialize;

/// Form of `review.json`.
const SCHEMA: &str = "overflown-review/1";

/// A review as it is written as JSON.
#[derive(Serialize)]
struct Written<'a> {
    schema: &'static str,
    version: &'static str,
    #[serde(flatten)]
    review: &'a Review,
    cautions: &'static [&'static str],
}

/// Every file of a review.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(review: &Review) -> Result<Vec<File>, ReportError> {
    Ok(vec![
        File {
            name: "review.html",
            bytes: page::review_html(review)?.into_bytes(),
        },
        File {
            name: "review.txt",
            bytes: text::report(review).into_bytes(),
        },
        File {
            name: "review.json",
            bytes: json(review)?,
        },
        File {
            name: "review.csv",
            bytes: csv::csv(review).into_bytes(),
        },
    ])
}

/// `review.json`.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn json(review: &Review) -> Result<Vec<u8>, ReportError> {
    let mut json = serde_json::to_vec_pretty(&Written {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        review,
        cautions: &crate::cautions::TRAINING,
    })?;
    json.push(b'\n');
    Ok(json)
}
