//! `region.json`: parties, points and roads, as a hub loads them.

use serde::Serialize;

use crate::basin::{Basin, LONGEST_HOURS, REGION, ROAD_FACTOR, Role, SPEED_KMH};

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RegionFile<'a> {
    region: &'a str,
    name: &'a str,
    time_zone: &'a str,
    parties: Vec<RegionParty<'a>>,
    points: Vec<RegionPoint<'a>>,
    road_factor: f64,
    speed_kilometre_per_hour: f64,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RegionParty<'a> {
    #[serde(rename = "partyID")]
    party_id: &'a str,
    role: Role,
    name: &'a str,
    latitude: f64,
    longitude: f64,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RegionPoint<'a> {
    #[serde(rename = "pointID")]
    point_id: &'a str,
    name: &'a str,
    #[serde(rename = "keeperID")]
    keeper_id: &'a str,
    latitude: f64,
    longitude: f64,
    longest_hours: u32,
}

/// The file's bytes.
pub(crate) fn file(basin: &Basin) -> Result<Vec<u8>, serde_json::Error> {
    serde_json::to_vec_pretty(&RegionFile {
        region: REGION,
        name: "Meruva basin",
        // The invented basin keeps the time of UTC+05:30.
        time_zone: "Asia/Kolkata",
        parties: basin
            .parties
            .iter()
            .map(|party| RegionParty {
                party_id: &party.id,
                role: party.role,
                name: &party.name,
                latitude: party.at.0,
                longitude: party.at.1,
            })
            .collect(),
        points: basin
            .places
            .iter()
            .filter(|place| place.point)
            .map(|place| RegionPoint {
                point_id: &place.id,
                name: &place.name,
                keeper_id: &basin.parties[place.keeper].id,
                latitude: place.at.0,
                longitude: place.at.1,
                longest_hours: LONGEST_HOURS,
            })
            .collect(),
        road_factor: ROAD_FACTOR,
        speed_kilometre_per_hour: SPEED_KMH,
    })
}
