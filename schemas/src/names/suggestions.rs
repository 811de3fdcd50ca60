//! Suggestions for a name that is not known.

use strsim::{jaro_winkler, normalized_damerau_levenshtein};

use super::{Known, Names, folded};

/// Names less alike than this are no suggestion: a wrong hint is worse than none.
const LEAST_LIKENESS: f64 = 0.72;

/// Longer texts (characters) are no names, and comparing them would take long.
const LONGEST: usize = 100;

/// Suggestions given at most.
const MOST: usize = 3;

impl Names {
    /// The accepted names, genera, families and orders nearest to a name, best first.
    ///
    /// Likeness is the mean of Jaro-Winkler (good at the beginning of a word) and normalised
    /// Damerau-Levenshtein (good at swapped letters), on folded names. A synonym or an everyday
    /// name that comes near suggests what it means.
    pub(super) fn suggestions(&self, name: &str) -> Vec<String> {
        if name.chars().count() > LONGEST {
            return Vec::new();
        }
        let wanted = folded(name);
        // "Nilssonia sp." is the genus with a qualifier in the wrong field.
        let wanted = match wanted.rsplit_once(' ') {
            Some((genus, "sp" | "sp." | "spp" | "spp.")) => genus.to_owned(),
            _ => wanted,
        };
        let scientific = self.scientific.iter().map(|(written, known)| match known {
            Known::Synonym(accepted) | Known::Subspecies(accepted) => (likeness(&wanted, written), accepted),
            Known::Accepted(_) | Known::Higher(..) => (likeness(&wanted, written), written),
        });
        let everyday = self
            .everyday
            .iter()
            .filter_map(|(written, everyday)| Some((likeness(&wanted, written), everyday.only()?)));
        let mut near: Vec<(f64, &String)> =
            scientific.chain(everyday).filter(|(alike, _)| *alike >= LEAST_LIKENESS).collect();
        near.sort_by(|one, other| other.0.total_cmp(&one.0).then_with(|| one.1.cmp(other.1)));
        let mut best: Vec<String> = Vec::new();
        for (_, accepted) in near {
            if best.len() < MOST && !best.contains(accepted) {
                best.push(accepted.clone());
            }
        }
        best
    }
}

fn likeness(wanted: &str, written: &str) -> f64 {
    let written = folded(written);
    let alike = jaro_winkler(wanted, &written) + normalized_damerau_levenshtein(wanted, &written);
    alike / 2.0
}
