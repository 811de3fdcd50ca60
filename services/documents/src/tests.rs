//! A small statement, worked out by hand, in every format.

#![allow(clippy::unwrap_used)]

use crate::document::{Cell, Document, Section};
use crate::{html, xlsx};
use chrono::NaiveDate;
use haulout_reckoning::statement::{
    self, ApartLine, Basis, Beside, CensusTaken, Completeness, Parts, PartyNights, Question, RoutineLine,
    Statement, Sum, TitleLine, csv, text,
};
use haulout_reckoning::{Account, Direction, Period};
use haulout_schemas::names::Names;
use serde_json::json;
use std::collections::BTreeMap;
use std::sync::Arc;

const SOFTSHELL: &str = "Lissemys punctata";

/// Desharu opens with 100 softshells, 30 come off the road and 5 from the wild, 4 die: 131, and 130
/// were counted. Ombari opens with 20, 30 set out, 12 eggs are collected. The keeper of a point wrote
/// a name that looks like markup and a formula.
pub(crate) fn statement() -> Statement {
    let text = |text: &str| Account::from_text(text.to_owned());
    let sum = |account: &str, counter: &str, direction, name: &str, eggs, before, within| Sum {
        account: text(account),
        counter: text(counter),
        direction,
        scientific_name: name.into(),
        eggs,
        life_stage: None,
        death_when: None,
        before,
        within,
    };
    let (gain, loss) = (Direction::In, Direction::Out);
    let sums = vec![
        sum("centre/meruva.desharu", "opening", gain, SOFTSHELL, false, 100, 0),
        sum("centre/meruva.desharu", "transit/t1", gain, SOFTSHELL, false, 0, 30),
        sum("centre/meruva.desharu", "wild", gain, SOFTSHELL, false, 0, 5),
        sum("centre/meruva.desharu", "dead", loss, SOFTSHELL, false, 0, -4),
        sum("centre/meruva.ombari", "opening", gain, SOFTSHELL, false, 50, 0),
        sum("centre/meruva.ombari", "transit/t1", loss, SOFTSHELL, false, 0, -30),
        sum("centre/meruva.ombari", "wild", gain, SOFTSHELL, true, 0, 12),
        sum("point/meruva.yard", "wild", gain, "=<b>1+1</b>", false, 0, 1),
    ];
    let day: NaiveDate = "2026-09-30".parse().unwrap();
    let counts = BTreeMap::from([((SOFTSHELL.to_owned(), false), Some(130))]);
    let census = CensusTaken { account: text("centre/meruva.desharu"), day, complete: true, counts };
    let party = |place: &str, missing: &[&str]| PartyNights {
        place_id: place.into(),
        nights: 92,
        posted: 92 - missing.len(),
        missing: missing.iter().map(ToString::to_string).collect(),
    };
    statement::statement(Parts {
        question: Question { period: "2026-Q3".into(), centre_id: None, scientific_name: None },
        sums,
        censuses: vec![census],
        evaluated_through: day,
        findings: vec![json!({
            "code": "stay-under-order", "severity": "info", "centreIDs": ["meruva.ombari"], "dueDay": "2026-08-01",
            "parameters": { "lotID": "meruva.ombari:l/1" }, "records": [{ "authorID": "meruva.ombari", "recordID": "a b/c" }],
        }), json!({
            "code": "census-difference", "severity": "major", "centreIDs": ["meruva.desharu"],
            "parameters": { "difference": -1, "firstDay": "2026-09-30" }, "records": [],
        })],
        relocations: vec![ApartLine {
            centre_id: "meruva.kolvani".into(),
            scientific_name: "Crocodylus palustris".into(),
            records: 2,
            individual_count: 3,
        }],
        nests: Vec::new(),
        beside: Beside {
            period: Period::parse("2026-Q3").unwrap(),
            papers: Vec::new(),
            deaths: None,
            in_hand: None,
            trial: None,
            region: None,
            names: Arc::new(Names::standard().clone()),
            sign_offs: Vec::new(),
            acceptances: Vec::new(),
        },
        completeness: Completeness {
            parties: vec![
                party("meruva.desharu", &["2026-07-30", "2026-07-31", "2026-08-01", "2026-09-02"]),
                party("meruva.ombari", &[]),
            ],
            notices: Vec::new(),
        },
        basis: Basis {
            as_known_at: "2026-10-01T18:29:59.999999Z".into(),
            chain_heads: BTreeMap::new(),
            posting_rules: "1".into(),
            rule_set: "0".repeat(64),
            release: "0.0.1".into(),
            demonstration: true,
        },
    })
    .unwrap()
}

/// Programmes of the project read a statement by its own types; a word of no closed list is refused.
#[test]
fn a_statement_reads_back_from_its_json() {
    let told = statement();
    let mut json = serde_json::to_value(&told).unwrap();
    let read: Statement = serde_json::from_value(json.clone()).unwrap();
    assert_eq!(read, told);
    json["account"]["rows"][0]["commodity"] = "shells".into();
    let refused = serde_json::from_value::<Statement>(json).unwrap_err();
    assert_eq!(refused.to_string(), "`shells` is no commodity that a statement tells of");
}

/// Of thirteen spans two have a record and one of them was kept; of seven animals two are an owner's and
/// one is lent: every format tells the same.
#[test]
fn routine_and_title_stand_in_every_format() {
    let mut told = statement();
    let line: RoutineLine = serde_json::from_value(json!({
        "centreID": "meruva.desharu", "routine": "water", "due": 13, "withoutRecord": 11, "kept": 1,
        "share": { "count": 1, "of": 2, "rate": 0.5, "low": 0.0126, "high": 0.9874 },
        "leftOut": { "earthenPond": 1 },
    }))
    .unwrap();
    let title: TitleLine = serde_json::from_value(json!({
        "placeID": "meruva.desharu", "scientificName": SOFTSHELL, "commodity": "animals", "inHand": 7, "own": 5,
        "ofOwner": 2, "onLoanIn": 0, "onLoanOut": 1, "loanOverdue": 1,
    }))
    .unwrap();
    (told.routine, told.title) = (Some(vec![line]), Some(vec![title]));
    let document = Document::of(&told).unwrap();
    let routine = &section(&document, "routine").table;
    assert_eq!(numbers(&routine.rows[0])[3..6], [Some(13), Some(11), Some(1)]);
    assert_eq!(routine.rows[0][6], Cell::Share(0.5));
    assert_eq!(routine.rows[0][9], Cell::Words("earthen pond: 1".into()));
    let title = &section(&document, "title").table;
    assert_eq!(numbers(&title.rows[0])[3..], [7, 5, 2, 0, 1, 1].map(Some));
    assert!(xlsx(&document).unwrap().starts_with(b"PK"));
    let table = csv(&told);
    for row in [
        ",meruva.desharu,,spans of 3 days,routine,water due,13\r\n",
        ",meruva.desharu,,spans of 3 days,routine,water withoutRecord,11\r\n",
        ",meruva.desharu,,spans of 3 days,routine,water kept,1\r\n",
        ",meruva.desharu,Lissemys punctata,animals,title,ofOwner,2\r\n",
        ",meruva.desharu,Lissemys punctata,animals,title,loanOverdue,1\r\n",
    ] {
        assert!(table.contains(row), "{row}{table}");
    }
    let page = text(&told);
    for line in [
        "kept 1 of 2 spans of 3 days, 50.00 % (exact 95 % interval 1.26 to 98.74 %); 13 due, 11 without a record",
        "not asked of 1 units: earthenPond",
        "meruva.desharu, Lissemys punctata (animals): 7 in hand",
        "5 own, 2 of an owner, 0 on loan from another centre",
        "1 on loan to others, 1 overdue",
    ] {
        assert!(page.contains(line), "{line}: {page}");
    }
}

fn section<'d>(document: &'d Document, id: &str) -> &'d Section {
    document.sections.iter().find(|section| section.id == id).unwrap()
}

fn numbers(cells: &[Cell]) -> Vec<Option<i64>> {
    cells.iter().map(Cell::number).collect()
}

#[test]
fn rows_of_a_place_and_their_sums() {
    let document = Document::of(&statement()).unwrap();
    let animals = &section(&document, "animals").table;
    // place, species, opening, in, out, closing, counted, on
    let desharu = [None, None, Some(100), Some(35), Some(4), Some(131), Some(130), None];
    assert_eq!(numbers(&animals.rows[0]), desharu);
    assert_eq!(animals.parts(3), ["transit", "wild"]);
    // 131 and 20 and 1; only Desharu counted.
    let total = [None, None, Some(150), Some(36), Some(34), Some(152), Some(130), None];
    assert_eq!(numbers(animals.total.as_ref().unwrap()), total);
    let eggs = &section(&document, "eggs").table;
    assert_eq!(numbers(&eggs.rows[0])[5], Some(12));
    let headline: Vec<i64> = document.headline.iter().map(|one| one.count).collect();
    assert_eq!(headline[..2], [152, 12]);
    assert_eq!(headline[4], 2);
}

#[test]
fn days_in_a_row_are_one_span() {
    let document = Document::of(&statement()).unwrap();
    let nights = &section(&document, "nights").table;
    assert_eq!(nights.rows[0][3], Cell::Words("2026-07-30 to 2026-08-01, 2026-09-02".into()));
    assert_eq!(nights.rows[1][3], Cell::Words(String::new()));
}

#[test]
fn the_gravest_findings_come_first_and_lead_to_their_records() {
    let document = Document::of(&statement()).unwrap();
    let findings = &section(&document, "findings-each").table;
    assert_eq!(findings.rows[0][0], Cell::Words("major".into()));
    assert_eq!(findings.rows[0][5], Cell::Words("difference -1, first day 2026-09-30".into()));
    let Cell::Links(links) = &findings.rows[1][6] else { panic!("no links") };
    assert_eq!(links[0].to, "/v1/records/meruva.ombari/a%20b%2Fc");
}

#[test]
fn what_records_say_is_never_markup() {
    let page = html(&Document::of(&statement()).unwrap());
    assert!(page.contains("=&lt;b&gt;1+1&lt;/b&gt;"));
    assert!(!page.contains("<b>1+1"));
    let address = "/v1/records?placeID=meruva.desharu&amp;kind=receipt&amp;from=2026-07-01&amp;through=2026-09-30&amp;counting=true";
    assert!(page.contains(address), "{page}");
}

#[test]
fn the_same_statement_gives_the_same_bytes() {
    let document = Document::of(&statement()).unwrap();
    let (first, second) = (xlsx(&document).unwrap(), xlsx(&document.clone()).unwrap());
    assert!(first.starts_with(b"PK"));
    assert_eq!(first, second);
}

#[test]
fn a_period_that_none_can_read_is_named() {
    let mut statement = statement();
    statement.question.period = "the summer".into();
    assert_eq!(
        Document::of(&statement).unwrap_err().to_string(),
        "the statement's question.period `the summer` cannot be read; let a hub make the statement"
    );
}

mod paper {
    use super::{Document, statement};
    use crate::pdf;

    fn contains(bytes: &[u8], text: &str) -> bool {
        bytes.windows(text.len()).any(|window| window == text.as_bytes())
    }

    #[test]
    fn the_same_document_gives_the_same_pages() {
        let document = Document::of(&statement()).unwrap();
        let first = pdf(&document).unwrap();
        assert!(first.starts_with(b"%PDF-1.7"));
        assert_eq!(first, pdf(&document.clone()).unwrap());
        // 2026-10-01T18:29:59Z, as PDF writes a date (ISO 32000-1, 7.9.4).
        assert!(contains(&first, "D:20261001182959Z"), "the date of making is not the instant of knowledge");
        // ISO 14289-1, 5: the file names the standard it keeps.
        assert!(contains(&first, "pdfuaid"));
    }

    #[test]
    fn what_records_say_is_never_markup() {
        let mut statement = statement();
        let words = "#panic(\"read as code\") $x$ *a* _b_ `c` <d> @e = f #import \"/etc/x\" \\ \u{7} \n\n- g";
        statement.completeness.parties[0].place_id = words.into();
        let document = Document::of(&statement).unwrap();
        assert!(pdf(&document).unwrap().starts_with(b"%PDF-1.7"));
    }

    #[test]
    fn letters_that_no_font_has_still_give_tagged_pages() {
        let mut statement = statement();
        statement.completeness.parties[0].place_id = "\u{13000}\u{0b95}".into();
        let bytes = pdf(&Document::of(&statement).unwrap()).unwrap();
        assert!(bytes.starts_with(b"%PDF-1.7"));
        assert!(!contains(&bytes, "pdfuaid"), "PDF/UA-1 forbids letters that cannot be shown");
        assert!(contains(&bytes, "/StructTreeRoot"));
    }
}
