//! Reading a statement back from its JSON: words of a closed list become the words of this programme,
//! so that nothing is kept alive for them and an unknown word is refused.

use super::completeness::NIGHT_LATE;
use haulout_schemas::records::authority::PermitType;
use haulout_schemas::vocabulary::LifeStage;
use serde::Deserialize;
use serde::de::{Deserializer, Error};
use std::collections::BTreeMap;

/// A word of a closed list. An alias, since derived code would ask a bare `&'static str` to borrow
/// from the text that is read.
pub(super) type Word = &'static str;

/// Of no stated age class.
pub(super) const UNSTATED: Word = "unstated";

/// What is counted, as rows and totals write it.
pub(super) const fn counted(eggs: bool) -> Word {
    if eggs { "eggs" } else { "animals" }
}

fn one_of<E: Error>(known: impl IntoIterator<Item = Word>, what: &str, found: &str) -> Result<Word, E> {
    let known = known.into_iter().find(|word| *word == found);
    known.ok_or_else(|| E::custom(format_args!("`{found}` is no {what} that a statement tells of")))
}

pub(super) fn commodity<'de, D: Deserializer<'de>>(text: D) -> Result<Word, D::Error> {
    one_of([counted(false), counted(true)], "commodity", &String::deserialize(text)?)
}

pub(super) fn stages<'de, D: Deserializer<'de>>(map: D) -> Result<BTreeMap<Word, i64>, D::Error> {
    let known = || LifeStage::ALL.iter().map(|stage| stage.as_str()).chain([UNSTATED]);
    let stages = BTreeMap::<String, i64>::deserialize(map)?;
    stages.iter().map(|(stage, count)| Ok((one_of(known(), "age class", stage)?, *count))).collect()
}

pub(super) fn permit_type<'de, D: Deserializer<'de>>(text: D) -> Result<Word, D::Error> {
    Ok(PermitType::deserialize(text)?.as_str())
}

pub(super) fn notice<'de, D: Deserializer<'de>>(text: D) -> Result<Word, D::Error> {
    one_of([NIGHT_LATE.code], "notice", &String::deserialize(text)?)
}
