//! The one place that writes to the terminal.
//!
//! Results go to standard output, everything else to standard error; a reader that closes the pipe
//! early is no error. Colour is stripped where the stream is no terminal or `NO_COLOR` is set.

use anstyle::{AnsiColor, Style};
use std::io::Write;

const RED: Style = AnsiColor::Red.on_default().bold();
const CYAN: Style = AnsiColor::Cyan.on_default();

/// Owner of the output streams.
#[derive(Debug)]
pub struct Printer {
    quiet: bool,
}

impl Printer {
    pub(super) const fn new(quiet: bool) -> Self {
        Self { quiet }
    }

    /// Prints a result to standard output; styling codes are stripped where they are not wanted.
    pub fn result(&self, text: &str) {
        if !self.quiet {
            self.data(text);
        }
    }

    /// Prints what was asked for explicitly (such as `--json`), even when quiet.
    pub fn data(&self, text: &str) {
        // A closed pipe means that the reader has seen enough.
        let _ = anstream::stdout().write_all(text.as_bytes());
    }

    /// Says something beside the result, on standard error.
    pub fn note(&self, text: &str) {
        if !self.quiet {
            let _ = writeln!(anstream::stderr(), "{text}");
        }
    }

    pub(super) fn error(&self, error: &dyn std::error::Error, hint: &str) {
        let mut stderr = anstream::stderr();
        let _ = writeln!(stderr, "{RED}error:{RED:#} {error}");
        let mut cause = error.source();
        while let Some(inner) = cause {
            let _ = writeln!(stderr, "  because: {inner}");
            cause = inner.source();
        }
        if !hint.is_empty() {
            let _ = writeln!(stderr, "{CYAN}hint:{CYAN:#} {hint}");
        }
    }
}
