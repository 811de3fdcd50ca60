//! Explanations are true: the changes of an exclusion make the option appear, and with any one of
//! them left out it does not.

use haulout_placement::rules::Standing;
use haulout_placement::{Change, Options, RULES};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::basin::{answer, first_night};
use crate::disturbances::{disturbance, disturbed};

/// A file with the operations applied, by the library alone.
fn patched(file: &Value, changes: &[Change]) -> Option<Value> {
    let patch: json_patch::Patch = serde_json::from_value(json!(changes)).ok()?;
    let mut changed = file.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    Some(changed)
}

fn offers(answer: &Options, centre_id: &str) -> bool {
    let offered = answer.options.iter().chain(&answer.waived);
    offered.into_iter().any(|one| one.centre_id == centre_id)
}

/// Checks the exclusions of the file that are wanted; gives the number of changes looked at.
fn explanations_hold(file: &Value, wanted: impl Fn(usize) -> bool) -> Result<usize, TestCaseError> {
    let before = answer(file);
    let mut looked_at = 0;
    let excluded = before.excluded.iter().enumerate();
    for (_, exclusion) in excluded.filter(|(at, _)| wanted(*at)) {
        let id = &exclusion.centre_id;
        let changes = &exclusion.changes;
        let nameless = exclusion.failed.iter().any(|check| check.code == "species-known");
        prop_assert_eq!(changes.is_empty(), nameless, "{}: {:?}", id, exclusion.failed);
        if nameless {
            continue;
        }
        let all = patched(file, changes);
        prop_assert!(all.is_some(), "{} does not apply: {:?}", id, changes);
        let after = answer(&all.unwrap_or_default());
        prop_assert!(offers(&after, id), "{}: not enough: {:?}; {:?}", id, changes, after.excluded);
        for left_out in 0..changes.len() {
            let mut rest = changes.clone();
            rest.remove(left_out);
            let still = patched(file, &rest).is_some_and(|file| offers(&answer(&file), id));
            prop_assert!(!still, "{}: {:?} was not needed among {:?}", id, changes[left_out], changes);
            looked_at += 1;
        }
    }
    Ok(looked_at)
}

fn is_advice(code: &str) -> bool {
    RULES.iter().any(|rule| rule.rule.code == code && rule.standing == Standing::Advisory)
}

#[test]
fn the_first_nights_explanations_hold() {
    assert!(explanations_hold(&first_night(), |_| true).unwrap() > 5);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8 * ProptestConfig::default().cases, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn explanations_are_true(
        disturbances in proptest::collection::vec(disturbance(), 0..14),
        which in 0..5_usize,
    ) {
        let file = disturbances.iter().flatten().fold(first_night(), disturbed);
        // One exclusion a file: many files tell more than many exclusions of one.
        explanations_hold(&file, |at| at == which)?;
        // Every centre once, whatever was disturbed; and the same bytes for the same question.
        let once = answer(&file);
        prop_assert_eq!(once.options.len() + once.waived.len() + once.excluded.len(), 6);
        prop_assert_eq!(json!(once).to_string(), json!(answer(&file)).to_string());
        for option in &once.options {
            let against = option.checks.iter().filter(|check| check.verdict != haulout_placement::Verdict::Pass);
            prop_assert!(against.into_iter().all(|check| is_advice(&check.code)));
        }
    }
}

/// The disturbances reach every rule that can exclude: otherwise the property above says little.
#[test]
fn disturbances_reach_every_rule() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let many = proptest::collection::vec(disturbance(), 4..14);
    let mut reached = std::collections::BTreeSet::new();
    for _ in 0..400 {
        let drawn = many.new_tree(&mut runner).unwrap().current();
        let file = drawn.iter().flatten().fold(first_night(), disturbed);
        for exclusion in answer(&file).excluded {
            reached.extend(exclusion.failed.into_iter().map(|check| check.code));
        }
    }
    let never: Vec<&str> = RULES
        .iter()
        .map(|rule| rule.rule.code)
        .filter(|code| !reached.contains(*code) && !is_advice(code))
        .collect();
    assert_eq!(never, Vec::<&str>::new());
}
