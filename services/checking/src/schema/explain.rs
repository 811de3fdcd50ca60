//! From the validator's errors to problems a person can act on: at the field, once, with a way
//! out.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashSet};

use haulout_schemas::rule::Rule;
use jsonschema::ValidationError;
use jsonschema::error::ValidationErrorKind as Kind;
use serde_json::Value;

use crate::catalogue::schema;
use crate::checker::Located;
use crate::json::node::Node;
use crate::json::place::Finder;
use crate::json::pointer;
use crate::problem::Problem;
use crate::words::{all_of, alternatives, counted, shown};

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
    let mut gathered =
        Gathered { finder: Finder::new(text), found: Vec::new(), seen: HashSet::new(), more: 0 };
    let mut misplaced: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for error in errors {
        if let Kind::PropertyNames { error: inner } = error.kind() {
            let at = error.instance_path().as_str().to_owned();
            let name = inner.instance().as_str().unwrap_or_default().to_owned();
            misplaced.entry((at, error.schema_path().as_str().to_owned())).or_default().push(name);
        } else {
            case.explain(&error, &mut gathered);
        }
    }
    for ((at, path), names) in misplaced {
        gathered.add(|| case.misplaced(&at, &path, &names));
    }
    gathered.into_order()
}

/// The problems of one record while they are gathered.
struct Gathered<'g> {
    finder: Finder<'g>,
    found: Vec<Located>,
    seen: HashSet<(Cow<'static, str>, Option<String>)>,
    more: u64,
}

impl Gathered<'_> {
    /// Adds a problem; one too many is only counted, and not even worded.
    fn add(&mut self, word: impl FnOnce() -> Problem) {
        if self.found.len() == MOST {
            self.more += 1;
            return;
        }
        let problem = word();
        if self.seen.insert((problem.code.clone(), problem.pointer.clone())) {
            let offset = self.offset(&problem);
            self.found.push(Located { problem, offset });
        }
    }

    fn offset(&mut self, problem: &Problem) -> Option<usize> {
        let at = problem.pointer.as_deref()?;
        let named = [schema::UNKNOWN_FIELD.code, schema::NOT_ALLOWED_HERE.code].contains(&&*problem.code);
        let own = if named { self.finder.name(at) } else { self.finder.value(at) };
        // A field that is not there is shown where its object begins.
        match own {
            Some(own) => Some(own),
            None => self.finder.value(pointer::split_last(at)?.0),
        }
    }

    fn into_order(mut self) -> Vec<Located> {
        keep_the_cause(&mut self.found);
        // What has no place in the text stands last.
        self.found.sort_by_key(|located| located.offset.unwrap_or(usize::MAX));
        pair_misspelt_with_missing(&mut self.found);
        if self.more > 0 {
            let more = counted(self.more, "more problem", "more problems");
            let problem = Problem::of(&schema::MORE_PROBLEMS, format!("and {more} in this record")).at("");
            self.found.push(Located { problem, offset: None });
        }
        self.found
    }
}

/// One record that does not follow its schema.
pub(super) struct Case<'c> {
    pub(super) schema: &'c Value,
    node: &'c Node<'c>,
    schemas: &'c Schemas,
}

impl Case<'_> {
    /// Adds the problems that one error of the validator stands for.
    fn explain(&self, error: &ValidationError<'_>, into: &mut Gathered<'_>) {
        let at = error.instance_path().as_str();
        let path = error.schema_path().as_str();
        match error.kind() {
            Kind::AdditionalProperties { unexpected } | Kind::UnevaluatedProperties { unexpected } => {
                let fields = subschema::properties_around(self.schema, path);
                for name in unexpected {
                    into.add(|| self.unknown_field(at, name, fields));
                }
            }
            Kind::Required { property } => {
                into.add(|| self.missing_field(at, path, property.as_str().unwrap_or_default()));
            }
            Kind::FalseSchema => {
                let (object, name) = pointer::split_last(at).unwrap_or(("", String::new()));
                into.add(|| self.misplaced(object, path, &[name]));
            }
            Kind::OneOfNotValid { context } | Kind::AnyOf { context } => {
                self.no_branch(at, path, context, into);
            }
            Kind::OneOfMultipleValid { .. } => into.add(|| self.excluding(at, path)),
            Kind::Not { schema } => into.add(|| self.negated(at, path, schema)),
            _ => into.add(|| message::plain(self, error, at, path)),
        }
    }

    /// What the pointer names.
    pub(super) fn value(&self, at: &str) -> Option<&Node<'_>> {
        self.node.at(at)
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
                    let kinds = alternatives(&elsewhere, 4);
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

    /// Fields that may not stand in this object: one problem, at the first of them.
    fn misplaced(&self, at: &str, path: &str, names: &[String]) -> Problem {
        let listed: Vec<String> = names.iter().map(|name| clean(name)).collect();
        let listed: Vec<&str> = listed.iter().map(String::as_str).collect();
        let fields = all_of(&listed, 8);
        let text = match subschema::condition(self.schema, path, self.value(at)) {
            Some(condition) => format!("{fields} cannot stand here because {condition}"),
            None => format!("{fields} cannot stand here"),
        };
        let first = names.first().map(String::as_str).unwrap_or_default();
        Problem::of(&schema::NOT_ALLOWED_HERE, text).at(pointer::below(at, first))
    }

    /// No branch of a choice fits. Choices between fields are told as such; any other choice is
    /// told by the branch that came nearest.
    fn no_branch(
        &self,
        at: &str,
        path: &str,
        context: &[Vec<ValidationError<'static>>],
        into: &mut Gathered<'_>,
    ) {
        if let Some(choices) = choices(self.schema, path) {
            into.add(|| {
                let text = format!("one of these is needed: {}", either(&choices));
                Problem::of(&schema::MISSING_ONE_OF, text).at(at)
            });
            return;
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
            Some(errors) => errors.iter().for_each(|error| self.explain(error, into)),
            None => {
                into.add(|| Problem::of(&schema::NO_FORM_FITS, "fits none of the forms allowed here").at(at))
            }
        }
    }

    fn excluding(&self, at: &str, path: &str) -> Problem {
        let text = match choices(self.schema, path) {
            Some(choices) => {
                format!("only one of these may be given: {}", either(&choices))
            }
            None => "fits more than one of the forms allowed here".to_owned(),
        };
        Problem::of(&schema::NOT_TOGETHER, text).at(at)
    }

    fn negated(&self, at: &str, path: &str, schema: &Value) -> Problem {
        if let Some(names) = required(schema) {
            return Problem::of(&schema::NOT_TOGETHER, format!("{} exclude each other", all_of(&names, 8)))
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

/// `` `a` or `b` ``; where a branch needs several fields: `` `a` and `b`, or `c` ``.
fn either(choices: &[Vec<&str>]) -> String {
    if choices.iter().all(|names| names.len() == 1) {
        return alternatives(&choices.concat(), 8);
    }
    let listed: Vec<String> = choices.iter().map(|names| all_of(names, 8)).collect();
    listed.join(", or ")
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
