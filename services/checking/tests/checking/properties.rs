//! What holds for any bytes at all.

use haulout_checking::{CheckedLine, Format, Report, Shape, StreamOptions};
use proptest::prelude::*;

use crate::records::{check_text, checker, rescue, stream};

/// Bytes that are sometimes nearly records.
fn nearly_records() -> impl Strategy<Value = Vec<u8>> {
    let good = rescue().to_string();
    let piece = prop_oneof![
        4 => prop::collection::vec(any::<u8>(), 0..40),
        2 => "[\\[\\]{}\",:0-9a-z\\\\ \\n\\r]{0,30}".prop_map(String::into_bytes),
        2 => Just(b"\n".to_vec()),
        1 => Just(b"\xEF\xBB\xBF".to_vec()),
        2 => (0..good.len()).prop_map({ let good = good.clone(); move |at| good.as_bytes()[..at].to_vec() }),
        2 => Just(good.into_bytes()),
    ];
    prop::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_line_is_answered(bytes in nearly_records()) {
        let answer = check_text(&bytes);
        match &answer {
            CheckedLine::Accepted(_) => prop_assert!(!answer.problems().iter().any(|p| p.refuses())),
            CheckedLine::Refused(_) => prop_assert!(answer.problems().iter().any(|p| p.refuses())),
        }
        for problem in answer.problems() {
            prop_assert!(!problem.message.is_empty() && problem.help.is_some());
            prop_assert!(!problem.message.chars().any(char::is_control), "{:?}", problem.message);
        }
    }

    #[test]
    fn each_line_that_is_not_blank_is_answered_once(bytes in nearly_records()) {
        let options = StreamOptions { shape: Shape::Lines, ..StreamOptions::default() };
        let (counts, answers) = stream(&bytes, &options).unwrap();
        let marked = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        if answers.file.iter().all(|problem| problem.code == "byte-order-mark") {
            let lines: Vec<&[u8]> = marked.split_inclusive(|byte| *byte == b'\n').collect();
            let blank = |line: &&[u8]| line.iter().all(|byte| b" \t\r\n".contains(byte));
            prop_assert_eq!(counts.lines, lines.len() as u64);
            prop_assert_eq!(counts.blank, lines.iter().filter(|line| blank(line)).count() as u64);
            // The stream answers a line as a single check does.
            for answer in &answers.lines {
                let line = lines[answer.line() as usize - 1];
                let line = line.strip_suffix(b"\n").unwrap_or(line);
                let alone = checker().check_line(line, answer.line());
                let codes = |answer: &CheckedLine| answer.problems().iter().map(|p| p.code.clone()).collect::<Vec<_>>();
                prop_assert_eq!(codes(answer), codes(&alone));
            }
        } else {
            prop_assert_eq!(counts.lines, 0);
        }
    }

    #[test]
    fn any_bytes_make_a_report(bytes in nearly_records()) {
        for format in [Format::Text, Format::Html, Format::Json] {
            let mut report = Report::new(format, std::io::Cursor::new(Vec::new()));
            report.check(checker(), &bytes[..], &StreamOptions::for_file("night.json")).unwrap();
            let mut out = Vec::new();
            let counts = report.finish(&mut out).unwrap();
            let out = String::from_utf8(out).unwrap();
            if format == Format::Json {
                let read: serde_json::Value = serde_json::from_str(&out).unwrap();
                prop_assert_eq!(read["valid"].as_bool(), Some(counts.is_valid()));
                let all = counts.problems.error + counts.problems.warning + counts.problems.info;
                prop_assert_eq!(read["problems"].as_array().unwrap().len() as u64, all);
                prop_assert_eq!(serde_json_canonicalizer::to_string(&read).unwrap(), out.trim_end());
            }
            prop_assert!(!out.chars().any(|c| c.is_control() && c != '\n'));
        }
    }
}
