//! Texts that come from files, made fit to be shown.
//!
//! A name in a file may hold characters that do something instead of standing for something: control
//! characters (escape sequences move the cursor of a terminal or hide lines), marks that turn the
//! direction of writing (one name then looks like another; Unicode Standard Annex 9, table 4), breaks of
//! lines, and characters that no XML may hold.

/// Characters of a raw value that is quoted.
const QUOTED_CHARS: usize = 80;

/// Whether a character does something instead of standing for something.
#[must_use]
pub const fn is_harmful(c: char) -> bool {
    matches!(c,
        '\0'..='\u{1F}' | '\u{7F}'..='\u{9F}'
        // Marks, embeddings, overrides and isolates of direction.
        | '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
        // Separators of lines and paragraphs, deprecated format characters, byte order mark, annotations,
        // tags; the two that XML 1.0 excludes (section 2.2).
        | '\u{2028}' | '\u{2029}' | '\u{206A}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}'
        | '\u{E0000}'..='\u{E007F}' | '\u{FFFE}' | '\u{FFFF}')
}

/// The text with `�` for every harmful character.
#[must_use]
pub fn harmless(text: &str) -> String {
    text.chars()
        .map(|c| if is_harmful(c) { '\u{FFFD}' } else { c })
        .collect()
}

/// The text with every harmful character written out, as `\u{202e}`.
#[must_use]
pub fn visible(text: &str) -> String {
    let mut visible = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() {
            visible.extend(c.escape_debug());
        } else if is_harmful(c) {
            visible.extend(c.escape_unicode());
        } else {
            visible.push(c);
        }
    }
    visible
}

/// The beginning of a raw value, fit to be quoted in a message: without what is harmful in it.
#[must_use]
pub fn bounded(raw: &str) -> String {
    let mut chars = raw.trim().chars();
    let mut text: String = chars
        .by_ref()
        .take(QUOTED_CHARS)
        .map(|c| match c {
            c if c.is_control() => ' ',
            c if is_harmful(c) => '\u{FFFD}',
            c => c,
        })
        .collect();
    if chars.next().is_some() {
        text.push('…');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_harmful_is_taken_out_or_written_out() {
        let name = "A\u{1b}[2J\u{202e}b\n\u{2028}\u{9b}c é 日本 \u{1F681}";
        assert_eq!(
            harmless(name),
            "A\u{FFFD}[2J\u{FFFD}b\u{FFFD}\u{FFFD}\u{FFFD}c é 日本 \u{1F681}"
        );
        assert_eq!(
            visible(name),
            "A\\u{1b}[2J\\u{202e}b\\n\\u{2028}\\u{9b}c é 日本 \u{1F681}"
        );
        assert_eq!(bounded(" a\nb\u{202e} "), "a b\u{FFFD}");
        assert_eq!(bounded(&"é".repeat(81)), "é".repeat(80) + "…");
        assert!(
            ('\0'..=char::MAX)
                .filter(|c| c.is_control())
                .all(is_harmful)
        );
    }
}
