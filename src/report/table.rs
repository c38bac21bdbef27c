//! Plain-text tables with aligned columns. What is harmful in a cell is written out.

use crate::characters::visible;

/// How a column is aligned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// Rows under headings, each line indented by two blanks; columns as wide as their widest cell.
#[must_use]
pub fn table(columns: &[(&str, Align)], rows: &[Vec<String>]) -> String {
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| row.iter().map(|cell| visible(cell)).collect())
        .collect();
    let width = |cell: &str| cell.chars().count();
    let widths: Vec<usize> = columns
        .iter()
        .enumerate()
        .map(|(i, (heading, _))| {
            rows.iter()
                .map(|row| width(&row[i]))
                .chain([width(heading)])
                .max()
                .unwrap_or(0)
        })
        .collect();
    let line = |cells: &mut dyn Iterator<Item = &str>| {
        let padded: Vec<String> = cells
            .zip(&widths)
            .zip(columns)
            .map(|((cell, width), (_, align))| match align {
                Align::Left => format!("{cell:<width$}"),
                Align::Right => format!("{cell:>width$}"),
            })
            .collect();
        format!("  {}\n", padded.join("  ").trim_end())
    };
    let mut text = line(&mut columns.iter().map(|(heading, _)| *heading));
    for row in &rows {
        text.push_str(&line(&mut row.iter().map(String::as_str)));
    }
    text
}
