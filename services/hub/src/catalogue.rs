//! Every rule of the house, from the crates that judge them.

use haulout_schemas::rule::Rule;

/// All rules: of reading, also of sheets, of the schema, of single records, of the hub, of kept places, of findings, of
/// placement.
pub fn rules() -> Vec<&'static Rule> {
    let mut rules: Vec<&'static Rule> = haulout_checking::catalogue().collect();
    rules.extend(haulout_sheets::RULES);
    rules.extend(crate::submissions::refusals::RULES);
    rules.extend(crate::reservations::alarms::RULES);
    rules.extend(haulout_reckoning::findings::RULES);
    rules.extend(haulout_placement::RULES.iter().map(|rule| &rule.rule));
    rules.sort_by_key(|rule| (rule.layer, rule.code));
    rules
}

/// The rule of a code.
pub fn find(code: &str) -> Option<&'static Rule> {
    rules().into_iter().find(|rule| rule.code == code)
}

/// The codes nearest to one that is not known.
pub fn nearest(code: &str) -> Vec<&'static str> {
    let mut near: Vec<(usize, &'static str)> = rules()
        .into_iter()
        .map(|rule| (strsim::damerau_levenshtein(code, rule.code), rule.code))
        .filter(|(distance, _)| *distance <= 4)
        .collect();
    near.sort_unstable();
    near.into_iter().map(|(_, code)| code).take(3).collect()
}

/// A rule in words, for a terminal.
pub fn in_words(rule: &Rule) -> String {
    let mut text = format!(
        "{} ({}, {})\n  {}\n  Means: {}\n  Why: {}\n  Mend: {}\n  Source: {}\n",
        rule.code,
        rule.severity.as_str(),
        serde_json::to_value(rule.layer)
            .ok()
            .and_then(|layer| layer.as_str().map(str::to_owned))
            .unwrap_or_default(),
        rule.title,
        rule.meaning,
        rule.why,
        rule.mend,
        rule.source
    );
    for threshold in rule.thresholds {
        text.push_str(&format!(
            "  {} = {} {} (source: {})\n",
            threshold.name, threshold.value, threshold.unit, threshold.source
        ));
    }
    text
}
