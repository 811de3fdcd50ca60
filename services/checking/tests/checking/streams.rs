//! Files as they really arrive.

use std::io::{self, Read, Write};

use flate2::Compression;
use flate2::write::GzEncoder;
use haulout_checking::{CheckedLine, Limits, Shape, StreamError, StreamOptions, UnpackError, unpack};
use serde_json::json;

use crate::records::{Answers, checker, codes, only, rescue, stream, with};

fn lines(count: usize) -> Vec<u8> {
    let mut out = Vec::new();
    for number in 0..count {
        let record = with(rescue(), "/recordID", json!(format!("K-{number}")));
        out.extend_from_slice(record.to_string().as_bytes());
        out.push(b'\n');
    }
    out
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zstd(bytes: &[u8]) -> Vec<u8> {
    zstd::encode_all(bytes, 1).unwrap()
}

fn limited(limits: Limits) -> StreamOptions {
    StreamOptions { limits, ..StreamOptions::default() }
}

fn file_code(bytes: &[u8], options: &StreamOptions) -> (u64, String) {
    let (counts, answers) = stream(bytes, options).unwrap();
    let [problem] = answers.file.as_slice() else { panic!("{:#?}", answers.file) };
    assert!(problem.help.is_some());
    (counts.valid, problem.code.to_string())
}

#[test]
fn order_is_kept_over_many_batches() {
    let (counts, answers) = stream(&lines(3000), &StreamOptions::default()).unwrap();
    assert_eq!((counts.valid, counts.by_kind["rescue"]), (3000, 3000));
    for (number, line) in answers.lines.iter().enumerate() {
        assert_eq!(line.line(), number as u64 + 1);
        assert_eq!(line.identity().record_id, Some(format!("K-{number}")));
    }
}

#[test]
fn line_ends_blank_lines_and_marks_are_tolerated() {
    let record = rescue().to_string();
    let file = format!("\u{feff}{record}\r\n\r\n  \t\n{record}\n\n{record}");
    let (counts, answers) = stream(file.as_bytes(), &StreamOptions::for_file("a.ndjson")).unwrap();
    assert_eq!((counts.lines, counts.blank, counts.valid), (6, 3, 3));
    assert_eq!(answers.lines.iter().map(CheckedLine::line).collect::<Vec<_>>(), [1, 4, 6]);
    let [mark] = answers.file.as_slice() else { panic!() };
    assert_eq!(
        (&*mark.code, mark.line, mark.file.as_deref()),
        ("byte-order-mark", Some(1), Some("a.ndjson"))
    );
    assert!(!mark.refuses());
    // Files joined end to end leave marks in the middle.
    let joined = format!("{record}\n\u{feff}{record}\n");
    let (counts, answers) = stream(joined.as_bytes(), &StreamOptions::default()).unwrap();
    assert_eq!(counts.valid, 2);
    assert_eq!(codes(&answers.lines[1]), ["byte-order-mark"]);
}

#[test]
fn a_cut_file_is_told_by_its_last_line() {
    let file = lines(3);
    let (counts, answers) = stream(&file[..file.len() - 40], &StreamOptions::default()).unwrap();
    assert_eq!((counts.records, counts.valid), (3, 2));
    let problem = only(&answers.lines[2]);
    assert_eq!((&*problem.code, problem.line), ("json-unfinished", Some(3)));
    assert!(problem.message.contains("the file stops"));
}

#[test]
fn one_bad_line_does_not_sink_the_file() {
    let mut file = lines(2);
    file.extend_from_slice(b"\xff\xfe nonsense\n{\"a\":\n");
    file.extend_from_slice(&lines(2));
    let (counts, answers) = stream(&file, &StreamOptions::default()).unwrap();
    assert_eq!((counts.records, counts.valid), (6, 4));
    assert_eq!(codes(&answers.lines[2]), ["invalid-utf8"]);
    assert_eq!(codes(&answers.lines[3]), ["json-unfinished"]);
}

#[test]
fn a_long_line_is_one_problem_and_the_rest_counts() {
    let mut file = lines(1);
    file.extend_from_slice(b"{\"notes\":\"");
    file.resize(file.len() + 50_000_000, b'x');
    file.extend_from_slice(b"\"}\n");
    file.extend_from_slice(&lines(1));
    let (counts, answers) = stream(&file, &StreamOptions::default()).unwrap();
    assert_eq!((counts.lines, counts.valid), (3, 2));
    let problem = only(&answers.lines[1]);
    assert_eq!((&*problem.code, problem.line), ("line-too-long", Some(2)));
    assert!(problem.message.contains("50,000,012"), "{}", problem.message);
}

/// A reader of a great many bytes that holds none of them.
struct Endless(u64);

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = buffer.len().min(usize::try_from(self.0).unwrap_or(usize::MAX));
        buffer[..count].fill(b'x');
        self.0 -= count as u64;
        Ok(count)
    }
}

#[test]
fn a_line_without_end_is_read_past() {
    let mut answers = Answers::default();
    let counts = checker().check_stream(Endless(1 << 30), &StreamOptions::default(), &mut answers).unwrap();
    assert_eq!(counts.lines, 1);
    assert_eq!(codes(&answers.lines[0]), ["line-too-long"]);
}

#[test]
fn a_million_blank_lines_are_counted() {
    let (counts, answers) = stream(&b"\n".repeat(1_000_000), &StreamOptions::default()).unwrap();
    assert_eq!((counts.lines, counts.blank), (1_000_000, 1_000_000));
    assert!(answers.lines.is_empty() && answers.file.is_empty());
}

#[test]
fn compression_is_told_by_its_bytes() {
    for packed in [gzip(&lines(1000)), zstd(&lines(1000))] {
        let (counts, answers) = stream(&packed, &StreamOptions::for_file("night.ndjson")).unwrap();
        assert_eq!((counts.valid, answers.file.len()), (1000, 0));
        // Members one after the other are one file.
        let (counts, _) = stream(&[packed.clone(), packed].concat(), &StreamOptions::default()).unwrap();
        assert_eq!(counts.valid, 2000);
    }
}

#[test]
fn damaged_compression_is_one_problem() {
    for pack in [gzip, zstd] {
        let packed = pack(&lines(5000));
        let (valid, code) = file_code(&packed[..packed.len() / 2], &StreamOptions::default());
        assert_eq!(code, "compression-truncated");
        assert!(valid > 0 && valid < 5000, "{valid} of the lines before the cut count");
        let (valid, code) = file_code(&[&packed[..], b"not compressed"].concat(), &StreamOptions::default());
        assert_eq!((valid, code.as_str()), (5000, "compression-trailing"));
        let twice = pack(&pack(&lines(10)));
        assert_eq!(file_code(&twice, &StreamOptions::default()), (0, "compressed-twice".to_owned()));
        let mut damaged = packed.clone();
        let middle = damaged.len() / 2;
        damaged[middle..middle + 64].fill(0xAA);
        let (_, code) = file_code(&damaged, &StreamOptions::default());
        assert!(code.starts_with("compression-"), "{code}");
        assert_eq!(file_code(&packed[..6], &StreamOptions::default()).1, "compression-truncated");
    }
    let mixed = gzip(&zstd(&lines(10)));
    assert_eq!(file_code(&mixed, &StreamOptions::default()).1, "compressed-twice");
}

#[test]
fn bombs_are_stopped() {
    let blank = vec![b'\n'; 64 << 20];
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(&blank).unwrap();
    for bomb in [encoder.finish().unwrap(), zstd(&blank)] {
        assert_eq!(file_code(&bomb, &StreamOptions::default()), (0, "compression-ratio".to_owned()));
    }
    let few = limited(Limits { total_bytes: Some(100_000), ..Limits::default() });
    let (valid, code) = file_code(&gzip(&lines(5000)), &few);
    assert_eq!(code, "too-many-bytes");
    assert!(valid < 200);
    let mut wide = zstd::Encoder::new(Vec::new(), 3).unwrap();
    wide.long_distance_matching(true).unwrap();
    wide.window_log(27).unwrap();
    wide.include_contentsize(false).unwrap();
    wide.write_all(&lines(10)).unwrap();
    let wide = wide.finish().unwrap();
    assert_eq!(file_code(&wide, &StreamOptions::default()).1, "compression-window");
}

#[test]
fn a_body_can_be_unpacked_under_the_same_limits() {
    let plain = lines(2000);
    for body in [plain.clone(), gzip(&plain), zstd(&plain)] {
        let mut out = Vec::new();
        assert_eq!(unpack(&body[..], Limits::default(), &mut out).unwrap(), plain.len() as u64);
        assert_eq!(out, plain);
        let few = Limits { total_bytes: Some(1000), ..Limits::default() };
        let Err(UnpackError::Data(problem)) = unpack(&body[..], few, &mut io::sink()) else { panic!() };
        assert_eq!(problem.code, "too-many-bytes");
    }
    let Err(UnpackError::Data(problem)) =
        unpack(&gzip(&gzip(&plain))[..], Limits::default(), &mut io::sink())
    else {
        panic!()
    };
    assert_eq!(problem.code, "compressed-twice");
}

#[test]
fn other_files_are_recognised() {
    let text = String::from_utf8(lines(1)).unwrap();
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for wide in
        [little.clone(), big.clone(), [&b"\xff\xfe"[..], &little].concat(), [&b"\xfe\xff"[..], &big].concat()]
    {
        assert_eq!(file_code(&wide, &StreamOptions::default()), (0, "utf-16".to_owned()));
    }
    assert_eq!(file_code(b"PK\x03\x04....", &StreamOptions::default()).1, "not-text");
    assert_eq!(file_code(b"\xD0\xCF\x11\xE0....", &StreamOptions::default()).1, "not-text");
}

#[test]
fn the_limit_on_lines_is_exact() {
    let five = limited(Limits { lines: Some(5), ..Limits::default() });
    assert_eq!(file_code(&lines(6), &five), (5, "too-many-lines".to_owned()));
    let (counts, answers) = stream(&lines(5), &five).unwrap();
    assert_eq!((counts.valid, answers.file.len()), (5, 0));
}

#[test]
fn arrays_and_spread_records_are_cut() {
    let (one, other) = (rescue(), with(rescue(), "/revision", json!("x]}\\\"")));
    let pretty = serde_json::to_string_pretty(&json!([one, other])).unwrap();
    for file in [pretty.clone(), json!([one, other]).to_string(), format!("\u{feff} \n{pretty}\n\n")] {
        let (counts, answers) = stream(file.as_bytes(), &StreamOptions::for_file("night.json")).unwrap();
        assert_eq!((counts.lines, counts.records, counts.valid), (2, 2, 1));
        let problem = only(&answers.lines[1]);
        assert_eq!((problem.line, problem.pointer.as_deref()), (Some(2), Some("/revision")));
        let text = file.lines().nth(problem.file_line.unwrap_or(2) as usize - 1);
        if let (Some(text), Some(column)) = (text, problem.column)
            && problem.file_line.is_some()
        {
            assert!(text[column as usize - 1..].starts_with("\"x]}"), "{text} {column}");
        }
    }
    let spread = format!("{one:#}\n{one:#}\n");
    let (counts, _) = stream(spread.as_bytes(), &StreamOptions::for_file("night.json")).unwrap();
    assert_eq!((counts.records, counts.valid), (2, 2));
    for empty in ["[]", " [ ] \n"] {
        let (counts, answers) = stream(empty.as_bytes(), &StreamOptions::default()).unwrap();
        assert_eq!((counts.records, answers.file.len()), (0, 0));
    }
    // Lines are lines whatever the name, and a bad first line does not hide it.
    let bad_first = [b"{\"kind\":\n", &lines(3)[..]].concat();
    let (counts, _) = stream(&bad_first, &StreamOptions::for_file("night.json")).unwrap();
    assert_eq!((counts.records, counts.valid), (4, 3));
}

#[test]
fn broken_arrays_are_told_where_they_break() {
    let one = rescue().to_string();
    let options = StreamOptions { shape: Shape::Detect, ..StreamOptions::default() };
    let (counts, answers) = stream(format!("[{one},{one}").as_bytes(), &options).unwrap();
    assert_eq!((counts.valid, &*answers.file[0].code), (2, "json-unfinished"));
    let (counts, answers) = stream(format!("[{one},,{one},]").as_bytes(), &options).unwrap();
    assert_eq!((counts.records, counts.valid), (4, 2));
    assert_eq!(codes(&answers.lines[1]), ["json-syntax"]);
    assert_eq!(codes(&answers.lines[3]), ["json-syntax"]);
    let (counts, answers) = stream(format!("[{one}]\n{one}").as_bytes(), &options).unwrap();
    assert_eq!((counts.valid, &*answers.file[0].code), (1, "json-after-array"));
    let (_, answers) = stream("[".repeat(100_000).as_bytes(), &options).unwrap();
    assert_eq!(codes(&answers.lines[0]), ["too-deep"]);
    let long = limited(Limits { line_bytes: 1000, ..Limits::default() });
    let file = format!("[{one},\"{}\",{one}]", "x".repeat(5000));
    let (counts, answers) = stream(file.as_bytes(), &long).unwrap();
    assert_eq!((counts.valid, codes(&answers.lines[1])), (2, vec!["line-too-long"]));
}

/// Gives some bytes, then fails.
struct Failing(Vec<u8>);

impl Read for Failing {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.0.is_empty() {
            return Err(io::Error::new(io::ErrorKind::UnexpectedEof, "the disk went away"));
        }
        let count = self.0.len().min(buffer.len());
        buffer[..count].copy_from_slice(&self.0[..count]);
        self.0.drain(..count);
        Ok(count)
    }
}

#[test]
fn a_failing_reader_is_no_problem_of_the_data() {
    for start in [lines(10), gzip(&lines(10)), zstd(&lines(10)), Vec::new()] {
        let cut = start.len() / 2;
        let outcome = checker().check_stream(
            Failing(start[..cut].to_vec()),
            &StreamOptions::default(),
            &mut Answers::default(),
        );
        assert!(matches!(outcome, Err(StreamError::Read(_))), "{outcome:?}");
    }
}

#[test]
fn shapes_follow_names() {
    for (name, shape) in [
        ("night.ndjson", Shape::Lines),
        ("NIGHT.JSONL.GZ", Shape::Lines),
        ("night.json", Shape::Detect),
        ("-", Shape::Detect),
    ] {
        assert_eq!(Shape::of_name(name), shape, "{name}");
    }
}
