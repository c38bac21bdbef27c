//! The bytes of a log: hashed and counted as they pass, unpacked where they are compressed, and
//! decoded to UTF-8 where they are not.
//!
//! ```text
//! file or standard input → Hashing → (unpacked) → head, for telling the format → (decoded) → Source
//! ```

use super::digest::Digesting;
use super::unpacked::{PackedFault, Unpacking};
use crate::input::InputFile;
use encoding_rs::{Encoding, UTF_8};
use quick_xml::encoding::{DecodingReader, DetectedEncoding, detect_encoding};
use quick_xml::events::Event;
use std::io::{self, BufReader, Chain, Cursor, Read};

/// Bytes looked at to tell what a file is. Chosen: an XML declaration, a comment of a few lines and
/// the root element fit into it, and some fifty lines of the text formats.
const HEAD_BYTES: usize = 4096;

/// What every gzip file begins with (RFC 1952, 2.3.1).
pub(super) const GZIP_MAGIC: [u8; 2] = [0x1F, 0x8B];

/// Hashes and counts what is read through it: the file as it is on the medium.
pub(super) struct Hashing {
    inner: Box<dyn Read>,
    digest: Box<Digesting>,
    bytes: u64,
}

impl Hashing {
    /// Bytes read so far.
    pub(super) const fn bytes(&self) -> u64 {
        self.bytes
    }
}

impl Read for Hashing {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(target)?;
        self.digest.update(&target[..read]);
        self.bytes += read as u64;
        Ok(read)
    }
}

/// The file from its beginning, though its first bytes were looked at.
pub(super) type Raw = Chain<Cursor<Vec<u8>>, Hashing>;

/// The content of a file, and its head once more for a look.
pub(super) struct Content {
    /// The first bytes, unpacked.
    pub(super) head: Vec<u8>,
    rest: Rest,
}

pub(super) enum Rest {
    Stored(Raw),
    Packed(Box<Unpacking>),
}

impl Read for Rest {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Stored(raw) => raw.read(target),
            Self::Packed(unpacking) => unpacking.read(target),
        }
    }
}

impl Content {
    /// Begins to read `input`.
    pub(super) fn begin(input: Box<dyn Read>) -> io::Result<Self> {
        let mut raw = Hashing {
            inner: input,
            digest: Box::new(Digesting::new()),
            bytes: 0,
        };
        let mut magic = Vec::with_capacity(GZIP_MAGIC.len());
        raw.by_ref()
            .take(GZIP_MAGIC.len() as u64)
            .read_to_end(&mut magic)?;
        let packed = magic == GZIP_MAGIC;
        let raw = Cursor::new(magic).chain(raw);
        let mut rest = if packed {
            Rest::Packed(Box::new(Unpacking::new(raw)))
        } else {
            Rest::Stored(raw)
        };
        let mut head = Vec::with_capacity(HEAD_BYTES);
        let looked = rest.by_ref().take(HEAD_BYTES as u64).read_to_end(&mut head);
        match looked {
            // A compressed file that breaks off this early: the reader of the format comes upon it
            // again, and knows the line.
            Err(error) if head.is_empty() || PackedFault::behind(&error).is_none() => Err(error),
            _ => Ok(Self { head, rest }),
        }
    }
}

pub(super) type Bytes = Chain<Cursor<Vec<u8>>, Rest>;

/// A log as UTF-8 text, whatever its encoding; what is not text passes as it is.
pub(super) enum Source {
    /// As it is.
    Plain(Bytes),
    /// Decoded on the way.
    Decoded(Box<DecodingReader<BufReader<Bytes>>>),
}

impl Read for Source {
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(bytes) => bytes.read(target),
            Self::Decoded(decoded) => decoded.read(target),
        }
    }
}

/// An encoding that is declared but not known.
#[derive(Debug)]
pub(super) struct UnknownEncoding(pub(super) String);

impl Source {
    /// The log with this content.
    pub(super) fn new(content: Content) -> Result<Self, UnknownEncoding> {
        let Content { head, rest } = content;
        let (utf16, declared) = (is_utf16(&head), declared_encoding(&head));
        let bytes = Cursor::new(head).chain(rest);
        if utf16 {
            return Ok(Self::Decoded(Box::new(DecodingReader::new(
                BufReader::new(bytes),
            ))));
        }
        match declared {
            Declared::Utf8 => Ok(Self::Plain(bytes)),
            Declared::Unknown(name) => Err(UnknownEncoding(name)),
            Declared::Other(encoding) => {
                let mut decoded = DecodingReader::new(BufReader::new(bytes));
                decoded.set_encoding(encoding);
                Ok(Self::Decoded(Box::new(decoded)))
            }
        }
    }

    /// Reads what is left, so that size and hash are those of the whole file, and tells them.
    pub(super) fn finish(mut self, role: &str, name: String) -> io::Result<InputFile> {
        let bytes = match &mut self {
            Self::Plain(bytes) => bytes,
            Self::Decoded(decoded) => decoded.get_mut().get_mut(),
        };
        let raw = match bytes.get_mut().1 {
            Rest::Stored(raw) => raw,
            Rest::Packed(unpacking) => unpacking.packed(),
        };
        let hashing = raw.get_mut().1;
        io::copy(hashing, &mut io::sink())?;
        let sha256 = hashing.digest.finish()?;
        Ok(InputFile {
            role: role.to_owned(),
            name,
            bytes: hashing.bytes,
            sha256,
        })
    }
}

/// The head as UTF-8, as far as that is needed to tell the format.
pub(super) fn decoded_head(head: &[u8]) -> Vec<u8> {
    if !is_utf16(head) {
        return head.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(head).to_vec();
    }
    let mut text = Vec::new();
    let mut decoded = DecodingReader::new(BufReader::new(head));
    // A character cut at the end of the head is no matter here.
    let _ = decoded.read_to_end(&mut text);
    text
}

/// Whether the bytes are UTF-16 (by byte order mark, or by `<?` in two-byte characters).
fn is_utf16(head: &[u8]) -> bool {
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
