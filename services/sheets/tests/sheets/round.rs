//! Records to a sheet and back are the same records, and their faults the same faults.

use proptest::prelude::*;
use serde_json::Value;

use crate::flat::{csv_of, flat, xlsx_of};
use crate::house::{CHECKER, bad, canonical, good, run};
use haulout_sheets::Kind;

#[test]
fn good_examples_come_back_from_both_forms() {
    for kind in Kind::ALL {
        let records = good(*kind);
        let expected: Vec<Value> = records.iter().map(canonical).collect();
        let rows: Vec<_> = records.iter().map(flat).collect();
        let (from_csv, counts) = run("night.csv", &csv_of(&rows, b','));
        assert_eq!(from_csv.records(), expected, "{kind}");
        assert_eq!(from_csv.codes(), Vec::<String>::new(), "{kind}");
        assert_eq!((counts.records, counts.valid, counts.blank), (2, 2, 0));
        let (from_xlsx, _) = run("night.xlsx", &xlsx_of("Night", &rows));
        assert_eq!(from_xlsx.records(), expected, "{kind}");
        assert_eq!(from_xlsx.codes(), Vec::<String>::new(), "{kind}");
    }
}

#[test]
fn all_kinds_stand_in_one_sheet() {
    let records: Vec<Value> = Kind::ALL.iter().flat_map(|kind| good(*kind)).collect();
    let rows: Vec<_> = records.iter().map(flat).collect();
    let (kept, _) = run("night.csv", &csv_of(&rows, b';'));
    assert_eq!(kept.records(), records.iter().map(canonical).collect::<Vec<_>>());
    assert_eq!(kept.codes(), ["csv-delimiter"]);
}

/// Faults that CSV cannot tell, and what it tells instead: it has no types (a number as text is the
/// number), no null, no empty text (the cell is blank), and one entry is a list.
const OTHERWISE: [(&str, &[&str]); 16] = [
    ("assessment/mass-as-text", &[]),
    ("quarantine/null-in-place-of-absence", &[]),
    ("marking/number-as-number", &[]),
    ("nest/empty-measure", &[]),
    ("determination/count-as-text", &[]),
    ("custody/one-word-for-a-list", &[]),
    ("receipt/lines-as-object", &["missing-field", "unknown-field"]),
    ("release/certificate-by-number-alone", &["cell-not-json"]),
    ("relocation/revision-as-text", &[]),
    // The same fault, and the day number that it looks like.
    ("sighting/year-of-five-digits", &["serial-date", "wrong-pattern"]),
    ("biosecurity/empty-agent", &[]),
    ("permit/one-holder-for-a-list", &[]),
    ("permit/version-as-number", &[]),
    ("order/waives-nothing-by-an-empty-word", &[]),
    ("adjustment/empty-reason", &["missing-field"]),
    ("adjustment/notes-as-list", &[]),
];

#[test]
fn faults_are_the_same_as_in_json() {
    let mut met = 0;
    for kind in Kind::ALL {
        for (name, record) in bad(*kind) {
            let line = CHECKER.check_line(record.to_string().as_bytes(), 1);
            let mut expected: Vec<String> = line.problems().iter().map(|p| p.code.to_string()).collect();
            expected.sort();
            let (kept, counts) = run("night.csv", &csv_of(&[flat(&record)], b','));
            let mut codes = kept.codes();
            codes.sort();
            if let Some((_, otherwise)) = OTHERWISE.iter().find(|(other, _)| *other == name) {
                met += 1;
                assert_eq!(codes, *otherwise, "{name}");
            } else {
                assert_eq!(codes, expected, "{name}");
            }
            assert_eq!(counts.records, 1);
        }
    }
    assert_eq!(met, OTHERWISE.len());
}

/// Texts that try a CSV file: quotes, separators, line ends, white space, formulas, other letters.
fn texts() -> impl Strategy<Value = String> {
    proptest::string::string_regex("[a-z\"',;|\t\r\n =+@\u{e9}\u{4e2d}-]{0,30}[a-z]").unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_text_and_number_comes_back(
        index in 0..Kind::ALL.len(),
        full in any::<bool>(),
        notes in texts(),
        own in proptest::collection::btree_map("[a-z]{1,5}", texts(), 0..4),
        latitude in -90.0..90.0_f64,
        injuries in proptest::collection::vec(texts(), 0..4),
        separator in prop::sample::select(vec![b',', b';', b'\t']),
    ) {
        let kind = Kind::ALL[index];
        let mut record = good(kind)[usize::from(full)].clone();
        record["notes"] = notes.into();
        record["extensions"] = serde_json::json!(own);
        if record["place"].is_object() {
            record["place"]["decimalLatitude"] = latitude.into();
        }
        if record["injuries"].is_array() {
            record["injuries"] = injuries.into();
        }
        let expected = canonical(&record);
        let row = flat(&record);
        let (kept, _) = run("night.csv", &csv_of(std::slice::from_ref(&row), separator));
        prop_assert_eq!(kept.records(), vec![expected]);
    }

    #[test]
    fn hostile_bytes_are_answered(mut bytes in proptest::collection::vec(any::<u8>(), 0..400), cut in 0..9000_usize, at in 0..9000_usize) {
        let _ = run("night.csv", &bytes);
        let book = xlsx_of("rescue", &[flat(&good(Kind::Rescue)[1])]);
        let _ = run("night.xlsx", &book[..cut.min(book.len())]);
        let mut damaged = book.clone();
        bytes.truncate(damaged.len().saturating_sub(at));
        let end = (at + bytes.len()).min(damaged.len());
        if at < end {
            damaged[at..end].copy_from_slice(&bytes[..end - at]);
        }
        let _ = run("night.xlsx", &damaged);
    }
}
