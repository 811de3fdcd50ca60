//! Every code that this crate gives, each once: what it means, why it matters, how to mend it.

pub(crate) mod read;
pub(crate) mod record;
pub(crate) mod schema;

use haulout_schemas::rule::Rule;

macro_rules! rules {
    ($layer:ident; $($name:ident = $code:literal, $severity:ident, $title:literal, $meaning:literal, $why:literal, $mend:literal, $source:literal;)+) => {
        use haulout_schemas::rule::{Layer, Rule, Severity};

        $(
            #[doc = $title]
            pub static $name: Rule = Rule {
                code: $code,
                layer: Layer::$layer,
                severity: Severity::$severity,
                title: $title,
                meaning: $meaning,
                why: $why,
                mend: $mend,
                source: $source,
                thresholds: &[],
            };
        )+

        pub(crate) static ALL: &[&Rule] = &[$(&$name),+];
    };
}
use rules;

/// Every rule of this crate: reading, schema, and the rules on one record.
pub fn catalogue() -> impl Iterator<Item = &'static Rule> {
    read::ALL.iter().chain(schema::ALL).chain(record::ALL).copied()
}

#[cfg(test)]
mod tests {
    use haulout_schemas::rule::{Layer, Severity};

    use super::*;

    #[test]
    fn codes_are_kebab_case_once_each() {
        let mut codes: Vec<_> = catalogue().map(|rule| rule.code).collect();
        for code in &codes {
            assert!(
                code.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
                "{code}"
            );
        }
        codes.sort_unstable();
        let before = codes.len();
        codes.dedup();
        assert_eq!(before, codes.len());
    }

    #[test]
    fn rules_on_a_record_never_refuse() {
        for rule in catalogue().filter(|rule| rule.layer == Layer::Rule) {
            assert!(matches!(rule.severity, Severity::Warning | Severity::Info), "{}", rule.code);
        }
    }
}
