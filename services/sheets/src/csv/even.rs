//! The text of a CSV file with even line ends, so that rows can be numbered as a spreadsheet does.

use std::collections::VecDeque;
use std::fmt;
use std::io::{self, Read};

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

/// Writes every line end outside of quotes as LF, ends the last line, stops at a row that is too
/// long, and keeps where rows end: the CSV library does not count line ends inside of quotes.
pub(super) struct Even<R> {
    inner: R,
    separator: u8,
    most: u64,
    /// Bytes of the row at hand.
    length: u64,
    /// Bytes handed on, and where among them rows end that were not asked for yet.
    passed: u64,
    ends: VecDeque<u64>,
    at: At,
    /// A CR outside of quotes, whose LF may follow.
    held: bool,
    ended: bool,
    ready: Vec<u8>,
    given: usize,
    chunk: Vec<u8>,
}

impl<R: Read> Even<R> {
    /// Rows of at most so many bytes.
    pub(super) fn new(inner: R, separator: u8, most: u64) -> Self {
        Self {
            inner,
            separator,
            most,
            length: 0,
            passed: 0,
            ends: VecDeque::new(),
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

    /// How many rows ended before so many bytes, beyond those told before.
    pub(super) fn ended_before(&mut self, byte: u64) -> u64 {
        let ended = self.ends.partition_point(|end| *end < byte);
        self.ends.drain(..ended);
        ended as u64
    }

    fn fill(&mut self) -> io::Result<()> {
        self.ready.clear();
        self.given = 0;
        let count = self.inner.read(&mut self.chunk)?;
        if count == 0 {
            self.ended = true;
            if self.held || (self.length > 0 && self.at != At::Quoted) {
                self.held = false;
                self.at = At::Start;
                self.end_row();
            }
            return Ok(());
        }
        for index in 0..count {
            let byte = self.chunk.get(index).copied().unwrap_or_default();
            self.take(byte);
            if self.length > self.most {
                return Err(io::Error::other(Overlong(self.most)));
            }
        }
        Ok(())
    }

    fn take(&mut self, byte: u8) {
        if self.held {
            self.held = false;
            self.end_row();
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
            (_, b'\n') => {
                self.end_row();
                self.at = At::Start;
                return;
            }
            (_, byte) if byte == self.separator => At::Start,
            _ => At::Plain,
        };
        self.push(byte);
    }

    fn push(&mut self, byte: u8) {
        self.ready.push(byte);
        self.passed += 1;
        self.length += 1;
    }

    fn end_row(&mut self) {
        self.ends.push_back(self.passed);
        self.push(b'\n');
        self.length = 0;
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
        Ok(count)
    }
}
