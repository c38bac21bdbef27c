//! A seal on the JSON of a debrief: the SHA-256 of the text itself, so that a later search sees whether
//! a file is still what the debrief wrote. It tells slips and edits, not forgery: anyone can seal anew.

use crate::input::sha256_hex;

/// The key, last of the object.
const KEY: &str = "\n  \"sha256\": \"";
/// Stands in the place of the seal while it is worked out.
const BLANK: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// The text of a JSON object, pretty-printed with two spaces, with its seal as its last member.
#[must_use]
pub fn sealed(json: &str) -> String {
    let body = json.trim_end().trim_end_matches('}').trim_end();
    let around = |seal: &str| format!("{body},{KEY}{seal}\"\n}}\n");
    around(&sha256_hex(around(BLANK).as_bytes()))
}

/// Whether a text is as it was sealed; `None` if it has no seal.
#[must_use]
pub fn holds(text: &str) -> Option<bool> {
    let at = text.rfind(KEY)? + KEY.len();
    let seal = text.get(at..at + BLANK.len())?;
    let blank = format!("{}{BLANK}{}", &text[..at], &text[at + BLANK.len()..]);
    Some(seal == sha256_hex(blank.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_change_breaks_the_seal() {
        let text = sealed("{\n  \"a\": 1,\n  \"b\": {\n    \"c\": 2\n  }\n}\n");
        assert!(
            serde_json::from_str::<serde_json::Value>(&text).is_ok(),
            "{text}"
        );
        assert_eq!(holds(&text), Some(true));
        assert_eq!(holds(&text.replace("\"c\": 2", "\"c\": 3")), Some(false));
        let digit = text.rfind("\"\n}").unwrap() - 1;
        let other = if text.as_bytes()[digit] == b'0' {
            "1"
        } else {
            "0"
        };
        let mut broken = text.clone();
        broken.replace_range(digit..=digit, other);
        assert_eq!(holds(&broken), Some(false));
        assert_eq!(holds("{\n  \"a\": 1\n}\n"), None);
        assert_eq!(holds(&text[..text.len() - 20]), None);
    }
}
