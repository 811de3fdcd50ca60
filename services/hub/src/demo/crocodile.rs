//! Points 1 and 2 of the story: a place for the crocodile in the brickworks pond, by telephone in the night.

use super::Basin;
use crate::cli::Failure;
use chrono::{DateTime, FixedOffset, TimeZone};
use serde_json::{Value, json};

/// What came of the night's call.
pub(super) struct Place {
    /// The options, one line each.
    pub options: Vec<String>,
    /// The exclusions, one line each.
    pub excluded: Vec<String>,
    /// What was kept.
    pub kept: String,
    /// The consignment under which the animal comes.
    pub consignment: String,
}

/// 2 July, 01:20.
pub(super) fn call() -> DateTime<FixedOffset> {
    minute(20)
}

fn minute(minute: u32) -> DateTime<FixedOffset> {
    // +05:30 is within a day, and the date is in the calendar.
    FixedOffset::east_opt(19_800)
        .and_then(|zone| zone.with_ymd_and_hms(2026, 7, 2, 1, minute, 0).single())
        .unwrap_or_default()
}

/// A mugger, "3 to 3.5 m" by torch: who can take it, and the best place kept and promised by phone.
pub(super) fn place(basin: &mut Basin) -> Result<Place, Failure> {
    let request = json!({
        "requestID": "brickworks-1",
        "scientificName": "Crocodylus palustris",
        "individualCount": 1,
        "length": { "value": 3.25, "low": 3.0, "high": 3.5, "measure": "totalLength", "method": "byEye" },
        "triage": "yellow",
        "stay": "quarantine",
        "from": { "latitude": 22.35, "longitude": 78.2 },
        // Nobody has seen it close; the district vet agrees to the journey if it walks into the crate.
        "fitToTravel": { "fit": "unknown", "vetsWord": "meruva.desharu duty vet, by phone" },
        "custody": { "caseProperty": "no" },
    });
    let answer = basin.coordination.post("/v1/placements/options", &request)?;
    let Some(best) = answer["options"].get(0).cloned() else {
        return Err(Failure::new(format!("no centre can take the crocodile: {}", answer["excluded"])));
    };
    let kept = basin.coordination.post("/v1/reservations", &json!({
        "places": [{ "request": request, "centreID": best["centreID"], "unitID": best["unitID"], "expectedAt": "2026-07-02T07:45:00+05:30" }],
    }))?;
    let number = kept["reservations"][0]["reservationID"].as_str().unwrap_or_default().to_owned();
    basin.set_clock(minute(40))?;
    let promised = basin.coordination.post(
        &format!("/v1/reservations/{number}/promise"),
        &json!({
            "onBehalfOf": { "office": "duty officer", "channel": "phone" },
        }),
    )?;
    let consignment = promised["consignmentID"].as_str().unwrap_or_default().to_owned();
    Ok(Place {
        options: list(&answer["options"], |option| {
            format!(
                "{:<8} {}, {} minutes on the road; room for {} more",
                short(&option["centreID"]),
                unit(option),
                option["minutes"],
                option["roomLeft"]
            )
        }),
        excluded: list(&answer["excluded"], |centre| {
            let reasons = list(&centre["failed"], |check| {
                format!("           {}", check["sentence"].as_str().unwrap_or_default())
            });
            format!("{:<8} no:\n{}", short(&centre["centreID"]), reasons.join("\n"))
        }),
        kept: format!("{}, {}", short(&best["centreID"]), unit(&best)),
        consignment,
    })
}

fn list(values: &Value, line: impl Fn(&Value) -> String) -> Vec<String> {
    values.as_array().into_iter().flatten().map(line).collect()
}

fn unit(option: &Value) -> String {
    format!("unit {}", option["unitID"].as_str().unwrap_or_default())
}

fn short(id: &Value) -> String {
    let name = id.as_str().unwrap_or_default().trim_start_matches("meruva.");
    let mut letters = name.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
