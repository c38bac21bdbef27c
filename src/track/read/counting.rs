//! A buffered reader that knows the line it is on.
//!
//! Lines are counted lazily: the parser marks where an element begins, and only when somebody asks
//! for the line of the mark are the line feeds up to it counted, in one go.

use super::limits::{MOST_EVENT_BYTES, TooMuch};
use std::io::{self, BufRead, Read};

/// Size of a block, bytes. Chosen: large enough that reading and hashing work on long runs.
const BLOCK_BYTES: usize = 1 << 16;

/// Reads a source block by block and counts line feeds. Lines end with LF or CR LF.
#[derive(Debug)]
pub(super) struct LineReader<R> {
    source: R,
    block: Box<[u8]>,
    /// Consumed up to here in the block.
    position: usize,
    /// End of what was read into the block.
    end: usize,
    /// `line` is right for this place in the block.
    counted: usize,
    line: u32,
    mark: Mark,
    /// Where the event at the mark begins in the block, and its bytes in the blocks before.
    event: usize,
    event_before: u64,
}

#[derive(Clone, Copy, Debug)]
enum Mark {
    /// A place in the present block whose line has not been asked for.
    At(usize),
    /// Its line.
    Line(u32),
}

impl<R: Read> LineReader<R> {
    pub(super) fn new(source: R) -> Self {
        Self {
            source,
            block: vec![0; BLOCK_BYTES].into_boxed_slice(),
            position: 0,
            end: 0,
            counted: 0,
            line: 1,
            mark: Mark::Line(1),
            event: 0,
            event_before: 0,
        }
    }

    /// Steps over white space, which spares the parser an event for every indent.
    pub(super) fn skip_white_space(&mut self) -> io::Result<()> {
        loop {
            self.begin_event();
            let ahead = self.fill_buf()?;
            let white = ahead
                .iter()
                .take_while(|b| matches!(b, b' ' | b'\n' | b'\r' | b'\t'));
            let (count, all) = (white.count(), ahead.len());
            self.consume(count);
            if count < all || all == 0 {
                return Ok(());
            }
        }
    }

    /// What has been read and not been consumed.
    pub(super) fn ahead(&self) -> &[u8] {
        &self.block[self.position..self.end]
    }

    /// Remembers the present place.
    pub(super) const fn set_mark(&mut self) {
        self.mark = Mark::At(self.position);
        self.begin_event();
    }

    const fn begin_event(&mut self) {
        (self.event, self.event_before) = (self.position, 0);
    }

    /// Line of the mark, from 1.
    pub(super) fn marked_line(&mut self) -> u32 {
        match self.mark {
            Mark::Line(line) => line,
            Mark::At(place) => {
                self.count_to(place);
                self.mark = Mark::Line(self.line);
                self.line
            }
        }
    }

    pub(super) fn into_source(self) -> R {
        self.source
    }

    fn count_to(&mut self, place: usize) {
        self.line = self
            .line
            .saturating_add(line_feeds(&self.block[self.counted..place]));
        self.counted = place;
    }

    #[cold]
    fn next_block(&mut self) -> io::Result<()> {
        self.marked_line();
        self.count_to(self.end);
        // The parser holds an event whole.
        self.event_before += (self.end - self.event) as u64;
        self.event = 0;
        if self.event_before > MOST_EVENT_BYTES {
            return Err(io::Error::other(TooMuch::Event));
        }
        (self.position, self.end, self.counted) = (0, 0, 0);
        self.end = loop {
            match self.source.read(&mut self.block) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                result => break result?,
            }
        };
        Ok(())
    }
}

/// Number of line feeds in `bytes`.
pub(super) fn line_feeds(bytes: &[u8]) -> u32 {
    u32::try_from(memchr::memchr_iter(b'\n', bytes).count()).unwrap_or(u32::MAX)
}

impl<R: Read> BufRead for LineReader<R> {
    #[inline]
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.position == self.end {
            self.next_block()?;
        }
        Ok(&self.block[self.position..self.end])
    }

    #[inline]
    fn consume(&mut self, amount: usize) {
        self.position = (self.position + amount).min(self.end);
    }
}

impl<R: Read> Read for LineReader<R> {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        let read = self.fill_buf()?.read(target)?;
        self.consume(read);
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A source that hands out three bytes at a time, so that marks cross blocks.
    struct Drip<'a>(&'a [u8]);

    impl Read for Drip<'_> {
        fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
            let (now, later) = self.0.split_at(self.0.len().min(3));
            target[..now.len()].copy_from_slice(now);
            self.0 = later;
            Ok(now.len())
        }
    }

    #[test]
    fn line_of_the_mark_is_that_of_the_marked_byte() {
        let text = b"a\nbb\r\n\ncccc\nd";
        for place in 0..=text.len() {
            let mut reader = LineReader::new(Drip(text));
            for _ in 0..place {
                reader.fill_buf().unwrap();
                reader.consume(1);
            }
            reader.set_mark();
            // Read on to the end: the mark must outlive its block.
            io::copy(&mut reader, &mut io::sink()).unwrap();
            assert_eq!(
                reader.marked_line(),
                1 + line_feeds(&text[..place]),
                "at byte {place}"
            );
        }
    }
}
