//! Every line follows the published schema.

use std::collections::BTreeMap;

use haulout_schemas::{Kind, Record};
use jsonschema::Validator;

use crate::basin;
use crate::recount::lines;

#[test]
fn every_record_follows_the_published_schema() {
    let validators: BTreeMap<&str, Validator> = Kind::ALL
        .iter()
        .map(|kind| {
            (kind.as_str(), jsonschema::validator_for(haulout_schemas::published::schema_of(*kind)).unwrap())
        })
        .collect();
    for faults in [false, true] {
        let generated = basin(6, 92, 11, faults);
        let lines = lines(&generated);
        assert_eq!(lines.len() as u64, generated.summary.records);
        for line in &lines {
            let validator = &validators[line["kind"].as_str().unwrap()];
            if let Err(error) = validator.validate(line) {
                panic!("{error} at {}\n{line:#}", error.instance_path());
            }
            // The types read what they wrote.
            let record = Record::parse(&line.to_string()).unwrap();
            assert_eq!(record.to_json().unwrap(), *line);
        }
    }
}
