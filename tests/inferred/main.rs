//! Plans inferred from flights: what was put into a simulated flight comes out, whatever recorded it; and from
//! flights that follow no pattern none comes out.
#![allow(
    clippy::print_stdout,
    reason = "`--nocapture` shows the figures behind a share"
)]
#![allow(clippy::type_complexity, reason = "tables of cases")]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../support/mod.rs"]
mod support;

mod against_itself;
mod command;
mod flown;
mod nothing;
mod recovered;
mod variants;
mod wanderings;
