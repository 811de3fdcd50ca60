//! Patterned strings: identifiers and digests.
//!
//! A pattern here is part of the published schema, so it stays inside the subset of regular
//! expressions that every engine reads alike: anchored, `[0-9]` never `\d`, no look-around. Python's
//! `$` also matches before a final line end, so each patterned string additionally refuses them.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The schema of a string that matches `pattern` and holds no line end.
pub(crate) fn patterned(pattern: &str, max: u32, description: &str) -> Schema {
    json_schema!({
        "type": "string",
        "description": description,
        "maxLength": max,
        "pattern": pattern,
        "not": { "type": "string", "pattern": "[\\r\\n]" },
    })
}

macro_rules! text_type {
    ($(#[doc = $doc:literal])+ $name:ident, $schema_name:literal, $max:literal, $pattern:expr) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The text as written.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        impl From<String> for $name {
            fn from(text: String) -> Self {
                Self(text)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                $schema_name.into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                patterned($pattern, $max, concat!($($doc),+).trim())
            }
        }
    };
}

text_type!(
    /// A party or place: region-prefixed dotted lower case, such as `meruva.kolvani`.
    PartyId, "partyID", 64, "^[a-z][a-z0-9]{0,31}(?:[.][a-z][a-z0-9-]{0,31}){1,3}$"
);
text_type!(
    /// The writer's own identifier of a record: letters, digits, and `. _ : -` inside, 64 at most.
    RecordId, "recordID", 64, "^[A-Za-z0-9](?:[A-Za-z0-9._:-]{0,62}[A-Za-z0-9])?$"
);
text_type!(
    /// An animal for life, `partyID:number` of the first party that held it, or a UUID in lower case. Darwin Core: `dwc:organismID`.
    OrganismId, "organismID", 130, SUBJECT
);
text_type!(
    /// A counted group of one species kept together (or a clutch), `partyID:number` or a UUID in lower case.
    LotId, "lotID", 130, SUBJECT
);
text_type!(
    /// Animals travelling together: given with a promise, or coined by the sender as `authorID:number`.
    ConsignmentId, "consignmentID", 130, SUBJECT
);
text_type!(
    /// An identifier in the writer's own books (unit, crate, batch, sample, mark, permit, order, case): letters, digits, and blanks or `. _ , : / # ( ) & + -` inside, 64 at most.
    LocalId, "localID", 64, "^[A-Za-z0-9](?:[A-Za-z0-9 ._,:/#()&+-]{0,62}[A-Za-z0-9)])?$"
);
text_type!(
    /// A pseudonymous id or office of whoever recorded it, never a person's name. Darwin Core: `dwc:recordedByID`.
    RecorderId, "recordedBy", 64, "^[a-z0-9](?:[a-z0-9._-]{0,62}[a-z0-9])?$"
);
text_type!(
    /// A scientific name without doubt marks (`cf.`, `aff.` belong into `identificationQualifier`); a hybrid as `A x B`. Darwin Core: `dwc:scientificName`.
    ScientificName, "scientificName", 120, "^[A-Z][a-z]+(?: [a-z]+(?:-[a-z]+)*){0,2}(?: x [A-Z][a-z]+ [a-z]+(?:-[a-z]+)*)?$"
);
text_type!(
    /// SHA-256 in lower-case hexadecimal.
    Sha256Hex, "sha256", 64, "^[0-9a-f]{64}$"
);
text_type!(
    /// The version of the open schema that the record follows: `1.0`.
    SchemaVersion, "schemaVersion", 8, "^1[.]0$"
);

const SUBJECT: &str = concat!(
    "^(?:[a-z][a-z0-9]{0,31}(?:[.][a-z][a-z0-9-]{0,31}){1,3}:[A-Za-z0-9](?:[A-Za-z0-9._-]{0,38}[A-Za-z0-9])?",
    "|[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12})$"
);
