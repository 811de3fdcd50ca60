//! Points 3 and 4 of the story: places for 312 turtles in one evening, all of them kept or none.

use super::Basin;
use crate::cli::Failure;
use crate::plans::table;
use chrono::{DateTime, FixedOffset, TimeZone};
use haulout_demo::story::{self, Consignments, DESHARU, OMBARI, VELITHA};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// What came of the evening.
pub(super) struct Plan {
    /// The plan as it is sent round.
    pub table: String,
    /// Where those without a lawful place stand until the order ends.
    pub under_order: String,
    /// The numbers of the journeys.
    pub consignments: Vec<String>,
}

/// 9 July, 20:00.
pub(super) fn dusk() -> DateTime<FixedOffset> {
    // +05:30 is within a day, and the date is in the calendar.
    FixedOffset::east_opt(19_800)
        .and_then(|zone| zone.with_ymd_and_hms(2026, 7, 9, 20, 0, 0).single())
        .unwrap_or_default()
}

/// A plan for all lots, kept whole; then the triage hall for those that it leaves, under the order.
pub(super) fn place(basin: &mut Basin, consignments: &mut Consignments) -> Result<Plan, Failure> {
    let answer = basin.coordination.post("/v1/placements/plans?keep=true", &story::lorry_asked())?;
    let table = table::text(&read(&answer["plan"])?, &read(&answer["requestFile"])?);
    let left =
        answer["plan"]["unplaced"].get(0).ok_or_else(|| Failure::new("nobody stays without a place"))?;
    let hall = basin.coordination.post(
        "/v1/reservations",
        &json!({
            "planID": answer["planID"],
            "places": [{
                "request": story::hall_asked(&left["individualCount"]),
                "centreID": DESHARU, "unitID": "DTH", "expectedAt": "2026-07-10T01:00:00+05:30",
            }],
        }),
    )?;
    let mut numbers = Vec::new();
    for kept in
        [&answer, &hall].into_iter().flat_map(|kept| kept["reservations"].as_array().into_iter().flatten())
    {
        let number = kept["reservationID"].as_str().unwrap_or_default();
        let promised = basin.coordination.post(
            &format!("/v1/reservations/{number}/promise"),
            &json!({ "onBehalfOf": { "office": "duty officer", "channel": "phone" } }),
        )?;
        let consignment = promised["consignmentID"].as_str().unwrap_or_default().to_owned();
        match promised["centreID"].as_str() {
            Some(DESHARU) => consignments.to_desharu.clone_from(&consignment),
            Some(VELITHA) => consignments.to_velitha.clone_from(&consignment),
            Some(OMBARI) => consignments.to_ombari.clone_from(&consignment),
            _ => return Err(Failure::new(format!("a place nobody expected: {promised}"))),
        }
        if !numbers.contains(&consignment) {
            numbers.push(consignment);
        }
    }
    Ok(Plan { table, under_order: under_order(&hall["reservations"][0]), consignments: numbers })
}

/// The place that an order gives, as it was kept.
fn under_order(kept: &Value) -> String {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let order = &kept["request"]["waivers"][0];
    format!(
        "{} of them, in unit {} of {}, under order {} until {}",
        kept["individualCount"],
        text(&kept["unitID"]),
        text(&kept["centreID"]),
        text(&order["orderNumber"]),
        text(&order["endDate"])
    )
}

fn read<T: DeserializeOwned>(value: &Value) -> Result<T, Failure> {
    T::deserialize(value).map_err(|error| Failure::new("the hub's answer does not read").because(error))
}
