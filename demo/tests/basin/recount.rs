//! The ledger of a set of records, counted anew from the contract's table of postings, over plain JSON.

use std::collections::BTreeMap;

use serde_json::Value;

use haulout_demo::Generated;

/// Account, species, eggs.
pub type Cell = (String, String, bool);
/// Changes by day.
pub type Ledger = BTreeMap<String, BTreeMap<Cell, i64>>;

/// All lines of all nights, in the order of their files.
pub fn lines(generated: &Generated) -> Vec<Value> {
    let files = generated.files.iter().filter(|(path, _)| path.starts_with("nights/"));
    files
        .flat_map(|(_, bytes)| std::str::from_utf8(bytes).unwrap().lines())
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// The highest revision of each record, withdrawn ones left out.
pub fn effective(lines: &[Value]) -> Vec<&Value> {
    let mut highest: BTreeMap<(&str, &str), &Value> = BTreeMap::new();
    for record in lines {
        let key = (record["authorID"].as_str().unwrap(), record["recordID"].as_str().unwrap());
        let held = highest.entry(key).or_insert(record);
        if record["revision"].as_u64() > held["revision"].as_u64() {
            *held = record;
        }
    }
    highest.into_values().filter(|record| record["withdrawn"] != true).collect()
}

fn word<'a>(value: &'a Value, field: &str) -> &'a str {
    value[field].as_str().unwrap_or_default()
}

fn count(value: &Value) -> i64 {
    value["individualCount"].as_i64().unwrap_or_default()
}

fn eggs(value: &Value) -> bool {
    value["lifeStage"] == "egg"
}

fn place_of(value: &Value) -> String {
    match (value["centreID"].as_str(), value["pointID"].as_str()) {
        (Some(centre), _) => format!("centre/{centre}"),
        (_, Some(point)) => format!("point/{point}"),
        _ => String::new(),
    }
}

struct Day<'a> {
    day: String,
    ledger: &'a mut Ledger,
}

impl Day<'_> {
    fn post(&mut self, from: &str, to: &str, name: &str, eggs: bool, quantity: i64) {
        let cells = self.ledger.entry(self.day.clone()).or_default();
        *cells.entry((from.to_owned(), name.to_owned(), eggs)).or_insert(0) -= quantity;
        *cells.entry((to.to_owned(), name.to_owned(), eggs)).or_insert(0) += quantity;
    }
}

/// Posts effective records by section 3 of the contract.
pub fn ledger(records: &[&Value]) -> Ledger {
    let mut ledger = Ledger::new();
    for record in records {
        let day = word(record, "eventDate")[..10].to_owned();
        post(record, &mut Day { day, ledger: &mut ledger });
    }
    ledger
}

fn post(record: &Value, day: &mut Day) {
    let stock = place_of(record);
    let name = word(record, "scientificName");
    let event = word(record, "event");
    let transit = record["consignmentID"].as_str().map(|id| format!("transit/{id}"));
    let here = transit.clone().unwrap_or_else(|| stock.clone());
    let number = count(record);
    let none = Vec::new();
    let listed = record["lines"].as_array().unwrap_or(&none);
    match word(record, "kind") {
        "rescue" => {
            let to = if record["vitality"] == "dead" { "dead" } else { &stock };
            day.post(word(record, "source"), to, name, eggs(record), number);
        }
        "tally" => {
            let sum = |field: &str| listed.iter().map(|line| line[field].as_i64().unwrap()).sum::<i64>();
            let counted = sum("alive") + sum("dead");
            day.post(&stock, "recount", name, eggs(record), record["lotCount"].as_i64().unwrap() - counted);
            day.post(&stock, "redetermined", name, eggs(record), counted);
            for line in listed {
                let (alive, dead) = (line["alive"].as_i64().unwrap(), line["dead"].as_i64().unwrap());
                day.post("redetermined", &stock, word(line, "scientificName"), eggs(line), alive + dead);
                day.post(&stock, "dead", word(line, "scientificName"), eggs(line), dead);
            }
        }
        "clutch" => match event {
            "collected" => day.post("wild", &here, name, true, number),
            "laid" => day.post("laid", &here, name, true, number),
            "failed" => day.post(&here, "dead", name, true, number),
            "foundHatched" => day.post("hatched", &here, name, false, number),
            "hatched" => {
                day.post(&here, "hatched", name, true, number);
                day.post("hatched", &here, name, false, number);
            }
            _ => {}
        },
        "mortality" if event == "death" => {
            let from = if record["takenFrom"] == "released" { "released" } else { &here };
            let to = record["end"].as_str().unwrap_or("dead");
            day.post(from, to, name, eggs(record), number);
        }
        "loss" if event == "found" => day.post(word(record, "lostAs"), &here, name, eggs(record), number),
        "loss" => day.post(&here, event, name, eggs(record), number),
        "determination" if event == "species" => {
            day.post(&here, "redetermined", word(record, "fromScientificName"), eggs(record), number);
            day.post("redetermined", &here, word(record, "toScientificName"), eggs(record), number);
        }
        "dispatch" => {
            let to = match word(record, "destination") {
                "outside" => "outside",
                "owner" => "owner",
                "placement" => "placedOut",
                "authority" => "handedOver",
                _ => &here,
            };
            for line in listed {
                day.post(&stock, to, word(line, "scientificName"), eggs(line), count(line));
            }
        }
        "receipt" => {
            let from = match word(record, "origin") {
                "outside" => "outside",
                "owner" => "owner",
                "placement" => "placedOut",
                "authority" => "handedOver",
                _ => &here,
            };
            for line in listed {
                let to = match word(line, "arrived") {
                    "notInCrate" => continue,
                    "dead" => "dead",
                    _ => &stock,
                };
                day.post(from, to, word(line, "scientificName"), eggs(line), count(line));
            }
        }
        "settlement" if event == "settled" => {
            for line in listed {
                day.post(
                    &here,
                    word(line, "settledAs"),
                    word(line, "scientificName"),
                    eggs(line),
                    count(line),
                );
            }
        }
        "link" if event == "same" => {
            let back = &record["notCounted"];
            if back.is_object() {
                day.day = word(back, "day").to_owned();
                let (name, source) = (word(back, "scientificName"), word(back, "source"));
                day.post(&place_of(back), source, name, eggs(back), count(back));
            }
        }
        "release" => day.post(&stock, "released", name, eggs(record), number),
        "census" if record["opening"] == true => {
            for line in listed {
                day.post("opening", &stock, word(line, "scientificName"), eggs(line), count(line));
            }
        }
        "adjustment" => day.post("unexplained", &stock, name, eggs(record), number),
        _ => {}
    }
}

/// Balances of all stocks at the close of each of these days, none of them zero.
pub fn balances(ledger: &Ledger, days: &[String]) -> BTreeMap<String, BTreeMap<Cell, i64>> {
    let mut running: BTreeMap<Cell, i64> = BTreeMap::new();
    let mut all = BTreeMap::new();
    let mut changes = ledger.iter().peekable();
    for day in days {
        while let Some((_, cells)) = changes.next_if(|(on, _)| *on <= day) {
            for (cell, delta) in cells {
                if cell.0.contains('/') {
                    *running.entry(cell.clone()).or_insert(0) += delta;
                }
            }
        }
        running.retain(|_, balance| *balance != 0);
        all.insert(day.clone(), running.clone());
    }
    all
}

/// The true stock of the answer sheet in the same form.
pub fn truth(generated: &Generated, days: &[String]) -> BTreeMap<String, BTreeMap<Cell, i64>> {
    let region: Value = serde_json::from_slice(&generated.files["region.json"]).unwrap();
    let points: Vec<&str> =
        region["points"].as_array().unwrap().iter().map(|point| word(point, "pointID")).collect();
    let mut all: BTreeMap<String, BTreeMap<Cell, i64>> =
        days.iter().map(|day| (day.clone(), BTreeMap::new())).collect();
    for holding in &generated.truth.holdings {
        let account = match (&holding.place_id, &holding.consignment_id) {
            (Some(place), _) if points.contains(&place.as_str()) => format!("point/{place}"),
            (Some(place), _) => format!("centre/{place}"),
            (None, id) => format!("transit/{}", id.as_ref().unwrap()),
        };
        for held in &holding.stock {
            let eggs = held.commodity == haulout_demo::Commodity::Eggs;
            let cell = (account.clone(), held.scientific_name.to_owned(), eggs);
            *all.get_mut(&holding.night).unwrap().entry(cell).or_insert(0) += i64::from(held.count);
        }
    }
    all
}

/// All days from the opening to the last night.
pub fn days(generated: &Generated) -> Vec<String> {
    let mut days: Vec<String> = generated
        .files
        .keys()
        .filter_map(|path| path.strip_prefix("nights/")?.split('/').next())
        .map(str::to_owned)
        .collect();
    days.dedup();
    days
}
