//! The ledger's share of a large region's days: arrivals, deaths, releases, eggs fetched, journeys,
//! what was told late and what was set right. Whatever posts nothing is left out.

use chrono::{Days, NaiveDate};
use haulout_checking::{CheckedLine, Checker, Settings};
use haulout_store::ToSeal;
use serde_json::{Value, json};
use std::collections::{HashMap, VecDeque};

const CENTRES: usize = 40;
/// Of each centre and day.
const RESCUES: u64 = 4;
const DEATHS: u64 = 2;
const RELEASES: u64 = 2;
const LINES_OF_A_JOURNEY: usize = 4;
/// Of what comes from beyond the region, and of what goes there.
const LINES_FROM_OUTSIDE: usize = 8;
/// A mistake is found so many days later.
const MENDED_AFTER: usize = 15;

const SPECIES: [&str; 12] = [
    "Crocodylus palustris",
    "Crocodylus porosus",
    "Gavialis gangeticus",
    "Lissemys punctata",
    "Nilssonia gangetica",
    "Nilssonia hurum",
    "Pangshura tecta",
    "Hardella thurjii",
    "Geoclemys hamiltonii",
    "Indotestudo elongata",
    "Batagur kachuga",
    "Chitra indica",
];
const STAGES: [&str; 4] = ["adult", "subadult", "juvenile", "hatchling"];
const SOURCES: [&str; 3] = ["wild", "private", "trade"];

/// Numbers that look drawn, the same in every run.
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, most: u64) -> u64 {
        // Knuth's multiplier; the upper bits are the good ones.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.below(of.len() as u64)).unwrap()]
    }
}

/// A region whose days are told one after the other.
pub struct Basin {
    drawn: Drawn,
    checker: Checker,
    day: NaiveDate,
    records: u64,
    /// What each centre keeps, so that nobody sends away what is not there.
    kept: HashMap<(usize, &'static str, &'static str), u64>,
    /// Receipts of tomorrow.
    under_way: Vec<Value>,
    /// Second revisions, by day.
    to_mend: VecDeque<Vec<Value>>,
}

fn centre(at: usize) -> String {
    format!("meruva.centre-{at}")
}

impl Basin {
    /// Forty invented centres on the eve of a day.
    pub fn new(first: NaiveDate) -> Self {
        Self {
            drawn: Drawn(7),
            checker: Checker::new(Settings::standard(None)).unwrap(),
            day: first,
            records: 0,
            kept: HashMap::new(),
            under_way: Vec::new(),
            to_mend: (0..MENDED_AFTER).map(|_| Vec::new()).collect(),
        }
    }

    /// The day that is told next.
    pub const fn day(&self) -> NaiveDate {
        self.day
    }

    /// The region file: who the centres are.
    pub fn region() -> String {
        let parties: Vec<Value> = (0..CENTRES)
            .map(|at| {
                json!({
                    "partyID": centre(at), "role": "centre", "name": format!("Centre {at}"),
                    "latitude": 17.0 + at as f64 / 100.0, "longitude": 88.0 + at as f64 / 100.0,
                })
            })
            .collect();
        json!({ "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata", "parties": parties })
            .to_string()
    }

    /// The records of the next day, checked.
    pub fn next(&mut self) -> Vec<ToSeal> {
        let mut told = std::mem::take(&mut self.under_way);
        told.extend(self.to_mend.pop_front().unwrap_or_default());
        self.to_mend.push_back(Vec::new());
        for at in 0..CENTRES {
            self.arrivals(at, &mut told);
            self.ends(at, &mut told);
            self.journey(at, &mut told);
        }
        self.day = self.day.succ_opt().unwrap();
        told.iter().map(|value| self.checked(value)).collect()
    }

    fn arrivals(&mut self, at: usize, told: &mut Vec<Value>) {
        for _ in 0..RESCUES {
            let (name, stage) = (self.drawn.one(&SPECIES), self.drawn.one(&STAGES));
            let count = 1 + self.drawn.below(4);
            let source = self.drawn.one(&SOURCES);
            let mut rescue = self.frame("rescue", at, self.day, json!({
                "event": if source == "private" { "surrender" } else { "fromWild" }, "source": source,
                "individualCount": count, "countMethod": "counted", "scientificName": name, "lifeStage": stage,
            }));
            rescue["lotID"] = json!(format!("{}:{}", centre(at), rescue["recordID"].as_str().unwrap()));
            *self.kept.entry((at, name, stage)).or_default() += count;
            // One in fifty was one more than written down.
            if self.drawn.below(50) == 0 {
                let mut mended = rescue.clone();
                mended["revision"] = json!(2);
                mended["revisionReason"] = json!("typing");
                mended["individualCount"] = json!(count + 1);
                *self.kept.entry((at, name, stage)).or_default() += 1;
                self.to_mend.back_mut().unwrap().push(mended);
            }
            told.push(rescue);
        }
        let mut lines = Vec::new();
        for _ in 0..LINES_FROM_OUTSIDE {
            let (name, stage, count) =
                (self.drawn.one(&SPECIES), self.drawn.one(&STAGES), 1 + self.drawn.below(3));
            *self.kept.entry((at, name, stage)).or_default() += count;
            lines.push(json!({
                "arrived": "alive", "lotID": format!("{}:o{}", centre(at), self.records), "scientificName": name,
                "lifeStage": stage, "individualCount": count,
            }));
        }
        let consignment = format!("{}:o{}", centre(at), self.records);
        told.push(self.frame(
            "receipt",
            at,
            self.day,
            json!({
                "consignmentID": consignment, "origin": "outside", "lines": lines,
            }),
        ));
        let laid = self.day.pred_opt().unwrap().to_string();
        let count = 10 + self.drawn.below(20);
        let eggs = self.frame("clutch", at, self.day, json!({
            "event": "collected", "scientificName": "Nilssonia gangetica", "individualCount": count,
            "lotID": format!("{}:e{}", centre(at), self.records), "laidOn": laid, "topsMarked": true, "incubation": "box",
        }));
        told.push(eggs);
    }

    /// Takes some of what is kept; nothing where a few draws find nothing.
    fn take(&mut self, at: usize) -> Option<(&'static str, &'static str)> {
        for _ in 0..4 {
            let (name, stage) = (self.drawn.one(&SPECIES), self.drawn.one(&STAGES));
            if let Some(kept @ 1..) = self.kept.get_mut(&(at, name, stage)) {
                *kept -= 1;
                return Some((name, stage));
            }
        }
        None
    }

    fn ends(&mut self, at: usize, told: &mut Vec<Value>) {
        for n in 0..DEATHS + RELEASES {
            let Some((name, stage)) = self.take(at) else { continue };
            let lot = format!("{}:lot-{}", centre(at), self.records);
            told.push(if n < DEATHS {
                // One in fifty is told forty days late.
                let late = self.drawn.below(50) == 0;
                let day = if late { self.day.checked_sub_days(Days::new(40)).unwrap() } else { self.day };
                let when = self.drawn.one(&["inCare", "within48h"]);
                self.frame("mortality", at, day, json!({
                    "event": "death", "lotID": lot, "scientificName": name, "individualCount": 1, "lifeStage": stage,
                    "when": when,
                }))
            } else {
                self.frame("release", at, self.day, json!({
                    "lotID": lot, "scientificName": name, "individualCount": 1, "lifeStage": stage,
                    "permitNumber": "MA-P-0001", "method": "direct",
                }))
            });
        }
    }

    /// Lines of a dispatch, of what is kept.
    fn crated(&mut self, at: usize, most: usize) -> Vec<(&'static str, &'static str)> {
        (0..most).filter_map(|_| self.take(at)).collect()
    }

    fn lines(&self, at: usize, crated: &[(&str, &str)]) -> Vec<Value> {
        let lot = format!("{}:lot-{}", centre(at), self.records);
        let line = |(name, stage): &(&str, &str)| json!({ "lotID": lot, "scientificName": name, "lifeStage": stage, "individualCount": 1 });
        crated.iter().map(line).collect()
    }

    fn journey(&mut self, at: usize, told: &mut Vec<Value>) {
        let crated = self.crated(at, LINES_FROM_OUTSIDE);
        if !crated.is_empty() {
            let consignment = format!("{}:b{}", centre(at), self.records);
            let lines = self.lines(at, &crated);
            told.push(self.frame(
                "dispatch",
                at,
                self.day,
                json!({
                    "consignmentID": consignment, "destination": "outside", "lines": lines,
                }),
            ));
        }
        let to = (at + 1 + usize::try_from(self.drawn.below(CENTRES as u64 - 1)).unwrap()) % CENTRES;
        let crated = self.crated(at, LINES_OF_A_JOURNEY);
        for (name, stage) in &crated {
            *self.kept.entry((to, *name, *stage)).or_default() += 1;
        }
        let mut lines = self.lines(at, &crated);
        if lines.is_empty() {
            return;
        }
        let consignment = format!("{}:t{}", centre(at), self.records);
        told.push(self.frame("dispatch", at, self.day, json!({
            "consignmentID": consignment, "destination": "region", "destinationID": centre(to), "lines": lines,
        })));
        for line in &mut lines {
            line["arrived"] = json!("alive");
        }
        let morning = self.day.succ_opt().unwrap();
        let receipt = self.frame(
            "receipt",
            to,
            morning,
            json!({
                "consignmentID": consignment, "origin": "transit", "originID": centre(at), "lines": lines,
            }),
        );
        self.under_way.push(receipt);
    }

    fn frame(&mut self, kind: &str, at: usize, day: NaiveDate, members: Value) -> Value {
        self.records += 1;
        let mut value = json!({
            "recordID": format!("r{:08}", self.records), "revision": 1, "kind": kind, "schemaVersion": "1.0",
            "authorID": centre(at), "centreID": centre(at), "eventDate": day.to_string(), "recordedBy": "duty.keeper",
        });
        value.as_object_mut().unwrap().extend(members.as_object().unwrap().clone());
        value
    }

    fn checked(&self, value: &Value) -> ToSeal {
        match self.checker.check_line(value.to_string().as_bytes(), 1) {
            CheckedLine::Accepted(accepted) => {
                let kept = accepted.kept.unwrap();
                ToSeal {
                    line: accepted.line,
                    record: accepted.record,
                    canonical: kept.canonical,
                    record_hash: *kept.record_hash.as_bytes(),
                    content_hash: *kept.content_hash.as_bytes(),
                }
            }
            CheckedLine::Refused(refused) => panic!("refused: {value}\n{:#?}", refused.problems),
        }
    }
}
