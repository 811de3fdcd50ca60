//! The published schema, one validator a kind.

pub(crate) mod explain;
pub(crate) mod gate;
mod lean;
mod message;
mod nearest;
mod subschema;

use haulout_schemas::{Kind, published};
use jsonschema::{PatternOptions, Validator};
use rayon::prelude::*;
use serde_json::Value;
use std::sync::OnceLock;

use crate::checker::Located;
use crate::json::node::Node;
use crate::json::view::Tree;

/// A published schema is itself at fault: nothing can be checked.
#[derive(Debug, thiserror::Error)]
#[error("the schema of `{kind}` cannot be used: {reason}")]
pub struct SchemaFault {
    /// The kind whose schema it is.
    pub kind: Kind,
    /// What the validator says.
    pub reason: String,
}

/// The schema of one kind, ready to use.
pub(crate) struct KindSchema {
    pub(crate) kind: Kind,
    pub(crate) schema: &'static Value,
    /// Decides; the [lean](lean::lean) form of the schema.
    validator: Validator<Tree>,
    /// Explains, in terms of the schema as published; made for the first record that is refused.
    explaining: OnceLock<Option<Validator<Tree>>>,
}

/// The schemas of all kinds.
pub(crate) struct Schemas {
    kinds: Vec<KindSchema>,
}

impl Schemas {
    /// Makes the validators of all published kinds.
    pub(crate) fn published() -> Result<Self, SchemaFault> {
        let kinds = Kind::ALL
            .par_iter()
            .map(|kind| KindSchema::new(*kind, published::schema_of(*kind)))
            .collect::<Result<_, _>>()?;
        Ok(Self { kinds })
    }

    /// The schema of a kind.
    pub(crate) fn of(&self, name: &str) -> Option<&KindSchema> {
        self.kinds.iter().find(|schema| schema.kind.as_str() == name)
    }

    /// All of them.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &KindSchema> {
        self.kinds.iter()
    }
}

/// A validator over our own tree. Formats are left out: the published schema says the same with
/// patterns, in every validator. The pattern engine takes time linear in the text.
pub(crate) fn validator(schema: &Value) -> Result<Validator<Tree>, String> {
    jsonschema::options_for::<Tree>()
        .with_draft(jsonschema::Draft::Draft202012)
        .with_pattern_options(PatternOptions::regex())
        .should_validate_formats(false)
        .offline()
        .build(schema)
        .map_err(|error| error.to_string())
}

impl KindSchema {
    fn new(kind: Kind, schema: &'static Value) -> Result<Self, SchemaFault> {
        let validator = validator(&lean::lean(schema)).map_err(|reason| SchemaFault { kind, reason })?;
        Ok(Self { kind, schema, validator, explaining: OnceLock::new() })
    }

    /// Whether the record follows the schema.
    pub(crate) fn accepts(&self, node: &Node<'_>) -> bool {
        self.validator.is_valid(node)
    }

    /// Why it does not, for a record that was not accepted.
    pub(crate) fn explain(&self, node: &Node<'_>, text: &str, all: &Schemas) -> Vec<Located> {
        let explaining = self.explaining.get_or_init(|| validator(self.schema).ok());
        let explaining = explaining.as_ref().unwrap_or(&self.validator);
        explain::all(self.schema, explaining.iter_errors(node), node, text, all)
    }

    /// The names of its top-level fields.
    pub(crate) fn fields(&self) -> impl Iterator<Item = &'static str> {
        subschema::names(self.schema.get("properties"))
    }
}
