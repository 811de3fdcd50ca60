//! Before and after a release, by posted records.

use super::{DESHARU, accepted, posting, told};
use crate::basin::Posting;
use serde_json::{Value, json};

const MUGGER: &str = "Crocodylus palustris";
const AUTHORITY: &str = "meruva.authority";

fn by_authority(id: &str, kind: &str, day: &str, fields: &Value) -> Value {
    let mut record = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": AUTHORITY, "eventDate": day,
    });
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

fn rescued(animal: &str, day: &str, name: &str) -> Value {
    told(
        &format!("rescue-{animal}"),
        "rescue",
        day,
        &format!("animal:{animal}"),
        name,
        &json!({
            "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "lifeStage": "adult",
        }),
    )
}

fn marked(id: &str, animal: &str, kind: &str, number: &str) -> Value {
    told(
        id,
        "marking",
        "2026-07-01",
        &format!("animal:{animal}"),
        MUGGER,
        &json!({ "event": "applied", "markType": kind, "markNumber": number }),
    )
}

fn freed(animal: &str, day: &str, name: &str, fields: &Value) -> Value {
    let mut all = json!({ "individualCount": 1, "method": "direct" });
    all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    told(&format!("release-{animal}"), "release", day, &format!("animal:{animal}"), name, &all)
}

fn candidate() -> Vec<Value> {
    vec![
        rescued("9", "2026-03-01", MUGGER),
        told(
            "in",
            "quarantine",
            "2026-03-01",
            "animal:9",
            MUGGER,
            &json!({ "event": "entered", "batchID": "R1" }),
        ),
        told(
            "out",
            "quarantine",
            "2026-04-15",
            "animal:9",
            MUGGER,
            &json!({ "event": "ended", "batchID": "R1", "byVeterinarian": true }),
        ),
        marked("chip", "9", "transponder", "985112003456789"),
        marked("notch", "9", "tailScuteNotch", "L4R2"),
        told(
            "swab",
            "result",
            "2026-07-08",
            "animal:9",
            MUGGER,
            &json!({
                "sampleID": "S9", "sampleType": "swab", "test": "PCR", "agent": "ranavirus", "outcome": "negative",
            }),
        ),
        told(
            "paper",
            "assessment",
            "2026-07-10",
            "animal:9",
            MUGGER,
            &json!({
                "event": "certificate", "certificateNumber": "HC-1", "byVeterinarian": true, "validThrough": "2026-08-10", "fitToTravel": "yes",
            }),
        ),
    ]
}

fn gate(posting: &Posting, question: &str) -> Value {
    let answer =
        posting.party(DESHARU).get(&format!("/v1/animals/{DESHARU}:9/release-gate?on=2026-07-20{question}"));
    accepted(&answer);
    answer.json()
}

fn point<'a>(told: &'a Value, asked: &str) -> &'a Value {
    told["gate"]["points"].as_array().unwrap().iter().find(|point| point["asked"] == asked).unwrap()
}

#[test]
fn the_gate_is_read_from_records_and_names_who_must_supply_the_rest() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    accepted(&desharu.submit(&candidate()));
    let bare = gate(&posting, "");
    assert_eq!(bare["gate"]["noReasonFoundAgainst"], false);
    assert_eq!(
        (&point(&bare, "permit")["stands"], &point(&bare, "permit")["supplier"]),
        (&json!("missing"), &json!("authority"))
    );
    for met in ["species", "caseProperty", "healthCertificate", "fitness", "disease", "quarantine", "marks"] {
        assert_eq!(point(&bare, met)["stands"], "met", "{bare:#}");
    }
    for (missing, supplier) in
        [("siteHabitat", "siteAssessor"), ("basinOfOrigin", "centre"), ("season", "veterinarian")]
    {
        assert_eq!(
            (&point(&bare, missing)["stands"], &point(&bare, missing)["supplier"]),
            (&json!("missing"), &json!(supplier))
        );
    }
    // Six permitted, three used before, one freed since: two are left, and one after this.
    accepted(&posting.authority.submit(&[by_authority("permit", "permit", "2026-03-01", &json!({
        "permitNumber": "P-1", "permitType": "release", "species": [MUGGER], "holderIDs": [DESHARU], "quantity": 6, "usedBefore": 3,
        "validFrom": "2026-01-01", "validThrough": "2026-12-31",
    }))]));
    accepted(&desharu.submit(&[
        rescued("10", "2026-03-01", MUGGER),
        freed("10", "2026-07-02", MUGGER, &json!({ "permitNumber": "P-1" })),
    ]));
    let site = "&siteAssessed=2026-07-01&habitat=yes&speciesHistory=yes&basinOfOrigin=yes&inSeason=yes";
    let whole = gate(&posting, site);
    assert_eq!(whole["gate"]["noReasonFoundAgainst"], true, "{whole:#}");
    assert!(point(&whole, "permit")["found"].as_str().unwrap().contains("allow 1 more"), "{whole:#}");
    assert!(whole["gate"]["caution"].as_str().unwrap().contains("no permission"));
    // A case binds it, until the authority gives leave.
    accepted(&desharu.submit(&[told(
        "case",
        "custody",
        "2026-03-02",
        "animal:9",
        MUGGER,
        &json!({
            "event": "bound", "caseNumber": "C-7", "forbids": ["movement", "release"],
        }),
    )]));
    assert_eq!(
        (
            &point(&gate(&posting, site), "caseProperty")["stands"],
            &point(&gate(&posting, site), "caseProperty")["supplier"]
        ),
        (&json!("against"), &json!("caseHolder"))
    );
    accepted(&posting.authority.submit(&[by_authority("leave", "order", "2026-07-15", &json!({
        "orderNumber": "O-7", "orderType": "leave", "form": "written", "caseNumber": "C-7", "allows": ["release"], "endDate": "2026-12-31",
    }))]));
    assert_eq!(point(&gate(&posting, site), "caseProperty")["stands"], "met");
    // Another animal is told to carry the same number; the certificate ends before a later day.
    accepted(&desharu.submit(&[
        rescued("11", "2026-03-01", MUGGER),
        marked("chip-too", "11", "transponder", "985112003456789"),
    ]));
    assert!(point(&gate(&posting, site), "marks")["found"].as_str().unwrap().contains("1 others"));
    let late = desharu.get(&format!("/v1/animals/{DESHARU}:9/release-gate?on=2026-09-01")).json();
    assert!(point(&late, "healthCertificate")["found"].as_str().unwrap().contains("2026-08-10"), "{late:#}");
    // Before its first record; nobody's business; no such animal; no such word.
    let early = desharu.get(&format!("/v1/animals/{DESHARU}:9/release-gate?on=2026-01-01")).json();
    assert_eq!(early["gate"]["refusal"]["code"], "before-first-record", "{early:#}");
    let path = format!("/v1/animals/{DESHARU}:9/release-gate");
    assert_eq!(posting.party("meruva.thulmar").get(&path).status, 404);
    assert_eq!(posting.hub.nobody().get(&path).status, 401);
    assert_eq!(desharu.get(&format!("/v1/animals/{DESHARU}:99/release-gate")).status, 404);
    assert_eq!(desharu.get(&format!("{path}?habitat=perhaps")).status, 400);
}

#[test]
fn a_released_animal_is_looked_for_and_its_sightings_are_told() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    let seen = json!({ "individualCount": 1, "vitality": "alive", "markNumber": "L4R2", "place": { "locality": "Sandbar at Tilhari" } });
    accepted(&desharu.submit(&[
        rescued("9", "2026-03-01", MUGGER),
        told(
            "notch",
            "marking",
            "2026-05-01",
            "animal:9",
            MUGGER,
            &json!({ "event": "applied", "markType": "tailScuteNotch", "markNumber": "L4R2" }),
        ),
        freed("9", "2026-06-01", MUGGER, &json!({ "permitNumber": "P-1", "markNumber": "L4R2" })),
        told("seen", "sighting", "2026-06-04", "", MUGGER, &seen),
    ]));
    // Looks: 2 to 8 June, 29 June to 6 July, 25 August to 4 September, ...
    let after = gate(&posting, "");
    let free = &after["released"];
    assert_eq!(
        (&free["releasedOn"], &free["permitNumber"]),
        (&json!("2026-06-01"), &json!("P-1")),
        "{after:#}"
    );
    let stands: Vec<&Value> = free["looks"].as_array().unwrap().iter().map(|look| &look["stands"]).collect();
    assert_eq!(stands[..3], [&json!("seen"), &json!("notSeen"), &json!("toCome")], "{after:#}");
    assert_eq!(
        (&free["looks"][1]["from"], &free["looks"][1]["through"]),
        (&json!("2026-06-29"), &json!("2026-07-06"))
    );
    assert_eq!(
        (&free["sightings"][0]["on"], &free["sightings"][0]["markNumber"]),
        (&json!("2026-06-04"), &json!("L4R2"))
    );
    assert!(!after.to_string().contains("Tilhari"), "where is not told here");
    assert!(free["caution"].as_str().unwrap().contains("not seen is not dead"));
    // It came back: the gate is asked again.
    accepted(&desharu.submit(&[told(
        "back",
        "rescue",
        "2026-07-10",
        "animal:9",
        MUGGER,
        &json!({
            "event": "readmission", "source": "released", "individualCount": 1, "countMethod": "counted",
        }),
    )]));
    assert!(gate(&posting, "")["gate"]["points"].is_array());
}

/// By hand: one dies after 30 days, one is last seen after 60, one after 10, one never: at day 30 two are
/// still followed and one dies, so half live on.
#[test]
fn survival_is_told_by_sightings_of_all_centres() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    let gharial = "Gavialis gangeticus";
    let seen = |id: &str, day: &str, subject: &str, mark: Option<&str>| {
        let mut fields = json!({ "individualCount": 1, "vitality": "alive" });
        if let Some(mark) = mark {
            fields["markNumber"] = json!(mark);
        }
        told(id, "sighting", day, subject, gharial, &fields)
    };
    let path = "/v1/welfare/survival?species=Gavialis%20gangeticus";
    let nobody = desharu.get(path).json();
    assert_eq!(nobody["curve"]["refusal"]["code"], "nobody-followed", "{nobody:#}");
    let mut records: Vec<Value> = Vec::new();
    for animal in ["21", "22", "23", "24"] {
        records.push(rescued(animal, "2025-06-01", gharial));
        records.push(freed(animal, "2026-01-01", gharial, &json!({ "markNumber": format!("G{animal}") })));
    }
    records.extend([
        told("dead", "mortality", "2026-01-31", "animal:21", gharial, &json!({ "event": "death", "individualCount": 1, "takenFrom": "released", "when": "inCare" })),
        seen("s1", "2026-01-15", "animal:22", None),
        seen("s2", "2026-03-02", "animal:22", None),
        seen("s3", "2026-01-11", "", Some("G23")),
        told("lot", "rescue", "2025-06-01", "lot:H", gharial, &json!({ "event": "fromWild", "source": "wild", "individualCount": 30, "countMethod": "counted" })),
        told("lot-freed", "release", "2026-01-01", "lot:H", gharial, &json!({ "individualCount": 30 })),
    ]);
    accepted(&desharu.submit(&records));
    let told = posting.party("meruva.thulmar").get(path).json();
    assert_eq!(
        (&told["animals"], &told["deaths"], &told["foundAgain"], &told["releasedWithoutNumber"]),
        (&json!(4), &json!(1), &json!(3), &json!(30)),
        "{told:#}"
    );
    let steps = told["curve"].as_array().unwrap();
    assert_eq!(steps.len(), 1);
    assert_eq!((&steps[0]["days"], &steps[0]["atRisk"]), (&json!(30.0), &json!(2)));
    assert!((steps[0]["alive"]["value"].as_f64().unwrap() - 0.5).abs() < 1e-9);
    assert!(told["caution"].as_str().unwrap().contains("detection is not modelled"));
    assert!(
        !told.to_string().contains("G23") && !told.to_string().contains(DESHARU),
        "only the curve leaves the hub"
    );
    assert_eq!(desharu.get("/v1/welfare/survival?species=Dragon").status, 422);
    assert_eq!(posting.hub.nobody().get(path).status, 401);
}
