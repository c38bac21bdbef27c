//! The SHA-256 of what is read: of a long log on a thread beside the reader, for without instructions of its own for it a
//! processor takes as long as for the reading itself.

use crate::input::hex;
use ring::digest::{Context, SHA256};
use std::io;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::{Builder, JoinHandle};

/// From so many bytes on a thread is worth its while. Chosen: it takes some hundredth of a millisecond to start.
const LONG_BYTES: usize = 128 * 1024;
/// Bytes handed over at once, and how many such blocks may wait. Chosen: together half a megabyte.
const BLOCK_BYTES: usize = 64 * 1024;
const BLOCKS: usize = 8;

/// A digest in the making.
pub(super) struct Digesting {
    /// Of what was read before the thread.
    here: Context,
    seen: usize,
    beside: Option<Box<Beside>>,
}

struct Beside {
    block: Vec<u8>,
    blocks: SyncSender<Vec<u8>>,
    thread: JoinHandle<Context>,
}

impl Digesting {
    pub(super) fn new() -> Self {
        Self {
            here: Context::new(&SHA256),
            seen: 0,
            beside: None,
        }
    }

    pub(super) fn update(&mut self, bytes: &[u8]) {
        if let Some(beside) = &mut self.beside {
            beside.take(bytes);
            return;
        }
        self.here.update(bytes);
        self.seen = self.seen.saturating_add(bytes.len());
        if self.seen >= LONG_BYTES {
            // Where no thread can be had it goes on here.
            self.beside = Beside::start(self.here.clone()).map(Box::new);
            self.seen = 0;
        }
    }

    /// The digest in hexadecimal digits; begins anew.
    pub(super) fn finish(&mut self) -> io::Result<String> {
        let digest = match self.beside.take() {
            None => std::mem::replace(&mut self.here, Context::new(&SHA256)),
            Some(beside) => beside.finish()?,
        };
        *self = Self::new();
        Ok(hex(digest.finish().as_ref()))
    }
}

impl Beside {
    fn start(mut digest: Context) -> Option<Self> {
        let (blocks, received) = sync_channel::<Vec<u8>>(BLOCKS);
        let work = move || {
            for block in received {
                digest.update(&block);
            }
            digest
        };
        let thread = Builder::new().spawn(work).ok()?;
        Some(Self {
            block: Vec::with_capacity(BLOCK_BYTES),
            blocks,
            thread,
        })
    }

    fn take(&mut self, bytes: &[u8]) {
        let mut bytes = bytes;
        while !bytes.is_empty() {
            let (now, later) = bytes.split_at(bytes.len().min(BLOCK_BYTES - self.block.len()));
            self.block.extend_from_slice(now);
            bytes = later;
            if self.block.len() == BLOCK_BYTES {
                let full = std::mem::replace(&mut self.block, Vec::with_capacity(BLOCK_BYTES));
                // It fails only if the thread is gone, which `finish` then tells.
                let _ = self.blocks.send(full);
            }
        }
    }

    fn finish(self) -> io::Result<Context> {
        let Self {
            block,
            blocks,
            thread,
        } = self;
        let _ = blocks.send(block);
        drop(blocks);
        let gone = |_| io::Error::other("the thread that hashes the file ended early");
        thread.join().map_err(gone)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sha2::{Digest, Sha256};

    /// However the bytes come in: the digest of all of them at once, by another library.
    #[test]
    fn pieces_give_the_digest_of_the_whole() {
        let bytes: Vec<u8> = (0..900_001_u32).map(|i| (i * 7 + i / 251) as u8).collect();
        for length in [
            0,
            1,
            LONG_BYTES - 1,
            LONG_BYTES,
            LONG_BYTES + 1,
            bytes.len(),
        ] {
            for piece in [1_000, BLOCK_BYTES, 400_000] {
                let mut digest = Digesting::new();
                bytes[..length]
                    .chunks(piece)
                    .for_each(|part| digest.update(part));
                let whole = hex(&Sha256::digest(&bytes[..length]));
                assert_eq!(digest.finish().unwrap(), whole, "{length} in {piece}");
                assert_eq!(digest.finish().unwrap(), hex(&Sha256::digest([])));
            }
        }
    }
}
