//! Cuts a stream into lines.

use std::io::Read;

use super::cut::{Bytes, Cut, Entry, Gathered, Place};
use super::source::Stop;

/// A reader of lines. A line ends with LF or CR LF; the last may end with the file.
pub(crate) struct Lines {
    line: u64,
    limit: usize,
}

impl Lines {
    /// Lines of at most so many bytes.
    pub(crate) fn new(limit: usize) -> Self {
        Self { line: 0, limit }
    }

    /// The number of the line read last.
    pub(crate) fn line(&self) -> u64 {
        self.line
    }

    /// The next line, none at the end. A line cut off by a stop is not given out: the stop
    /// answers for it.
    pub(crate) fn next<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<Option<Cut>, Stop> {
        let mut gathered = Gathered::new(self.limit);
        let mut blank = true;
        let mut ended = false;
        let mut begun = false;
        while !ended {
            let chunk = bytes.chunk()?;
            if chunk.is_empty() {
                break;
            }
            if !begun {
                begun = true;
                self.line += 1;
            }
            let end = memchr::memchr(b'\n', chunk);
            ended = end.is_some();
            let part = &chunk[..end.unwrap_or(chunk.len())];
            let used = part.len() + usize::from(ended);
            if blank && part.iter().all(|byte| b" \t\r".contains(byte)) {
                // A blank line costs nothing, however long.
                bytes.consume(used);
                continue;
            }
            blank = false;
            gathered.add(part);
            bytes.consume(used);
        }
        if !begun {
            return Ok(None);
        }
        if blank {
            return Ok(Some(Cut::Blank));
        }
        Ok(Some(Cut::Entry(Entry {
            line: self.line,
            from: Place { line: self.line, column: 1 },
            content: gathered.into_content(),
            ended,
        })))
    }
}
