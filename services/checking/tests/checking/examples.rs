//! The published examples: each good one is accepted, each bad one refused for its one fault.

use std::fs;
use std::path::{Path, PathBuf};

use haulout_checking::{CheckedLine, StreamOptions};
use haulout_schemas::Record;

use crate::records::{codes, stream};

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "json") {
            found.push(path);
        }
    }
}

#[test]
fn published_examples_are_answered_as_they_are_meant() {
    let mut found = Vec::new();
    files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schemas/examples"), &mut found);
    assert!(found.len() > 200, "{} examples", found.len());
    for path in found {
        let name = path.display().to_string();
        let (_, answers) = stream(&fs::read(&path).unwrap(), &StreamOptions::for_file(&name)).unwrap();
        let [answer] = answers.lines.as_slice() else { panic!("{name} holds one record") };
        let bad = path.parent().is_some_and(|folder| folder.ends_with("bad"));
        assert_eq!(matches!(answer, CheckedLine::Refused(_)), bad, "{name}: {:#?}", answer.problems());
        if bad {
            // No avalanche, and words for the case rather than a general remark.
            assert!(answer.problems().len() <= 3, "{name}: {:#?}", answer.problems());
            for vague in ["schema-other", "no-form-fits", "not-representable", "more-problems"] {
                assert!(!codes(answer).contains(&vague), "{name}: {:#?}", answer.problems());
            }
            assert!(answer.problems().iter().all(|problem| problem.column.is_some()), "{name}");
        } else {
            // Some are dated after the day on which these tests check.
            let remarks: Vec<_> = codes(answer).into_iter().filter(|code| *code != "future-date").collect();
            assert_eq!(remarks, [""; 0], "{name}: {:#?}", answer.problems());
            // The types are filled from the tree here and from the kept text in a journal.
            let CheckedLine::Accepted(accepted) = answer else { panic!("{name}") };
            let kept = accepted.kept.as_ref().unwrap();
            assert_eq!(accepted.record, Record::parse(&kept.canonical).unwrap(), "{name}");
        }
    }
}
