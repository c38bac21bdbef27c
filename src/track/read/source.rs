//! The bytes of a log: hashed and counted as they pass, and decoded to UTF-8 where they are not.

use crate::input::{InputFile, hex};
use encoding_rs::{Encoding, UTF_8};
use quick_xml::encoding::{DecodingReader, DetectedEncoding, detect_encoding};
use quick_xml::events::Event;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{self, BufReader, Chain, Cursor, Read};

/// Bytes looked at to tell what a file is. Chosen: an XML declaration, a comment of a few lines and
/// the root element fit into it.
pub(super) const HEAD_BYTES: usize = 4096;

/// Hashes and counts what is read through it.
#[derive(Debug)]
pub(super) struct Hashing<R> {
    inner: R,
    hasher: Sha256,
    bytes: u64,
}

impl<R: Read> Read for Hashing<R> {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(target)?;
        self.hasher.update(&target[..read]);
        self.bytes += read as u64;
        Ok(read)
    }
}

pub(super) type Raw = Hashing<Chain<Cursor<Vec<u8>>, File>>;

/// A log as UTF-8 text, whatever its encoding.
#[derive(Debug)]
pub(super) enum Source {
    /// UTF-8 already.
    Plain(Raw),
    /// Decoded on the way.
    Decoded(Box<DecodingReader<BufReader<Raw>>>),
}

impl Read for Source {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(raw) => raw.read(target),
            Self::Decoded(decoded) => decoded.read(target),
        }
    }
}

/// An encoding that is declared but not known.
#[derive(Debug)]
pub(super) struct UnknownEncoding(pub(super) String);

impl Source {
    /// The log that begins with `head` and goes on with `rest`.
    pub(super) fn new(head: Vec<u8>, rest: File) -> Result<Self, UnknownEncoding> {
        let (utf16, declared) = (is_utf16(&head), declared_encoding(&head));
        let raw = Hashing {
            inner: Cursor::new(head).chain(rest),
            hasher: Sha256::new(),
            bytes: 0,
        };
        if utf16 {
            return Ok(Self::Decoded(Box::new(DecodingReader::new(
                BufReader::new(raw),
            ))));
        }
        match declared {
            Declared::Utf8 => Ok(Self::Plain(raw)),
            Declared::Unknown(name) => Err(UnknownEncoding(name)),
            Declared::Other(encoding) => {
                let mut decoded = DecodingReader::new(BufReader::new(raw));
                decoded.set_encoding(encoding);
                Ok(Self::Decoded(Box::new(decoded)))
            }
        }
    }

    /// Reads what is left, so that size and hash are those of the whole file, and tells them.
    pub(super) fn finish(mut self, role: &str, name: String) -> io::Result<InputFile> {
        let raw = match &mut self {
            Self::Plain(raw) => raw,
            Self::Decoded(decoded) => decoded.get_mut().get_mut(),
        };
        io::copy(raw, &mut io::sink())?;
        let sha256 = hex(&raw.hasher.finalize_reset());
        Ok(InputFile {
            role: role.to_owned(),
            name,
            bytes: raw.bytes,
            sha256,
        })
    }
}

/// Whether the bytes are UTF-16 (by byte order mark, or by `<?` in two-byte characters).
pub(super) fn is_utf16(head: &[u8]) -> bool {
    use DetectedEncoding as E;
    matches!(
        detect_encoding(head),
        Some(E::Utf16BeBom | E::Utf16LeBom | E::Utf16BeLike | E::Utf16LeLike)
    )
}

enum Declared {
    Utf8,
    Other(&'static Encoding),
    Unknown(String),
}

/// The encoding that the XML declaration names. Bytes in which the declaration can be read are not
/// UTF-16, whatever it says: such files come from programs that made the text in UTF-16 and saved
/// it as UTF-8.
fn declared_encoding(head: &[u8]) -> Declared {
    let mut reader = quick_xml::Reader::from_reader(head);
    let mut buffer = Vec::new();
    let Ok(Event::Decl(declaration)) = reader.read_event_into(&mut buffer) else {
        return Declared::Utf8;
    };
    match (declaration.encoding(), declaration.encoder()) {
        (Some(Ok(name)), None) => Declared::Unknown(name.into_owned()),
        (Some(Ok(_)), Some(encoding)) if encoding.is_ascii_compatible() && encoding != UTF_8 => {
            Declared::Other(encoding)
        }
        _ => Declared::Utf8,
    }
}
