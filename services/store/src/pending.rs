//! Stands in for what reckoning will give: keys and the region file.

use haulout_reckoning as _;
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use haulout_schemas::text::PartyId;
use serde::Deserialize;

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Region {
    pub region: String,
    pub time_zone: String,
    #[serde(default)]
    pub points: Vec<Point>,
}
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Point {
    #[serde(rename = "pointID")]
    pub point_id: PartyId,
    #[serde(rename = "keeperID")]
    pub keeper_id: PartyId,
}
impl Region {
    pub fn parse(text: &str) -> Result<Self, serde_json::Error> {
        serde_json::from_str(text)
    }
    pub fn zone(&self) -> chrono_tz::Tz {
        self.time_zone.parse().unwrap_or(chrono_tz::UTC)
    }
    pub fn names(&self, _: &haulout_schemas::profile::Profiles) -> Result<Names, serde_json::Error> {
        Ok(Names::standard().clone())
    }
    pub fn profiles(&self) -> Result<haulout_schemas::profile::Profiles, serde_json::Error> {
        Ok(haulout_schemas::profile::Profiles::standard().clone())
    }
}
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(String);
impl Key {
    pub fn as_str(&self) -> &str {
        &self.0
    }
    pub fn from_text(text: impl Into<String>) -> Option<Self> {
        Some(Self(text.into()))
    }
    pub fn consignment(id: &haulout_schemas::text::ConsignmentId) -> Self {
        Self(format!("consignment/{id}"))
    }
    pub fn animal(id: &haulout_schemas::text::OrganismId) -> Self {
        Self(format!("animal/{id}"))
    }
}
pub fn keys(record: &Record, _names: &Names) -> Vec<Key> {
    let frame = &record.envelope;
    let mut keys = Vec::new();
    if let Some(id) = &frame.organism_id {
        keys.push(Key(format!("animal/{id}")));
    }
    if let Some(id) = &frame.lot_id {
        keys.push(Key(format!("lot/{id}")));
    }
    if let Some(id) = frame.centre_id.as_ref().or(frame.point_id.as_ref()) {
        keys.push(Key(format!("place/{id}")));
    }
    match &record.body {
        Some(haulout_schemas::Body::Dispatch(d)) => keys.push(Key::consignment(&d.consignment_id)),
        Some(haulout_schemas::Body::Receipt(d)) => keys.push(Key::consignment(&d.consignment_id)),
        _ => {}
    }
    keys
}
