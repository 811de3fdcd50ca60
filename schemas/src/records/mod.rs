//! The record kinds, one struct each, grouped by the part of the work that they tell of.

pub mod arrival;
pub mod authority;
pub mod breeding;
pub mod count;
pub mod ending;
pub mod freeing;
pub mod health;
pub mod identity;
pub mod keeping;
pub mod standing;
pub mod transfer;

use crate::envelope::Envelope;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

/// A part of a record: serde and schema derives, camel case, absent instead of null.
macro_rules! body {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$field_meta:meta])* pub $field:ident : $type:ty),+ $(,)? }) => {
        #[serde_with::skip_serializing_none]
        #[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(rename_all = "camelCase")]
        $(#[$meta])*
        pub struct $name { $($(#[$field_meta])* pub $field: $type),+ }
    };
}
pub(crate) use body;

macro_rules! kinds {
    ($($(#[doc = $doc:literal])+ $kind:ident($body:ty) = $text:literal, rank $rank:literal;)+) => {
        /// What a record tells of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        pub enum Kind { $($(#[doc = $doc])+ #[serde(rename = $text)] $kind),+ }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[$(Self::$kind),+];

            /// The kind as records write it.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$kind => $text),+ }
            }

            /// Order of kinds within one day. It orders projections; rules that need an order do not rest on it.
            pub const fn rank(self) -> u8 {
                match self { $(Self::$kind => $rank),+ }
            }

            pub(crate) fn body_schema(self, generator: &mut SchemaGenerator) -> Schema {
                match self { $(Self::$kind => <$body>::json_schema(generator)),+ }
            }
        }

        /// What a record of each kind carries beside its frame.
        #[derive(Clone, Debug, PartialEq, Serialize)]
        #[serde(untagged)]
        #[allow(clippy::large_enum_variant, reason = "records are read one at a time and soon dropped")]
        pub enum Body { $($(#[doc = $doc])+ $kind($body)),+ }

        impl Body {
            fn read<'de, D: Deserializer<'de>>(kind: Kind, source: D) -> Result<Self, D::Error> {
                Ok(match kind { $(Kind::$kind => Self::$kind(Deserialize::deserialize(source)?)),+ })
            }

            /// The kind that the body belongs to.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$kind(_) => Kind::$kind),+ }
            }
        }
    };
}

kinds! {
    /// Arrival from the wild, a seizure, a surrender, the gate, or a readmission.
    Rescue(arrival::Rescue) = "rescue", rank 1;
    /// A bulk lot counted out.
    Tally(arrival::Tally) = "tally", rank 2;
    /// Triage, examination, fitness to travel, certificate.
    Assessment(health::Assessment) = "assessment", rank 3;
    /// A laboratory's answer.
    Result(health::LaboratoryResult) = "result", rank 3;
    /// Drug, procedure, binding, recovery.
    Treatment(health::Treatment) = "treatment", rank 3;
    /// A step of a batch's quarantine.
    Quarantine(health::Quarantine) = "quarantine", rank 3;
    /// Where a subject lives.
    Housing(keeping::Housing) = "housing", rank 3;
    /// A mark applied, read, looked for.
    Marking(keeping::Marking) = "marking", rank 3;
    /// Food, water, heat, rounds.
    Care(keeping::Care) = "care", rank 3;
    /// Eggs in hand.
    Clutch(breeding::Clutch) = "clutch", rank 3;
    /// A nest left in place.
    Nest(breeding::Nest) = "nest", rank 3;
    /// Species, sex or stage determined.
    Determination(identity::Determination) = "determination", rank 2;
    /// Lots split, merged, an animal named.
    Regrouping(identity::Regrouping) = "regrouping", rank 2;
    /// Case property.
    Custody(keeping::Custody) = "custody", rank 3;
    /// What is to become of the animal.
    Outlook(keeping::Outlook) = "outlook", rank 3;
    /// Death, necropsy, disposal.
    Mortality(ending::Mortality) = "mortality", rank 4;
    /// Escaped, stolen, missing, found.
    Loss(ending::Loss) = "loss", rank 4;
    /// Bite, attack, dangerous escape.
    Incident(ending::Incident) = "incident", rank 3;
    /// Animals leave.
    Dispatch(transfer::Dispatch) = "dispatch", rank 5;
    /// Animals arrive.
    Receipt(transfer::Receipt) = "receipt", rank 1;
    /// Both ends agree what became of what is left.
    Settlement(transfer::Settlement) = "settlement", rank 6;
    /// A place or consignment refused.
    Refusal(transfer::Refusal) = "refusal", rank 3;
    /// Back to the wild.
    Release(freeing::Release) = "release", rank 5;
    /// Caught and freed the same day.
    Relocation(freeing::Relocation) = "relocation", rank 5;
    /// Seen, caught or read in the wild.
    Sighting(freeing::Sighting) = "sighting", rank 3;
    /// A unit or row of units.
    Capacity(standing::Capacity) = "capacity", rank 0;
    /// What can be done tonight, or a route.
    Readiness(standing::Readiness) = "readiness", rank 0;
    /// A standstill.
    Biosecurity(standing::Biosecurity) = "biosecurity", rank 0;
    /// What a centre may keep.
    Licence(authority::Licence) = "licence", rank 0;
    /// A thing with a balance.
    Permit(authority::Permit) = "permit", rank 0;
    /// An order or a leave.
    Order(authority::Order) = "order", rank 0;
    /// What was counted.
    Census(count::Census) = "census", rank 7;
    /// A difference put into the books.
    Adjustment(count::Adjustment) = "adjustment", rank 7;
    /// The same, or not the same.
    Link(identity::Link) = "link", rank 2;
}

impl std::fmt::Display for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::str::FromStr for Kind {
    type Err = ();
    fn from_str(text: &str) -> Result<Self, ()> {
        Self::ALL.iter().copied().find(|kind| kind.as_str() == text).ok_or(())
    }
}

/// One immutable statement by one party of one event.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Who writes, about what, when.
    pub envelope: Envelope,
    /// What is told; `None` where this revision takes the record back.
    pub body: Option<Body>,
}

impl Record {
    /// Reads a record from its canonical text. The text must have passed the schema; canonical
    /// numbers are without needless fractions, so `3.0` has become `3`.
    ///
    /// # Errors
    /// A `serde_json` error where the text is not a record of its kind.
    pub fn parse(canonical: &str) -> Result<Self, serde_json::Error> {
        let envelope: Envelope = serde_json::from_str(canonical)?;
        Self::with_body(envelope, &mut serde_json::Deserializer::from_str(canonical))
    }

    /// Reads a record from a JSON tree that has passed the schema. Numbers without a fraction must
    /// be handed over as whole numbers, also where the text had written `3.0`.
    ///
    /// # Errors
    /// The source's error where the tree is not a record of its kind.
    pub fn read<'de, D: Deserializer<'de> + Copy>(tree: D) -> Result<Self, D::Error> {
        Self::with_body(Envelope::deserialize(tree)?, tree)
    }

    fn with_body<'de, D: Deserializer<'de>>(envelope: Envelope, source: D) -> Result<Self, D::Error> {
        let body = match envelope.withdrawn {
            Some(true) => None,
            _ => Some(Body::read(envelope.kind, source)?),
        };
        Ok(Self { envelope, body })
    }

    /// The record as a JSON object, frame and body side by side.
    ///
    /// # Errors
    /// A `serde_json` error where a number is not finite.
    pub fn to_json(&self) -> Result<Value, serde_json::Error> {
        let mut whole = serde_json::to_value(&self.envelope)?;
        if let (Some(into), Some(body)) = (whole.as_object_mut(), &self.body)
            && let Value::Object(fields) = serde_json::to_value(body)?
        {
            into.extend(fields);
        }
        Ok(whole)
    }

    /// The kind.
    pub fn kind(&self) -> Kind {
        self.envelope.kind
    }
}
