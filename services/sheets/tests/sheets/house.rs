//! What the tests share: the checker, a sink that keeps everything, the published examples.

use haulout_checking::{CheckedLine, Checker, Counts, Problem, Settings, Sink, StreamOptions};
use haulout_sheets::{Kind, SheetForm, check};
use serde_json::Value;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

pub static CHECKER: LazyLock<Checker> = LazyLock::new(|| Checker::new(Settings::default()).unwrap());

/// All answers of one file.
#[derive(Default)]
pub struct Kept {
    pub lines: Vec<CheckedLine>,
    pub files: Vec<Problem>,
}

impl Sink for Kept {
    fn line(&mut self, line: CheckedLine) -> io::Result<()> {
        self.lines.push(line);
        Ok(())
    }

    fn file(&mut self, problem: Problem) -> io::Result<()> {
        self.files.push(problem);
        Ok(())
    }
}

impl Kept {
    /// Codes of the whole file, then of each row, remarks of reading left out or not.
    pub fn codes(&self) -> Vec<String> {
        let rows = self.lines.iter().flat_map(CheckedLine::problems);
        self.files.iter().chain(rows).map(|problem| problem.code.to_string()).collect()
    }

    pub fn problem(&self, code: &str) -> &Problem {
        let rows = self.lines.iter().flat_map(CheckedLine::problems);
        self.files
            .iter()
            .chain(rows)
            .find(|problem| problem.code == code)
            .unwrap_or_else(|| panic!("no {code} among {:?}", self.codes()))
    }

    /// The records as they would be kept.
    pub fn records(&self) -> Vec<Value> {
        self.lines
            .iter()
            .map(|line| match line {
                CheckedLine::Accepted(accepted) => {
                    serde_json::from_str(&accepted.kept.as_ref().unwrap().canonical).unwrap()
                }
                CheckedLine::Refused(refused) => panic!("refused: {:?}", refused.problems),
            })
            .collect()
    }
}

pub fn run(name: &str, bytes: &[u8]) -> (Kept, Counts) {
    let mut kept = Kept::default();
    let form = SheetForm::of_name(name).unwrap();
    let counts = check(&CHECKER, form, bytes, &StreamOptions::for_file(name), &mut kept).unwrap();
    (kept, counts)
}

pub fn examples(kind: Kind) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schemas/examples").join(kind.as_str())
}

pub fn good(kind: Kind) -> Vec<Value> {
    ["minimal.json", "full.json"].iter().map(|name| read(&examples(kind).join(name))).collect()
}

pub fn bad(kind: Kind) -> Vec<(String, Value)> {
    let mut files: Vec<PathBuf> =
        fs::read_dir(examples(kind).join("bad")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.iter().map(|file| (format!("{kind}/{}", file.file_stem().unwrap().display()), read(file))).collect()
}

pub fn read(file: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(file).unwrap()).unwrap()
}

/// The canonical text of a record that the checker accepts as JSON.
pub fn canonical(record: &Value) -> Value {
    match CHECKER.check_line(record.to_string().as_bytes(), 1) {
        CheckedLine::Accepted(accepted) => serde_json::from_str(&accepted.kept.unwrap().canonical).unwrap(),
        CheckedLine::Refused(refused) => panic!("refused: {:?}", refused.problems),
    }
}
