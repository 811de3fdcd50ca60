//! From the validator's errors to problems a person can act on: at the field, once, with a way
//! out.

use std::collections::HashSet;

use haulout_schemas::rule::Rule;
use jsonschema::ValidationError;
use jsonschema::error::ValidationErrorKind as Kind;
use serde_json::Value;

use crate::catalogue::schema;
use crate::checker::Located;
use crate::json::node::Node;
use crate::json::{place, pointer};
use crate::problem::Problem;
use crate::words::{counted, shown};

use super::nearest::nearest;
use super::{Schemas, message, subschema};

/// Problems of one record shown one by one; the rest are counted in a last one. A record with more
/// is wrong as a whole, and a hostile one must not fill the memory.
const MOST: usize = 50;

/// All problems of a record that does not follow its schema, in the order of the text.
pub(super) fn all<'e>(
    published: &Value,
    errors: impl Iterator<Item = ValidationError<'e>>,
    node: &Node<'_>,
    text: &str,
    schemas: &Schemas,
) -> Vec<Located> {
    let case = Case { schema: published, node, schemas };
    let mut seen = HashSet::new();
    let mut more = 0_u64;
    let mut found: Vec<Located> = Vec::new();
    for error in errors {
        for problem in case.explain(&error) {
            let at = problem.pointer.clone().unwrap_or_default();
            if !seen.insert((problem.code.clone(), at.clone())) {
                continue;
            }
            if found.len() == MOST {
                more += 1;
            } else {
                let offset = case.offset(text, &problem.code, &at);
                found.push(Located { problem, offset });
            }
        }
    }
    keep_the_cause(&mut found);
    found.sort_by_key(|located| located.offset);
    pair_misspelt_with_missing(&mut found);
    if more > 0 {
        let problem = Problem::of(
            &schema::MORE_PROBLEMS,
            format!("and {} in this record", counted(more, "more problem", "more problems")),
        )
        .at("");
        found.push(Located { problem, offset: None });
    }
    found
}

/// One record that does not follow its schema.
pub(super) struct Case<'c> {
    pub(super) schema: &'c Value,
    node: &'c Node<'c>,
    schemas: &'c Schemas,
}

impl Case<'_> {
    /// The problems that one error of the validator stands for.
    fn explain(&self, error: &ValidationError<'_>) -> Vec<Problem> {
        let at = error.instance_path().as_str();
        let path = error.schema_path().as_str();
        match error.kind() {
            Kind::AdditionalProperties { unexpected } | Kind::UnevaluatedProperties { unexpected } => {
                let fields = subschema::properties_around(self.schema, path);
                unexpected.iter().map(|name| self.unknown_field(at, name, fields)).collect()
            }
            Kind::Required { property } => {
                vec![self.missing_field(at, path, property.as_str().unwrap_or_default())]
            }
            Kind::PropertyNames { error: inner } => {
                let name = inner.instance().as_str().unwrap_or_default().to_owned();
                vec![self.misplaced_field(at, path, &name)]
            }
            Kind::FalseSchema => {
                let (front, name) = pointer::split_last(at).unwrap_or(("", String::new()));
                vec![self.misplaced_field(front, path, &name)]
            }
            Kind::OneOfNotValid { context } | Kind::AnyOf { context } => self.no_branch(at, path, context),
            Kind::OneOfMultipleValid { .. } => vec![self.excluding(at, path)],
            Kind::Not { schema } => vec![self.negated(at, path, schema)],
            _ => vec![message::plain(self, error, at, path)],
        }
    }

    /// What the pointer names.
    pub(super) fn value(&self, at: &str) -> Option<&Node<'_>> {
        self.node.at(at)
    }

    fn offset(&self, text: &str, code: &str, at: &str) -> Option<usize> {
        let named = matches!(code, "unknown-field" | "not-allowed-here");
        let own = if named { place::name(text, at) } else { place::value(text, at) };
        // A field that is not there is shown where its object begins.
        own.or_else(|| place::value(text, pointer::split_last(at)?.0))
    }

    fn unknown_field(&self, at: &str, name: &str, fields: Option<&Value>) -> Problem {
        let problem = Problem::of(&schema::UNKNOWN_FIELD, format!("there is no field {}", shown(name)))
            .at(pointer::below(at, name));
        let near = nearest(name, subschema::names(fields));
        let help = match near {
            Some(near) => format!("Did you mean `{near}`?"),
            None => {
                let elsewhere: Vec<&str> = self
                    .schemas
                    .iter()
                    .filter(|other| at.is_empty() && other.fields().any(|field| field == name))
                    .map(|other| other.kind.as_str())
                    .collect();
                if elsewhere.is_empty() {
                    "Put fields of your own below `extensions`.".to_owned()
                } else {
                    let kinds = crate::words::alternatives(&elsewhere, 4);
                    format!("It is a field of records of kind {kinds}, not of this kind.")
                }
            }
        };
        problem.with_help(help)
    }

    fn missing_field(&self, at: &str, path: &str, name: &str) -> Problem {
        let because = subschema::condition(self.schema, path, self.value(at));
        let text = match because {
            Some(condition) => format!("`{name}` is missing, needed because {condition}"),
            None => format!("`{name}` is missing"),
        };
        let problem = Problem::of(&schema::MISSING_FIELD, text).at(pointer::below(at, name));
        let meaning = subschema::properties_around(self.schema, path)
            .and_then(|fields| subschema::meaning(self.schema, fields, name));
        match meaning {
            Some(meaning) => problem.with_help(format!("Add it. {meaning}")),
            None => problem,
        }
    }

    fn misplaced_field(&self, at: &str, path: &str, name: &str) -> Problem {
        let because = subschema::condition(self.schema, path, self.value(at));
        let text = match because {
            Some(condition) => format!("`{}` cannot stand here because {condition}", clean(name)),
            None => format!("`{}` cannot stand here", clean(name)),
        };
        Problem::of(&schema::NOT_ALLOWED_HERE, text).at(pointer::below(at, name))
    }

    /// No branch of a choice fits. Choices between fields are told as such; any other choice is
    /// told by the branch that came nearest.
    fn no_branch(&self, at: &str, path: &str, context: &[Vec<ValidationError<'static>>]) -> Vec<Problem> {
        if let Some(choices) = choices(self.schema, path) {
            let listed: Vec<String> = choices.iter().map(|names| together(names)).collect();
            let problem = Problem::of(
                &schema::MISSING_ONE_OF,
                format!("one of these is needed: {}", listed.join(", or ")),
            );
            return vec![problem.at(at)];
        }
        // Nearest: the branch whose first error lies deepest, then the one with the fewest.
        let depth = |errors: &[ValidationError<'static>]| {
            errors
                .iter()
                .map(|error| error.instance_path().as_str().matches('/').count())
                .min()
                .unwrap_or_default()
        };
        let nearest = context
            .iter()
            .filter(|errors| !errors.is_empty())
            .max_by_key(|errors| (depth(errors), std::cmp::Reverse(errors.len())));
        match nearest {
            Some(errors) => errors.iter().flat_map(|error| self.explain(error)).collect(),
            None => vec![Problem::of(&schema::NO_FORM_FITS, "fits none of the forms allowed here").at(at)],
        }
    }

    fn excluding(&self, at: &str, path: &str) -> Problem {
        let text = match choices(self.schema, path) {
            Some(choices) => {
                let listed: Vec<String> = choices.iter().map(|names| together(names)).collect();
                format!("only one of these may be given: {}", listed.join(", or "))
            }
            None => "fits more than one of the forms allowed here".to_owned(),
        };
        Problem::of(&schema::NOT_TOGETHER, text).at(at)
    }

    fn negated(&self, at: &str, path: &str, schema: &Value) -> Problem {
        if let Some(names) = required(schema) {
            return Problem::of(&schema::NOT_TOGETHER, format!("{} exclude each other", together(&names)))
                .at(at)
                .with_help("Leave one of them out.");
        }
        if schema.get("pattern").is_some() {
            return Problem::of(&schema::LINE_END, "a line end stands in this text")
                .at(at)
                .with_help("Remove it: identifiers, names and dates stand on one line, and an export may have left one at the end.");
        }
        let problem = Problem::of(&schema::NOT_ALLOWED_HERE, "this is not allowed here").at(at);
        match subschema::description_around(self.schema, path) {
            Some(meaning) => problem.with_help(meaning),
            None => problem,
        }
    }
}

/// One slip is one problem: a value of the wrong type is in no list either, and a text with a line
/// end also fails its pattern.
fn keep_the_cause(found: &mut Vec<Located>) {
    let at = |rule: &Rule| -> HashSet<Option<String>> {
        found
            .iter()
            .filter(|located| located.problem.code == rule.code)
            .map(|located| located.problem.pointer.clone())
            .collect()
    };
    let wrong_types = at(&schema::WRONG_TYPE);
    let line_ends = at(&schema::LINE_END);
    found.retain(|located| {
        let problem = &located.problem;
        let follows_from_type =
            problem.code == schema::NOT_IN_LIST.code || problem.code == schema::WRONG_VALUE.code;
        !(follows_from_type && wrong_types.contains(&problem.pointer)
            || problem.code == schema::WRONG_PATTERN.code && line_ends.contains(&problem.pointer))
    });
}

/// A field name that may come from the file, fit for a message.
fn clean(name: &str) -> String {
    shown(name).trim_matches('"').to_owned()
}

fn required(schema: &Value) -> Option<Vec<&str>> {
    let members = schema.as_object().filter(|members| members.len() == 1)?;
    members.get("required")?.as_array()?.iter().map(Value::as_str).collect()
}

/// The fields that a choice lies between, where every branch only demands fields.
fn choices<'s>(schema: &'s Value, path: &str) -> Option<Vec<Vec<&'s str>>> {
    schema.pointer(path)?.as_array()?.iter().map(required).collect()
}

fn together(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" and ")
}

/// A misspelt field usually makes another one missing; the second is then told to be the first.
fn pair_misspelt_with_missing(found: &mut [Located]) {
    let meant: Vec<(String, String)> = found
        .iter()
        .filter(|located| located.problem.code == "unknown-field")
        .filter_map(|located| {
            let (object, name) = pointer::split_last(located.problem.pointer.as_deref()?)?;
            let help = located.problem.help.as_deref()?;
            let near = help.strip_prefix("Did you mean `")?.strip_suffix("`?")?;
            Some((pointer::below(object, near), name))
        })
        .collect();
    for located in found.iter_mut().filter(|located| located.problem.code == "missing-field") {
        if let Some((_, name)) = meant.iter().find(|(at, _)| Some(at) == located.problem.pointer.as_ref()) {
            located.problem.help = Some(format!("It may be the field {}: rename that.", shown(name)));
        }
    }
}
