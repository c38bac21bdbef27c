//! Several pilots beside each other as files. Every figure is in the [`Class`].

pub mod chart;
pub mod csv;
pub mod page;
pub mod text;
pub mod words;

use super::{File, ReportError};
use crate::training::Class;
use serde::Serialize;

/// Form of `class.json`.
const SCHEMA: &str = "overflown-class/1";

/// A class as it is written as JSON.
#[derive(Serialize)]
struct Written<'a> {
    schema: &'static str,
    version: &'static str,
    #[serde(flatten)]
    class: &'a Class,
    cautions: &'static [&'static str],
}

/// Every file of a class.
///
/// # Errors
/// When one of them cannot be drawn up.
pub fn files(class: &Class) -> Result<Vec<File>, ReportError> {
    let mut json = serde_json::to_vec_pretty(&Written {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        class,
        cautions: &crate::cautions::TRAINING,
    })?;
    json.push(b'\n');
    Ok(vec![
        File {
            name: "class.html",
            bytes: page::class_html(class)?.into_bytes(),
        },
        File {
            name: "class.txt",
            bytes: text::report(class).into_bytes(),
        },
        File {
            name: "class.json",
            bytes: json,
        },
        File {
            name: "class.csv",
            bytes: csv::csv(class).into_bytes(),
        },
    ])
}
