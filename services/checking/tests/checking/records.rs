//! Records of the invented basin, and what the tests ask of an answer.

use std::io;
use std::sync::LazyLock;

use haulout_checking::{CheckedLine, Checker, Counts, Problem, Settings, Sink, StreamError, StreamOptions};
use serde_json::{Value, json};

/// A checker with the shipped names, on 2 October 2026.
pub fn checker() -> &'static Checker {
    static CHECKER: LazyLock<Checker> = LazyLock::new(|| {
        let today = chrono::NaiveDate::from_ymd_opt(2026, 10, 2);
        Checker::new(Settings::standard(today)).unwrap()
    });
    &CHECKER
}

/// The mugger of the brickworks pond.
pub fn rescue() -> Value {
    json!({
        "recordID": "K-2026-0117", "revision": 1, "kind": "rescue", "schemaVersion": "1.0",
        "authorID": "meruva.kolvani", "centreID": "meruva.kolvani",
        "eventDate": "2026-07-02T06:10+05:30", "organismID": "meruva.kolvani:117",
        "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild",
        "individualCount": 1, "countMethod": "counted", "cause": "conflict", "captureMethod": "noose",
        "lengthsMetre": [{"value": 3.38, "measure": "totalLength", "method": "taped"}],
        "place": {"locality": "brickworks pond", "decimalLatitude": 21.5, "decimalLongitude": 84.2},
        "notes": "snare wound"
    })
}

/// A scan.
pub fn marking() -> Value {
    json!({
        "recordID": "S-2026-0044", "revision": 1, "kind": "marking", "schemaVersion": "1.0",
        "authorID": "meruva.saivera", "centreID": "meruva.saivera", "eventDate": "2026-08-22",
        "organismID": "meruva.saivera:9", "scientificName": "Crocodylus palustris",
        "event": "read", "markType": "transponder", "markNumber": "985121004515220",
        "transponderStandard": "iso11784", "fullBodyScan": true
    })
}

/// The record with one field set, or taken out where the value is null.
pub fn with(mut record: Value, pointer: &str, value: Value) -> Value {
    let (front, name) = pointer.rsplit_once('/').unwrap();
    let object = record.pointer_mut(front).unwrap().as_object_mut().unwrap();
    match value {
        Value::Null => object.remove(name),
        value => object.insert(name.to_owned(), value),
    };
    record
}

/// Checks one record given as a value.
pub fn check(record: &Value) -> CheckedLine {
    checker().check_line(record.to_string().as_bytes(), 1)
}

/// Checks one line of text.
pub fn check_text(text: impl AsRef<[u8]>) -> CheckedLine {
    checker().check_line(text.as_ref(), 1)
}

/// The codes of an answer, in order.
pub fn codes(line: &CheckedLine) -> Vec<&str> {
    line.problems().iter().map(|problem| &*problem.code).collect()
}

/// The only problem of an answer.
pub fn only(line: &CheckedLine) -> &Problem {
    match line.problems() {
        [problem] => problem,
        problems => panic!("one problem expected, not {problems:#?}"),
    }
}

/// Everything a stream was answered with.
#[derive(Default)]
pub struct Answers {
    pub lines: Vec<CheckedLine>,
    pub file: Vec<Problem>,
}

impl Sink for Answers {
    fn line(&mut self, line: CheckedLine) -> io::Result<()> {
        self.lines.push(line);
        Ok(())
    }

    fn file(&mut self, problem: Problem) -> io::Result<()> {
        self.file.push(problem);
        Ok(())
    }
}

/// Checks a stream.
pub fn stream(bytes: &[u8], options: &StreamOptions) -> Result<(Counts, Answers), StreamError> {
    let mut answers = Answers::default();
    let counts = checker().check_stream(bytes, options, &mut answers)?;
    assert_eq!(counts.records, answers.lines.len() as u64, "every record is answered once");
    assert_eq!(counts.lines, counts.records + counts.blank);
    assert!(answers.lines.windows(2).all(|pair| pair[0].line() < pair[1].line()), "in order");
    Ok((counts, answers))
}
