//! Our tree and our validator against the public suites of others. The suites are not part of this
//! repository: `HAULOUT_BENCH_DATA` names the directory that holds them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::value::RawValue;

use crate::json::node::{Node, Read};
use crate::json::view::Tree;
use crate::schema::validator;

/// A directory of the bench data. Its absence is a failure where the suites are promised.
fn suite(name: &str) -> Option<PathBuf> {
    let found = std::env::var_os("HAULOUT_BENCH_DATA").map(|root| Path::new(&root).join(name));
    match found {
        Some(directory) if directory.is_dir() => Some(directory),
        _ if std::env::var("CI").as_deref() == Ok("true") => {
            panic!("HAULOUT_BENCH_DATA must name the directory that holds {name}")
        }
        _ => {
            eprintln!("not run: HAULOUT_BENCH_DATA names no directory with {name}");
            None
        }
    }
}

fn files(directory: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(directory)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_file())
        .map(|entry| {
            let name = entry.file_name().into_string().unwrap();
            (name, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// The code with which a text is refused, or none.
fn verdict(bytes: &[u8]) -> Option<&'static str> {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Some("invalid-utf8");
    };
    let fault = Node::read(text).err()?;
    let problem = fault.to_problem();
    crate::catalogue().map(|rule| rule.code).find(|code| *code == problem.code)
}

/// Texts of the suite that every JSON reader takes, and I-JSON does not.
const IJSON_REFUSES: &[(&str, &str)] = &[
    ("y_object_duplicated_key.json", "duplicate-name"),
    ("y_object_duplicated_key_and_value.json", "duplicate-name"),
    ("y_object_escaped_null_in_key.json", "nul-character"),
    ("y_string_null_escape.json", "nul-character"),
];

#[test]
fn json_parsing_suite() {
    let Some(directory) = suite("json-parsing/test_parsing") else {
        return;
    };
    let (mut taken, mut refused) = (0, 0);
    for (name, bytes) in files(&directory) {
        let code = verdict(&bytes);
        match name.split('_').next().unwrap() {
            "y" => {
                let expected = IJSON_REFUSES.iter().find(|(file, _)| *file == name).map(|(_, code)| *code);
                assert_eq!(code, expected, "{name}");
                taken += usize::from(expected.is_none());
            }
            "n" => {
                assert!(code.is_some(), "{name} is no JSON text and was taken");
                refused += 1;
            }
            _ => assert_eq!(code, implementation_defined(&name), "{name}"),
        }
    }
    assert_eq!((taken, refused), (91, 188));
}

/// Where the grammar leaves a choice: texts we take give none.
fn implementation_defined(name: &str) -> Option<&'static str> {
    let name = name.trim_start_matches("i_").trim_end_matches(".json");
    match name {
        // Underflow is a finite double; a long whole number is kept as the nearest one and flagged.
        "number_double_huge_neg_exp" | "number_real_underflow" => None,
        "number_too_big_neg_int" | "number_too_big_pos_int" | "number_very_big_negative_int" => None,
        name if name.starts_with("number_") => Some("number-out-of-range"),
        "structure_500_nested_arrays" => Some("too-deep"),
        // The mark is passed over by whoever cuts the lines, so it is unknown here.
        "structure_UTF-8_BOM_empty_object" => Some("json-syntax"),
        "string_UTF-8_invalid_sequence"
        | "string_UTF8_surrogate_U+D800"
        | "string_UTF-16LE_with_BOM"
        | "string_invalid_utf-8"
        | "string_iso_latin_1"
        | "string_lone_utf8_continuation_byte"
        | "string_not_in_unicode_range"
        | "string_overlong_sequence_2_bytes"
        | "string_overlong_sequence_6_bytes"
        | "string_overlong_sequence_6_bytes_null"
        | "string_truncated-utf-8"
        | "string_utf16BE_no_BOM"
        | "string_utf16LE_no_BOM" => Some("invalid-utf8"),
        _ => Some("lone-surrogate"),
    }
}

/// Texts that readers are known to change; ours keeps them or refuses them by a code.
#[test]
fn json_transform_suite() {
    let Some(directory) = suite("json-parsing/test_transform") else {
        return;
    };
    for (name, bytes) in files(&directory) {
        let expected = match name.as_str() {
            name if name.starts_with("object_same_key") => Some("duplicate-name"),
            "string_with_escaped_NULL.json" => Some("nul-character"),
            name if name.contains("escaped_invalid_codepoint") => Some("lone-surrogate"),
            name if name.contains("invalid_codepoint") => Some("invalid-utf8"),
            _ => None,
        };
        assert_eq!(verdict(&bytes), expected, "{name}");
    }
    // The same letter composed and decomposed are two names, and both stay as they are.
    for name in ["object_key_nfc_nfd.json", "object_key_nfd_nfc.json"] {
        let text = String::from_utf8(fs::read(directory.join(name)).unwrap()).unwrap();
        let Node::Object(members) = Node::read(&text).ok().unwrap().node else {
            panic!("{name} is an object");
        };
        assert_eq!(members.len(), 2);
    }
}

#[derive(Deserialize)]
struct Group {
    description: String,
    schema: serde_json::Value,
    tests: Vec<Test>,
}

#[derive(Deserialize)]
struct Test {
    description: String,
    data: Box<RawValue>,
    valid: bool,
}

/// Keywords that the published schema does not use: they need foreign documents, or vocabularies
/// that decide nothing.
const NOT_USED: &[&str] = &["refRemote.json", "dynamicRef.json", "vocabulary.json", "anchor.json"];

#[test]
fn json_schema_suite_through_our_tree() {
    let Some(directory) = suite("json-schema-test-suite/tests/draft2020-12") else {
        return;
    };
    let mut judged = 0;
    let mut nul = 0;
    for (name, bytes) in files(&directory) {
        if NOT_USED.contains(&name.as_str()) {
            continue;
        }
        for group in serde_json::from_slice::<Vec<Group>>(&bytes).unwrap() {
            let schema = group.schema.to_string();
            if schema.contains("http://localhost:1234") {
                continue;
            }
            let compiled = validator(&group.schema).unwrap();
            for test in group.tests {
                let what = format!("{name}: {}: {}", group.description, test.description);
                let Ok(Read { node, .. }) = Node::read(test.data.get()) else {
                    assert!(test.data.get().contains("\\u0000"), "{what}");
                    nul += 1;
                    continue;
                };
                assert_eq!(compiled.is_valid(&node), test.valid, "{what}");
                assert_eq!(compiled.iter_errors(&node).next().is_none(), test.valid, "{what}");
                judged += 1;
            }
        }
    }
    assert!(judged > 1100, "{judged} tests judged");
    assert!(nul <= 4, "{nul} tests hold NUL");
}

#[test]
fn the_tree_keeps_the_contract_of_the_validator() {
    let text = jsonschema::json::conformance::document().to_string();
    let read = Node::read(&text).ok().unwrap();
    jsonschema::json::conformance::assert_conformance::<Tree>(&&read.node);
}
