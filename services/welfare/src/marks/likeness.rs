//! What a mark may have been misread for: told, never put right silently.

use serde::Serialize;

/// In what a mark differs from a known one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase", tag = "in")]
pub enum Difference {
    /// Only in blanks, hyphens, points or capitals.
    Writing,
    /// In characters that look alike on a worn tag (0 and O, 1 and I, 5 and S ...).
    LookAlikes,
    /// In one character.
    OneCharacter {
        /// Its place, counted from 1.
        place: usize,
    },
    /// In two neighbours that changed places.
    Swapped {
        /// Place of the first, counted from 1.
        place: usize,
    },
    /// One character of the known mark is missing.
    Missing {
        /// Its place in the known mark, counted from 1.
        place: usize,
    },
    /// One character more than the known mark has.
    Added {
        /// Its place in the mark that was read, counted from 1.
        place: usize,
    },
}

/// A known mark that is nearly the one that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct NearMiss {
    /// The known mark.
    pub known: String,
    /// In what it differs.
    pub difference: Difference,
    /// The same in a sentence.
    pub told: String,
}

/// Known marks that are nearly the one that was read, in the order given; the mark itself is none.
#[must_use]
pub fn near_misses<'a>(read: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<NearMiss> {
    let near = |known: &str| {
        let difference = difference(read, known)?;
        let told = sentence(read, known, &difference);
        Some(NearMiss { known: known.to_owned(), difference, told })
    };
    known.into_iter().filter_map(near).collect()
}

/// In what two marks differ, if they are nearly the same; `None` for equal and for different ones.
#[must_use]
pub fn difference(read: &str, known: &str) -> Option<Difference> {
    if read == known {
        return None;
    }
    let (plain_read, plain_known) = (plain(read), plain(known));
    if plain_read == plain_known {
        return Some(Difference::Writing);
    }
    if plain_read.iter().map(|c| look(*c)).eq(plain_known.iter().map(|c| look(*c))) {
        return Some(Difference::LookAlikes);
    }
    match plain_read.len().checked_sub(plain_known.len()) {
        Some(0) => same_length(&plain_read, &plain_known),
        Some(1) => one_more(&plain_read, &plain_known).map(|place| Difference::Added { place }),
        Some(_) => None,
        None if plain_known.len() - plain_read.len() == 1 => {
            one_more(&plain_known, &plain_read).map(|place| Difference::Missing { place })
        }
        None => None,
    }
}

fn plain(mark: &str) -> Vec<char> {
    mark.chars().filter(|c| !matches!(c, ' ' | '-' | '.' | '/')).flat_map(char::to_uppercase).collect()
}

/// One character for all that look alike.
fn look(character: char) -> char {
    match character {
        'O' | 'Q' | 'D' => '0',
        'I' | 'L' => '1',
        'Z' => '2',
        'S' => '5',
        'G' => '6',
        'B' => '8',
        other => other,
    }
}

fn same_length(read: &[char], known: &[char]) -> Option<Difference> {
    let differing: Vec<usize> =
        read.iter().zip(known).enumerate().filter(|(_, (a, b))| a != b).map(|(at, _)| at).collect();
    match differing.as_slice() {
        [at] => Some(Difference::OneCharacter { place: at + 1 }),
        [first, second] if second - first == 1 => {
            let crossed = read.get(*first) == known.get(*second) && read.get(*second) == known.get(*first);
            crossed.then_some(Difference::Swapped { place: first + 1 })
        }
        _ => None,
    }
}

/// Place (from 1) of the one character that `longer` has more than `shorter`.
fn one_more(longer: &[char], shorter: &[char]) -> Option<usize> {
    let same = longer.iter().zip(shorter).take_while(|(a, b)| a == b).count();
    (longer.get(same + 1..)? == shorter.get(same..)?).then_some(same + 1)
}

fn sentence(read: &str, known: &str, difference: &Difference) -> String {
    match difference {
        Difference::Writing => format!("{read} is {known} written otherwise"),
        Difference::LookAlikes => format!("{read} differs from {known} only in characters that look alike"),
        Difference::OneCharacter { place } => {
            format!("one character of {read}, the {place}. of its characters, differs from {known}")
        }
        Difference::Swapped { place } => {
            format!("characters {place} and {} of {read} are the other way round in {known}", place + 1)
        }
        Difference::Missing { place } => {
            format!("{read} lacks one character of {known}, the {place}. of its characters")
        }
        Difference::Added { place } => {
            format!("{read} has one character more than {known}, the {place}. of its characters")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_of_slip_is_named() {
        let slip = |read| difference(read, "900215000123456");
        assert_eq!(slip("900215000123456"), None);
        assert_eq!(slip("900.215-000 123456"), Some(Difference::Writing));
        assert_eq!(slip("900215000123466"), Some(Difference::OneCharacter { place: 14 }));
        assert_eq!(slip("900215000124356"), Some(Difference::Swapped { place: 12 }));
        assert_eq!(slip("90021500012345"), Some(Difference::Missing { place: 15 }));
        assert_eq!(slip("9900215000123456"), Some(Difference::Added { place: 2 }));
        assert_eq!(slip("900215000123999"), None);
        assert_eq!(difference("A0-5B", "AO S8"), Some(Difference::LookAlikes));
    }

    #[test]
    fn told_with_the_mark_it_may_be() {
        let near = near_misses("T1234", ["T1234", "T1235", "X9999"]);
        assert_eq!(near.len(), 1);
        assert!(near[0].told.contains("differs from T1235"), "{}", near[0].told);
    }
}
