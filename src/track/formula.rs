//! Texts in tables that a spreadsheet would run as a formula: an apostrophe before them makes them texts again.

use std::borrow::Cow;

/// What a text begins with that spreadsheets take for a formula, and the apostrophe itself, so that taking it
/// off again gives every text back.
const RUN: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// The text as a cell.
pub(crate) fn guarded(text: &str) -> Cow<'_, str> {
    if text.starts_with(RUN) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// The text that a cell holds.
pub(crate) fn unguarded(cell: &str) -> &str {
    let behind = cell.strip_prefix('\'');
    behind.filter(|text| text.starts_with(RUN)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::{guarded, unguarded};

    #[test]
    fn formulas_are_texts_and_come_back() {
        for text in ["=1+1", "+1", "-1", "@a", "'=1", "'", "a=1", "", "Morning"] {
            let cell = guarded(text);
            assert!(
                !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{cell}"
            );
            assert_eq!(unguarded(&cell), text);
        }
        assert_eq!(unguarded("'tis"), "'tis", "an apostrophe of its own");
    }
}
