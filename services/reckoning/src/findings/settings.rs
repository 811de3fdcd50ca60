//! Severities and thresholds with local code applied, and their digest.

use super::catalogue::RULES;
use crate::region::{FindingSeverity, RegionError, RegionFault, RuleOverride};
use haulout_schemas::rule::{Rule, Severity};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// How grave each finding is and which figures its rule compares with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleSettings {
    by_code: BTreeMap<&'static str, Setting>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Setting {
    code: &'static str,
    severity: Severity,
    thresholds: BTreeMap<&'static str, i64>,
}

impl RuleSettings {
    /// The rules as the catalogue states them.
    pub fn standard() -> Self {
        let setting = |rule: &&'static Rule| Setting {
            code: rule.code,
            severity: rule.severity,
            thresholds: rule.thresholds.iter().map(|threshold| (threshold.name, threshold.value)).collect(),
        };
        Self { by_code: RULES.iter().map(|rule| (rule.code, setting(rule))).collect() }
    }

    /// The rules with local code over them.
    ///
    /// # Errors
    /// A code or threshold that the catalogue does not know, a rule overridden twice, a figure below
    /// zero; the pointers lead into the region file.
    pub fn of(overrides: &[RuleOverride]) -> Result<Self, RegionError> {
        let mut settings = Self::standard();
        let mut faults = Vec::new();
        let mut first: BTreeMap<&str, usize> = BTreeMap::new();
        for (at, local) in overrides.iter().enumerate() {
            let mut fault = |member: &str, problem: String| {
                faults.push(RegionFault { pointer: format!("/ruleOverrides/{at}{member}"), problem });
            };
            let Some(setting) = settings.by_code.get_mut(local.code.as_str()) else {
                fault(
                    "/code",
                    format!("there is no finding rule `{}`; `haulout rules` lists them", local.code),
                );
                continue;
            };
            if let Some(before) = first.insert(&local.code, at) {
                fault(
                    "/code",
                    format!("`{}` is overridden twice, first at /ruleOverrides/{before}", local.code),
                );
            }
            if let Some(severity) = local.severity {
                setting.severity = severity.into();
            }
            for (name, value) in &local.thresholds {
                match setting.thresholds.iter_mut().find(|(known, _)| **known == name.as_str()) {
                    Some((_, stated)) if *value >= 0 => *stated = *value,
                    Some(_) => fault(&format!("/thresholds/{name}"), format!("{value} is below zero")),
                    None => {
                        let known: Vec<&str> = setting.thresholds.keys().copied().collect();
                        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                        fault(
                            &format!("/thresholds/{name}"),
                            format!("`{}` has no such threshold; it has {known}", local.code),
                        );
                    }
                }
            }
        }
        if faults.is_empty() { Ok(settings) } else { Err(RegionError { faults }) }
    }

    /// How grave a finding of the rule is.
    pub fn severity(&self, rule: &Rule) -> Severity {
        self.by_code.get(rule.code).map_or(rule.severity, |setting| setting.severity)
    }

    /// A figure of the rule, in the unit that the rule states; zero where the rule has no such figure.
    pub fn threshold(&self, rule: &Rule, name: &str) -> i64 {
        self.by_code
            .get(rule.code)
            .and_then(|setting| setting.thresholds.get(name))
            .copied()
            .unwrap_or_default()
    }
}

impl Default for RuleSettings {
    fn default() -> Self {
        Self::standard()
    }
}

impl From<FindingSeverity> for Severity {
    fn from(severity: FindingSeverity) -> Self {
        match severity {
            FindingSeverity::Critical => Self::Critical,
            FindingSeverity::Major => Self::Major,
            FindingSeverity::Minor => Self::Minor,
            FindingSeverity::Info => Self::Info,
        }
    }
}

/// SHA-256, lower-case hexadecimal, of the canonical JSON (RFC 8785) of all codes, severities and
/// thresholds, sorted by code.
pub fn rule_set_digest(settings: &RuleSettings) -> String {
    let all: Vec<&Setting> = settings.by_code.values().collect();
    // Codes, words and whole numbers: nothing that canonical JSON could refuse.
    let canonical = serde_json_canonicalizer::to_vec(&all).unwrap_or_default();
    hex::encode(Sha256::digest(canonical))
}
