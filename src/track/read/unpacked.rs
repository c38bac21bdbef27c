//! Logs compressed with gzip (RFC 1952), unpacked as they are read, within limits.

use super::source::Raw;
use flate2::read::MultiGzDecoder;
use std::io::{self, Read};

/// How many times larger than the file its content may be. Chosen: logs come out five to thirty times
/// larger; DEFLATE itself ends at about 1000 (RFC 1951: 258 bytes from two bits), and only runs of
/// one byte come near that.
pub(super) const MOST_RATIO: u64 = 200;

/// The ratio is not asked about before so many bytes are unpacked. Chosen: so small a file does no
/// harm, whatever it holds.
pub(super) const RATIO_FROM_BYTES: u64 = 1 << 20;

/// Bytes that may come out of one file. Chosen: 1 GiB, some ten million points of a wordy format,
/// more than a hundred days at one a second.
const MOST_BYTES: u64 = 1 << 30;

/// Why a compressed file is not read on.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum PackedFault {
    /// Its content is out of all proportion.
    #[error(
        "the compressed file unpacks to more than {MOST_RATIO} times its size, as files do that are \
         made to exhaust the reader"
    )]
    Ratio,
    /// Its content is too large.
    #[error("the compressed file unpacks to more than {} MiB", .0 >> 20)]
    Size(u64),
    /// It is damaged or cut off.
    #[error("the compressed file breaks off or is damaged ({0})")]
    Broken(String),
}

impl PackedFault {
    /// The fault behind an error of reading, if it is one.
    pub(super) fn behind(error: &io::Error) -> Option<&Self> {
        error.get_ref()?.downcast_ref()
    }
}

/// Unpacks what is read through it.
pub(super) struct Unpacking {
    decoder: MultiGzDecoder<Raw>,
    bytes: u64,
    /// Why nothing more is unpacked.
    fault: Option<PackedFault>,
}

impl Unpacking {
    pub(super) fn new(packed: Raw) -> Self {
        Self {
            decoder: MultiGzDecoder::new(packed),
            bytes: 0,
            fault: None,
        }
    }

    fn unpack(&mut self, target: &mut [u8]) -> io::Result<usize> {
        let read = self.decoder.read(target).map_err(|error| {
            use io::ErrorKind::{InvalidData, InvalidInput, UnexpectedEof};
            match error.kind() {
                InvalidData | InvalidInput | UnexpectedEof => {
                    io::Error::other(PackedFault::Broken(error.to_string()))
                }
                _ => error,
            }
        })?;
        self.bytes += read as u64;
        if self.bytes > MOST_BYTES {
            return Err(io::Error::other(PackedFault::Size(MOST_BYTES)));
        }
        let packed = self.decoder.get_ref().get_ref().1.bytes();
        if self.bytes > RATIO_FROM_BYTES && self.bytes / MOST_RATIO > packed {
            return Err(io::Error::other(PackedFault::Ratio));
        }
        Ok(read)
    }

    /// The file as it is on the medium.
    pub(super) fn packed(&mut self) -> &mut Raw {
        self.decoder.get_mut()
    }
}

impl Read for Unpacking {
    /// A fault is told again by every read after it, so that a look ahead loses none.
    fn read(&mut self, target: &mut [u8]) -> io::Result<usize> {
        if let Some(fault) = &self.fault {
            return Err(io::Error::other(fault.clone()));
        }
        self.unpack(target).inspect_err(|error| {
            self.fault = PackedFault::behind(error).cloned();
        })
    }
}
