//! A byte stream with its compression undone, and limits on what may come out of it.

use std::error::Error;
use std::fmt;
use std::io::{self, BufReader, Read};

use flate2::bufread::MultiGzDecoder;
use zstd::stream::read::Decoder as ZstdDecoder;

use crate::catalogue::read;
use crate::problem::Problem;
use crate::words::grouped;

/// Limits of reading. Whatever the input, memory stays within a few times `line_bytes`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Longest record in bytes; a longer one is one problem (`line-too-long`), the rest still
    /// counts. Default 8 MiB.
    pub line_bytes: usize,
    /// Most bytes after decompression, none for no limit. Default none.
    pub total_bytes: Option<u64>,
    /// Most bytes that one compressed byte may become, judged from [`Limits::RATIO_FROM`] bytes
    /// on. Default 250: record files compress 10 to 30 times, a bomb 1,000 times and more
    /// (common practice).
    pub ratio: u64,
    /// Most lines, none for no limit. Default none.
    pub lines: Option<u64>,
}

impl Limits {
    /// Decompressed bytes below which the ratio is not judged: 16 MiB.
    pub const RATIO_FROM: u64 = 16 << 20;
}

impl Default for Limits {
    fn default() -> Self {
        Self { line_bytes: 8 << 20, total_bytes: None, ratio: 250, lines: None }
    }
}

/// zstd window accepted, as a power of two: 8 MiB, which RFC 9659 makes the most for transfers.
const WINDOW_LOG: u32 = 23;

const GZIP: &[u8] = &[0x1F, 0x8B];
const ZSTD: &[u8] = &[0x28, 0xB5, 0x2F, 0xFD];
/// zstd's skippable frames, 0x184D2A50 to 0x184D2A5F little-endian, may come first.
const ZSTD_SKIPPABLE: &[u8] = &[0x2A, 0x4D, 0x18];
/// Zip archives, also as spreadsheets, and the older compound files of spreadsheets.
const ARCHIVES: [&[u8]; 2] = [b"PK\x03\x04", &[0xD0, 0xCF, 0x11, 0xE0]];

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Packing {
    None,
    Gzip,
    Zstd,
    Archive,
}

fn packing(start: &[u8]) -> Packing {
    if start.starts_with(GZIP) {
        Packing::Gzip
    } else if start.starts_with(ZSTD)
        || (start.len() >= 4 && start[0] & 0xF0 == 0x50 && start[1..].starts_with(ZSTD_SKIPPABLE))
    {
        Packing::Zstd
    } else if ARCHIVES.iter().any(|magic| start.starts_with(magic)) {
        Packing::Archive
    } else {
        Packing::None
    }
}

/// Why reading ended early: the file's fault, or ours.
#[derive(Debug)]
pub(crate) enum Stop {
    /// The data is at fault: one problem with the file.
    Data(Box<Problem>),
    /// The bytes could not be fetched.
    Failure(io::Error),
}

impl Stop {
    /// A fault of the data.
    pub(crate) fn data(problem: Problem) -> Self {
        Self::Data(Box::new(problem))
    }
}

/// Marks an error of the bytes' origin, so that it is not taken for damaged data.
#[derive(Debug)]
struct Origin(io::Error);

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

impl Error for Origin {}

/// Counts what comes from the origin and marks its errors.
struct Counted<R> {
    inner: R,
    taken: u64,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            match self.inner.read(buffer) {
                Ok(count) => {
                    self.taken += count as u64;
                    return Ok(count);
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(io::Error::other(Origin(error))),
            }
        }
    }
}

type Raw<R> = BufReader<io::Chain<io::Cursor<Vec<u8>>, Counted<R>>>;

enum Packed<R: Read> {
    Plain(Raw<R>),
    Gzip(Box<MultiGzDecoder<Raw<R>>>),
    Zstd(Box<ZstdDecoder<'static, Raw<R>>>),
}

/// The bytes of a file, decompressed, counted and limited.
pub(crate) struct Source<R: Read> {
    inner: Packed<R>,
    limits: Limits,
    given: u64,
}

impl<R: Read> Source<R> {
    /// Looks at the first bytes and undoes gzip or zstd, told by their magic numbers, not by name.
    pub(crate) fn open(reader: R, limits: Limits) -> Result<Self, Stop> {
        let mut counted = Counted { inner: reader, taken: 0 };
        let start = first_bytes(&mut counted, 4).map_err(Stop::Failure)?;
        let kind = packing(&start);
        let raw = BufReader::with_capacity(64 << 10, io::Cursor::new(start).chain(counted));
        let inner = match kind {
            Packing::None => Packed::Plain(raw),
            Packing::Gzip => Packed::Gzip(Box::new(MultiGzDecoder::new(raw))),
            Packing::Zstd => {
                let mut decoder = ZstdDecoder::with_buffer(raw).map_err(Stop::Failure)?;
                decoder.window_log_max(WINDOW_LOG).map_err(Stop::Failure)?;
                Packed::Zstd(Box::new(decoder))
            }
            Packing::Archive => {
                return Err(Stop::data(Problem::of(
                    &read::NOT_TEXT,
                    "this is a zip archive or a spreadsheet, not lines of JSON",
                )));
            }
        };
        Ok(Self { inner, limits, given: 0 })
    }

    fn is_compressed(&self) -> bool {
        !matches!(self.inner, Packed::Plain(_))
    }

    /// Refuses compression inside compression, by the first bytes that came out.
    pub(crate) fn refuse_packed(&self, start: &[u8]) -> Result<(), Stop> {
        if self.is_compressed() && packing(start) != Packing::None {
            return Err(Stop::data(Problem::of(
                &read::COMPRESSED_TWICE,
                "the file is compressed inside a compressed file",
            )));
        }
        Ok(())
    }

    /// Reads some bytes; 0 is the end.
    pub(crate) fn read(&mut self, buffer: &mut [u8]) -> Result<usize, Stop> {
        let outcome = match &mut self.inner {
            Packed::Plain(reader) => reader.read(buffer),
            Packed::Gzip(reader) => reader.read(buffer),
            Packed::Zstd(reader) => reader.read(buffer),
        };
        let count = outcome.map_err(|error| self.stopped_by(error))?;
        self.given += count as u64;
        self.within_limits()?;
        Ok(count)
    }

    fn taken(&self) -> u64 {
        let raw = match &self.inner {
            Packed::Plain(raw) => raw,
            Packed::Gzip(decoder) => decoder.get_ref(),
            Packed::Zstd(decoder) => decoder.get_ref(),
        };
        raw.get_ref().get_ref().1.taken
    }

    fn within_limits(&self) -> Result<(), Stop> {
        if let Some(most) = self.limits.total_bytes
            && self.given > most
        {
            return Err(Stop::data(Problem::of(
                &read::TOO_MANY_BYTES,
                format!("more than {} bytes after decompression", grouped(most)),
            )));
        }
        if self.is_compressed()
            && self.given > Limits::RATIO_FROM
            && self.given > self.taken().saturating_mul(self.limits.ratio)
        {
            return Err(Stop::data(Problem::of(
                &read::COMPRESSION_RATIO,
                format!(
                    "{} compressed bytes became more than {}: over {} times as many",
                    grouped(self.taken()),
                    grouped(self.given),
                    self.limits.ratio
                ),
            )));
        }
        Ok(())
    }

    fn stopped_by(&self, error: io::Error) -> Stop {
        if error.get_ref().is_some_and(|inner| inner.is::<Origin>()) {
            return Stop::Failure(error);
        }
        if matches!(self.inner, Packed::Plain(_)) {
            return Stop::Failure(error);
        }
        let said = error.to_string();
        let problem = if error.kind() == io::ErrorKind::UnexpectedEof {
            Problem::of(&read::COMPRESSION_TRUNCATED, "the compressed file stops before its end")
        } else if said.contains("too much memory") {
            Problem::of(&read::COMPRESSION_WINDOW, "the zstd file needs a window of more than 8 MiB")
        } else if self.given > 0 && (said.contains("header") || said.contains("descriptor")) {
            Problem::of(
                &read::COMPRESSION_TRAILING,
                "something that is not compressed data follows the compressed data",
            )
        } else {
            Problem::of(&read::COMPRESSION_DAMAGED, format!("the compressed data is damaged ({said})"))
        };
        Stop::data(problem)
    }
}

fn first_bytes(reader: &mut impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut start = Vec::with_capacity(most);
    reader.take(most as u64).read_to_end(&mut start)?;
    Ok(start)
}

/// Why a body could not be unpacked.
#[derive(Debug, thiserror::Error)]
pub enum UnpackError {
    /// The data is at fault.
    #[error("{}", .0.message)]
    Data(Box<Problem>),
    /// The bytes could not be fetched or passed on.
    #[error(transparent)]
    Failed(#[from] io::Error),
}

/// Undoes gzip or zstd, if there is any, under the limits on bytes and ratio, and passes the bytes
/// on unread: for whoever must compare or keep a body before its lines are checked.
///
/// Answers how many bytes came out.
///
/// # Errors
///
/// [`UnpackError`] with the same problems as a checked stream.
pub fn unpack(reader: impl Read, limits: Limits, out: &mut dyn io::Write) -> Result<u64, UnpackError> {
    let mut source = Source::open(reader, limits)?;
    let mut buffer = vec![0; 64 << 10];
    loop {
        let count = source.read(&mut buffer)?;
        if count == 0 {
            return Ok(source.given);
        }
        if source.given == count as u64 {
            source.refuse_packed(&buffer[..count])?;
        }
        out.write_all(&buffer[..count])?;
    }
}

/// The bytes of a file with gzip or zstd undone, if there is any, under the limits on bytes and
/// ratio: for whoever reads something else than lines of JSON.
pub struct Unpacked<R: Read> {
    source: Source<R>,
    begun: bool,
}

impl<R: Read> Unpacked<R> {
    /// Looks at the first bytes.
    ///
    /// # Errors
    ///
    /// [`UnpackError`] with the same problems as a checked stream.
    pub fn open(reader: R, limits: Limits) -> Result<Self, UnpackError> {
        Ok(Self { source: Source::open(reader, limits)?, begun: false })
    }
}

/// A fault of the data comes as an [`io::Error`] that carries the [`UnpackError`].
impl<R: Read> Read for Unpacked<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let mut step = || {
            let count = self.source.read(buffer)?;
            if !self.begun {
                self.source.refuse_packed(&buffer[..count])?;
            }
            self.begun |= count > 0;
            Ok::<usize, Stop>(count)
        };
        step().map_err(|stop| match UnpackError::from(stop) {
            UnpackError::Failed(error) => error,
            data => io::Error::other(data),
        })
    }
}

impl From<Stop> for UnpackError {
    fn from(stop: Stop) -> Self {
        match stop {
            Stop::Data(problem) => Self::Data(problem),
            Stop::Failure(error) => Self::Failed(error),
        }
    }
}
