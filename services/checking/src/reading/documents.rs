//! Cuts a JSON array, or JSON texts that stretch over several lines, into single records.
//!
//! It follows brackets and quotes only; whether the pieces are JSON is told by whoever reads them.

use std::io::Read;

use crate::catalogue::read;
use crate::problem::Problem;

use super::cut::{Bytes, Content, Cut, Entry, Gathered, Place};
use super::source::Stop;

/// How a file is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layout {
    /// One record a line.
    Lines,
    /// `[` record `,` record … `]`
    Array,
    /// Records one after the other, each over several lines.
    Texts,
}

/// Tells the layout from the first bytes of a file: an array begins with `[`; a record is spread
/// over lines when its first line is not complete and the next does not begin another one.
pub(crate) fn layout(start: &[u8]) -> Layout {
    let text = start.trim_ascii_start();
    match text.first() {
        Some(b'[') => Layout::Array,
        Some(b'{') => {
            let Some(end) = memchr::memchr(b'\n', text) else {
                return Layout::Lines;
            };
            let mut balance = Balance::default();
            let complete = text[..end].iter().any(|byte| balance.closes(*byte));
            let next = text[end..].trim_ascii_start().first();
            if complete || next == Some(&b'{') { Layout::Lines } else { Layout::Texts }
        }
        _ => Layout::Lines,
    }
}

/// Follows brackets and quotes.
#[derive(Default)]
struct Balance {
    open: u64,
    in_string: bool,
    escaped: bool,
}

impl Balance {
    /// Takes one byte; true when it closes the outermost bracket.
    fn closes(&mut self, byte: u8) -> bool {
        if self.in_string {
            if self.escaped {
                self.escaped = false;
            } else if byte == b'\\' {
                self.escaped = true;
            } else if byte == b'"' {
                self.in_string = false;
            }
            return false;
        }
        match byte {
            b'"' => self.in_string = true,
            b'{' | b'[' => self.open += 1,
            b'}' | b']' => {
                self.open = self.open.saturating_sub(1);
                return self.open == 0;
            }
            _ => {}
        }
        false
    }

    fn is_outside(&self) -> bool {
        self.open == 0 && !self.in_string
    }
}

/// A reader of array elements or of texts over several lines.
pub(crate) struct Documents {
    layout: Layout,
    limit: usize,
    index: u64,
    place: Place,
    state: State,
}

#[derive(PartialEq, Eq)]
enum State {
    Start,
    /// In an array, before an element.
    Element,
    /// Behind the closing bracket.
    Closed,
    /// The array is over.
    Done,
    /// The file ended inside the array; said after its last element.
    Cut,
}

impl Documents {
    /// Records of at most so many bytes.
    pub(crate) fn new(layout: Layout, limit: usize) -> Self {
        Self { layout, limit, index: 0, place: Place { line: 1, column: 1 }, state: State::Start }
    }

    /// How many records were cut out so far.
    pub(crate) fn index(&self) -> u64 {
        self.index
    }

    /// The next record, none at the end.
    pub(crate) fn next<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<Option<Cut>, Stop> {
        if self.layout == Layout::Texts {
            return self.next_text(bytes);
        }
        if self.state == State::Start {
            self.space(bytes)?;
            self.step(bytes, 1)?;
            self.state = State::Element;
            if self.space(bytes)? == Some(b']') {
                self.close(bytes)?;
            }
        }
        if self.state == State::Closed {
            self.nothing_behind(bytes)?;
        }
        match self.state {
            State::Closed | State::Done => Ok(None),
            State::Cut => Err(Stop::data(
                Problem::of(&read::JSON_UNFINISHED, "the file ends inside the array")
                    .with_help("The closing ] is missing: the file may have been cut."),
            )),
            State::Start | State::Element => self.next_element(bytes),
        }
    }

    fn next_element<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<Option<Cut>, Stop> {
        self.space(bytes)?;
        let from = self.place;
        let mut gathered = Gathered::new(self.limit);
        let mut balance = Balance::default();
        loop {
            let chunk = bytes.chunk()?;
            let end = chunk.iter().position(|byte| {
                let stops = balance.is_outside() && matches!(byte, b',' | b']');
                if !stops {
                    balance.closes(*byte);
                }
                stops
            });
            if chunk.is_empty() {
                self.state = State::Cut;
                if gathered.is_empty() {
                    return self.next(bytes);
                }
                return Ok(Some(self.entry(from, gathered.into_content(), false)));
            }
            let part = &chunk[..end.unwrap_or(chunk.len())];
            gathered.add(part);
            let used = part.len();
            self.step(bytes, used)?;
            if end.is_some() {
                break;
            }
        }
        if bytes.peek()? == Some(b']') {
            self.close(bytes)?;
        } else {
            self.step(bytes, 1)?;
        }
        let content = if gathered.is_empty() { Content::Missing } else { gathered.into_content() };
        Ok(Some(self.entry(from, content, true)))
    }

    fn next_text<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<Option<Cut>, Stop> {
        let Some(first) = self.space(bytes)? else {
            return Ok(None);
        };
        let from = self.place;
        let bracketed = matches!(first, b'{' | b'[');
        let mut gathered = Gathered::new(self.limit);
        let mut balance = Balance::default();
        let mut ended = false;
        while !ended {
            let chunk = bytes.chunk()?;
            if chunk.is_empty() {
                break;
            }
            // What begins with no bracket is no record: taken to the end of its line.
            let end =
                chunk.iter().position(|byte| if bracketed { balance.closes(*byte) } else { *byte == b'\n' });
            ended = end.is_some();
            let part = &chunk[..end.map_or(chunk.len(), |last| last + 1)];
            gathered.add(part);
            let used = part.len();
            self.step(bytes, used)?;
        }
        Ok(Some(self.entry(from, gathered.into_content(), ended)))
    }

    fn entry(&mut self, from: Place, content: Content, ended: bool) -> Cut {
        self.index += 1;
        Cut::Entry(Entry { line: self.index, from, content, ended })
    }

    /// Takes the closing bracket. What follows is looked at once the last record is given out.
    fn close<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<(), Stop> {
        self.state = State::Closed;
        self.step(bytes, 1)
    }

    /// Only white space may follow the array.
    fn nothing_behind<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<(), Stop> {
        self.state = State::Done;
        if self.space(bytes)?.is_some() {
            let text = format!("something follows the closing ] on line {} of the file", self.place.line);
            return Err(Stop::data(Problem::of(&read::JSON_AFTER_ARRAY, text)));
        }
        Ok(())
    }

    /// Skips white space and tells the byte behind it.
    fn space<R: Read>(&mut self, bytes: &mut Bytes<R>) -> Result<Option<u8>, Stop> {
        loop {
            let chunk = bytes.chunk()?;
            let blank = chunk.iter().take_while(|byte| b" \t\r\n".contains(byte)).count();
            let next = chunk.get(blank).copied();
            let at_end = chunk.is_empty();
            self.step(bytes, blank)?;
            if at_end || next.is_some() {
                return Ok(next);
            }
        }
    }

    /// Uses bytes of the chunk and follows the place in the file.
    fn step<R: Read>(&mut self, bytes: &mut Bytes<R>, count: usize) -> Result<(), Stop> {
        let used = &bytes.chunk()?[..count];
        let ends = memchr::memchr_iter(b'\n', used).count() as u64;
        match memchr::memrchr(b'\n', used) {
            Some(last) => {
                self.place.line += ends;
                self.place.column = (count - last) as u64;
            }
            None => self.place.column += count as u64,
        }
        bytes.consume(count);
        Ok(())
    }
}
