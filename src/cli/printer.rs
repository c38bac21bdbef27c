//! The one place that writes to the terminal.
//!
//! Results go to standard output, everything else to standard error; a reader that closes the pipe
//! early is no error. Colour is stripped where the stream is no terminal or `NO_COLOR` is set.

use crate::characters::visible;
use anstyle::{AnsiColor, Style};
use std::cell::Cell;
use std::io::{IsTerminal, Write};

const RED: Style = AnsiColor::Red.on_default().bold();
const CYAN: Style = AnsiColor::Cyan.on_default();

/// Owner of the output streams.
#[derive(Debug)]
pub struct Printer {
    quiet: bool,
    /// Whether a line of progress stands on the terminal, to be wiped before anything else.
    progress: Cell<bool>,
}

impl Printer {
    pub(super) const fn new(quiet: bool) -> Self {
        Self {
            quiet,
            progress: Cell::new(false),
        }
    }

    /// Prints a result to standard output; styling codes are stripped where they are not wanted.
    pub fn result(&self, text: &str) {
        if !self.quiet {
            self.data(text);
        }
    }

    /// Prints what was asked for explicitly (such as `--json`), even when quiet.
    pub fn data(&self, text: &str) {
        self.wipe();
        // A closed pipe means that the reader has seen enough.
        let _ = anstream::stdout().write_all(text.as_bytes());
    }

    /// Writes the bytes of a file that was asked for on standard output.
    pub fn bytes(&self, bytes: &[u8]) {
        self.wipe();
        // As for text: a closed pipe is no error.
        let _ = std::io::stdout().lock().write_all(bytes);
    }

    /// Says what is being done, on a terminal only; the next output wipes it.
    pub fn doing(&self, what: &str) {
        if !self.quiet && std::io::stderr().is_terminal() {
            self.wipe();
            let mut stderr = std::io::stderr();
            let _ = write!(stderr, "{what} …");
            let _ = stderr.flush();
            self.progress.set(true);
        }
    }

    fn wipe(&self) {
        if self.progress.take() {
            // Back to the first column, and clear to the end of the line.
            let _ = write!(std::io::stderr(), "\r\x1b[K");
        }
    }

    /// Says something beside the result, on standard error.
    pub fn note(&self, text: &str) {
        if !self.quiet {
            self.wipe();
            let _ = writeln!(anstream::stderr(), "{text}");
        }
    }

    pub(super) fn error(&self, error: &dyn std::error::Error, hint: &str) {
        self.wipe();
        let mut stderr = anstream::stderr();
        let _ = writeln!(stderr, "{RED}error:{RED:#} {}", visible(&error.to_string()));
        let mut cause = error.source();
        while let Some(inner) = cause {
            let _ = writeln!(stderr, "  because: {}", visible(&inner.to_string()));
            cause = inner.source();
        }
        if !hint.is_empty() {
            let _ = writeln!(stderr, "{CYAN}hint:{CYAN:#} {}", visible(hint));
        }
    }
}
