//! Simulated flights are what they claim to be: physics, noise, faults and files.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod faults;
mod files;
mod flight;
mod support;
