use super::*;
use crate::findings::{RULES, rule_set_digest};
use crate::region::RuleOverride;
use std::collections::BTreeSet;

fn overridden(value: Value) -> Result<RuleSettings, String> {
    let overrides: Vec<RuleOverride> = serde_json::from_value(value).unwrap();
    RuleSettings::of(&overrides).map_err(|error| error.to_string())
}

#[test]
fn the_catalogue_is_sorted_whole_and_without_doubles() {
    let codes: Vec<&str> = RULES.iter().map(|rule| rule.code).collect();
    let sorted: BTreeSet<&str> = codes.iter().copied().collect();
    assert_eq!(codes, sorted.into_iter().collect::<Vec<_>>());
    for code in [
        "consignment-unreceived",
        "consignment-count",
        "consignment-species",
        "mark-in-two-places",
        "census-difference",
        "release-without-permit",
        "permit-overdrawn",
        "release-without-certificate",
        "release-without-mark",
        "quarantine-short",
        "quarantine-overdue",
        "death-without-necropsy",
        "animal-in-two-places",
        "event-after-death",
        "unit-overfull",
        "licence-exceeded",
        "custody-breached",
        "reported-twice",
        "night-late",
        "balance-below-zero",
    ] {
        let rule = RULES.iter().find(|rule| rule.code == code).unwrap_or_else(|| panic!("{code}"));
        assert!(
            !rule.meaning.is_empty()
                && !rule.why.is_empty()
                && !rule.mend.is_empty()
                && !rule.source.is_empty()
        );
    }
}

#[test]
fn local_code_changes_findings_and_digest() {
    let standard = RuleSettings::standard();
    let local = overridden(
        json!([{"code": "consignment-unreceived", "severity": "critical", "thresholds": {"days": 1}}]),
    )
    .unwrap();
    assert_ne!(rule_set_digest(&standard), rule_set_digest(&local));
    assert_eq!(rule_set_digest(&standard), rule_set_digest(&overridden(json!([])).unwrap()));
    assert_eq!(rule_set_digest(&standard).len(), 64);
    let dispatch = record(
        "dispatch",
        "ombari",
        "D1",
        "2026-07-10",
        json!({"consignmentID": "meruva.ombari:1", "destination": "region",
        "destinationID": "meruva.kolvani", "lines": [{"lotID": "meruva.ombari:L1", "scientificName": "Gavialis gangeticus", "individualCount": 1}]}),
    );
    let judged = evaluate_all(&[dispatch], &World { settings: &local, ..world("2026-07-11") });
    let finding = judged.iter().find(|finding| finding.code == "consignment-unreceived").unwrap();
    assert_eq!((finding.severity.as_str(), finding.due_day), ("critical", Some(day("2026-07-11"))));
}

#[test]
fn what_local_code_cannot_say() {
    let error = overridden(
        json!([{"code": "no-such-rule"}, {"code": "consignment-unreceived", "thresholds": {"weeks": 1}},
        {"code": "consignment-unreceived", "thresholds": {"days": -1}}]),
    )
    .unwrap_err();
    for part in [
        "/ruleOverrides/0/code",
        "/ruleOverrides/1/thresholds/weeks",
        "it has days",
        "/ruleOverrides/2/code",
        "/ruleOverrides/2/thresholds/days",
    ] {
        assert!(error.contains(part), "{part} in {error}");
    }
}

#[test]
fn a_finding_is_written_as_the_contract_says() {
    let dispatch = record(
        "dispatch",
        "ombari",
        "D1",
        "2026-07-10",
        json!({"consignmentID": "meruva.ombari:1", "destination": "region",
        "destinationID": "meruva.kolvani", "lines": [{"lotID": "meruva.ombari:L1", "scientificName": "Gavialis gangeticus", "individualCount": 1}]}),
    );
    let finding = only(found("consignment-unreceived", &[dispatch], "2026-07-31"));
    let written = serde_json::to_value(&finding).unwrap();
    assert_eq!(
        written,
        json!({"code": "consignment-unreceived", "severity": "major", "centreIDs": ["meruva.kolvani", "meruva.ombari"],
        "records": [{"authorID": "meruva.ombari", "recordID": "D1"}], "dueDay": "2026-07-13",
        "parameters": {"consignmentID": "meruva.ombari:1", "difference": 1, "animals Gavialis gangeticus": 1}})
    );
    assert_eq!(serde_json::from_value::<Finding>(written).unwrap(), finding);
}
