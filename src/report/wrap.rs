//! Plain text wrapped to a width. What is harmful in it is written out.

use crate::characters::visible;

/// Columns of every text for the terminal.
pub const WIDTH: usize = 98;

/// What is not parted from the number before it.
const UNITS: [&str; 8] = ["%", "NM", "m", "kt", "ft", "s", "min", "h"];

/// Words in lines of at most `room` characters; a word longer than that is broken. A number stays with
/// its unit.
#[must_use]
pub fn wrap(words: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in with_units(words) {
        let letters: Vec<char> = word.chars().collect();
        for (i, piece) in letters.chunks(room).enumerate() {
            let used = lines.last().map_or(0, |line| line.chars().count());
            let gap = usize::from(used > 0);
            if i > 0 || used + gap + piece.len() > room {
                lines.push(piece.iter().collect());
            } else if let Some(line) = lines.last_mut() {
                line.extend(std::iter::repeat_n(' ', gap));
                line.extend(piece);
            }
        }
    }
    lines
}

/// The words of a text, each number together with its unit as one.
fn with_units(words: &str) -> Vec<String> {
    let mut joined: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let unit = UNITS.contains(&word.trim_end_matches(|c| ".,:;)".contains(c)));
        match joined.last_mut() {
            Some(number) if unit && number.ends_with(|c: char| c.is_ascii_digit()) => {
                number.push(' ');
                number.push_str(word);
            }
            _ => joined.push(visible(word)),
        }
    }
    joined
}

/// Words after `lead`, wrapped to [`WIDTH`], with the further lines indented as far as the lead.
#[must_use]
pub fn hanging(lead: &str, words: &str) -> String {
    let indent = lead.chars().count();
    let joint = format!("\n{}", " ".repeat(indent));
    format!("{lead}{}\n", wrap(words, WIDTH - indent).join(&joint))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand.
    #[test]
    fn words_are_wrapped_and_long_ones_broken() {
        assert_eq!(wrap("a bc def", 4), ["a bc", "def"]);
        assert_eq!(wrap("abcdefgh i", 3), ["abc", "def", "gh", "i"]);
        assert_eq!(wrap("", 5), [""]);
        assert_eq!(wrap("at 53 %. A h", 8), ["at 53 %.", "A h"]);
        assert_eq!(wrap("for 53 %. A h", 8), ["for", "53 %. A", "h"]);
        assert_eq!(hanging("note: ", "one two"), "note: one two\n");
    }
}
