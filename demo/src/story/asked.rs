//! What the coordination asks in the story, as the hub's interface takes it.

use super::arrivals::LEAVE;
use super::frame::{DESHARU, YARD};
use serde_json::{Value, json};

/// What the coordination asks of a plan in the dusk of 9 July: a place for the five lots of the
/// tally, each one batch; the small ones stay together. A lot in two centres costs two crews, two sets
/// of papers and two quarantines, hence the fixed minutes.
pub fn lorry_asked() -> Value {
    let lots = [
        lot("77-L", "Lissemys punctata", 190, 0.24, "yellow", false),
        lot("77-N", "Nilssonia gangetica", 64, 0.58, "yellow", false),
        lot("77-P", "Pangshura tecta", 31, 0.2, "yellow", true),
        lot("77-H", "Hardella thurjii", 18, 0.42, "yellow", true),
        lot("77-G", "Geoclemys hamiltonii", 9, 0.3, "yellow", true),
    ];
    json!({ "requests": lots, "costs": { "fixedMinutes": 700 } })
}

fn lot(lot: &str, name: &str, count: u32, longest: f64, triage: &str, indivisible: bool) -> Value {
    json!({
        "requestID": lot,
        "lotID": format!("meruva.police:{lot}"),
        "batchID": format!("B-{lot}"),
        "individualCount": count,
        "scientificName": name,
        // The longest of a handful laid out in the yard; the rest were judged by eye.
        "length": { "value": longest, "measure": "straightCarapaceLength", "method": "taped" },
        "triage": triage,
        "stay": "quarantine",
        "from": { "placeID": YARD },
        "fitToTravel": { "fit": "yes" },
        "custody": { "caseProperty": "yes", "leave": { "orderNumber": LEAVE, "endDate": "2026-12-31" } },
        "earliestDeparture": "2026-07-09T20:40:00+05:30",
        "indivisible": indivisible,
    })
}

/// The triage hall asked for those that the plan leaves, under the order that waives its room.
pub fn hall_asked(count: &Value) -> Value {
    let mut request = lot("77-N2", "Nilssonia gangetica", 0, 0.58, "yellow", false);
    request["individualCount"] = count.clone();
    request["waivers"] = json!([
        { "rule": "room", "orderNumber": "O-26-32", "endDate": "2026-07-30", "partyIDs": [DESHARU] },
    ]);
    request
}
