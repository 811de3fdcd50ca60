//! Rules on names, by a name list. A name is never put right silently: the record keeps what its
//! writer wrote.

use haulout_schemas::names::{Names, Resolution};

use crate::catalogue::record;
use crate::problem::Problem;
use crate::words::{alternatives, shown};

/// Fields that hold a scientific name, or a list of them.
pub(super) const FIELDS: &[&str] =
    &["scientificName", "fromScientificName", "toScientificName", "species", "suits", "taxa"];

/// What the name list has to say on a name, if anything.
pub(super) fn oddity(names: &Names, name: &str) -> Option<Problem> {
    match names.resolve(name) {
        Resolution::Accepted { .. } | Resolution::Higher { .. } => None,
        Resolution::Synonym { accepted } => {
            let text = format!("{} is a synonym; it is counted as {accepted}", shown(name));
            Some(Problem::of(&record::NAME_SYNONYM, text))
        }
        Resolution::Subspecies { accepted } => {
            let text = format!("{} is a subspecies; it is counted as {accepted}", shown(name));
            Some(Problem::of(&record::NAME_SYNONYM, text))
        }
        Resolution::Hybrid { parents } => parents
            .iter()
            .find(|parent| matches!(names.resolve(parent), Resolution::Unknown { .. }))
            .map(|parent| unknown(names, parent)),
        Resolution::Common { accepted } => {
            let text = format!("{} is an everyday name", shown(name));
            Some(
                Problem::of(&record::NAME_COMMON, text)
                    .with_help(format!("Did you mean `{accepted}`? Write the scientific name.")),
            )
        }
        Resolution::AmbiguousCommon { candidates } => {
            let words: Vec<&str> = candidates.iter().map(String::as_str).collect();
            let text = format!("{} may mean more than one species", shown(name));
            let help = format!("Which is it: {}? Write the scientific name.", alternatives(&words, 6));
            Some(Problem::of(&record::NAME_COMMON, text).with_help(help))
        }
        Resolution::Unknown { .. } => Some(unknown(names, name)),
    }
}

fn unknown(names: &Names, name: &str) -> Problem {
    let text = format!("{} is not in the name list; it is counted as a species of its own", shown(name));
    let problem = Problem::of(&record::NAME_UNKNOWN, text);
    match names.resolve(name) {
        Resolution::Unknown { suggestions } if !suggestions.is_empty() => {
            let words: Vec<&str> = suggestions.iter().map(String::as_str).collect();
            problem.with_help(format!("Did you mean {}?", alternatives(&words, 3)))
        }
        _ => problem,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use haulout_schemas::{Kind, published};
    use serde_json::Value;

    use super::*;

    fn gather<'s>(schema: &'s Value, fields: &mut BTreeSet<&'s str>) {
        match schema {
            Value::Object(members) => {
                for (name, field) in
                    members.get("properties").and_then(Value::as_object).into_iter().flatten()
                {
                    let target = field.get("$ref").or_else(|| field.get("items")?.get("$ref"));
                    if target.and_then(Value::as_str) == Some("#/$defs/scientificName") {
                        fields.insert(name);
                    }
                }
                members.values().for_each(|member| gather(member, fields));
            }
            Value::Array(items) => items.iter().for_each(|item| gather(item, fields)),
            _ => {}
        }
    }

    #[test]
    fn every_field_that_holds_a_name_is_looked_at() {
        let mut fields = BTreeSet::new();
        for kind in Kind::ALL {
            gather(published::schema_of(*kind), &mut fields);
        }
        assert_eq!(fields, FIELDS.iter().copied().collect());
    }

    #[test]
    fn names_are_answered_by_the_list() {
        let names = Names::standard();
        assert_eq!(oddity(names, "Crocodylus palustris"), None);
        assert_eq!(oddity(names, "Testudines"), None);
        let slip = oddity(names, "Crocodylus palustris".replace("palus", "pulas").as_str()).unwrap();
        assert_eq!(slip.code, "name-unknown");
        assert!(slip.help.unwrap().contains("`Crocodylus palustris`"));
        let everyday = oddity(names, "Mugger").unwrap();
        assert_eq!(everyday.code, "name-common");
        let hybrid = oddity(names, "Crocodylus palustris x Crocodylus nowhereus").unwrap();
        assert_eq!(hybrid.code, "name-unknown");
        assert_eq!(oddity(names, "Crocodylus palustris x Crocodylus porosus"), None);
    }
}
