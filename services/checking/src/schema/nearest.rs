//! The word somebody probably meant.

/// How alike two folded words must be, 0 to 1: one slip in five letters is still recognised
/// (common practice).
const ALIKE: f64 = 0.6;

/// Words that other systems use for fields of ours (common practice).
const OTHER_WORDS: &[(&str, &str)] = &[
    ("species", "scientificName"),
    ("taxon", "scientificName"),
    ("taxonname", "scientificName"),
    ("date", "eventDate"),
    ("datetime", "eventDate"),
    ("timestamp", "eventDate"),
    ("id", "recordID"),
    ("uuid", "recordID"),
    ("type", "kind"),
    ("recordtype", "kind"),
    ("author", "authorID"),
    ("centre", "centreID"),
    ("center", "centreID"),
    ("centerid", "centreID"),
    ("animal", "organismID"),
    ("animalid", "organismID"),
    ("count", "individualCount"),
    ("number", "individualCount"),
    ("quantity", "individualCount"),
    ("chip", "markNumber"),
    ("microchip", "markNumber"),
    ("remarks", "notes"),
    ("comment", "notes"),
    ("comments", "notes"),
    ("latitude", "decimalLatitude"),
    ("longitude", "decimalLongitude"),
    ("version", "schemaVersion"),
];

/// The candidate nearest to a word, if one is near. Case, `_`, `-` and blanks do not count.
pub(super) fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    if word.len() > 100 {
        return None;
    }
    let folded = fold(word);
    if folded.is_empty() {
        return None;
    }
    let meant = OTHER_WORDS.iter().find(|(other, _)| *other == folded).map(|(_, ours)| *ours);
    let mut best: Option<(f64, &'c str)> = None;
    for candidate in candidates {
        if meant == Some(candidate) {
            return Some(candidate);
        }
        let other = fold(candidate);
        let alike = if folded.len() >= 4 && other.ends_with(&folded) {
            0.9
        } else {
            strsim::normalized_damerau_levenshtein(&folded, &other)
        };
        if alike >= ALIKE && best.is_none_or(|(most, _)| alike > most) {
            best = Some((alike, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn fold(word: &str) -> String {
    word.chars().filter(|character| character.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recognises_slips_and_other_peoples_words() {
        let fields = ["recordID", "eventDate", "scientificName", "individualCount", "notes"];
        let of = |word| nearest(word, fields.iter().copied());
        assert_eq!(of("eventdate"), Some("eventDate"));
        assert_eq!(of("event_date"), Some("eventDate"));
        assert_eq!(of("sceintificName"), Some("scientificName"));
        assert_eq!(of("Species"), Some("scientificName"));
        assert_eq!(of("count"), Some("individualCount"));
        assert_eq!(of("xyzzy"), None);
        assert_eq!(of("--"), None);
        assert_eq!(of(&"a".repeat(1000)), None);
    }
}
