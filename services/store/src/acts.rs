//! Acts: immutable steps taken in the hub, in the region's own chain.
//!
//! Acts never enter the account or the findings, except the configuration, through names and rules.

use crate::chain::{CHAIN_OF_ACTS, Hash, link, sha256};
use crate::database::{Locked, Store, digest_of, rows, run_with};
use crate::error::{Result, StoreError};
use crate::people::Role;
use haulout_reckoning::Micros;
use haulout_schemas::RecordRef;
use haulout_schemas::text::{ConsignmentId, LocalId, PartyId, ScientificName};
use schemars::{JsonSchema, Schema, schema_for};
use sea_orm::QueryResult;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use serde_with::skip_serializing_none;

/// Who took a step: an office, never a person.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct By {
    /// In which role.
    pub role: Role,
    /// For which party.
    #[serde(rename = "partyID")]
    pub party_id: Option<PartyId>,
    /// Login or token label: a pseudonymous id.
    pub recorded_by: Option<String>,
}

/// A step recorded for somebody else, as by telephone at night.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct OnBehalfOf {
    /// The office that decided, for example the centre's duty desk.
    #[schemars(length(min = 1, max = 120))]
    pub office: String,
    /// How it was told: `telephone`, `radio`, `message`, …
    #[schemars(length(min = 1, max = 40))]
    pub channel: String,
}

macro_rules! act {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$field_meta:meta])* pub $field:ident : $type:ty),* $(,)? }) => {
        $(#[$meta])*
        #[skip_serializing_none]
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "camelCase")]
        pub struct $name { /// Who took the step.
            pub by: By, $($(#[$field_meta])* pub $field: $type),* }
    };
}

act! {
    /// A region file came into force.
    pub struct ConfigurationLoaded {
        /// The file, whole.
        pub region_file: Value,
    }
}
act! {
    /// A place was asked for.
    pub struct ReservationAsked {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// Where.
        #[serde(rename = "centreID")]
        pub centre_id: PartyId,
        /// In which unit or row; the centre decides where it is left out.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// For how many.
        pub individual_count: u32,
        /// Of which species.
        pub scientific_name: ScientificName,
        /// The centre or point that the animals come from; left out, they are in the wild.
        #[serde(rename = "fromID")]
        pub from_id: Option<PartyId>,
        /// Until when the centre may answer, RFC 3339.
        pub deadline: String,
        /// When the animals should arrive, RFC 3339.
        pub expected_at: Option<String>,
        /// The request that it answers, as the planner knows it.
        pub request: Value,
        /// The plan of which it is part.
        #[serde(rename = "planID")]
        pub plan_id: Option<String>,
    }
}
act! {
    /// The centre promised the place.
    pub struct ReservationPromised {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// The journey under which the animals come.
        #[serde(rename = "consignmentID")]
        pub consignment_id: ConsignmentId,
        /// Set where the step was recorded for the centre.
        pub on_behalf_of: Option<OnBehalfOf>,
    }
}
act! {
    /// The centre confirmed a step that had been recorded for it.
    pub struct ReservationConfirmed {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
    }
}
act! {
    /// The centre refused.
    pub struct ReservationRefused {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// Why.
        #[schemars(length(min = 1, max = 500))]
        pub reason: String,
        /// Set where the step was recorded for the centre.
        pub on_behalf_of: Option<OnBehalfOf>,
    }
}
act! {
    /// The animals set out; the sender's dispatch may come later.
    pub struct ReservationDeparted {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// When, RFC 3339.
        pub departed_at: String,
        /// Set where the step was recorded for the sender.
        pub on_behalf_of: Option<OnBehalfOf>,
    }
}
act! {
    /// The place is no longer needed, or no longer given.
    pub struct ReservationCancelled {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// Why.
        #[schemars(length(min = 1, max = 500))]
        pub reason: String,
        /// Set where the step was recorded for another.
        pub on_behalf_of: Option<OnBehalfOf>,
    }
}
act! {
    /// The coordination named the record that filled the place.
    pub struct ReservationFilled {
        /// The reservation.
        #[serde(rename = "reservationID")]
        pub reservation_id: String,
        /// The record.
        pub record: RecordRef,
    }
}
act! {
    /// A party signed off a statement.
    pub struct SignedOff {
        /// The period.
        pub period: String,
        /// As known at, RFC 3339.
        pub as_known_at: String,
        /// Digest of the figures.
        pub account_digest: String,
        /// Digest of the findings.
        pub findings_digest: String,
        /// Only this centre's part.
        #[serde(rename = "centreID")]
        pub centre_id: Option<PartyId>,
        /// Remark.
        #[schemars(length(min = 1, max = 2000))]
        pub note: Option<String>,
    }
}
act! {
    /// The authority accepted a finding: it stays a finding, and nobody is asked again.
    pub struct FindingAccepted {
        /// Its code.
        pub code: String,
        /// The records it rests on.
        pub records: Vec<RecordRef>,
        /// Why.
        #[schemars(length(min = 1, max = 2000))]
        pub reason: String,
    }
}
act! {
    /// Free text of a record was blanked; its hash stays.
    pub struct Redaction {
        /// The record.
        pub record: RecordRef,
        /// Which revision.
        pub revision: u16,
        /// What was blanked, as JSON Pointers.
        pub pointers: Vec<String>,
        /// SHA-256 of the canonical text as it stands now.
        pub redacted_hash: String,
        /// Why.
        #[schemars(length(min = 1, max = 500))]
        pub reason: String,
    }
}

macro_rules! acts {
    ($($(#[doc = $doc:literal])+ $name:ident($body:ty) = $text:literal;)+) => {
        /// An act.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(tag = "kind")]
        pub enum Act { $($(#[doc = $doc])+ #[serde(rename = $text)] $name($body)),+ }

        impl Act {
            /// Every kind of act, as texts.
            pub const KINDS: &'static [&'static str] = &[$($text),+];

            /// The kind, as acts write it.
            pub const fn kind(&self) -> &'static str {
                match self { $(Self::$name(_) => $text),+ }
            }

            /// Who took the step.
            pub const fn by(&self) -> &By {
                match self { $(Self::$name(body) => &body.by),+ }
            }
        }

        $(impl From<$body> for Act {
            fn from(body: $body) -> Self {
                Self::$name(body)
            }
        })+
    };
}

acts! {
    /// A region file came into force.
    ConfigurationLoaded(ConfigurationLoaded) = "configurationLoaded";
    /// A place was asked for.
    ReservationAsked(ReservationAsked) = "reservationAsked";
    /// A place was promised.
    ReservationPromised(ReservationPromised) = "reservationPromised";
    /// A step recorded by telephone was confirmed.
    ReservationConfirmed(ReservationConfirmed) = "reservationConfirmed";
    /// A place was refused.
    ReservationRefused(ReservationRefused) = "reservationRefused";
    /// The animals set out.
    ReservationDeparted(ReservationDeparted) = "reservationDeparted";
    /// A place was given up.
    ReservationCancelled(ReservationCancelled) = "reservationCancelled";
    /// The record that filled a place was named.
    ReservationFilled(ReservationFilled) = "reservationFilled";
    /// A statement was signed off.
    SignedOff(SignedOff) = "signedOff";
    /// A finding was accepted.
    FindingAccepted(FindingAccepted) = "findingAccepted";
    /// Free text was blanked.
    Redaction(Redaction) = "redaction";
}

/// The published schema of acts.
pub fn published_schema() -> Schema {
    schema_for!(Act)
}

/// An act as the journal keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredAct {
    /// 1, 2, 3, … within the region's chain.
    pub sequence: i64,
    /// Since when the hub knows it.
    pub known_from: Micros,
    /// What was done.
    pub act: Act,
    /// RFC 8785 text.
    pub canonical: String,
    /// SHA-256 of it.
    pub hash: Hash,
    /// The chain's link.
    pub link: Hash,
}

impl Locked {
    /// Seals acts into the region's chain, each with its own stamp.
    pub(crate) async fn append(&mut self, acts: &[Act]) -> Result<Vec<StoredAct>> {
        let mut sealed = Vec::with_capacity(acts.len());
        for act in acts {
            let canonical = serde_json_canonicalizer::to_string(act)?;
            let hash = sha256(canonical.as_bytes());
            let known_from = self.state.stamp();
            let sequence = self.state.act_sequence + 1;
            let link = link(CHAIN_OF_ACTS, sequence, known_from, &hash, &self.state.act_link)?;
            run_with(
                &self.tx,
                "INSERT INTO act (sequence, kind, known_from, canonical, hash, link) VALUES ($1, $2, $3, $4, $5, $6)".into(),
                vec![
                    sequence.into(),
                    act.kind().into(),
                    known_from.into(),
                    canonical.as_str().into(),
                    hash.to_vec().into(),
                    link.to_vec().into(),
                ],
            )
            .await?;
            (self.state.act_sequence, self.state.act_link) = (sequence, link);
            sealed.push(StoredAct { sequence, known_from, act: act.clone(), canonical, hash, link });
        }
        Ok(sealed)
    }
}

impl Store {
    /// Seals an act that changes no projection: a sign-off, an accepted finding.
    ///
    /// # Errors
    /// `Invalid` for an act that has a call of its own.
    pub async fn append(&self, act: Act) -> Result<StoredAct> {
        if !matches!(act, Act::SignedOff(_) | Act::FindingAccepted(_)) {
            return Err(StoreError::bug(format!("{} is not sealed by itself", act.kind())));
        }
        let mut locked = self.lock().await?;
        let mut sealed = locked.append(&[act]).await?;
        locked.commit().await?;
        sealed.pop().ok_or_else(|| StoreError::bug("an act was not sealed"))
    }

    /// Acts after a sequence number, oldest first, of some kinds only where `kinds` is not empty.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn acts(&self, kinds: &[&str], after: i64, limit: u64) -> Result<Vec<StoredAct>> {
        let mut sql = "SELECT * FROM act WHERE sequence > $1".to_owned();
        let mut values = vec![after.into()];
        if !kinds.is_empty() {
            let places: Vec<String> = (2..2 + kinds.len()).map(|n| format!("${n}")).collect();
            sql += &format!(" AND kind IN ({})", places.join(", "));
            values.extend(kinds.iter().map(|kind| sea_orm::Value::from(*kind)));
        }
        sql += &format!(" ORDER BY sequence LIMIT {limit}");
        rows(self.db(), sql, values).await?.iter().map(stored).collect()
    }
}

pub(crate) fn stored(row: &QueryResult) -> Result<StoredAct> {
    let canonical: String = row.try_get("", "canonical")?;
    Ok(StoredAct {
        sequence: row.try_get("", "sequence")?,
        known_from: row.try_get("", "known_from")?,
        act: serde_json::from_str(&canonical)?,
        hash: digest_of(row, "hash")?,
        link: digest_of(row, "link")?,
        canonical,
    })
}
