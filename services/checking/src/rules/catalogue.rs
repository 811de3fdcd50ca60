//! The rules of this crate, each once.

use haulout_schemas::rule::{Layer, Rule, Severity};

macro_rules! rules {
    ($($name:ident = $code:literal, $severity:ident, $title:literal, $meaning:literal, $why:literal, $mend:literal, $source:literal;)+) => {
        $(
            #[doc = $title]
            pub static $name: Rule = Rule {
                code: $code,
                layer: Layer::Rule,
                severity: Severity::$severity,
                title: $title,
                meaning: $meaning,
                why: $why,
                mend: $mend,
                source: $source,
                thresholds: &[],
            };
        )+

        /// Every rule that judges one record by itself.
        pub static RULES: &[&Rule] = &[$(&$name),+];
    };
}

rules! {
    FUTURE_DATE = "future-date", Warning,
        "Date in the future",
        "The event is dated after the day on which the record was checked.",
        "A wrong year or a swapped day and month moves the animal into another period's account.",
        "Check year, month and day. If the centre's clock is ahead, set it right.",
        "common practice";
    DATE_REVERSED = "date-reversed", Warning,
        "Interval ends before it begins",
        "The end of the interval lies before its start.",
        "The record counts on the later of the two days, which may not be the one meant.",
        "Swap the two dates, or correct the wrong one.",
        "ISO 8601: an interval runs from start to end";
    TRANSPONDER_UNUSUAL = "transponder-unusual", Warning,
        "Unusual transponder number",
        "The number cannot be an ISO 11784 number as printed: 15 digits, three of them a country or maker, the other twelve at most 274877906943.",
        "A digit misread once makes the animal unknown for ever at the next scan.",
        "Scan again and copy all 15 digits; for an older chip say `transponderStandard` `other`.",
        "ISO 11784; the largest number is 2^38 - 1";
    TRANSPONDER_OLDER = "transponder-older", Info,
        "Older transponder",
        "A number of 9 or 10 digits is from a chip made before ISO 11784.",
        "Not every reader finds such a chip: the next centre may think the animal unmarked.",
        "Nothing, if the number was read so. Say `transponderStandard` `other`.",
        "common practice";
    TRANSPONDER_TEST = "transponder-test", Warning,
        "Test code in a transponder",
        "The number begins with 999, the code reserved for tests.",
        "Test chips sit in real animals, but their numbers are not unique.",
        "Scan again. If it was read so, keep it and note a second mark.",
        "ISO 11784; ICAR lists 999 outside tests as misuse";
    NUMBER_INEXACT = "number-inexact", Warning,
        "Number too long to keep",
        "A whole number beyond 9007199254740992 (2^53) is kept as the nearest double, which is another number.",
        "Canonical JSON has doubles only; a long identifier written as a number loses its last digits in nearly every reader.",
        "Write long identifiers as text, in quotes.",
        "RFC 8785 section 3.2.2.3; RFC 7493 section 2.2";
    ESTIMATE_REVERSED = "estimate-reversed", Warning,
        "Estimate upside down",
        "The lower end of an estimate is above its upper end.",
        "Whether an animal fits is judged by the upper end.",
        "Swap `low` and `high`, or correct the wrong one.",
        "common practice";
    ESTIMATE_OUTSIDE = "estimate-outside", Warning,
        "Value outside its own range",
        "The value lies outside the range given with it.",
        "Either the value or the range is a slip.",
        "Correct the value or its `low` and `high`.",
        "common practice";
    POSITION_ZERO = "position-zero", Warning,
        "Position is zero, zero",
        "Latitude and longitude are both 0.",
        "Devices and exports write 0, 0 for a position they do not have.",
        "Give the true position, or leave both out.",
        "common practice";
    POSITION_HALF = "position-half", Warning,
        "Half a position",
        "Only one of latitude and longitude is given.",
        "Half a position is none.",
        "Give both, or leave both out.",
        "common practice";
    HIDDEN_CHARACTER = "hidden-character", Warning,
        "Invisible character in a text",
        "A text holds a control, direction or zero-width character.",
        "It looks like another text, is not found by a search, and may reorder the line on a screen.",
        "Type the text again, or paste it as plain text.",
        "common practice";
}

#[cfg(test)]
mod tests {
    use super::RULES;
    use haulout_schemas::rule::Severity;

    #[test]
    fn codes_are_kebab_case_once_each_and_never_refuse() {
        let mut codes: Vec<_> = RULES.iter().map(|rule| rule.code).collect();
        for code in &codes {
            assert!(
                code.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'),
                "{code}"
            );
        }
        codes.sort_unstable();
        let before = codes.len();
        codes.dedup();
        assert_eq!(before, codes.len());
        assert!(
            RULES
                .iter()
                .all(|rule| matches!(rule.severity, Severity::Warning | Severity::Info))
        );
    }
}
