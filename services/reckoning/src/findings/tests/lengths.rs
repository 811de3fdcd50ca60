use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const ANIMAL: &str = "meruva.kolvani:1";

fn housed(id: &str, date: &str, stay: &str, number: Value) -> Arc<Effective> {
    record(
        "housing",
        "kolvani",
        id,
        date,
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "housed", "stay": stay, "orderNumber": number,
        "units": [{"unitID": "K1", "individualCount": 1}]}),
    )
}

fn came() -> Arc<Effective> {
    rescue("kolvani", "R1", "2026-07-10", ANIMAL, TURTLE)
}

fn order(author: &str, end: Value) -> Arc<Effective> {
    record(
        "order",
        author,
        "O1",
        "2026-07-10",
        json!({"centreID": null, "orderNumber": "ORD-9", "orderType": "waiver", "form": "written", "endDate": end}),
    )
}

#[test]
fn nobody_stands_longer_at_a_point_than_its_hours() {
    // The yard's 48 hours: from the 10th on, the close of the 12th.
    let stood = record(
        "rescue",
        "police",
        "R1",
        "2026-07-10T05:30+05:30",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": TURTLE, "event": "seizure", "source": "trade",
        "individualCount": 20, "countMethod": "counted"}),
    );
    assert!(found("point-stay-too-long", std::slice::from_ref(&stood), "2026-07-11").is_empty());
    let finding = only(found("point-stay-too-long", std::slice::from_ref(&stood), "2026-07-12"));
    assert_eq!(
        (number(&finding, "animals"), number(&finding, "longestHours"), finding.due_day),
        (20, 48, Some(day("2026-07-12")))
    );
    assert_eq!((rests_on(&finding), &finding.centre_ids), (vec!["R1"], &vec!["meruva.yard".into()]));
    let left = |count: u32| {
        record(
            "dispatch",
            "police",
            "D1",
            "2026-07-13",
            json!({"pointID": "meruva.yard", "consignmentID": "meruva.police:1", "destination": "region", "destinationID": "meruva.kolvani",
            "lines": [{"lotID": "meruva.police:L0", "scientificName": TURTLE, "individualCount": count}]}),
        )
    };
    assert!(found("point-stay-too-long", &[stood.clone(), left(20)], "2026-07-13").is_empty());
    assert_eq!(number(&only(found("point-stay-too-long", &[stood, left(12)], "2026-07-13")), "animals"), 8);
    // Eggs, and a centre, which is no point.
    let eggs = record(
        "clutch",
        "police",
        "U1",
        "2026-07-01",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:E1", "scientificName": TURTLE, "event": "collected", "individualCount": 9}),
    );
    assert!(found("point-stay-too-long", &[eggs], "2026-12-31").is_empty());
    assert!(found("point-stay-too-long", &[came()], "2026-12-31").is_empty());
}

#[test]
fn stabilising_takes_three_days() {
    let records = [came(), housed("N1", "2026-07-10", "stabilise", Value::Null)];
    assert!(found("stabilising-too-long", &records, "2026-07-12").is_empty());
    let finding = only(found("stabilising-too-long", &records, "2026-07-13"));
    assert_eq!(
        (text(&finding, "unitID"), rests_on(&finding), finding.due_day),
        ("K1", vec!["N1"], Some(day("2026-07-13")))
    );
    // Housed anew, or gone.
    let anew = housed("N2", "2026-07-14", "quarantine", Value::Null);
    assert_eq!(
        found("stabilising-too-long", &[came(), records[1].clone(), anew.clone()], "2026-07-13").len(),
        1
    );
    assert!(found("stabilising-too-long", &[came(), records[1].clone(), anew], "2026-07-14").is_empty());
    let death = record(
        "mortality",
        "kolvani",
        "M1",
        "2026-07-12",
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "death", "individualCount": 1, "when": "inCare"}),
    );
    assert!(found("stabilising-too-long", &[came(), records[1].clone(), death], "2026-12-31").is_empty());
    // For another stay; under an order, which has a rule of its own.
    assert!(
        found(
            "stabilising-too-long",
            &[came(), housed("N1", "2026-07-10", "long", Value::Null)],
            "2026-12-31"
        )
        .is_empty()
    );
    let ordered = [
        came(),
        housed("N1", "2026-07-10", "stabilise", json!("ORD-9")),
        order("authority", json!("2026-07-20")),
    ];
    assert!(found("stabilising-too-long", &ordered, "2026-12-31").is_empty());
}

#[test]
fn an_order_ends_and_the_animal_still_stands_there() {
    let stay = || vec![came(), housed("N1", "2026-07-10", "long", json!("ORD-9"))];
    let with = |order: Arc<Effective>| stay().into_iter().chain([order]).collect::<Vec<_>>();
    let records = with(order("authority", json!("2026-07-20")));
    assert!(found("stay-beyond-order", &records, "2026-07-20").is_empty());
    let finding = only(found("stay-beyond-order", &records, "2026-07-21"));
    assert_eq!(
        (text(&finding, "endDate"), text(&finding, "orderNumber"), rests_on(&finding)),
        ("2026-07-20", "ORD-9", vec!["N1"])
    );
    // Housed where the rules allow it; another order of the number prolongs it; no end; not known; a claim.
    let mut moved = records.clone();
    moved.push(housed("N2", "2026-07-25", "long", Value::Null));
    assert_eq!(found("stay-beyond-order", &moved, "2026-07-24").len(), 1);
    assert!(found("stay-beyond-order", &moved, "2026-07-25").is_empty());
    let mut prolonged = records;
    prolonged.push(record(
        "order",
        "authority",
        "O2",
        "2026-07-22",
        json!({"centreID": null, "orderNumber": "ORD-9", "orderType": "waiver", "form": "written", "endDate": "2026-08-20"}),
    ));
    assert_eq!(found("stay-beyond-order", &prolonged, "2026-07-21").len(), 1);
    assert!(found("stay-beyond-order", &prolonged, "2026-08-20").is_empty());
    assert_eq!(text(&only(found("stay-beyond-order", &prolonged, "2026-08-21")), "endDate"), "2026-08-20");
    for other in [order("authority", Value::Null), order("kolvani", json!("2026-07-20"))] {
        assert!(found("stay-beyond-order", &with(other), "2026-12-31").is_empty());
    }
    assert!(found("stay-beyond-order", &stay(), "2026-12-31").is_empty());
}
