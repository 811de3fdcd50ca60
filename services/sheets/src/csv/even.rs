//! The text of a CSV file with even line ends, so that rows can be numbered as a spreadsheet does.

use std::cell::Cell;
use std::fmt;
use std::io::{self, Read};
use std::rc::Rc;

/// A row has more than so many bytes.
#[derive(Debug)]
pub(super) struct Overlong(pub(super) u64);

impl fmt::Display for Overlong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a row has more than {} bytes", self.0)
    }
}

impl std::error::Error for Overlong {}

/// Where in a row the reader stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum At {
    /// Before a cell.
    Start,
    /// In a cell without quotes, or behind the closing one.
    Plain,
    /// Between quotes.
    Quoted,
    /// On a quote that closes, unless another follows.
    Closing,
}

/// Writes every line end outside of quotes as LF, ends the last line, and stops at a row that is
/// too long.
pub(super) struct Even<R> {
    inner: R,
    separator: u8,
    most: u64,
    since: Rc<Cell<u64>>,
    at: At,
    /// A CR outside of quotes, whose LF may follow.
    held: bool,
    ended: bool,
    ready: Vec<u8>,
    given: usize,
    chunk: Vec<u8>,
}

impl<R: Read> Even<R> {
    /// `since` counts bytes handed out; whoever takes a row sets it back.
    pub(super) fn new(inner: R, separator: u8, most: u64, since: Rc<Cell<u64>>) -> Self {
        Self {
            inner,
            separator,
            most,
            since,
            at: At::Start,
            held: false,
            ended: false,
            ready: Vec::new(),
            given: 0,
            chunk: vec![0; 32 << 10],
        }
    }

    /// Whether the text ended between quotes.
    pub(super) fn is_open(&self) -> bool {
        self.at == At::Quoted
    }

    fn fill(&mut self) -> io::Result<()> {
        self.ready.clear();
        self.given = 0;
        let count = self.inner.read(&mut self.chunk)?;
        if count == 0 {
            self.ended = true;
            if self.held || matches!(self.at, At::Plain | At::Closing) {
                self.held = false;
                self.at = At::Start;
                self.ready.push(b'\n');
            }
            return Ok(());
        }
        for index in 0..count {
            let byte = self.chunk.get(index).copied().unwrap_or_default();
            self.take(byte);
        }
        Ok(())
    }

    fn take(&mut self, byte: u8) {
        if self.held {
            self.held = false;
            self.ready.push(b'\n');
            if byte == b'\n' {
                return;
            }
        }
        self.at = match (self.at, byte) {
            (At::Quoted, b'"') => At::Closing,
            (At::Quoted, _) | (At::Start | At::Closing, b'"') => At::Quoted,
            (_, b'\r') => {
                self.held = true;
                self.at = At::Start;
                return;
            }
            (_, b'\n') => At::Start,
            (_, byte) if byte == self.separator => At::Start,
            _ => At::Plain,
        };
        self.ready.push(byte);
    }
}

impl<R: Read> Read for Even<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        while self.given == self.ready.len() && !self.ended {
            self.fill()?;
        }
        let left = self.ready.get(self.given..).unwrap_or_default();
        let count = left.len().min(buffer.len());
        if let (Some(to), Some(from)) = (buffer.get_mut(..count), left.get(..count)) {
            to.copy_from_slice(from);
        }
        self.given += count;
        self.since.set(self.since.get() + count as u64);
        // What the reader has taken ahead of the row counts too, which is little beside the limit.
        if self.since.get() > self.most.saturating_add(self.chunk.len() as u64) {
            return Err(io::Error::other(Overlong(self.most)));
        }
        Ok(count)
    }
}
