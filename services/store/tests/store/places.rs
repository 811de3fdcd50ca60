//! Reservations.

use crate::databases::{Databases, demo_store};
use crate::writing::{by, dispatch, opening, receipt};
use haulout_schemas::RecordRef;
use haulout_store::clock::instant_of;
use haulout_store::{Ask, ErrorKind, OnBehalfOf, Role, RoomState, Scope, Standing, Store, Weighs};
use serde_json::json;

const DESHARU: &str = "meruva.desharu";
const SOFTSHELL: &str = "Lissemys punctata";

fn ask(count: u32, from: Option<&str>) -> Ask {
    Ask {
        centre_id: DESHARU.into(),
        unit_id: Some("I1".into()),
        individual_count: count,
        scientific_name: SOFTSHELL.into(),
        from_id: from.map(Into::into),
        deadline: instant_of("2026-07-09T23:00:00Z").unwrap(),
        expected_at: instant_of("2026-07-10T02:00:00Z"),
        request: json!({ "requestID": "q1", "stay": "quarantine" }),
        plan_id: Some("P1".into()),
    }
}

/// Room for so many: what is housed, expected and kept, each once.
fn room(heads: i64) -> impl Fn(&RoomState) -> Result<(), serde_json::Value> {
    move |state| {
        let kept: i64 = state
            .reservations
            .iter()
            .filter(|one| one.weighs() == Weighs::Reserved)
            .map(|one| i64::from(one.reservation.individual_count))
            .sum();
        let expected: i64 = state.journeys.iter().map(|journey| journey.count).sum();
        if kept + expected < heads { Ok(()) } else { Err(json!({ "kept": kept, "expected": expected })) }
    }
}

async fn opened(databases: &dyn Databases) -> Store {
    let store = demo_store(&databases.fresh().await, "2026-07-09T16:00:00Z").await;
    store.seal(vec![opening("meruva.velitha", "2026-06-30", SOFTSHELL, 100)], false).await.unwrap();
    store
}

fn desk() -> haulout_store::By {
    by(Role::Coordinator, "meruva.coordination")
}

pub async fn the_last_place_goes_to_one_of_sixteen(databases: &dyn Databases) {
    let store = opened(databases).await;
    let mut askers = Vec::new();
    for _ in 0..16 {
        let store = store.clone();
        askers.push(tokio::spawn(async move { store.keep(desk(), vec![ask(1, None)], room(1)).await }));
    }
    let (mut kept, mut late) = (0, 0);
    for asker in askers {
        match asker.await.unwrap() {
            Ok(reservations) => {
                assert_eq!(reservations[0].standing, Standing::Asked);
                kept += 1;
            }
            Err(error) => {
                assert_eq!(error.kind(), ErrorKind::Conflict, "{error}");
                assert_eq!(error.detail().unwrap()["kept"], 1);
                late += 1;
            }
        }
    }
    assert_eq!((kept, late), (1, 15));
    assert!(store.verify().await.unwrap().is_good());
}

pub async fn a_place_goes_its_way(databases: &dyn Databases) {
    let store = opened(databases).await;
    let kept = store.keep(desk(), vec![ask(48, Some("meruva.velitha"))], |_| Ok(())).await.unwrap();
    let id = kept[0].reservation.reservation_id.clone();
    assert_eq!(store.depart(desk(), &id, 0, None).await.unwrap_err().kind(), ErrorKind::Conflict);
    let phone = OnBehalfOf { office: "desharu.duty".into(), channel: "telephone".into() };
    let promised = store.promise(desk(), std::slice::from_ref(&id), Some(phone)).await.unwrap();
    assert_eq!(promised[0].standing, Standing::Promised);
    assert!(promised[0].reservation.unconfirmed, "the centre has yet to confirm");
    let confirmed = store.confirm(by(Role::Centre, DESHARU), &id).await.unwrap();
    assert!(!confirmed.reservation.unconfirmed);
    assert_eq!(store.confirm(by(Role::Centre, DESHARU), &id).await.unwrap_err().kind(), ErrorKind::Conflict);
    let consignment = confirmed.reservation.consignment_id.clone().unwrap();
    // A promised place never lapses by itself: it alarms.
    store.set_demo_clock(instant_of("2026-07-11T00:00:00Z").unwrap()).await.unwrap();
    let late = store.reservation(&Scope::Region, &id).await.unwrap();
    assert_eq!((late.standing, late.overdue, late.weighs()), (Standing::Promised, true, Weighs::Reserved));
    let under_way = store
        .depart(by(Role::Centre, "meruva.velitha"), &id, instant_of("2026-07-10T20:00:00Z").unwrap(), None)
        .await
        .unwrap();
    assert_eq!((under_way.standing, under_way.weighs()), (Standing::UnderWay, Weighs::Reserved));
    store
        .seal(
            vec![dispatch("meruva.velitha", DESHARU, consignment.as_str(), "2026-07-10", SOFTSHELL, 48)],
            false,
        )
        .await
        .unwrap();
    let sent = store.reservation(&Scope::Region, &id).await.unwrap();
    assert_eq!(
        (sent.standing, sent.weighs()),
        (Standing::UnderWay, Weighs::Expected),
        "counted on the road, not twice"
    );
    let state = store.room_state(&[DESHARU.into()]).await.unwrap();
    assert_eq!(state.journeys.iter().map(|journey| journey.count).sum::<i64>(), 48);
    assert_eq!(state.journey_records.len(), 1);
    store
        .seal(
            vec![receipt(DESHARU, "meruva.velitha", consignment.as_str(), "2026-07-11", SOFTSHELL, 48)],
            false,
        )
        .await
        .unwrap();
    let taken = store.reservation(&Scope::Region, &id).await.unwrap();
    assert_eq!((taken.standing, taken.overdue, taken.weighs()), (Standing::Taken, false, Weighs::Nothing));
    assert_eq!(
        store.cancel(desk(), &id, "no longer".into(), None).await.unwrap_err().kind(),
        ErrorKind::Conflict
    );
    let withdrawn = crate::writing::record(&crate::writing::value(
        "receipt",
        DESHARU,
        &format!("r-{}", consignment.as_str().replace([':', '.'], "-")),
        "2026-07-11",
        json!({ "revision": 2, "withdrawn": true, "withdrawnReason": "signed for the wrong crates" }),
    ));
    store.seal(vec![withdrawn], false).await.unwrap();
    assert_eq!(
        store.reservation(&Scope::Region, &id).await.unwrap().standing,
        Standing::UnderWay,
        "expected again"
    );
    let kinds: Vec<String> = taken.reservation.steps.iter().map(|step| step.kind.clone()).collect();
    assert_eq!(
        kinds,
        ["reservationAsked", "reservationPromised", "reservationConfirmed", "reservationDeparted"]
    );
    let other = Scope::Party("meruva.ombari".into());
    assert_eq!(store.reservation(&other, &id).await.unwrap_err().kind(), ErrorKind::NotFound);
    let before = store.reservation(&Scope::Region, &id).await.unwrap();
    store.rebuild().await.unwrap();
    assert_eq!(store.reservation(&Scope::Region, &id).await.unwrap(), before);
}

pub async fn several_promises_travel_together(databases: &dyn Databases) {
    let store = opened(databases).await;
    let yard = Some("meruva.yard");
    let kept = store
        .keep(
            desk(),
            vec![ask(190, yard), ask(16, yard), ask(1, None), ask(2, Some("meruva.ombari"))],
            |_| Ok(()),
        )
        .await
        .unwrap();
    let ids: Vec<String> = kept.iter().map(|one| one.reservation.reservation_id.clone()).collect();
    let one_step =
        store.promise(desk(), &[ids[0].clone(), ids[2].clone(), ids[3].clone()], None).await.unwrap();
    let later = store.promise(desk(), &ids[1..2], None).await.unwrap();
    let number = |one: &haulout_store::ReservationNow| one.reservation.consignment_id.clone().unwrap();
    assert_eq!(number(&later[0]), number(&one_step[0]), "the same plan, yard and centre");
    assert_ne!(number(&one_step[0]), number(&one_step[1]));
    assert_ne!(number(&one_step[1]), number(&one_step[2]));
    assert_eq!(store.promise(desk(), &ids[1..2], None).await.unwrap_err().kind(), ErrorKind::Conflict);
    // The coordination names the record that filled a place for an animal from the wild.
    let id = &ids[2];
    let wrong = RecordRef { author_id: DESHARU.into(), record_id: "nothing".into() };
    assert_eq!(store.fill(desk(), id, wrong).await.unwrap_err().kind(), ErrorKind::NotFound);
    store
        .seal(vec![crate::writing::rescue(DESHARU, "a7", "2026-07-09", SOFTSHELL, 1, json!({}))], false)
        .await
        .unwrap();
    let filled = store
        .fill(desk(), id, RecordRef { author_id: DESHARU.into(), record_id: "a7".into() })
        .await
        .unwrap();
    assert_eq!(filled.standing, Standing::Taken);
}

pub async fn all_places_of_a_plan_or_none(databases: &dyn Databases) {
    let store = opened(databases).await;
    let refused = store
        .keep(desk(), vec![ask(1, None), ask(1, None)], |_| Err(json!({ "unit": "I1" })))
        .await
        .unwrap_err();
    assert_eq!(refused.kind(), ErrorKind::Conflict);
    assert_eq!(store.reservations(&Scope::Region, &Default::default(), 10).await.unwrap().len(), 0);
    let kept = store.keep(desk(), vec![ask(1, None), ask(1, None)], |_| Ok(())).await.unwrap();
    let id = &kept[0].reservation.reservation_id;
    store.set_demo_clock(instant_of("2026-07-09T23:00:01Z").unwrap()).await.unwrap();
    let lapsed = store.reservation(&Scope::Region, id).await.unwrap();
    assert_eq!((lapsed.standing, lapsed.weighs()), (Standing::Lapsed, Weighs::Nothing));
    assert_eq!(
        store.promise(desk(), std::slice::from_ref(id), None).await.unwrap_err().kind(),
        ErrorKind::Conflict
    );
    let open = haulout_store::ReservationFilter { open: true, ..Default::default() };
    assert_eq!(store.reservations(&Scope::Region, &open, 10).await.unwrap().len(), 0);
    let late = store.keep(desk(), vec![ask(1, None)], |_| Ok(())).await.unwrap_err();
    assert_eq!(late.kind(), ErrorKind::Invalid, "a deadline that is past");
}
