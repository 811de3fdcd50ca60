//! Lines made to break a reader.

use haulout_checking::{CheckedLine, StreamOptions};
use serde_json::json;

use crate::records::{check, check_text, codes, only, rescue, stream, with};

/// The record with a raw piece of JSON under `extensions`.
fn extended(raw: &str) -> String {
    with(rescue(), "/extensions", json!({"x": 0})).to_string().replace("{\"x\":0}", raw)
}

fn code_of(text: impl AsRef<[u8]>) -> String {
    only(&check_text(text)).code.to_string()
}

#[test]
fn depth_is_bounded() {
    assert_eq!(code_of("[".repeat(100_000)), "too-deep");
    assert_eq!(code_of("{\"a\":".repeat(100_000)), "too-deep");
    let nested =
        |levels: usize| extended(&format!("{{\"x\":{}1{}}}", "[".repeat(levels), "]".repeat(levels)));
    // The record is one level, `extensions` the second.
    assert!(matches!(check_text(nested(62)), CheckedLine::Accepted(_)));
    assert_eq!(code_of(nested(63)), "too-deep");
}

#[test]
fn width_is_bounded() {
    let keys: Vec<String> = (0..1_000_000).map(|number| format!("\"k{number}\":1")).collect();
    assert_eq!(code_of(extended(&format!("{{{}}}", keys.join(",")))), "too-many-values");
    let elements = "1,".repeat(1_000_000);
    assert_eq!(code_of(extended(&format!("{{\"x\":[{elements}1]}}"))), "too-many-values");
    let wide = format!("{{\"x\":\"{}\"}}", "y".repeat(7_000_000));
    assert!(matches!(check_text(extended(&wide)), CheckedLine::Accepted(_)));
}

#[test]
fn many_problems_are_counted_not_listed() {
    let record = with(rescue(), "/injuries", json!(vec![7; 50_000]));
    let answer = check(&record);
    assert_eq!(answer.problems().len(), 51);
    let last = answer.problems().last().unwrap();
    assert_eq!(last.code, "more-problems");
    assert!(last.message.contains("49,951"), "{}", last.message);
    let names = (0..20_000).map(|number| format!("\"k{number}\":1")).collect::<Vec<_>>().join(",");
    let text = rescue().to_string().replace("\"revision\":1", &format!("\"revision\":1,{names}"));
    assert_eq!(check_text(text).problems().len(), 51);
}

#[test]
fn numbers() {
    for (raw, code) in [
        ("1e400", "number-out-of-range"),
        ("-1e400", "number-out-of-range"),
        ("NaN", "json-syntax"),
        ("Infinity", "json-syntax"),
        ("007", "json-syntax"),
        ("+1", "json-syntax"),
        (".5", "json-syntax"),
        ("1.", "json-syntax"),
        ("0x1F", "json-syntax"),
    ] {
        let answer = check_text(extended(&format!("{{\"x\":{raw}}}")));
        let problem = only(&answer);
        assert_eq!(problem.code, code, "{raw}");
        assert!(problem.pointer.as_deref().unwrap().starts_with("/extensions"), "{problem:#?}");
    }
    for raw in ["-0", "1e-400", "123e-7"] {
        assert_eq!(codes(&check_text(extended(&format!("{{\"x\":{raw}}}")))), [""; 0], "{raw}");
    }
    let long = "9".repeat(300);
    assert_eq!(code_of(extended(&format!("{{\"x\":{long}}}"))), "number-inexact");
    assert_eq!(only(&check(&with(rescue(), "/individualCount", json!(1e9)))).code, "out-of-range");
    assert_eq!(only(&check(&with(rescue(), "/individualCount", json!(-1)))).code, "out-of-range");
}

#[test]
fn dates() {
    for date in [
        "0000-01-01",
        "9999-12-31",
        "2026-07-02T24:00+05:30",
        "2026-07-02T06:10:60+05:30",
        "2026-07-02T06:10",
        "2026-02-30",
        "2025-02-29",
        "2026-13-01",
        "2026-7-2",
        "2026-07-02 06:10",
        "2026-07-02t06:10z",
        "2026-07-02T06:10+14:30",
        "\u{662}\u{660}\u{662}\u{666}-07-02",
        "2026-07-02\n",
    ] {
        let answer = check(&with(rescue(), "/eventDate", json!(date)));
        assert!(matches!(answer, CheckedLine::Refused(_)), "{date}");
        assert_eq!(answer.problems().len(), 1, "{date}: {:#?}", answer.problems());
    }
    for date in ["2026-07-02T06:10+14:00", "2024-02-29", "2026-07", "2026"] {
        let answer = check(&with(rescue(), "/eventDate", json!(date)));
        assert!(matches!(answer, CheckedLine::Accepted(_)), "{date}: {:#?}", answer.problems());
    }
}

#[test]
fn names_given_twice() {
    assert_eq!(code_of(extended(r#"{"a":1,"a":1}"#)), "duplicate-name");
    assert_eq!(code_of(extended(r#"{"a":1,"\u0061":2}"#)), "duplicate-name");
    assert_eq!(code_of(extended(r#"{"b":[{"c":1},{"c":1,"d":{"e":0,"e":0}}]}"#)), "duplicate-name");
    let many: Vec<String> = (0..200).map(|number| format!("\"k{}\":1", number % 199)).collect();
    let answer = check_text(extended(&format!("{{{}}}", many.join(","))));
    assert_eq!(only(&answer).pointer.as_deref(), Some("/extensions/k0"));
    // Composed and decomposed spell two names.
    let answer = check_text(extended("{\"\u{e9}\":1,\"e\u{301}\":2}"));
    assert!(matches!(answer, CheckedLine::Accepted(_)));
}

#[test]
fn characters() {
    for raw in [r#"{"x":"\u0000"}"#, r#"{"\u0000":1}"#] {
        assert_eq!(code_of(extended(raw)), "nul-character");
    }
    for raw in [r#""\ud800""#, r#""\udc00""#, r#""\ud800\u0041""#, r#""\ud800\ud800""#, r#""\ud800x""#] {
        let answer = check_text(extended(&format!("{{\"x\":{raw}}}")));
        let problem = only(&answer);
        assert_eq!((&*problem.code, problem.pointer.as_deref()), ("lone-surrogate", Some("/extensions/x")));
    }
    for bytes in [&b"\xff"[..], b"\xc0\xaf", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xe2\x82"] {
        let mut text = b"{\"kind\":\"".to_vec();
        text.extend_from_slice(bytes);
        text.extend_from_slice(b"\"}");
        let answer = check_text(&text);
        assert_eq!((&*only(&answer).code, only(&answer).column), ("invalid-utf8", Some(10)));
    }
    assert_eq!(code_of("{\"kind\":\"a\tb\"}"), "json-syntax");
    // A letter of another script that looks the same is no identifier of ours.
    let look_alike = check(&with(rescue(), "/authorID", json!("meruva.k\u{43e}lvani")));
    assert_eq!(codes(&look_alike), ["wrong-pattern"]);
    let reordered = check(&with(rescue(), "/recordID", json!("K-1\u{202e}")));
    let problem = only(&reordered);
    assert_eq!(problem.code, "wrong-pattern");
    assert!(problem.message.contains("\\u{202e}") && !problem.message.contains('\u{202e}'));
}

#[test]
fn syntax_is_explained() {
    for (text, help) in [
        ("{'kind':'rescue'}", "double quotes"),
        ("{\"a\":True}", "lower case"),
        ("{\"a\":None}", "Leave the field out"),
        ("{\"a\":1,}", "last comma"),
        ("{\"a\":1} {\"a\":2}", "One line holds one record"),
        ("{\"a\":1 // no\n}", "no comments"),
        ("{\"a\":012}", "leading zero"),
        ("recordID,revision,kind", "JSON library"),
    ] {
        let answer = check_text(text);
        let problem = only(&answer);
        assert_eq!(problem.code, "json-syntax", "{text}");
        assert!(problem.help.as_deref().unwrap().contains(help), "{text}: {problem:#?}");
        assert!(problem.column.is_some());
    }
    assert_eq!(code_of("{\"a\":\"b"), "json-unfinished");
    assert_eq!(code_of("null"), "not-an-object");
}

/// Texts that others collected because they broke something.
#[test]
fn naughty_strings_are_kept_as_they_are() {
    let Some(root) = std::env::var_os("HAULOUT_BENCH_DATA") else {
        assert_ne!(std::env::var("CI").as_deref(), Ok("true"), "HAULOUT_BENCH_DATA must be set");
        eprintln!("not run: HAULOUT_BENCH_DATA is not set");
        return;
    };
    let file = std::path::Path::new(&root).join("naughty-strings/blns.json");
    let strings: Vec<String> = serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
    assert!(strings.len() > 400);
    let mut file = Vec::new();
    for text in &strings {
        let record = with(rescue(), "/extensions", json!({"said": text}));
        file.extend_from_slice(record.to_string().as_bytes());
        file.push(b'\n');
        // Where only an identifier may stand, it is refused in words that move no cursor.
        let answer = check(&with(rescue(), "/authorID", json!(text)));
        assert!(matches!(answer, CheckedLine::Refused(_)), "{text}");
        assert!(answer.problems().iter().all(|problem| !problem.message.chars().any(char::is_control)));
    }
    let (counts, answers) = stream(&file, &StreamOptions::default()).unwrap();
    assert_eq!(counts.valid, strings.len() as u64);
    for (line, text) in answers.lines.iter().zip(&strings) {
        let CheckedLine::Accepted(accepted) = line else { panic!("{text}") };
        assert_eq!(accepted.record.envelope.extensions.as_ref().unwrap()["said"], **text);
    }
}
