use super::*;

fn listed(kind: &str, place: &str, id: &str, date: &str, other: &str) -> Arc<Effective> {
    let mut rest = json!({"consignmentID": format!("meruva.{place}:{id}"), "crates": [{"crateID": "K-C07", "disinfected": "yes"}]});
    if kind == "receipt" {
        (rest["origin"], rest["originID"]) = ("transit".into(), format!("meruva.{other}").into());
    } else if other == "outside" {
        rest["destination"] = "outside".into();
    } else {
        (rest["destination"], rest["destinationID"]) = ("region".into(), format!("meruva.{other}").into());
    }
    record(kind, place, id, date, rest)
}

fn lent() -> Vec<Arc<Effective>> {
    vec![
        listed("dispatch", "kolvani", "D1", "2026-07-01", "desharu"),
        listed("receipt", "desharu", "E1", "2026-07-02", "kolvani"),
    ]
}

fn with(more: Vec<Arc<Effective>>) -> Vec<Arc<Effective>> {
    lent().into_iter().chain(more).collect()
}

/// 92 days from 1 July: by the evening of 1 October.
#[test]
fn a_crate_is_asked_for_after_its_days() {
    assert!(found("crates-not-back", &lent(), "2026-09-30").is_empty());
    let finding = only(found("crates-not-back", &lent(), "2026-10-01"));
    assert_eq!((text(&finding, "crateID"), rests_on(&finding)), ("K-C07", vec!["D1"]));
    assert_eq!(text(&finding, "destinationID"), "meruva.desharu");
    assert_eq!(finding.due_day, Some(day("2026-10-01")));
    let places: Vec<&str> = finding.centre_ids.iter().map(|place| place.as_str()).collect();
    assert_eq!(places, ["meruva.desharu", "meruva.kolvani"]);
}

#[test]
fn told_back_sent_home_or_gone_beyond_the_region() {
    let back = || listed("receipt", "kolvani", "E2", "2026-08-02", "desharu");
    let home = || listed("dispatch", "desharu", "D2", "2026-08-01", "kolvani");
    assert!(found("crates-not-back", &with(vec![home(), back()]), "2026-12-31").is_empty());
    // Only sent home: the sender still misses it, and the one that sent it home lent nothing.
    assert_eq!(rests_on(&only(found("crates-not-back", &with(vec![home()]), "2026-12-31"))), ["D1"]);
    // Used again by the one that sent it: it was back; by its last journey it is asked for.
    let again = listed("dispatch", "kolvani", "D3", "2026-09-01", "velitha");
    let finding = only(found("crates-not-back", &with(vec![again]), "2026-12-31"));
    assert_eq!(rests_on(&finding), ["D3"]);
    // Back and lent once more.
    let second = listed("dispatch", "kolvani", "D4", "2026-08-05", "velitha");
    let finding = only(found("crates-not-back", &with(vec![home(), back(), second]), "2026-12-31"));
    assert_eq!(rests_on(&finding), ["D4"]);
    let beyond = [listed("dispatch", "kolvani", "D5", "2026-07-01", "outside")];
    assert!(found("crates-not-back", &beyond, "2026-12-31").is_empty());
    // Another party's crate of the same number is its own.
    let other = listed("dispatch", "ombari", "D6", "2026-07-01", "velitha");
    assert_eq!(found("crates-not-back", &with(vec![other]), "2026-12-31").len(), 2);
}
