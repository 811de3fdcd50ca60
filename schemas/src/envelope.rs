//! What every record carries, whatever its kind, and the parts that several kinds share.

use crate::event_date::EventDate;
use crate::text::{
    LocalId, LotId, OrganismId, PartyId, RecordId, RecorderId, SchemaVersion, ScientificName, Sha256Hex,
};
use crate::vocabulary::{LengthMeasure, LengthMethod, LifeStage, Sex};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use serde_with::skip_serializing_none;

/// The frame of every record: who writes, about what, when.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Envelope {
    /// The writer's identifier of the record; with `authorID` and `revision` it is the record's key.
    #[serde(rename = "recordID")]
    pub record_id: RecordId,
    /// 1 for the first version; a higher one replaces a lower whatever arrives first.
    #[schemars(range(min = 1, max = 9999))]
    pub revision: u16,
    /// What the record tells of.
    pub kind: crate::records::Kind,
    /// Version of the open schema: `1.0`.
    pub schema_version: SchemaVersion,
    /// The party that writes.
    #[serde(rename = "authorID")]
    pub author_id: PartyId,
    /// The centre whose stock it concerns.
    #[serde(rename = "centreID")]
    pub centre_id: Option<PartyId>,
    /// The holding point whose stock it concerns, in place of `centreID`.
    #[serde(rename = "pointID")]
    pub point_id: Option<PartyId>,
    /// When the event happened.
    pub event_date: EventDate,
    /// Pseudonymous id or office of whoever recorded it.
    pub recorded_by: Option<RecorderId>,
    /// The individually known animal that it is about. Darwin Core: `dwc:organismID`.
    #[serde(rename = "organismID")]
    pub organism_id: Option<OrganismId>,
    /// The lot or clutch that it is about.
    #[serde(rename = "lotID")]
    pub lot_id: Option<LotId>,
    /// Species, or genus, family or order while nobody knows better. Darwin Core: `dwc:scientificName`.
    pub scientific_name: Option<ScientificName>,
    /// Doubt about the name: `cf.`, `aff.`, or a remark. Darwin Core: `dwc:identificationQualifier`.
    #[schemars(length(min = 1, max = 60))]
    pub identification_qualifier: Option<String>,
    /// True when this revision takes the record back; it then carries the frame and the reason only.
    pub withdrawn: Option<bool>,
    /// Why the record is taken back.
    #[schemars(length(min = 1, max = 500))]
    pub withdrawn_reason: Option<String>,
    /// Why a later revision was needed, for example `overlooked` when an animal was missed in a census.
    pub revision_reason: Option<RevisionReason>,
    /// Photographs, papers and files that the record rests on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 50))]
    pub evidence: Vec<Evidence>,
    /// Free text. Not for names of people.
    #[schemars(length(max = 4000))]
    pub notes: Option<String>,
    /// The writer's own fields; Haulout keeps them and reads none.
    pub extensions: Option<Map<String, Value>>,
}

crate::vocabulary::vocabulary! {
    /// Why a record was revised.
    pub enum RevisionReason {
        /// An animal was overlooked when the census was taken.
        Overlooked = "overlooked",
        /// A slip of the pen.
        Typing = "typing",
        /// New knowledge about the same event (a chip read later, a laboratory answer).
        NewKnowledge = "newKnowledge",
        /// Put in writing after it was given by voice.
        PutInWriting = "putInWriting",
        /// Another reason, told in the notes.
        Other = "other",
    }

    /// What kind of evidence.
    pub enum EvidenceType {
        /// A photograph.
        Photograph = "photograph",
        /// A document: memo, certificate, letter.
        Document = "document",
        /// A sound or video recording.
        Recording = "recording",
        /// A physical object or sample kept.
        Object = "object",
    }
}

/// Something that the record rests on.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Evidence {
    /// What kind of evidence it is.
    #[serde(rename = "type")]
    pub evidence_type: EvidenceType,
    /// Where it is kept: a file number or address in the writer's own files.
    #[schemars(length(min = 1, max = 500))]
    pub reference: String,
    /// Digest of the file, so that it can be recognised later.
    pub sha256: Option<Sha256Hex>,
}

/// Names a record of any party.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RecordRef {
    /// The party that wrote it.
    #[serde(rename = "authorID")]
    pub author_id: PartyId,
    /// The writer's identifier.
    #[serde(rename = "recordID")]
    pub record_id: RecordId,
}

/// A length in metre, with what was measured and how. Fit uses `high` where it is given.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Length {
    /// The length in metre.
    #[schemars(range(min = 0.005, max = 9.0))]
    pub value: f64,
    /// What was measured.
    pub measure: LengthMeasure,
    /// How it was taken.
    pub method: LengthMethod,
    /// Lower end of an estimate, metre.
    #[schemars(range(min = 0.005, max = 9.0))]
    pub low: Option<f64>,
    /// Upper end of an estimate, metre.
    #[schemars(range(min = 0.005, max = 9.0))]
    pub high: Option<f64>,
}

/// A place in the landscape. Exact positions of threatened animals are shown to few.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Locality {
    /// In words. Darwin Core: `dwc:locality`.
    #[schemars(length(min = 1, max = 500))]
    pub locality: Option<String>,
    /// River, lake or pond. Darwin Core: `dwc:waterBody`.
    #[schemars(length(min = 1, max = 200))]
    pub water_body: Option<String>,
    /// A place of the region file. Darwin Core: `dwc:locationID`.
    #[serde(rename = "locationID")]
    pub location_id: Option<LocalId>,
    /// Degrees north, WGS 84. Darwin Core: `dwc:decimalLatitude`.
    #[schemars(range(min = -90.0, max = 90.0))]
    pub decimal_latitude: Option<f64>,
    /// Degrees east, WGS 84. Darwin Core: `dwc:decimalLongitude`.
    #[schemars(range(min = -180.0, max = 180.0))]
    pub decimal_longitude: Option<f64>,
    /// Radius in metre that surely holds the place; zero is not a radius. Darwin Core: `dwc:coordinateUncertaintyInMeters`.
    #[schemars(range(min = 1, max = 2_000_000))]
    pub coordinate_uncertainty_in_meters: Option<u32>,
    /// ISO 3166-1 alpha-2, `ZZ` unknown, `XZ` high seas. Darwin Core: `dwc:countryCode`.
    #[schemars(regex(pattern = r"^[A-Z]{2}$"), length(max = 2))]
    pub country_code: Option<String>,
}

/// Which animals of a consignment: one animal, or a number out of a lot.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct SubjectLine {
    /// The animal, where the line is of one animal known by its number.
    #[serde(rename = "organismID")]
    pub organism_id: Option<OrganismId>,
    /// The lot, where the line is of one lot.
    #[serde(rename = "lotID")]
    pub lot_id: Option<LotId>,
    /// Species, or genus, family or order while nobody knows better.
    pub scientific_name: ScientificName,
    /// Age class; `egg` is of commodity eggs.
    pub life_stage: Option<LifeStage>,
    /// Sex. Darwin Core: `dwc:sex`.
    pub sex: Option<Sex>,
    /// How many animals or eggs.
    #[schemars(range(min = 1, max = 1_000_000))]
    pub individual_count: u32,
}
