//! TIFFs with a palette, for a decoder that knows none: the numbers of colours are samples like those of grey, so a file whose
//! `PhotometricInterpretation` (262) is 3, palette, is read as if it were 1, black is zero. TIFF 6.0, sections 2, 5 and 8;
//! BigTIFF from memory.

use std::io::{self, Read, Seek, SeekFrom};

const PHOTOMETRIC: u64 = 262;
const PALETTE: u64 = 3;
const BLACK_IS_ZERO: u8 = 1;
/// Kinds of numbers: of 16 and of 32 bits.
const SHORT: u64 = 3;
const LONG: u64 = 4;
/// Most entries of a directory that are looked at. Chosen: a TIFF has some dozens.
const MOST_ENTRIES: u64 = 4_096;

/// A TIFF in which palettes pass for grey.
pub(super) struct AsGrey<R> {
    inner: R,
    at: u64,
    /// Where the bytes stand that are read as [`BLACK_IS_ZERO`].
    changed: Vec<u64>,
    /// Which of the directories have a palette.
    pub(super) palettes: Vec<usize>,
}

impl<R: Read + Seek> AsGrey<R> {
    /// Looks into the first `most` directories. What is no sound TIFF is left to the decoder.
    pub(super) fn of(mut inner: R, most: usize) -> io::Result<Self> {
        let (mut changed, mut palettes) = (Vec::new(), Vec::new());
        if let Some(layout) = Layout::of(&mut inner)? {
            let mut next = layout.first;
            for directory in 0..most {
                let Some(found) = layout.directory(&mut inner, next)? else {
                    break;
                };
                if let Some(at) = found.palette {
                    changed.push(at);
                    palettes.push(directory);
                }
                next = found.next;
            }
        }
        inner.seek(SeekFrom::Start(0))?;
        Ok(Self {
            inner,
            at: 0,
            changed,
            palettes,
        })
    }
}

impl<R: Read> Read for AsGrey<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer)?;
        for place in &self.changed {
            let inside = place
                .checked_sub(self.at)
                .and_then(|i| usize::try_from(i).ok());
            if let Some(byte) = inside.and_then(|i| buffer[..count].get_mut(i)) {
                *byte = BLACK_IS_ZERO;
            }
        }
        self.at += count as u64;
        Ok(count)
    }
}

impl<R: Seek> Seek for AsGrey<R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = self.inner.seek(to)?;
        Ok(self.at)
    }
}

/// How a file writes its numbers.
struct Layout {
    little: bool,
    big: bool,
    first: u64,
}

struct Directory {
    /// Where the lowest byte of its interpretation stands, if that is a palette.
    palette: Option<u64>,
    next: u64,
}

impl Layout {
    fn of<R: Read + Seek>(inner: &mut R) -> io::Result<Option<Self>> {
        inner.seek(SeekFrom::Start(0))?;
        let mut head = [0; 16];
        let Some(()) = filled(inner, &mut head[..8])? else {
            return Ok(None);
        };
        let little = head[0] == b'I';
        let mut layout = Self {
            little,
            big: false,
            first: 0,
        };
        layout.big = layout.number(&head[2..4]) == 43;
        if layout.big {
            let Some(()) = filled(inner, &mut head[8..])? else {
                return Ok(None);
            };
            layout.first = layout.number(&head[8..16]);
        } else {
            layout.first = layout.number(&head[4..8]);
        }
        Ok(Some(layout))
    }

    fn number(&self, bytes: &[u8]) -> u64 {
        let add = |all: u64, byte: &u8| all << 8 | u64::from(*byte);
        if self.little {
            bytes.iter().rev().fold(0, add)
        } else {
            bytes.iter().fold(0, add)
        }
    }

    /// `None` where there is none.
    fn directory<R: Read + Seek>(&self, inner: &mut R, at: u64) -> io::Result<Option<Directory>> {
        let (count_size, entry_size, value_at, next_size) = if self.big {
            (8, 20, 12, 8)
        } else {
            (2, 12, 8, 4)
        };
        if at == 0 || i64::try_from(at).is_err() {
            return Ok(None);
        }
        inner.seek(SeekFrom::Start(at))?;
        let mut bytes = [0; 20];
        let Some(()) = filled(inner, &mut bytes[..count_size])? else {
            return Ok(None);
        };
        let count = self.number(&bytes[..count_size]);
        if count > MOST_ENTRIES {
            return Ok(None);
        }
        let mut palette = None;
        for entry in 0..count {
            let Some(()) = filled(inner, &mut bytes[..entry_size])? else {
                return Ok(None);
            };
            let kind = self.number(&bytes[2..4]);
            let size = match kind {
                SHORT => 2,
                LONG => 4,
                _ => continue,
            };
            let value = self.number(&bytes[value_at..value_at + size]);
            if self.number(&bytes[..2]) == PHOTOMETRIC && value == PALETTE {
                let lowest = if self.little { 0 } else { size - 1 };
                let begins = at + count_size as u64 + entry * entry_size as u64;
                palette = Some(begins + (value_at + lowest) as u64);
            }
        }
        let Some(()) = filled(inner, &mut bytes[..next_size])? else {
            return Ok(None);
        };
        Ok(Some(Directory {
            palette,
            next: self.number(&bytes[..next_size]),
        }))
    }
}

/// Fills the buffer; `None` where the file ends before.
fn filled(inner: &mut impl Read, buffer: &mut [u8]) -> io::Result<Option<()>> {
    match inner.read_exact(buffer) {
        Ok(()) => Ok(Some(())),
        Err(cause) if cause.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
        Err(cause) => Err(cause),
    }
}
