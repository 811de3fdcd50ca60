//! What both ways of cutting a stream share: the buffered bytes and the piece cut out.

use std::io::Read;

use crate::catalogue::read;
use crate::problem::Problem;

use super::source::{Limits, Source, Stop};

/// Bytes looked ahead at once, and enough of a start to tell how a file is laid out.
const CHUNK: usize = 64 << 10;

/// The text of one record, or what stands in its place.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    /// 1-based line, or place in the array.
    pub(crate) line: u64,
    /// 1-based line and byte column of the file where the text starts.
    pub(crate) from: Place,
    /// What was cut out.
    pub(crate) content: Content,
    /// Whether the end of the entry was seen; not so for a cut file.
    pub(crate) ended: bool,
}

/// A place in the file, both 1-based.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    /// Line of the file.
    pub(crate) line: u64,
    /// Byte column.
    pub(crate) column: u64,
}

/// What was cut out.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Content {
    /// The bytes of one record.
    Text(Vec<u8>),
    /// More bytes than the limit; only their number is kept.
    TooLong(u64),
    /// Nothing between two commas of an array.
    Missing,
}

/// One step through a stream.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Cut {
    /// A record's text.
    Entry(Entry),
    /// A line without anything on it.
    Blank,
}

/// Gathers the bytes of one entry up to the limit; behind it only counts them.
pub(crate) struct Gathered {
    bytes: Vec<u8>,
    length: u64,
    limit: usize,
}

impl Gathered {
    pub(crate) fn new(limit: usize) -> Self {
        Self { bytes: Vec::new(), length: 0, limit }
    }

    pub(crate) fn add(&mut self, part: &[u8]) {
        self.length += part.len() as u64;
        if self.length <= self.limit as u64 {
            self.bytes.extend_from_slice(part);
        } else {
            self.bytes = Vec::new();
        }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.length == 0
    }

    pub(crate) fn into_content(self) -> Content {
        if self.length > self.limit as u64 {
            Content::TooLong(self.length)
        } else {
            Content::Text(self.bytes)
        }
    }
}

/// Buffered, decompressed bytes, past their byte order mark.
pub(crate) struct Bytes<R: Read> {
    source: Source<R>,
    buffer: Vec<u8>,
    at: usize,
    have: usize,
    at_end: bool,
    /// Why reading stopped, kept until the bytes before it are used up.
    stop: Option<Stop>,
    /// Whether the file began with a byte order mark.
    pub(crate) marked: bool,
}

impl<R: Read> Bytes<R> {
    /// Opens a stream and looks at its start.
    pub(crate) fn open(reader: R, limits: Limits) -> Result<Self, Stop> {
        let mut bytes = Self {
            source: Source::open(reader, limits)?,
            buffer: vec![0; CHUNK],
            at: 0,
            have: 0,
            at_end: false,
            stop: None,
            marked: false,
        };
        bytes.fill();
        let start = &bytes.buffer[..bytes.have];
        bytes.source.refuse_packed(start)?;
        refuse_wide(start)?;
        if start.starts_with(b"\xEF\xBB\xBF") {
            bytes.marked = true;
            bytes.at = 3;
        }
        Ok(bytes)
    }

    /// Fills the empty buffer as far as the stream goes.
    fn fill(&mut self) {
        self.at = 0;
        self.have = 0;
        while !self.at_end && self.have < self.buffer.len() {
            match self.source.read(&mut self.buffer[self.have..]) {
                Ok(0) => self.at_end = true,
                Ok(count) => self.have += count,
                Err(stop) => {
                    self.stop = Some(stop);
                    self.at_end = true;
                }
            }
        }
    }

    /// What is at hand; empty only at the end. A stop is told once all bytes before it are used.
    pub(crate) fn chunk(&mut self) -> Result<&[u8], Stop> {
        if self.at == self.have {
            self.fill();
            if self.have == 0
                && let Some(stop) = self.stop.take()
            {
                return Err(stop);
            }
        }
        Ok(&self.buffer[self.at..self.have])
    }

    /// Marks bytes of the chunk as used.
    pub(crate) fn consume(&mut self, count: usize) {
        self.at = (self.at + count).min(self.have);
    }

    /// The next byte, unused.
    pub(crate) fn peek(&mut self) -> Result<Option<u8>, Stop> {
        Ok(self.chunk()?.first().copied())
    }
}

/// UTF-16 and UTF-32 are recognised by their marks, or by the NUL beside an ASCII character.
fn refuse_wide(start: &[u8]) -> Result<(), Stop> {
    let wide = match start {
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] | [0, 0, 0xFE, 0xFF, ..] => true,
        [0, second, ..] => *second != 0,
        [first, 0, ..] => *first != 0,
        _ => false,
    };
    if wide {
        return Err(Stop::data(Problem::of(
            &read::UTF_16,
            "the file is in UTF-16 or UTF-32; records are read in UTF-8",
        )));
    }
    Ok(())
}
