//! Every file of the corpora, and mutants of each, through its feed.

use crate::feeds::FEEDS;
use crate::memory::bounded;
use crate::seeds::seeds;
use crate::turn;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn folder(feed: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(feed)
}

/// The files of a corpus, in the order of names.
fn corpus(feed: &str) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder(feed))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    paths
        .iter()
        .map(|path| std::fs::read(path).unwrap())
        .collect()
}

/// Writes the seeds: `cargo test --test hostile -- --ignored`.
#[test]
#[ignore = "writes files"]
fn write_seeds() {
    for (feed, name, content) in seeds() {
        std::fs::create_dir_all(folder(feed)).unwrap();
        std::fs::write(folder(feed).join(format!("seed-{name}")), content).unwrap();
    }
}

#[test]
fn seeds_are_those_that_are_made_here() {
    let _turn = turn();
    for (feed, name, content) in seeds() {
        let path = folder(feed).join(format!("seed-{name}"));
        // What is packed comes out otherwise with another packer.
        if ["kmz", "gzip"].contains(&feed) || name.starts_with("packed") {
            assert!(path.is_file(), "{feed} {name}");
            continue;
        }
        assert!(std::fs::read(&path).unwrap() == content, "{feed} {name}");
    }
}

/// The mutator: the same mutants every time.
struct Mutator {
    state: u64,
}

impl Mutator {
    /// Linear congruence of Knuth's MMIX (The Art of Computer Programming, 3.3.4, from memory): any would do.
    fn next(&mut self, below: usize) -> usize {
        self.state = self
            .state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.state >> 33).unwrap() % below.max(1)
    }

    /// One to four changes: a piece taken out, doubled, moved, or taken from another file; a byte set to any
    /// value, or to one that means something in a format; a digit changed; a number made extreme; cut off.
    fn mutant(&mut self, content: &[u8], other: &[u8]) -> Vec<u8> {
        const SIGNS: &[u8] = b"<>&\"',;[]{}\0\n\r\t-.:Z0=#$*%";
        const NUMBERS: [&[u8]; 8] = [
            b"1e999",
            b"-1e308",
            b"NaN",
            b"inf",
            b"-0",
            b"99999999999999999999",
            b"4294967296",
            b"0.0000001",
        ];
        let mut changed = content.to_vec();
        for _ in 0..=self.next(4) {
            if changed.is_empty() {
                changed.push(b' ');
            }
            let at = self.next(changed.len());
            let end = (at + 1 + self.next(40)).min(changed.len());
            match self.next(9) {
                0 => drop(changed.drain(at..end)),
                1 => {
                    let piece = changed[at..end].repeat(1 + self.next(8));
                    drop(changed.splice(at..at, piece));
                }
                2 => {
                    let piece: Vec<u8> = changed.drain(at..end).collect();
                    let to = self.next(changed.len());
                    drop(changed.splice(to..to, piece));
                }
                3 => {
                    let from = self.next(other.len());
                    let piece = &other[from..(from + 40).min(other.len())];
                    drop(changed.splice(at..end, piece.iter().copied()));
                }
                4 => changed[at] = u8::try_from(self.next(256)).unwrap(),
                5 => changed[at] = SIGNS[self.next(SIGNS.len())],
                6 => {
                    let digits: Vec<usize> = (0..changed.len())
                        .filter(|i| changed[*i].is_ascii_digit())
                        .collect();
                    if let Some(&at) = digits.get(self.next(digits.len())) {
                        changed[at] = b'0' + u8::try_from(self.next(10)).unwrap();
                    }
                }
                7 => {
                    let number = NUMBERS[self.next(NUMBERS.len())];
                    let digits = changed[at..].iter().position(u8::is_ascii_digit);
                    let from = at + digits.unwrap_or(0);
                    let is_number = |byte: &&u8| byte.is_ascii_digit() || **byte == b'.';
                    let length = changed[from..].iter().take_while(is_number).count();
                    drop(changed.splice(from..from + length, number.iter().copied()));
                }
                _ => changed.truncate(at),
            }
        }
        changed
    }
}

/// Mutants of each file. Chosen: some thousands in all, in seconds.
const MUTANTS: usize = 12;

#[test]
fn corpora_and_mutants_of_them_do_no_harm() {
    let _turn = turn();
    let mut mutator = Mutator { state: 20_260_501 };
    let mut fed = BTreeSet::new();
    for (feed, _) in FEEDS {
        let files = corpus(feed);
        assert!(!files.is_empty(), "no corpus for {feed}");
        for (index, content) in files.iter().enumerate() {
            bounded(feed, content);
            let other = &files[(index + 1) % files.len()];
            // What is laid out or searched takes its time.
            let share = if ["tasking", "debrief", "infer"].contains(&feed) {
                3
            } else {
                1
            };
            for _ in 0..MUTANTS / share {
                let mutant = mutator.mutant(content, other);
                bounded(feed, &mutant);
                fed.insert((feed, mutant));
            }
        }
    }
    assert!(fed.len() >= 1000, "{} different mutants", fed.len());
}
