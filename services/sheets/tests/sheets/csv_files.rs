//! What spreadsheets do to CSV files.

use crate::house::{canonical, good, run};
use haulout_sheets::Kind;
use serde_json::json;

/// What is to become of an animal, by hand.
const HEADER: &str = "kind,schemaVersion,recordID,revision,authorID,centreID,eventDate,organismID,scientificName,decision,notes";

fn row(record: &str, rest: &str) -> String {
    format!("outlook,1.0,{record},1,meruva.kolvani,meruva.kolvani,{rest}")
}

fn rest(notes: &str) -> String {
    format!("2026-07-02,meruva.kolvani:1,Nilssonia gangetica,undecided,{notes}")
}

#[test]
fn a_row_by_hand_is_the_record_by_hand() {
    let text = format!("{HEADER}\r\n{}\r\n", row("o-1", &rest("")));
    let (kept, _) = run("night.csv", text.as_bytes());
    let expected = json!({
        "kind": "outlook", "schemaVersion": "1.0", "recordID": "o-1", "revision": 1, "authorID": "meruva.kolvani",
        "centreID": "meruva.kolvani", "eventDate": "2026-07-02", "organismID": "meruva.kolvani:1",
        "scientificName": "Nilssonia gangetica", "decision": "undecided",
    });
    assert_eq!(kept.records(), [expected]);
    assert!(kept.codes().is_empty());
}

#[test]
fn rows_are_numbered_as_a_spreadsheet_does() {
    for ends in ["\n", "\r\n", "\r"] {
        let text = [
            HEADER.to_owned(),
            row("o-1", &rest(&format!("\"two{ends}lines\""))),
            String::new(),
            ",,,,,,,,,,".to_owned(),
            row("o-2", "yesterday,meruva.kolvani:1,Nilssonia gangetica,undecided,"),
        ]
        .join(ends);
        let (kept, counts) = run("night.csv", text.as_bytes());
        let problem = kept.problem("wrong-pattern");
        // Row 5 of the sheet; the cell with a line end makes it line 6 of the file.
        assert_eq!((problem.line, problem.column), (Some(5), Some(7)), "{ends:?}");
        if ends != "\r" {
            assert_eq!(problem.file_line, Some(6), "{ends:?}");
        }
        assert!(problem.message.starts_with("cell G5 (eventDate): "), "{}", problem.message);
        assert_eq!((counts.records, counts.blank, counts.valid), (2, 2, 1), "{ends:?}");
        assert_eq!(kept.problem("blank-rows").message, "blank rows passed over: 2");
    }
}

#[test]
fn marks_and_separators_are_told() {
    let text = format!("\u{feff}{HEADER}\n{}\n", row("o-1", &rest("")));
    let (kept, counts) = run("night.csv", text.as_bytes());
    assert_eq!((kept.codes(), counts.valid), (vec!["byte-order-mark".to_owned()], 1));
    for (separator, start) in [(";", ""), ("\t", ""), (";", "sep=;\n")] {
        let text = format!("{HEADER}\n{}\n", row("o-1", &rest(""))).replace(',', separator);
        let (kept, counts) = run("night.csv", format!("{start}{text}").as_bytes());
        assert_eq!((kept.codes(), counts.valid), (vec!["csv-delimiter".to_owned()], 1), "{separator:?}");
    }
}

#[test]
fn windows_1252_is_read_and_told_once() {
    let text = format!("{HEADER}\n{}\n{}\n", row("o-1", &rest("plain")), row("o-2", &rest("caf?")));
    // 0xE9 is e with an acute accent in Windows-1252 and in Latin-1.
    let bytes: Vec<u8> = text.bytes().map(|byte| if byte == b'?' { 0xE9 } else { byte }).collect();
    let (kept, _) = run("night.csv", &bytes);
    assert_eq!(kept.records()[1]["notes"], "caf\u{e9}");
    assert_eq!(kept.codes(), ["windows-1252"]);
    let problem = kept.problem("windows-1252");
    assert_eq!((problem.line, problem.column), (Some(3), Some(11)));
    // 0x81 is nothing in it.
    let bytes: Vec<u8> = text.bytes().map(|byte| if byte == b'?' { 0x81 } else { byte }).collect();
    assert!(run("night.csv", &bytes).0.codes().contains(&"invalid-utf8".to_owned()));
    // A row in UTF-8 behind one that is not.
    let mut mixed = text.bytes().map(|byte| if byte == b'?' { 0xE9 } else { byte }).collect::<Vec<u8>>();
    mixed.extend(row("o-3", &rest("caf\u{e9}")).bytes());
    let (kept, counts) = run("night.csv", &mixed);
    assert_eq!(kept.codes(), ["windows-1252", "mixed-encoding"]);
    assert!(!counts.is_valid());
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert_eq!(run("night.csv", &wide).0.codes(), ["utf-16"]);
}

#[test]
fn a_day_number_is_told_with_its_day_and_not_taken() {
    let text = format!("{HEADER}\n{}\n", row("o-1", "46205,meruva.kolvani:1,Nilssonia gangetica,undecided,"));
    let (kept, counts) = run("night.csv", text.as_bytes());
    assert_eq!(kept.codes(), ["wrong-pattern", "serial-date"]);
    assert!(
        kept.problem("serial-date").message.contains("2026-07-02"),
        "{}",
        kept.problem("serial-date").message
    );
    assert_eq!(counts.valid, 0);
}

#[test]
fn headers_that_are_none() {
    let text =
        format!("{},exmple,notes\n{},,\n", HEADER.replace("organismID", "organsimID"), row("o-1", &rest("")));
    let (kept, _) = run("night.csv", text.as_bytes());
    let problem = kept.problem("unknown-field");
    assert_eq!((problem.line, problem.column), (Some(2), Some(8)));
    assert!(problem.message.contains("cell H2 (organsimID)"), "{}", problem.message);
    assert!(problem.help.as_deref().unwrap().contains("`organismID`"));
    assert!(kept.codes().contains(&"missing-one-of".to_owned()));
    // A column that nobody filled loses nothing.
    assert_eq!(kept.problem("unknown-column").column, Some(12));
    // The second `notes` is blank here, and refused once it is filled.
    let text = format!("{HEADER},notes\n{},more\n", row("o-1", &rest("")));
    assert_eq!(run("night.csv", text.as_bytes()).0.codes(), ["column-twice"]);
    let text = format!("{HEADER}\n{},more\n", row("o-1", &rest("")));
    assert_eq!(run("night.csv", text.as_bytes()).0.codes(), ["cell-without-header"]);
    let text = "recordID,notes\nx,y\n";
    assert_eq!(run("night.csv", text.as_bytes()).0.codes(), ["sheet-without-kind"]);
    // The name of the file may say the kind.
    let text = format!("{HEADER}\n{}\n", row("o-1", &rest(""))).replace("kind,", "").replace("outlook,", "");
    assert_eq!(run("folder/outlook.csv", text.as_bytes()).1.valid, 1);
}

#[test]
fn quotes_that_are_never_closed() {
    let text = format!("{HEADER}\n{}\n{}\n", row("o-1", &rest("\"open")), row("o-2", &rest("")));
    let (kept, counts) = run("night.csv", text.as_bytes());
    assert_eq!(kept.problem("quote-open").line, Some(2));
    assert!(!counts.is_valid());
    // Without an end: told, in bounded memory.
    let text = format!("{HEADER}\n{}{}", row("o-1", &rest("\"open")), "x".repeat(9 << 20));
    let (kept, _) = run("night.csv", text.as_bytes());
    assert_eq!(kept.problem("row-too-long").line, Some(2));
}

#[test]
fn numbers_and_truths_as_written() {
    let header = format!("{HEADER},withdrawn");
    for (revision, code) in [
        ("007", Some("wrong-type")),
        ("+1", Some("wrong-type")),
        ("1,5", Some("wrong-type")),
        ("1.0", None),
        (" 1 ", None),
    ] {
        let text = format!(
            "{header}\n{},\n",
            row("o-1", &rest("")).replacen(",1,", &format!(",\"{revision}\","), 1)
        );
        let (kept, _) = run("night.csv", text.as_bytes());
        assert_eq!(kept.codes(), code.map(str::to_owned).into_iter().collect::<Vec<_>>(), "{revision}");
    }
    for (truth, codes) in [("false", &[][..]), ("FALSE", &["truth-spelled"]), ("no", &["wrong-type"])] {
        let text = format!("{header}\n{},{truth}\n", row("o-1", &rest("")));
        assert_eq!(run("night.csv", text.as_bytes()).0.codes(), codes, "{truth}");
    }
}

#[test]
fn lists_in_one_cell_numbered_and_as_json() {
    let minimal = &good(Kind::Rescue)[0];
    let mut expected = minimal.clone();
    expected["injuries"] = json!(["cracked carapace", "dehydration"]);
    let base = crate::flat::flat(minimal);
    let tell = |more: &[(&str, &str)]| {
        let mut cells = base.clone();
        cells.extend(more.iter().map(|(name, text)| ((*name).to_owned(), json!(text))));
        run("night.csv", &crate::flat::csv_of(&[cells], b',')).0
    };
    let told = [
        tell(&[("injuries", "cracked carapace | dehydration")]),
        tell(&[("injuries.1", "cracked carapace"), ("injuries.2", "dehydration")]),
        tell(&[("injuries.2", "cracked carapace"), ("injuries.9", "dehydration")]),
    ];
    for kept in told {
        assert_eq!(kept.records(), [canonical(&expected)]);
    }
    assert_eq!(tell(&[("injuries", "a"), ("injuries.1", "b")]).codes(), ["cells-in-conflict"]);
    assert_eq!(tell(&[("extensions", "shift: evening")]).codes(), ["cell-not-json"]);
    assert_eq!(tell(&[("extensions", "{\"a\":1,\"a\":2}")]).codes(), ["duplicate-name"]);
    assert_eq!(tell(&[("extensions", "{\"a\":1},\"event\":{}")]).codes(), ["cell-not-json"]);
    let kept = tell(&[("evidence.2.type", "photgraph"), ("evidence.2.reference", "a/1")]);
    let problem = kept.problem("not-in-list");
    assert!(problem.message.contains("(evidence.2.type)"), "{}", problem.message);
}

#[test]
fn compressed_files_are_read() {
    let text = format!("{HEADER}\n{}\n", row("o-1", &rest("")));
    let packed = zstd::encode_all(text.as_bytes(), 1).unwrap();
    let (kept, counts) = run("night.csv.zst", &packed);
    assert_eq!((kept.codes(), counts.valid), (vec![], 1));
    let (kept, _) = run("night.csv.zst", &packed[..packed.len() - 3]);
    assert_eq!(kept.codes(), ["compression-truncated"]);
    let bomb = zstd::encode_all(&vec![b'\n'; 64 << 20][..], 19).unwrap();
    assert_eq!(run("night.csv.zst", &bomb).0.codes(), ["compression-ratio"]);
}
