//! From bytes to the texts of single records, in constant memory.
//!
//! `source` undoes compression under limits, `cut` buffers and looks at the first bytes, `lines`
//! and `documents` cut the stream. What the pieces mean is not known here.

pub(crate) mod cut;
pub(crate) mod documents;
pub(crate) mod lines;
pub(crate) mod source;

use std::io::Read;

use crate::catalogue::read;
use crate::problem::Problem;
use crate::words::grouped;

use cut::{Bytes, Cut};
use documents::{Documents, Layout};
use lines::Lines;
use source::Stop;
pub use source::{Limits, UnpackError, Unpacked, unpack};

/// How a stream is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shape {
    /// One record a line (`application/x-ndjson`), whatever the first byte is.
    Lines,
    /// Told by the first bytes: a JSON array, one record a line, or records spread over lines.
    #[default]
    Detect,
}

impl Shape {
    /// What a file name promises: `.ndjson` and `.jsonl` are lines, all else is looked at.
    #[must_use]
    pub fn of_name(name: &str) -> Self {
        let name = name.to_ascii_lowercase();
        let bare = [".gz", ".zst"].iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(&name);
        if bare.ends_with(".ndjson") || bare.ends_with(".jsonl") { Self::Lines } else { Self::Detect }
    }
}

/// A stream being cut into records.
pub(crate) struct Reader<R: Read> {
    bytes: Bytes<R>,
    cutter: Cutter,
    most_lines: Option<u64>,
}

enum Cutter {
    Lines(Lines),
    Documents(Documents),
}

impl<R: Read> Reader<R> {
    /// Opens a stream.
    pub(crate) fn open(reader: R, shape: Shape, limits: Limits) -> Result<Self, Stop> {
        let mut bytes = Bytes::open(reader, limits)?;
        let layout = match shape {
            Shape::Lines => Layout::Lines,
            Shape::Detect => documents::layout(bytes.chunk()?),
        };
        let cutter = match layout {
            Layout::Lines => Cutter::Lines(Lines::new(limits.line_bytes)),
            other => Cutter::Documents(Documents::new(other, limits.line_bytes)),
        };
        Ok(Self { bytes, cutter, most_lines: limits.lines })
    }

    /// Whether the file began with a byte order mark.
    pub(crate) fn is_marked(&self) -> bool {
        self.bytes.marked
    }

    /// The number of the line, or record, read last.
    pub(crate) fn line(&self) -> u64 {
        match &self.cutter {
            Cutter::Lines(lines) => lines.line(),
            Cutter::Documents(documents) => documents.index(),
        }
    }

    /// The next piece, none at the end.
    pub(crate) fn next(&mut self) -> Result<Option<Cut>, Stop> {
        let cut = match &mut self.cutter {
            Cutter::Lines(lines) => lines.next(&mut self.bytes),
            Cutter::Documents(documents) => documents.next(&mut self.bytes),
        }?;
        match self.most_lines {
            Some(most) if cut.is_some() && self.line() > most => Err(Stop::data(Problem::of(
                &read::TOO_MANY_LINES,
                format!("there are more than {} lines", grouped(most)),
            ))),
            _ => Ok(cut),
        }
    }
}
