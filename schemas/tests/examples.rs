//! Two good and five bad examples of every kind. The good ones pass the published files and the
//! record types unchanged; each bad one is refused for the one thing that its name says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use haulout_schemas::{Kind, Record, published};
use jsonschema::{Draft, PatternOptions, Validator};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

fn validator(schema: &Value) -> Validator {
    jsonschema::options()
        .with_draft(Draft::Draft202012)
        .with_pattern_options(PatternOptions::regex())
        .should_validate_formats(false)
        .build(schema)
        .unwrap()
}

fn names(folder: &Path) -> BTreeSet<String> {
    fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

fn read(file: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(file).unwrap())
        .unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

/// `27` and `27.0` are one number in JSON, and two in `serde_json`.
fn numbers_alike(value: Value) -> Value {
    match value {
        Value::Number(number) => Value::from(number.as_f64().unwrap()),
        Value::Array(items) => items.into_iter().map(numbers_alike).collect(),
        Value::Object(members) => {
            members.into_iter().map(|(name, member)| (name, numbers_alike(member))).collect()
        }
        other => other,
    }
}

fn bad_examples(kind: Kind) -> Vec<PathBuf> {
    let folder = examples().join(kind.as_str()).join("bad");
    names(&folder).iter().map(|name| folder.join(name)).collect()
}

#[test]
fn every_kind_has_two_good_and_five_bad_examples() {
    let kinds: BTreeSet<_> = Kind::ALL.iter().map(|kind| kind.as_str().to_owned()).collect();
    assert_eq!(names(&examples()), kinds);
    for kind in Kind::ALL {
        let wanted: BTreeSet<_> = ["minimal.json", "full.json", "bad"].map(str::to_owned).into();
        assert_eq!(names(&examples().join(kind.as_str())), wanted, "{kind}");
        assert_eq!(bad_examples(*kind).len(), 5, "{kind}");
    }
}

#[test]
fn good_examples_pass_and_come_back_as_they_were() {
    let any = validator(published::record_schema());
    for kind in Kind::ALL {
        let of_kind = validator(published::schema_of(*kind));
        for name in ["minimal.json", "full.json"] {
            let file = examples().join(kind.as_str()).join(name);
            let written = read(&file);
            for schema in [&of_kind, &any] {
                let faults: Vec<_> = schema.iter_errors(&written).map(|error| error.to_string()).collect();
                assert!(faults.is_empty(), "{}: {faults:?}", file.display());
            }
            let record = Record::parse(&serde_json::to_string(&written).unwrap())
                .unwrap_or_else(|error| panic!("{}: {error}", file.display()));
            assert_eq!(record.kind(), *kind);
            assert_eq!(
                numbers_alike(record.to_json().unwrap()),
                numbers_alike(written),
                "{}",
                file.display()
            );
        }
    }
}

#[test]
fn nothing_can_be_left_out_of_a_minimal_example() {
    for kind in Kind::ALL {
        let of_kind = validator(published::schema_of(*kind));
        let minimal = read(&examples().join(kind.as_str()).join("minimal.json"));
        for field in minimal.as_object().unwrap().keys() {
            let mut less = minimal.clone();
            less.as_object_mut().unwrap().remove(field);
            assert!(!of_kind.is_valid(&less), "{kind}: `{field}` can be left out");
        }
    }
}

#[test]
fn each_bad_example_is_refused_at_one_place() {
    let any = validator(published::record_schema());
    for kind in Kind::ALL {
        let of_kind = validator(published::schema_of(*kind));
        for file in bad_examples(*kind) {
            let written = read(&file);
            let places: BTreeSet<_> =
                of_kind.iter_errors(&written).map(|error| error.instance_path().to_string()).collect();
            assert_eq!(places.len(), 1, "{}: {places:?}", file.display());
            assert!(!any.is_valid(&written), "{}", file.display());
        }
    }
}
