use super::*;

const MUGGER: &str = "Crocodylus palustris";

fn permit(author: &str, rest: Value) -> Arc<Effective> {
    let mut body = json!({"centreID": null, "permitNumber": "P-7", "permitType": "release", "species": [MUGGER],
        "holderIDs": ["meruva.saivera"], "quantity": 6, "usedBefore": 4, "validFrom": "2026-01-01", "validThrough": "2026-12-31"});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("permit", author, "PR1", "2026-01-01", body)
}

fn certificate(rest: Value) -> Arc<Effective> {
    let mut body = json!({"organismID": "meruva.saivera:1", "scientificName": MUGGER, "event": "certificate",
        "certificateNumber": "H-1", "byVeterinarian": true, "validThrough": "2026-10-01"});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("assessment", "saivera", "A1", "2026-09-20", body)
}

fn chip() -> Arc<Effective> {
    record(
        "marking",
        "saivera",
        "K1",
        "2026-08-22",
        json!({"organismID": "meruva.saivera:1", "scientificName": MUGGER,
        "event": "read", "markType": "transponder", "markNumber": "356000000000017"}),
    )
}

fn release(rest: Value) -> Arc<Effective> {
    let mut body = json!({"organismID": "meruva.saivera:1", "scientificName": MUGGER, "individualCount": 1, "permitNumber": "P-7",
        "certificate": {"authorID": "meruva.saivera", "recordID": "A1"}, "markNumber": "356000000000017"});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("release", "saivera", "F1", "2026-09-22", body)
}

fn arrival() -> Arc<Effective> {
    rescue("saivera", "R1", "2026-08-22", "meruva.saivera:1", MUGGER)
}

#[test]
fn a_release_with_all_its_papers_is_no_finding() {
    assert!(
        codes(
            &[arrival(), permit("authority", json!({})), certificate(json!({})), chip(), release(json!({}))],
            "2026-09-30"
        )
        .is_empty()
    );
}

#[test]
fn permits_that_do_not_cover() {
    let reason = |permit: Option<Arc<Effective>>, rest: Value| {
        let mut records = vec![arrival(), certificate(json!({})), chip(), release(rest)];
        records.extend(permit);
        text(&only(found("release-without-permit", &records, "2026-09-30")), "reason").to_owned()
    };
    assert_eq!(reason(None, json!({"permitNumber": null})), "notNamed");
    assert_eq!(reason(None, json!({})), "notFound");
    assert_eq!(
        reason(Some(permit("saivera", json!({}))), json!({})),
        "notFound",
        "a centre's own version is a claim"
    );
    for (wanted, patch) in [
        ("type", json!({"permitType": "transport"})),
        ("species", json!({"species": ["Gavialis gangeticus"]})),
        ("holder", json!({"holderIDs": ["meruva.kolvani"]})),
        ("dates", json!({"validThrough": "2026-09-21"})),
        ("dates", json!({"validFrom": "2026-09-23"})),
    ] {
        assert_eq!(reason(Some(permit("authority", patch)), json!({})), wanted);
    }
    // An order or genus on the permit covers its species.
    let wide = [
        arrival(),
        permit("authority", json!({"species": ["Crocodylia"]})),
        certificate(json!({})),
        chip(),
        release(json!({})),
    ];
    assert!(codes(&wide, "2026-09-30").is_empty());
}

#[test]
fn the_seventh_of_six() {
    let lot_release = |id: &str, count: u32| {
        record(
            "release",
            "saivera",
            id,
            "2026-09-25",
            json!({"lotID": "meruva.saivera:L1", "scientificName": MUGGER,
        "individualCount": count, "permitNumber": "P-7", "lifeStage": "hatchling"}),
        )
    };
    // Four used before, one and one more are six.
    let six = [permit("authority", json!({})), release(json!({})), lot_release("F2", 1)];
    assert!(found("permit-overdrawn", &six, "2026-09-30").is_empty());
    let seven = [permit("authority", json!({})), release(json!({})), lot_release("F2", 2)];
    let finding = only(found("permit-overdrawn", &seven, "2026-09-30"));
    assert_eq!(
        (number(&finding, "used"), number(&finding, "quantity"), rests_on(&finding)),
        (7, 6, vec!["PR1", "F1", "F2"])
    );
}

#[test]
fn certificates() {
    let reason = |certificate: Option<Arc<Effective>>, rest: Value| {
        let mut records = vec![arrival(), permit("authority", json!({})), chip(), release(rest)];
        records.extend(certificate);
        text(&only(found("release-without-certificate", &records, "2026-09-30")), "reason").to_owned()
    };
    assert_eq!(reason(None, json!({"certificate": null})), "notNamed");
    assert_eq!(reason(None, json!({})), "notFound");
    assert_eq!(
        reason(Some(certificate(json!({"organismID": "meruva.saivera:2"}))), json!({})),
        "notFound",
        "about another animal"
    );
    assert_eq!(reason(Some(certificate(json!({"event": "examination"}))), json!({})), "notFound");
    assert_eq!(reason(Some(certificate(json!({"byVeterinarian": false}))), json!({})), "notByVeterinarian");
    assert_eq!(reason(Some(certificate(json!({"validThrough": "2026-09-21"}))), json!({})), "expired");
    assert_eq!(reason(Some(certificate(json!({"eventDate": "2026-09-23"}))), json!({})), "later");
}

#[test]
fn marks_before_release() {
    let reasons = |records: Vec<Arc<Effective>>| -> Vec<String> {
        found("release-without-mark", &records, "2026-09-30")
            .iter()
            .map(|finding| text(finding, "reason").to_owned())
            .collect()
    };
    let papers = || vec![arrival(), permit("authority", json!({})), certificate(json!({}))];
    let with = |more: Vec<Arc<Effective>>| papers().into_iter().chain(more).collect::<Vec<_>>();
    assert_eq!(reasons(with(vec![release(json!({"markNumber": null}))])), ["notNamed"]);
    assert_eq!(reasons(with(vec![release(json!({}))])), ["notFound"]);
    let later = record(
        "marking",
        "saivera",
        "K1",
        "2026-09-25",
        json!({"organismID": "meruva.saivera:1", "scientificName": MUGGER,
        "event": "applied", "markType": "transponder", "markNumber": "356000000000017"}),
    );
    assert_eq!(reasons(with(vec![release(json!({})), later])), ["notFound"]);
    // Hatchlings are exempt: as the release says, or as the lot was hatched.
    let hatched = record(
        "clutch",
        "ombari",
        "H1",
        "2026-06-01",
        json!({"lotID": "meruva.ombari:E1", "scientificName": "Gavialis gangeticus",
        "event": "hatched", "individualCount": 30, "hatchlingsLotID": "meruva.ombari:L1"}),
    );
    let freed = |stage: Value| {
        record(
            "release",
            "ombari",
            "F3",
            "2026-09-01",
            json!({"lotID": "meruva.ombari:L1", "scientificName": "Gavialis gangeticus",
        "individualCount": 10, "lifeStage": stage}),
        )
    };
    assert!(reasons(vec![freed(json!("hatchling"))]).is_empty());
    assert!(reasons(vec![hatched.clone(), freed(Value::Null)]).is_empty());
    assert_eq!(reasons(vec![freed(Value::Null)]), ["notNamed"]);
    assert_eq!(reasons(vec![hatched, freed(json!("juvenile"))]), ["notNamed"]);
}

fn licence(id: &str, date: &str, author: &str, rest: Value) -> Arc<Effective> {
    let mut body = json!({"centreID": null, "licenceNumber": "LIC-3", "holderID": "meruva.velitha", "status": "inForce",
        "validFrom": "2026-01-01", "validThrough": "2026-12-31",
        "lines": [{"scientificName": "Testudines", "headsLimit": 100}, {"scientificName": "Nilssonia gangetica", "headsLimit": 50}]});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("licence", author, id, date, body)
}

#[test]
fn heads_beyond_a_line_of_the_licence() {
    let fifty = lot("velitha", "R1", "2026-07-01", "meruva.velitha:L1", "Nilssonia gangetica", 50);
    let one = lot("velitha", "R2", "2026-07-05", "meruva.velitha:L2", "Nilssonia gangetica", 1);
    let law = licence("LR1", "2026-01-01", "authority", json!({}));
    assert!(codes(&[fifty.clone(), law.clone()], "2026-07-31").is_empty());
    let finding = only(found("licence-exceeded", &[fifty.clone(), one.clone(), law.clone()], "2026-07-31"));
    assert_eq!(
        (text(&finding, "reason"), text(&finding, "scientificName")),
        ("heads", "Nilssonia gangetica")
    );
    assert_eq!(
        (number(&finding, "heads"), number(&finding, "headsLimit"), text(&finding, "firstDay")),
        (51, 50, "2026-07-05")
    );
    assert_eq!(rests_on(&finding), ["LR1", "R2"]);
    // One dies on the 9th: over on the 8th. A claim of the centre itself does not count.
    let death = record(
        "mortality",
        "velitha",
        "M1",
        "2026-07-09",
        json!({"lotID": "meruva.velitha:L2", "scientificName": "Nilssonia gangetica",
        "event": "death", "individualCount": 1, "when": "inCare"}),
    );
    assert_eq!(
        text(
            &only(found("licence-exceeded", &[fifty.clone(), one.clone(), law, death], "2026-07-12")),
            "lastDay"
        ),
        "2026-07-08"
    );
    assert!(
        codes(&[fifty, one, licence("LR1", "2026-01-01", "velitha", json!({}))], "2026-07-31").is_empty()
    );
}

#[test]
fn species_outside_the_licence() {
    let mugger = rescue("velitha", "R1", "2026-07-01", "meruva.velitha:1", MUGGER);
    let law = licence("LR1", "2026-01-01", "authority", json!({}));
    let finding = only(found("licence-exceeded", &[mugger.clone(), law.clone()], "2026-07-31"));
    assert_eq!((text(&finding, "reason"), text(&finding, "scientificName")), ("species", MUGGER));
    // Eggs are no heads, and a centre whose licence the hub does not know is not judged.
    let eggs = record(
        "clutch",
        "velitha",
        "H1",
        "2026-07-01",
        json!({"lotID": "meruva.velitha:E1", "scientificName": MUGGER, "event": "collected", "individualCount": 20}),
    );
    assert!(codes(&[eggs, law.clone()], "2026-07-31").is_empty());
    assert!(codes(&[mugger], "2026-07-31").is_empty());
    // Expired: the turtles are outside from the day after the last; under renewal it continues by law.
    let turtle = rescue("velitha", "R2", "2026-07-01", "meruva.velitha:2", "Nilssonia gangetica");
    let short = json!({"validThrough": "2026-07-10"});
    assert!(
        codes(&[turtle.clone(), licence("LR1", "2026-01-01", "authority", short.clone())], "2026-07-10")
            .is_empty()
    );
    let expired = only(found(
        "licence-exceeded",
        &[turtle.clone(), licence("LR1", "2026-01-01", "authority", short)],
        "2026-07-11",
    ));
    assert_eq!(text(&expired, "firstDay"), "2026-07-11");
    let renewal = licence(
        "LR1",
        "2026-01-01",
        "authority",
        json!({"validThrough": "2026-07-10", "status": "underRenewal"}),
    );
    assert!(codes(&[turtle.clone(), renewal], "2026-07-31").is_empty());
    // Suspended on the 15th by a later record of the same number.
    let suspended =
        licence("LR2", "2026-07-15", "authority", json!({"status": "suspended", "validFrom": null}));
    assert_eq!(
        text(&only(found("licence-exceeded", &[turtle, law, suspended], "2026-07-31")), "firstDay"),
        "2026-07-15"
    );
}
