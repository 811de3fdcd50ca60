//! The story as it is printed.

use super::Posted;
use super::crocodile::Place;
use super::lorry::Plan;
use chrono::{DateTime, FixedOffset, TimeZone};
use serde_json::Value;

/// The morning on which the authority reads the quarter for the first time.
pub(super) fn first_reading() -> DateTime<FixedOffset> {
    basin_time(2026, 10, 2, 8)
}

/// A month later.
pub(super) fn second_reading() -> DateTime<FixedOffset> {
    basin_time(2026, 11, 2, 8)
}

fn basin_time(year: i32, month: u32, day: u32, hour: u32) -> DateTime<FixedOffset> {
    // +05:30 is within a day, and the dates are in the calendar.
    FixedOffset::east_opt(19_800)
        .and_then(|zone| zone.with_ymd_and_hms(year, month, day, hour, 0, 0).single())
        .unwrap_or_default()
}

pub(super) fn opening(address: &str) {
    println!("The Meruva basin, third quarter of 2026. An invented river; real species.");
    println!("Hub at {address}, on a fresh SQLite file. Six centres, two holding points.\n");
}

pub(super) fn crocodile(place: &Place) {
    println!("2 July, 01:20. A mugger, \"3 to 3.5 m\" by torch, in a brickworks pond. People are kept back;");
    println!("nobody goes in before light. Who can take it? No reason was found against:\n");
    for option in &place.options {
        println!("  {option}");
    }
    println!("\nAgainst the others:\n");
    for excluded in &place.excluded {
        println!("  {excluded}");
    }
    println!("\n01:40. {} promised by phone; consignment {}.", place.kept, place.consignment);
    println!(
        "06:10. Caught at first light by a crew, jaws bound until 07:40: 3.38 m by tape, a snare wound.\n"
    );
}

pub(super) fn lorry(plan: &Plan) {
    println!(
        "9 July. A lorry at 39 degrees; the memo says about 330. Tallied: 312 alive, 9 dead, five species."
    );
    println!("20:00. A plan for all of them, to set out after dark, kept whole and promised by phone:\n");
    for line in plan.table.lines() {
        println!("  {line}");
    }
    println!("\nThose whom the plan leaves: {}.", plan.under_order);
    println!("Consignments: {}.\n", plan.consignments.join(", "));
    println!("10 July. Velitha signs for 48 Nilssonia gangetica: 46 alive, 1 dead, 1 really N. hurum.");
    println!(
        "21 July. Four deaths in a row of Desharu's: standstill. 31 July. Flood at Ombari: 36 gharials leave."
    );
    println!("22 August. A netted female carries a chip of 2023: back from the wild, not a new rescue.");
    println!(
        "14 September. Two clutches, 17 and 21 eggs. 30 September. Thulmar counts 41 tortoises against 42.\n"
    );
}

pub(super) fn statements(posted: &Posted, first: &Value, second: &Value) {
    println!(
        "Posted over HTTP: {} submissions, {} records accepted, {} rejected.\n",
        posted.submissions, posted.accepted, posted.rejected
    );
    println!("The authority reads 2026-Q3 as known at 2026-10-01:\n");
    println!(
        "  {:<18} {:<26} {:>7} {:>7} {:>7} {:>7} {:>7}",
        "", "", "opening", "in", "out", "closing", "census"
    );
    for row in rows(first) {
        let place = text(row, "centreID").or_else(|| text(row, "pointID")).unwrap_or_default();
        let eggs = if text(row, "commodity") == Some("eggs") { " (eggs)" } else { "" };
        let name = format!("{}{eggs}", text(row, "scientificName").unwrap_or_default());
        let census =
            row["census"]["individualCount"].as_i64().map_or_else(|| "-".to_owned(), |n| n.to_string());
        println!(
            "  {:<18} {:<26} {:>7} {:>7} {:>7} {:>7} {:>7}",
            place.trim_start_matches("meruva."),
            name,
            row["opening"].as_i64().unwrap_or_default(),
            sum(&row["in"]),
            sum(&row["out"]),
            row["closing"].as_i64().unwrap_or_default(),
            census
        );
    }
    let (animals, eggs) = totals(first);
    let deaths = &first["account"]["deaths"];
    println!(
        "\n  The region closes with {animals} animals and {eggs} eggs; on the road: {}.",
        on_road(first)
    );
    println!(
        "  Deaths: {} before rescue, {} in transit, {} within 48 h, {} in care.",
        deaths["beforeRescue"], deaths["inTransit"], deaths["within48h"], deaths["inCare"]
    );
    println!("\nWhat does not add up, or is worth knowing, as known at 2026-10-01 and at 2026-11-01:\n");
    for (title, statement) in [("2026-10-01", first), ("2026-11-01", second)] {
        println!("  {title}  accountDigest {}", text(statement, "accountDigest").unwrap_or_default());
        for finding in statement["findings"].as_array().into_iter().flatten() {
            let places: Vec<_> =
                finding["centreIDs"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
            println!(
                "    {:<9} {:<28} {}",
                text(finding, "severity").unwrap_or_default(),
                text(finding, "code").unwrap_or_default(),
                places.join(", ")
            );
        }
    }
    println!(
        "\n  One record explains the difference: Thulmar's census of 30 September, revision 2, known 4 October."
    );
}

pub(super) fn what_to_try(address: &str, authority: &str, coordination: &str) {
    println!("\nThe hub goes on serving; stop it with Ctrl-C. Try:\n");
    println!("  curl -s {address}/schemas/1.0/rescue.schema.json");
    println!(
        "  curl -s -H 'Authorization: Bearer {authority}' '{address}/v1/statements/2026-Q3?asKnownAt=2026-10-01&format=text'"
    );
    println!("  curl -s -H 'Authorization: Bearer {authority}' '{address}/v1/findings'");
    println!("  curl -s -H 'Authorization: Bearer {authority}' '{address}/v1/animals/meruva.kolvani:1'");
    println!(
        "  curl -s -H 'Authorization: Bearer {coordination}' '{address}/v1/centres/meruva.kolvani/units'"
    );
    println!(
        "  echo '{{\"kind\":\"rescu\"}}' | curl -s -H 'Content-Type: application/x-ndjson' --data-binary @- {address}/v1/checks\n"
    );
}

fn rows(statement: &Value) -> impl Iterator<Item = &Value> {
    statement["account"]["rows"].as_array().into_iter().flatten()
}

fn totals(statement: &Value) -> (i64, i64) {
    let of = |commodity: &str| {
        rows(statement)
            .chain(statement["account"]["transit"].as_array().into_iter().flatten())
            .filter(|row| text(row, "commodity") == Some(commodity))
            .filter_map(|row| row["closing"].as_i64())
            .sum()
    };
    (of("animals"), of("eggs"))
}

fn on_road(statement: &Value) -> i64 {
    statement["account"]["transit"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|row| row["closing"].as_i64())
        .sum()
}

fn sum(counters: &Value) -> i64 {
    counters.as_object().into_iter().flat_map(|members| members.values()).filter_map(Value::as_i64).sum()
}

fn text<'a>(value: &'a Value, member: &str) -> Option<&'a str> {
    value.get(member).and_then(Value::as_str)
}
