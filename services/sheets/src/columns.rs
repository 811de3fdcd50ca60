//! The columns of a sheet to fill: the fields of a kind, flattened.

use haulout_schemas::{Kind, published};
use serde_json::Value;

use crate::fields::{self, Field, Form, Leaf};

/// Entries of a list of objects that a template shows: of one that is needed, and of any other.
const SHOWN: [u64; 2] = [3, 2];

/// A column of a template.
#[derive(Debug)]
pub(crate) struct Column {
    /// Its header: `place.locality`, `evidence.1.type`.
    pub(crate) name: String,
    /// When it must be filled.
    pub(crate) need: Need,
    /// What it means, in the words of the schema.
    pub(crate) meaning: String,
    /// What a cell holds; none for JSON.
    pub(crate) leaf: Option<Leaf>,
    /// Whether a cell may hold several, parted by ` | `.
    pub(crate) list: bool,
}

/// When a column must be filled.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Need {
    /// In every row.
    Always,
    /// Exactly one of several columns.
    OneOf(Vec<String>),
    /// Where another column holds a certain word.
    When(String),
    /// Where its group, or its entry of a list, is used at all.
    Within(String),
    /// As one likes.
    Never,
}

/// The columns of a kind: those that are needed first, each group in the order of the schema.
pub(crate) fn of(kind: Kind) -> Vec<Column> {
    let schema = published::schema_of(kind);
    let mut columns = Vec::new();
    for field in fields::of(kind) {
        let need = if field.required { Need::Always } else { sometimes(schema, &field.name) };
        flatten(field, &field.name, need, &mut columns);
    }
    let group = |column: &Column| match column.need {
        Need::Always => 0,
        Need::OneOf(_) => 1,
        Need::When(_) => 2,
        Need::Within(_) | Need::Never => 3,
    };
    columns.sort_by_key(group);
    columns
}

fn flatten(field: &Field, name: &str, need: Need, into: &mut Vec<Column>) {
    let column = |leaf: Option<&Leaf>, list: bool, need: Need| Column {
        name: name.to_owned(),
        need,
        meaning: field.meaning.clone(),
        leaf: leaf.cloned(),
        list,
    };
    match &field.form {
        Form::Plain(leaf) => into.push(column(Some(leaf), false, need)),
        Form::List(leaf) => into.push(column(Some(leaf), true, need)),
        Form::Open => into.push(column(None, false, need)),
        Form::Object(inner) => {
            for field in inner {
                let need = within(field, &need, name);
                flatten(field, &format!("{name}.{}", field.name), need, into);
            }
        }
        Form::Numbered(inner, most) => {
            let shown = SHOWN[usize::from(need != Need::Always)].min(*most);
            for number in 1..=shown {
                let entry = format!("{name}.{number}");
                // A list that is needed may be empty, so no single entry of it is.
                for field in inner {
                    let need = if field.required { Need::Within(entry.clone()) } else { Need::Never };
                    flatten(field, &format!("{entry}.{}", field.name), need, into);
                }
            }
        }
    }
}

fn within(field: &Field, outer: &Need, group: &str) -> Need {
    match (field.required, outer) {
        (true, Need::Always) => Need::Always,
        (true, _) => Need::Within(group.to_owned()),
        (false, _) => Need::Never,
    }
}

/// What the schema's conditions ask of a field that is not always needed.
fn sometimes(schema: &Value, name: &str) -> Need {
    let conditions = || schema["else"]["allOf"].as_array().into_iter().flatten();
    let holds = |list: &Value| list.as_array().is_some_and(|list| list.iter().any(|item| item == name));
    for condition in conditions() {
        let ways: Vec<&Value> = condition["oneOf"].as_array().into_iter().flatten().collect();
        if ways.iter().any(|way| holds(&way["required"])) {
            let names = ways.iter().filter_map(|way| way["required"][0].as_str()).map(str::to_owned);
            return Need::OneOf(names.collect());
        }
    }
    let mut cases = Vec::new();
    for condition in conditions().filter(|condition| holds(&condition["then"]["required"])) {
        for (field, test) in condition["if"]["properties"].as_object().into_iter().flatten() {
            let words: Vec<&str> =
                test["enum"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
            cases.push(format!("{field} is {}", words.join(" or ")));
        }
    }
    if cases.is_empty() { Need::Never } else { Need::When(cases.join("; or ")) }
}

impl Column {
    /// The unit that the name states, as the schema does: `lengthMetre`, `decimalLatitude`.
    pub(crate) fn unit(&self) -> Option<&'static str> {
        const UNITS: [(&str, &str); 18] = [
            ("MilligramPerKilogram", "milligram per kilogram"),
            ("GramPerKilogram", "gram per kilogram"),
            ("MilligramPerLitre", "milligram per litre"),
            ("SquareMetre", "square metre"),
            ("Kilometre", "kilometre"),
            ("Metre", "metre"),
            ("InMeters", "metre"),
            ("Kilogram", "kilogram"),
            ("Milligram", "milligram"),
            ("Millilitre", "millilitre"),
            ("elsius", "degree Celsius"),
            ("Latitude", "degree, WGS 84"),
            ("Longitude", "degree, WGS 84"),
            ("Minutes", "minute"),
            ("days", "day"),
            ("PerDay", "a day"),
            ("Megahertz", "megahertz"),
            ("Share", "share of 1"),
        ];
        let numeric =
            self.leaf.as_ref().is_some_and(|leaf| matches!(leaf.of, fields::Of::Whole | fields::Of::Number));
        let last = self.name.split('.').rev().find(|step| !step.bytes().all(|byte| byte.is_ascii_digit()))?;
        let ending =
            |name: &str| UNITS.iter().find(|(ending, _)| name.ends_with(ending)).map(|(_, unit)| *unit);
        let of_list = || self.name.split('.').find_map(ending);
        if numeric { ending(last).or_else(of_list) } else { None }
    }
}
