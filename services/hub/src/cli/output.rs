//! Printing data, and wording a failure once.

use serde::Serialize;
use std::fmt;
use std::io::{self, Write};

/// A command could not be done. Its text is for the person at the terminal.
#[derive(Debug)]
pub struct Failure {
    outer: String,
    inner: Option<String>,
    closed_pipe: bool,
}

impl Failure {
    /// A failure in words.
    pub fn new(outer: impl Into<String>) -> Self {
        Self { outer: outer.into(), inner: None, closed_pipe: false }
    }

    /// The same, with the reason that the machine gave.
    #[must_use]
    pub fn because(mut self, inner: impl fmt::Display) -> Self {
        self.inner = Some(inner.to_string());
        self
    }

    /// Whether standard output was closed by its reader.
    pub fn is_closed_pipe(&self) -> bool {
        self.closed_pipe
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.inner {
            Some(inner) => write!(f, "{}: {inner}", self.outer),
            None => f.write_str(&self.outer),
        }
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        let closed_pipe = error.kind() == io::ErrorKind::BrokenPipe;
        Self { outer: "could not write the answer".into(), inner: Some(error.to_string()), closed_pipe }
    }
}

/// Prints a value as canonical JSON (RFC 8785), all of it, and a line end.
///
/// # Errors
/// When it cannot be written.
pub fn print_json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let mut bytes = serde_json_canonicalizer::to_vec(value)
        .map_err(|error| Failure::new("the answer cannot be written as JSON").because(error))?;
    bytes.push(b'\n');
    print(&bytes)
}

/// Prints bytes.
///
/// # Errors
/// When they cannot be written.
pub fn print(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    out.flush()?;
    Ok(())
}
