//! Plain text wrapped to a width.

/// Columns of every text for the terminal.
pub const WIDTH: usize = 98;

/// Words in lines of at most `room` characters; a word longer than that is broken.
#[must_use]
pub fn wrap(words: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split_whitespace() {
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
        assert_eq!(hanging("note: ", "one two"), "note: one two\n");
    }
}
