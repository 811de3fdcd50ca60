//! From the plan to the empty crates: plans kept whole, the consignment, the driver's page; alarms in a
//! part of their own.

mod alarms;

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::{Answer, Client, Hub};
use serde_json::{Value, json};

const OMBARI: &str = "meruva.ombari";
const VELITHA: &str = "meruva.velitha";
const DESHARU: &str = "meruva.desharu";
const KOLVANI: &str = "meruva.kolvani";
const POLICE: &str = "meruva.police";
const YARD: &str = "meruva.yard";

struct Desk {
    posting: Posting,
    told: chrono::DateTime<chrono::FixedOffset>,
    consignments: story::Consignments,
}

impl Desk {
    /// A hub that has heard the story up to an instant.
    fn at(instant: &str) -> Self {
        let region = story::region();
        let begin = "2026-06-30T09:00:00+05:30";
        let posting = Posting::new(Hub::on_sqlite(&region), &region, begin);
        let told = chrono::DateTime::parse_from_rfc3339(begin).unwrap();
        let mut desk = Self { posting, told, consignments: story::Consignments::default() };
        desk.hear(instant);
        desk
    }

    /// Hears on.
    fn hear(&mut self, until: &str) {
        let until = chrono::DateTime::parse_from_rfc3339(until).unwrap();
        for post in story::posts(&self.consignments) {
            if post.at >= self.told && post.at < until {
                self.posting.hub.set_clock(&self.posting.operator, &post.at.to_rfc3339());
                let answer = self.posting.party(post.party).submit(&post.records);
                assert_eq!(answer.status, 200, "{} {}: {}", post.at, post.party, answer.text());
            }
        }
        self.told = until;
        self.posting.hub.set_clock(&self.posting.operator, &until.to_rfc3339());
    }

    fn clock(&self, now: &str) {
        self.posting.hub.set_clock(&self.posting.operator, now);
    }

    fn coordination(&self) -> &Client {
        self.posting.party("meruva.coordination")
    }

    fn keep(&self, body: &Value) -> Answer {
        self.coordination().post_json("/v1/reservations", body)
    }

    /// Keeps one place and has it promised by its centre; gives both numbers.
    fn promised(&self, place: &Value) -> (String, String) {
        let kept = self.keep(place);
        assert_eq!(kept.status, 201, "{}", kept.text());
        let id = kept.json()["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
        let centre = place["centreID"].as_str().unwrap();
        let promise =
            self.posting.party(centre).post_json(&format!("/v1/reservations/{id}/promise"), &json!({}));
        assert_eq!(promise.status, 200, "{}", promise.text());
        (id, promise.json()["consignmentID"].as_str().unwrap().to_owned())
    }

    fn alarms(&self, client: &Client) -> Vec<Value> {
        let answer = client.get("/v1/alarms");
        assert_eq!(answer.status, 200, "{}", answer.text());
        answer.json()["alarms"].as_array().unwrap().clone()
    }

    /// Codes of the alarms of one reservation, as the reservation itself shows them; the list of all
    /// alarms must say the same.
    fn codes(&self, id: &str) -> Vec<String> {
        let shown = self.coordination().get(&format!("/v1/reservations/{id}")).json();
        let own: Vec<Value> = shown["alarms"].as_array().unwrap().clone();
        let mut listed: Vec<Value> = self.alarms(self.coordination());
        listed.retain(|alarm| alarm["reservationID"] == id);
        let codes = |alarms: &[Value]| {
            let mut codes: Vec<String> =
                alarms.iter().map(|alarm| alarm["code"].as_str().unwrap().to_owned()).collect();
            codes.sort();
            codes
        };
        assert_eq!(codes(&own), codes(&listed));
        codes(&own)
    }

    fn post(&self, author: &str, id: &str, kind: &str, date: &str, fields: Value) {
        let answer = self.posting.party(author).submit(&[record(author, id, kind, date, fields)]);
        assert_eq!(answer.status, 200, "{}", answer.text());
    }
}

fn record(author: &str, id: &str, kind: &str, date: &str, fields: Value) -> Value {
    let mut record = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0",
        "authorID": author, "centreID": author, "eventDate": date,
    });
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

fn place(request: &str, centre: &str, unit: &str, from: &str, count: u32) -> Value {
    json!({
        "centreID": centre, "unitID": unit,
        "request": {
            "requestID": request, "scientificName": "Pangshura tecta", "individualCount": count, "lifeStage": "juvenile",
            "length": { "value": 0.1, "measure": "straightCarapaceLength", "method": "taped" },
            "triage": "green", "stay": "long", "from": { "placeID": from },
            "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
        },
    })
}

fn open(desk: &Desk) -> usize {
    desk.coordination().get("/v1/reservations?open=true").json()["reservations"].as_array().unwrap().len()
}

#[test]
fn a_plan_is_kept_whole_or_not_at_all() {
    let desk = Desk::at("2026-07-05T08:00:00+05:30");
    let asked_at = "2026-07-05T08:00:00+05:30";
    // Pool OT2 may hold 20 heads: 12 and 8 fill it, and one more is too many, and V9 is nowhere.
    let fits = [place("a", OMBARI, "OT2", YARD, 12), place("b", OMBARI, "OT2", YARD, 8)];
    let one_more = place("c", OMBARI, "OT2", YARD, 1);
    let nowhere = place("d", VELITHA, "V9", YARD, 1);
    let plan = json!({ "planID": "P-1", "asOf": asked_at, "places": [fits[0], fits[1], one_more, nowhere] });
    let lost = desk.keep(&plan);
    assert_eq!(lost.status, 409, "{}", lost.text());
    let problem = lost.json();
    assert_eq!(problem["code"], "place-taken");
    let gone = problem["noLonger"].as_array().unwrap();
    let told: Vec<_> = gone.iter().map(|one| (&one["place"], &one["requestID"], &one["unitID"])).collect();
    assert_eq!(
        told,
        [(&json!(2), &json!("c"), &json!("OT2")), (&json!(3), &json!("d"), &json!("V9"))],
        "{problem}"
    );
    assert!(gone.iter().all(|one| one["reason"].as_str().is_some_and(|reason| !reason.is_empty())));
    // What is offered instead is free with the rest of the plan kept: not the pool that it fills.
    let instead = gone[0]["alternatives"].as_array().unwrap();
    assert!(!instead.is_empty(), "{problem}");
    assert!(instead.iter().all(|option| option["unitID"] != "OT2"), "{problem}");
    assert_eq!(open(&desk), 0, "all or nothing");

    let whole = json!({ "planID": "P-1", "asOf": asked_at, "places": fits });
    let kept = desk.keep(&whole);
    assert_eq!(kept.status, 201, "{}", kept.text());
    let reservations = kept.json()["reservations"].as_array().unwrap().clone();
    assert_eq!(reservations.iter().map(|one| one["individualCount"].as_u64().unwrap()).sum::<u64>(), 20);
    assert!(reservations.iter().all(|one| one["planID"] == "P-1" && one["alarms"] == json!([])));
    assert_eq!(open(&desk), 2);

    // One place alone, without a plan; and promises of one plan travel under one number.
    let alone = desk.keep(&place("e", OMBARI, "OT1", YARD, 1));
    assert_eq!(alone.status, 201, "{}", alone.text());
    assert!(alone.json().get("basis").is_none());
    let numbers: Vec<Value> = reservations
        .iter()
        .map(|one| {
            let step = format!("/v1/reservations/{}/promise", one["reservationID"].as_str().unwrap());
            desk.posting.party(OMBARI).post_json(&step, &json!({})).json()["consignmentID"].clone()
        })
        .collect();
    assert_eq!(numbers[0], numbers[1]);

    // The pool is full now: the same plan again is refused place by place.
    let again = desk.keep(&whole).json();
    assert_eq!(again["noLonger"].as_array().unwrap().len(), 2, "{again}");
}

#[test]
fn a_plan_made_on_an_older_view_is_checked_again_and_says_so() {
    let desk = Desk::at("2026-07-05T08:00:00+05:30");
    let chosen = "2026-07-05T08:00:00+05:30";
    desk.clock("2026-07-05T09:00:00+05:30");
    let plan = json!({ "planID": "P-2", "asOf": chosen, "places": [place("a", OMBARI, "OT2", YARD, 10)] });
    let fresh = desk.keep(&plan).json();
    assert_eq!(fresh["basis"]["stale"], false, "{fresh}");
    // Since then a place was kept, and Ombari closes the pool.
    let stale = desk.keep(&plan).json();
    assert_eq!((&stale["basis"]["stale"], &stale["basis"]["checkedAgain"]), (&json!(true), &json!(1)));
    assert!(stale["basis"]["sentence"].as_str().unwrap().contains("checked again"), "{stale}");
    let closed = json!({ "event": "closed", "unitID": "OT2" });
    desk.post(OMBARI, "unit-OT2-closed", "capacity", "2026-07-05T08:30+05:30", closed);
    let gone = desk.keep(&plan);
    assert_eq!(gone.status, 409);
    assert_eq!(gone.json()["basis"]["stale"], true, "{}", gone.text());
    // Bad input, each a clear answer.
    let mut future = plan.clone();
    future["asOf"] = json!("2026-07-06T00:00:00+05:30");
    assert_eq!(desk.keep(&future).json()["code"], "not-yet-known");
    let mut no_instant = plan.clone();
    no_instant["asOf"] = json!("yesterday");
    assert_eq!(desk.keep(&no_instant).json()["errors"][0]["pointer"], "#/asOf");
    assert_eq!(desk.keep(&json!({ "planID": "P", "places": [] })).json()["code"], "bad-value");
    assert_eq!(desk.keep(&json!({ "planID": "P" })).json()["code"], "bad-json");
    let mut none = place("a", OMBARI, "OT1", YARD, 1);
    none["request"]["individualCount"] = json!(0);
    assert_eq!(desk.keep(&none).json()["code"], "bad-value");
}

/// A place is kept in the unit that was asked for: what another unit of the centre would allow does
/// not count.
#[test]
fn the_unit_itself_is_judged_not_the_best_of_its_centre() {
    let desk = Desk::at("2026-07-02T01:20:00+05:30");
    let mugger = |unit: &str| {
        json!({
            "centreID": KOLVANI, "unitID": unit,
            "request": {
                "requestID": "brickworks-1", "scientificName": "Crocodylus palustris", "individualCount": 1,
                "length": { "value": 3.0, "measure": "totalLength", "method": "byEye" },
                "triage": "yellow", "stay": "quarantine", "from": { "latitude": 22.35, "longitude": 78.2 },
                "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
            },
        })
    };
    // K1 stops at 2.8 m, and 20 K2 of 3.0 m are 45 m2 of water, which it has; K2 stops at 4 m.
    let refused = desk.keep(&mugger("K1"));
    assert_eq!(refused.status, 409, "{}", refused.text());
    let gone = &refused.json()["noLonger"][0];
    assert!(gone["failed"].as_array().unwrap().iter().any(|check| check["code"] == "length-limit"), "{gone}");
    assert_eq!(gone["alternatives"][0]["unitID"], "K2", "{gone}");
    assert_eq!(desk.keep(&mugger("K2")).status, 201);
}

#[test]
fn a_consignment_is_told_from_promise_to_empty_crates() {
    let mut desk = Desk::at("2026-07-09T23:00:00+05:30");
    let one =
        |desk: &Desk, party: &str, id: &str| desk.posting.party(party).get(&format!("/v1/consignments/{id}"));
    let on_the_road = one(&desk, POLICE, "meruva.police:2").json();
    assert_eq!(on_the_road["stage"], "underWay");
    assert_eq!(
        on_the_road["inTransit"],
        json!([
            { "scientificName": "Nilssonia gangetica", "commodity": "animals", "count": 48 },
            { "scientificName": "Pangshura tecta", "commodity": "animals", "count": 31 },
        ])
    );
    // Velitha signs for 46 alive, 1 dead, 1 of another species, and 31: the ledger is off by one name.
    desk.hear("2026-07-11T08:00:00+05:30");
    let received = one(&desk, VELITHA, "meruva.police:2").json();
    assert_eq!(received["stage"], "unsettled", "{received}");
    let left: Vec<_> = received["inTransit"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| (line["scientificName"].as_str().unwrap(), line["count"].as_i64().unwrap()))
        .collect();
    assert_eq!(left, [("Nilssonia gangetica", 1), ("Nilssonia hurum", -1)]);
    assert_eq!(received["findings"][0]["code"], "consignment-species", "{}", received["findings"]);
    assert_eq!(received["dispatches"].as_array().unwrap().len(), 1);
    assert_eq!(received["receipts"].as_array().unwrap().len(), 1);
    assert_eq!(received["crates"].as_array().unwrap().len(), 4);
    // A third party sees nothing of it, and nobody sees what there is not.
    assert_eq!(one(&desk, OMBARI, "meruva.police:2").status, 404);
    assert_eq!(one(&desk, VELITHA, "meruva.police:99").status, 404);
    // Settled by both; and eight crates have gone back from Desharu undisinfected.
    desk.hear("2026-07-13T08:00:00+05:30");
    let settled = one(&desk, VELITHA, "meruva.police:2").json();
    assert_eq!((&settled["stage"], &settled["inTransit"]), (&json!("arrived"), &json!([])));
    assert_eq!(settled["settlements"].as_array().unwrap().len(), 2);
    assert_eq!(settled["findings"], json!([]), "closed");
    let crates = one(&desk, DESHARU, "meruva.police:1").json()["crates"].as_array().unwrap().clone();
    assert_eq!(crates.len(), 8);
    for one in &crates {
        assert_eq!(one["out"]["disinfected"], "yes", "{one}");
        assert_eq!(
            (&one["back"]["consignmentID"], &one["back"]["disinfected"]),
            (&json!("meruva.desharu:1"), &json!("no"))
        );
        assert_eq!(one["home"]["disinfected"], "unknown");
    }
}

#[test]
fn the_drivers_page_names_hazards_first_and_makes_nothing_up() {
    let mut desk = Desk::at("2026-07-02T01:20:00+05:30");
    let body = json!({
        "centreID": KOLVANI, "unitID": "K2", "expectedAt": "2026-07-02T07:45:00+05:30",
        "request": {
            "requestID": "brickworks-1", "scientificName": "Crocodylus palustris", "individualCount": 1,
            "length": { "value": 3.25, "low": 3.0, "high": 3.5, "measure": "totalLength", "method": "byEye" },
            "triage": "yellow", "stay": "quarantine", "from": { "latitude": 22.35, "longitude": 78.2 },
            "fitToTravel": { "fit": "unknown", "vetsWord": "meruva.desharu duty vet" }, "custody": { "caseProperty": "no" },
        },
    });
    let kept = desk.keep(&body);
    assert_eq!(kept.status, 201, "{}", kept.text());
    let id = kept.json()["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
    // Text from outside stays text on the page.
    let by_phone =
        json!({ "onBehalfOf": { "office": "<script>duty</script> & desk", "channel": "telephone" } });
    let promised = desk.coordination().post_json(&format!("/v1/reservations/{id}/promise"), &by_phone).json();
    desk.consignments.crocodile = promised["consignmentID"].as_str().unwrap().to_owned();
    let path = format!("/v1/consignments/{}/brief", desk.consignments.crocodile);
    let early = desk.posting.party(KOLVANI).get(&path).json();
    assert_eq!(early["stage"], "promised", "{early}");
    let departure = &early["departure"];
    // Without a forecast: what is missing, and the rule of thumb until then.
    assert_eq!(departure["computed"], false);
    let words = departure["words"].as_str().unwrap();
    assert!(words.starts_with("Not computed: a forecast"), "{words}");
    assert!(
        words.contains("cooler part of the day") && words.contains("agree the hour with the vet"),
        "{words}"
    );
    assert_eq!(departure["restsOn"][0]["source"], "common practice");
    assert_eq!(departure["expected"], "2 Jul 2026, 07:45");
    // 10.584 km by the ellipsoid (geographiclib) times 1.4 at 40 km/h: 22.2 minutes, rounded up.
    assert_eq!(departure["minutes"], 23);
    let handling = early["handling"].as_array().unwrap();
    assert!(handling[0]["text"].as_str().unwrap().starts_with("Look for spits, hooks"), "{handling:?}");
    // 3.5 m at most, a tenth more inside (a proposal): 3.85 m; the rest is measured first.
    assert_eq!(early["crating"][0]["innerMetre"], json!({ "length": 3.85 }));
    assert!(early["crating"][0]["unknown"].to_string().contains("width"), "{}", early["crating"]);
    assert_eq!(early["stops"]["afterMinutes"], json!([]));
    let hazards = early["hazards"].as_array().unwrap();
    // More than 2.5 m: four people (common practice of the trade facts).
    assert!(hazards[0]["text"].as_str().unwrap().contains("4 people"), "{hazards:?}");
    assert!(hazards.iter().all(|said| said["source"].as_str().is_some_and(|source| !source.is_empty())));
    assert_eq!(early["bindings"], json!([]));
    assert_eq!(early["byTelephone"][0]["confirmed"], false);
    assert_eq!(early["to"]["unitIDs"], json!(["K2"]));
    let papers: Vec<&str> =
        early["papers"].as_array().unwrap().iter().map(|paper| paper["number"].as_str().unwrap()).collect();
    assert_eq!(papers, ["meruva.desharu duty vet", "L-KOL-26"]);
    // Caught, bound and brought: the rescue names the consignment, and the bands have their times.
    desk.hear("2026-07-02T12:00:00+05:30");
    let late = desk.posting.party(KOLVANI).get(&path).json();
    assert_eq!(late["stage"], "arrived", "{late}");
    assert_eq!(
        late["bindings"],
        json!([{ "subject": "meruva.kolvani:1", "site": "jaws", "on": "2 Jul 2026, 06:10", "off": "2 Jul 2026, 07:40" }])
    );
    assert_eq!(desk.posting.party(VELITHA).get(&path).status, 404, "not one of its ends");

    let accept = [("accept", "text/html,application/xhtml+xml;q=0.9,*/*;q=0.1")];
    let page = desk.posting.party(KOLVANI).get_with(&path, &accept);
    assert_eq!((page.status, page.header("content-type")), (200, Some("text/html; charset=utf-8")));
    let html = page.text();
    assert!(html.starts_with("<!DOCTYPE html>"), "{}", &html[..40]);
    let order: Vec<usize> = [
        ">Hazards<",
        "Before anybody touches them",
        ">From<",
        ">To<",
        "Departure window",
        "What travels",
        "Crate inside",
        ">Crates<",
        ">Bindings<",
        "Stops and water",
        "What to carry",
        ">Papers<",
        "By telephone",
        ">Cautions<",
    ]
    .iter()
    .map(|words| html.find(words).unwrap_or_else(|| panic!("{words} is missing")))
    .collect();
    assert!(order.is_sorted(), "{order:?}");
    assert!(!html.contains("<script") && !html.contains("http://") && !html.contains("https://"));
    assert!(html.contains("&lt;script&gt;duty&lt;/script&gt; &amp; desk"));
    assert!(html.contains("Not computed: a forecast"));
    assert!(html.contains("@page{size:A4") && html.contains("width=device-width"));
    let refused = desk.posting.party(KOLVANI).get(&format!("{path}?format=pdf"));
    assert_eq!(refused.status, 406);
}

/// The mugger's way of 23 minutes on a day of 21 to 31.5 degrees C, in a load as warm as the air. By an
/// independent program (sun by astral 3.2, the day by Parton and Logan 1981) the air there is above the
/// band's 28 from 09:27 to 18:38, so the last departure before the heat is at 09:00 and the first after
/// it at 18:40; the warmest moment is 14:02.
#[test]
fn hours_of_departure_by_the_days_extremes() {
    let desk = Desk::at("2026-07-02T01:20:00+05:30");
    let (_, consignment) = desk.promised(&json!({
        "centreID": KOLVANI, "unitID": "K2",
        "request": {
            "requestID": "brickworks-1", "scientificName": "Crocodylus palustris", "individualCount": 1,
            "length": { "value": 3.25, "measure": "totalLength", "method": "byEye" },
            "triage": "yellow", "stay": "quarantine", "from": { "latitude": 22.35, "longitude": 78.2 },
            "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
        },
    }));
    let of = |question: &str| {
        desk.posting.party(KOLVANI).get(&format!("/v1/consignments/{consignment}/brief?{question}"))
    };
    let told = of("min=21&max=31.5&warmerKelvin=0").json()["departure"].clone();
    assert_eq!(told["computed"], true, "{told}");
    assert_eq!(
        told["words"],
        "No reason found against leaving 2 Jul, 01:20 to 2 Jul, 09:00, or 2 Jul, 18:40 to 2 Jul, 23:00."
    );
    assert!(!told.to_string().contains("is safe"), "{told}");
    let hot = &told["windows"][1];
    assert_eq!((&hot["open"], &hot["hottestCelsius"]), (&json!(false), &json!(31.5)), "{hot}");
    assert!(["2 Jul, 14:02", "2 Jul, 14:03"].contains(&hot["hottestAt"].as_str().unwrap()), "{hot}");
    // At most 3.5 K over 23 minutes: 1.34 degree-hours.
    assert!((1.2..=1.35).contains(&hot["aboveKelvinHour"].as_f64().unwrap()), "{hot}");
    assert_eq!(told["windows"][3]["because"], "not forecast until arrival", "{told}");
    // Three kelvin more, where nobody measured the load, close the whole day; a vehicle that holds 25 opens it.
    let warm = of("min=26&max=38").json()["departure"].clone();
    assert!(warm["words"].as_str().unwrap().starts_with("No hour without a reason against it"), "{warm}");
    assert!(warm["wouldOpen"].as_array().is_some_and(|ways| ways.len() >= 2), "{warm}");
    assert!(warm["restsOn"].to_string().contains("3 K warmer"), "{warm}");
    let held = of("min=26&max=38&vehicle=held&atCelsius=25").json()["departure"].clone();
    assert_eq!(held["windows"][0]["open"], true, "{held}");
    // Fahrenheit is named, and what is told by half is refused.
    let fahrenheit = of("min=79&max=100");
    assert_eq!(fahrenheit.status, 422);
    assert!(fahrenheit.text().contains("Fahrenheit"), "{}", fahrenheit.text());
    assert_eq!(of("min=21").status, 400);
    assert_eq!(of("vehicle=held").status, 400);
}

/// What dulls closes the road until somebody has seen it awake, whatever the air; other drugs are asked about.
#[test]
fn a_drug_that_dulls_closes_the_road() {
    let desk = Desk::at("2026-07-02T01:20:00+05:30");
    let (_, consignment) = desk.promised(&json!({
        "centreID": KOLVANI, "unitID": "K2",
        "request": {
            "requestID": "brickworks-1", "scientificName": "Crocodylus palustris", "individualCount": 1,
            "length": { "value": 3.25, "measure": "totalLength", "method": "byEye" }, "organismID": "meruva.kolvani:1",
            "triage": "yellow", "stay": "quarantine", "from": { "latitude": 22.35, "longitude": 78.2 },
            "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
        },
    }));
    desk.clock("2026-07-02T06:00:00+05:30");
    let treated = |id: &str, at: &str, fields: Value| {
        let mut whole = json!({ "organismID": "meruva.kolvani:1", "scientificName": "Crocodylus palustris" });
        whole.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        desk.post(KOLVANI, id, "treatment", at, whole);
    };
    treated(
        "t1",
        "2026-07-02T05:00+05:30",
        json!({ "event": "drug", "drug": "Ketamine", "route": "intramuscular" }),
    );
    treated(
        "t2",
        "2026-07-02T05:05+05:30",
        json!({ "event": "drug", "drug": "meloxicam", "route": "intramuscular" }),
    );
    let path = format!("/v1/consignments/{consignment}/brief?min=21&max=27&warmerKelvin=0");
    let dulled = desk.posting.party(KOLVANI).get(&path).json();
    let drugs: Vec<(&str, bool)> = dulled["drugs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["drug"].as_str().unwrap(), one["dulls"].as_bool().unwrap()))
        .collect();
    assert_eq!(drugs, [("Ketamine", true), ("meloxicam", false)]);
    assert!(
        dulled["departure"]["words"].as_str().unwrap().starts_with("Do not leave: a drug that dulls"),
        "{dulled}"
    );
    assert!(dulled["departure"]["windows"].as_array().unwrap().iter().all(|window| window["open"] == false));
    treated("t3", "2026-07-02T05:50+05:30", json!({ "event": "recovery" }));
    let awake = desk.posting.party(KOLVANI).get(&path).json();
    assert_eq!(awake["drugs"], json!([]));
    assert!(awake["departure"]["words"].as_str().unwrap().starts_with("No reason found against"), "{awake}");
}
