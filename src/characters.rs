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

/// Most characters of the name of a person or a sortie. Chosen: more than names have, and fit for the head of a report.
const NAME_CHARS: usize = 80;
/// Most bytes of a name after which a folder is called. Chosen: with a word before it folders still have room for it on every system.
const NAME_BYTES: usize = 200;

/// What is accepted as the name of a person, for hints.
pub const PERSON_NAMES: &str = "1 to 80 characters on one line, without control characters and marks of the direction of writing";

/// Whether a text, without the space round it, can be the name of a person.
#[must_use]
pub fn is_person_name(text: &str) -> bool {
    let name = text.trim();
    !name.is_empty() && name.chars().count() <= NAME_CHARS && !name.contains(is_harmful)
}

/// Characters that no name of a folder has on every system.
const NOT_IN_FOLDERS: &str = "/\\:*?\"<>|";

/// Names that mean a device on Windows, with or without an ending (its documentation of file names, from memory).
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// What is accepted as the name of a folder, for hints.
pub const FOLDER_NAMES: &str = "1 to 80 characters (200 bytes), none of / \\ : * ? \" < > |, no dot first or last, and no name of \
                                a device such as NUL or COM1";

/// A text as part of the name of a folder: what cannot stand in one is made `_`, and no more is taken than there is room for.
#[must_use]
pub fn in_folder_name(text: &str) -> String {
    let mut bytes = 0;
    let has_room = |c: &char| {
        bytes += c.len_utf8();
        bytes <= NAME_BYTES
    };
    text.trim()
        .chars()
        .take_while(has_room)
        .map(|c| {
            if is_harmful(c) || NOT_IN_FOLDERS.contains(c) {
                '_'
            } else {
                c
            }
        })
        .collect::<String>()
        .trim_end_matches(|c: char| c == '.' || c.is_whitespace())
        .to_owned()
}

/// Whether a name can be that of a sortie, whose result folder is called after it: [`FOLDER_NAMES`].
#[must_use]
pub fn is_result_name(name: &str) -> bool {
    name.chars().count() <= NAME_CHARS && name.len() <= NAME_BYTES && is_folder_name(name)
}

/// Whether a name can be that of a folder on every system, and of one right inside the folder it is made in.
#[must_use]
pub fn is_folder_name(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim_end();
    let letters = stem.trim_end_matches(|c: char| c.is_ascii_digit() || "¹²³".contains(c));
    let numbered = stem.chars().count() == letters.chars().count() + 1;
    let device = DEVICES
        .iter()
        .position(|device| letters.eq_ignore_ascii_case(device));
    let is_device = device.is_some_and(|device| {
        if device < 4 {
            letters == stem
        } else {
            numbered
        }
    });
    !name.is_empty()
        && name.len() <= 240
        && name == name.trim()
        && !name.starts_with('.')
        && !name.ends_with('.')
        && !name.contains(|c| is_harmful(c) || NOT_IN_FOLDERS.contains(c))
        && !is_device
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_name_can_be_part_of_a_folder_name() {
        for name in [
            "Ada",
            " O/Neil ",
            "../..",
            "<b>",
            "a\u{202e}b",
            "con",
            "A. B.",
        ] {
            let folder = format!("Review {}", in_folder_name(name));
            assert!(is_folder_name(&folder), "{folder:?}");
        }
        assert_eq!(in_folder_name("O/Neil"), "O_Neil");
        let wide = "\u{1F681}".repeat(80);
        assert!(
            is_person_name(&wide) && is_folder_name(&format!("Review {}", in_folder_name(&wide)))
        );
    }

    #[test]
    fn names_of_folders_stay_in_their_folder() {
        for name in [
            "Heron 1",
            "Heron 1-plan",
            "日本",
            "console",
            "COM",
            "com10",
            "a.b",
            "-",
            "=1",
        ] {
            assert!(is_folder_name(name), "{name:?}");
        }
        let long = "a".repeat(241);
        let wide = "\u{1F681}".repeat(61);
        for name in [
            "",
            " ",
            ".",
            "..",
            "../x",
            "/etc",
            "a/b",
            "a\\b",
            "C:",
            "a:b",
            "x*",
            "NUL",
            "nul.txt",
            "con ",
            "Aux",
            "COM1",
            "lpt9.gpx",
            "COM¹",
            "a\0b",
            "a\nb",
            "a\u{202e}b",
            ".hidden",
            "end.",
            " a",
            "a\"b",
            &long,
            &wide,
        ] {
            assert!(!is_folder_name(name), "{name:?}");
        }
    }

    #[test]
    fn names_of_persons_are_one_short_line() {
        for name in ["A", " Ada O'Neill-Å ", "日本", &"é".repeat(80)] {
            assert!(is_person_name(name), "{name:?}");
        }
        for name in ["", "  ", "a\nb", "a\u{202e}b", &"é".repeat(81)] {
            assert!(!is_person_name(name), "{name:?}");
        }
    }

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
