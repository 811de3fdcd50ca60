//! The fields of a kind as a tree, read from its published schema.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use haulout_schemas::{Kind, published};
use serde_json::Value;

static FIELDS: LazyLock<BTreeMap<Kind, Vec<Field>>> = LazyLock::new(|| {
    Kind::ALL.iter().map(|kind| (*kind, Reader { schema: published::schema_of(*kind) }.record())).collect()
});

/// The fields of a kind, in the order of its schema.
pub(crate) fn of(kind: Kind) -> &'static [Field] {
    FIELDS.get(&kind).map_or(&[], Vec::as_slice)
}

/// One field of an object.
#[derive(Debug)]
pub(crate) struct Field {
    /// As records write it.
    pub(crate) name: String,
    /// What it means, in the words of the schema.
    pub(crate) meaning: String,
    /// Whether its object must have it.
    pub(crate) required: bool,
    /// What it holds.
    pub(crate) form: Form,
}

/// What a field holds.
#[derive(Debug)]
pub(crate) enum Form {
    /// A plain value.
    Plain(Leaf),
    /// Plain values in a list.
    List(Leaf),
    /// An object of known fields.
    Object(Vec<Field>),
    /// Objects in a list of at most so many.
    Numbered(Vec<Field>, u64),
    /// An object of the writer's own fields.
    Open,
}

/// A plain value.
#[derive(Debug, Clone, Default)]
pub(crate) struct Leaf {
    /// Its JSON type.
    pub(crate) of: Of,
    /// The words it may take, each with its meaning; empty where it may be anything.
    pub(crate) words: Vec<(String, String)>,
    /// The least and the greatest number.
    pub(crate) bounds: (Option<f64>, Option<f64>),
    /// The most characters.
    pub(crate) longest: Option<u64>,
    /// How a text of a certain form is written, in the words of the schema; empty for any other.
    pub(crate) written: String,
    /// Whether it is a day, or a time of one.
    pub(crate) day: bool,
}

/// The JSON type of a plain value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Of {
    #[default]
    Text,
    Whole,
    Number,
    Truth,
}

struct Reader {
    schema: &'static Value,
}

impl Reader {
    fn record(&self) -> Vec<Field> {
        let also = &self.schema["else"]["required"];
        let mut fields = self.object(self.schema);
        for field in &mut fields {
            field.required |= names(also).any(|name| name == field.name);
        }
        fields
    }

    fn object(&self, schema: &Value) -> Vec<Field> {
        let properties = schema["properties"].as_object().into_iter().flatten();
        properties
            .map(|(name, property)| {
                let inner = self.target(property);
                let meaning = property["description"].as_str().or(inner["description"].as_str());
                Field {
                    name: name.clone(),
                    meaning: meaning.unwrap_or_default().to_owned(),
                    required: names(&schema["required"]).any(|required| required == name),
                    form: self.form(inner),
                }
            })
            .collect()
    }

    fn form(&self, schema: &Value) -> Form {
        match schema["type"].as_str() {
            Some("array") => {
                let item = self.target(&schema["items"]);
                match self.form(item) {
                    Form::Object(fields) => {
                        Form::Numbered(fields, schema["maxItems"].as_u64().unwrap_or(u64::MAX))
                    }
                    Form::Plain(leaf) => Form::List(leaf),
                    // The schema has no list of lists; should it get one, its cell holds JSON.
                    Form::List(_) | Form::Numbered(..) | Form::Open => Form::Open,
                }
            }
            Some("object") if schema["properties"].is_object() => Form::Object(self.object(schema)),
            Some("object") => Form::Open,
            _ => Form::Plain(leaf(schema)),
        }
    }

    /// What a reference points at, or the schema itself.
    fn target<'s>(&'s self, schema: &'s Value) -> &'s Value {
        schema["$ref"]
            .as_str()
            .and_then(|reference| self.schema.pointer(reference.strip_prefix('#')?))
            .unwrap_or(schema)
    }
}

fn leaf(schema: &Value) -> Leaf {
    let of = match schema["type"].as_str() {
        Some("integer") => Of::Whole,
        Some("number") => Of::Number,
        Some("boolean") => Of::Truth,
        _ => Of::Text,
    };
    let listed =
        names(&schema["enum"]).chain(schema["const"].as_str()).map(str::to_owned).chain(only_match(schema));
    let about = schema["description"].as_str().unwrap_or_default();
    let words =
        listed.map(|word| (meaning_of(&word, about), word)).map(|(meaning, word)| (word, meaning)).collect();
    Leaf {
        of,
        words,
        bounds: (schema["minimum"].as_f64(), schema["maximum"].as_f64()),
        longest: schema["maxLength"].as_u64(),
        written: schema["pattern"].as_str().map(|_| about.to_owned()).unwrap_or_default(),
        // Only dates name the centuries that their years may be of.
        day: schema["pattern"].as_str().is_some_and(|pattern| pattern.contains("(?:19|20|21)[0-9]{2}")),
    }
}

/// What the description of a vocabulary says of one word: a line "`word`: meaning".
fn meaning_of(word: &str, about: &str) -> String {
    let start = format!("`{word}`: ");
    about.lines().find_map(|line| line.strip_prefix(&start)).unwrap_or_default().to_owned()
}

/// The version of the schema is the one text that its pattern matches.
fn only_match(schema: &Value) -> Option<String> {
    let version = published::VERSION;
    let pattern = format!("^{}$", version.replace('.', "[.]"));
    (schema["pattern"].as_str() == Some(pattern.as_str())).then(|| version.to_owned())
}

fn names(list: &Value) -> impl Iterator<Item = &str> {
    list.as_array().into_iter().flatten().filter_map(Value::as_str)
}
