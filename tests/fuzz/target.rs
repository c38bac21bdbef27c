//! Every fuzz target: its name is that of a feed, and tells which.
#![no_main]

mod feeds;
mod memory;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| memory::bounded(env!("CARGO_BIN_NAME"), bytes));
