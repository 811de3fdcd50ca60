//! Reading: scopes, sums, past instants.

use crate::databases::{Databases, demo_store};
use crate::writing::{basin, by, dispatch, frame, opening, rescue};
use haulout_reckoning::statement::Sum;
use haulout_reckoning::{Account, Period};
use haulout_store::clock::instant_of;
use haulout_store::ledger::SumFilter;
use haulout_store::{AsOf, EffectiveFilter, ErrorKind, RecordFilter, Role, Scope, Store, ToSeal};
use serde_json::json;

const THULMAR: &str = "meruva.thulmar";
const TORTOISE: &str = "Indotestudo elongata";

pub async fn a_party_sees_its_own(databases: &dyn Databases) {
    let store = demo_store(&databases.fresh().await, "2026-11-01T00:00:00Z").await;
    let region = json!({
        "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata",
        "parties": [{ "partyID": "meruva.police", "role": "agency", "name": "Police" }],
        "points": [{ "pointID": "meruva.yard", "name": "Yard", "keeperID": "meruva.police",
                     "latitude": 20.0, "longitude": 80.0, "longestHours": 72 }],
    });
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region.to_string()).await.unwrap();
    let yard = json!({ "authorID": "meruva.police", "centreID": null, "pointID": "meruva.yard", "event": "seizure",
                       "source": "trade", "individualCount": 3, "countMethod": "counted", "scientificName": TORTOISE,
                       "lotID": "meruva.police:1" });
    store
        .seal(
            vec![
                opening(THULMAR, "2026-06-30", TORTOISE, 9),
                dispatch(THULMAR, "meruva.velitha", "meruva.thulmar:3", "2026-07-02", TORTOISE, 2),
                frame("rescue", "meruva.police", "y1", "2026-07-03", yard),
                rescue("meruva.ombari", "a1", "2026-07-02", TORTOISE, 1, json!({})),
            ],
            false,
        )
        .await
        .unwrap();
    let seen = async |scope: Scope| {
        let page = store.records(&scope, &RecordFilter::default(), None, 10).await.unwrap();
        page.items.into_iter().map(|record| record.record_id).collect::<Vec<_>>()
    };
    assert_eq!(seen(Scope::Party(THULMAR.into())).await.len(), 2);
    assert_eq!(
        seen(Scope::Party("meruva.velitha".into())).await,
        ["d-meruva-thulmar-3"],
        "what travels to it"
    );
    assert_eq!(seen(Scope::Party("meruva.police".into())).await, ["y1"]);
    assert_eq!(seen(Scope::Authority).await.len(), 4);
    assert_eq!(seen(Scope::Public).await.len(), 0);
    let velitha = Scope::Party("meruva.velitha".into());
    assert_eq!(store.consignment(&velitha, &"meruva.thulmar:3".into()).await.unwrap().len(), 1);
    let ombari = Scope::Party("meruva.ombari".into());
    assert_eq!(
        store.consignment(&ombari, &"meruva.thulmar:3".into()).await.unwrap_err().kind(),
        ErrorKind::NotFound
    );
    assert_eq!(
        store.record(&ombari, THULMAR, "d-meruva-thulmar-3").await.unwrap_err().kind(),
        ErrorKind::NotFound
    );
    let period = Period::parse("2026-Q3").unwrap();
    let accounts = async |scope: &Scope| {
        let sums = store.sums(scope, &period, None, &Default::default()).await.unwrap();
        let mut accounts: Vec<String> = sums.iter().map(|sum| sum.account.to_string()).collect();
        accounts.dedup();
        accounts
    };
    assert_eq!(
        accounts(&Scope::Party(THULMAR.into())).await,
        ["centre/meruva.thulmar", "transit/meruva.thulmar:3"]
    );
    assert_eq!(accounts(&Scope::Party("meruva.police".into())).await, ["point/meruva.yard"]);
    assert_eq!(accounts(&Scope::Public).await, [""; 0]);
    // Pages follow one another without a gap or a repetition.
    let first = store.records(&Scope::Region, &RecordFilter::default(), None, 3).await.unwrap();
    let second = store.records(&Scope::Region, &RecordFilter::default(), first.next, 3).await.unwrap();
    assert_eq!((first.items.len(), second.items.len(), second.next), (3, 1, None));
    assert_eq!(store.animal(&Scope::Region, &"meruva.ombari:a1".into()).await.unwrap().len(), 1);
}

/// The sums are the same now and just before the newest entry, for every form of a period.
pub async fn sums_agree_at_every_instant(databases: &dyn Databases) {
    let (region, lines) = basin(40, 5);
    let store = demo_store(&databases.fresh().await, "2026-11-01T00:00:00Z").await;
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
    store.seal(lines, false).await.unwrap();
    let newest = store.newest_stamp().await.unwrap();
    // One more entry, so that the instant before it is a past one.
    store
        .seal(
            vec![frame(
                "care",
                "meruva.kolvani",
                "later",
                "2026-07-02",
                json!({
                    "event": "feeding", "food": "fish", "organismID": "meruva.kolvani:1",
                }),
            )],
            false,
        )
        .await
        .unwrap();
    let mut asked = 0;
    for text in [
        "2026",
        "2026-Q3",
        "2026-07",
        "2026-08",
        "2026-07-10..2026-08-05",
        "2026-07-03..2026-07-04",
        "2026-06-30..2026-07-31",
        "2026-07-31..2026-08-01",
    ] {
        let period = Period::parse(text).unwrap();
        let filter = SumFilter::default();
        let now = store.sums(&Scope::Authority, &period, None, &filter).await.unwrap();
        let then = store.sums(&Scope::Authority, &period, Some(newest), &filter).await.unwrap();
        assert_eq!(now, then, "{text}");
        let centre = SumFilter { place: Some("meruva.kolvani".into()), scientific_name: None };
        let part = store.sums(&Scope::Authority, &period, None, &centre).await.unwrap();
        let expected: Vec<&Sum> =
            now.iter().filter(|sum| sum.account.as_str() == "centre/meruva.kolvani").collect();
        let found: Vec<&Sum> =
            part.iter().filter(|sum| sum.account.as_str() == "centre/meruva.kolvani").collect();
        assert_eq!(found, expected, "{text}");
        asked += now.len();
        // Each figure opens into the records behind it.
        for sum in expected.iter().filter(|sum| sum.within != 0).take(5) {
            let behind = store
                .entries_behind(&Scope::Authority, &sum.account, &period, None, Some(&sum.scientific_name))
                .await
                .unwrap();
            let same = behind.iter().filter(|one| {
                Account::from_text(one.counter.as_str()).heading() == sum.counter.heading()
                    && one.direction == sum.direction
                    && one.eggs == sum.eggs
                    && one.life_stage == sum.life_stage
                    && one.death_when == sum.death_when
            });
            assert_eq!(same.map(|one| one.delta).sum::<i64>(), sum.within, "{text}: {sum:?}");
        }
    }
    assert!(asked > 50, "only {asked} sums");
}

/// Records that come over half a year, many of them late: at each past instant the sums are those of
/// a hub that knows just what was known by then.
pub async fn past_sums_are_those_of_what_was_known(databases: &dyn Databases) {
    let (region, lines) = basin(40, 5);
    let store = demo_store(&databases.fresh().await, "2026-05-20T00:00:00Z").await;
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
    let evenings = ["2026-06-10", "2026-07-20", "2026-08-03", "2026-08-25", "2026-12-31", "2027-01-01"]
        .map(|day| instant_of(&format!("{day}T20:00:00Z")).unwrap());
    let mut known: Vec<Vec<ToSeal>> = vec![Vec::new(); evenings.len()];
    for (number, line) in lines.into_iter().enumerate() {
        // Seven and six share no divisor with what repeats in the basin's nights.
        known[number / 7 % evenings.len()].push(line);
    }
    for (evening, part) in evenings.iter().zip(&known) {
        store.set_demo_clock(*evening).await.unwrap();
        store.seal(part.clone(), false).await.unwrap();
    }
    let mut compared = 0;
    for so_many in 1..=evenings.len() {
        let other = demo_store(&databases.fresh().await, "2027-03-01T00:00:00Z").await;
        other.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
        other.seal(known[..so_many].concat(), false).await.unwrap();
        let instant = evenings.get(so_many).map(|next| next - 1);
        for text in
            ["2026", "2026-Q3", "2026-08", "2026-06-30..2026-07-19", "2026-07-15..2026-09-02", "2027", "2025"]
        {
            let period = Period::parse(text).unwrap();
            let filters = [
                (Scope::Authority, SumFilter::default()),
                (Scope::Party("meruva.kolvani".into()), SumFilter::default()),
                (Scope::Authority, SumFilter { place: Some("meruva.desharu".into()), scientific_name: None }),
            ];
            for (scope, filter) in filters {
                let then = store.sums(&scope, &period, instant, &filter).await.unwrap();
                assert_eq!(
                    then,
                    other.sums(&scope, &period, None, &filter).await.unwrap(),
                    "{so_many} of {text}"
                );
                compared += then.len();
            }
            let trial = store.trial_balance(&period, instant).await.unwrap();
            assert!(trial.iter().all(|(_, _, sum)| *sum == 0), "{text}: {trial:?}");
        }
    }
    assert!(compared > 1_000, "only {compared} sums");
}

/// The ninth step of the basin's quarter: a tortoise walks out of its burrow.
pub async fn a_statement_is_reproducible_after_a_correction(databases: &dyn Databases) {
    let store = demo_store(&databases.fresh().await, "2026-10-01T00:00:00Z").await;
    let census = |revision: u16, count: u32| {
        frame(
            "census",
            THULMAR,
            "c0930",
            "2026-09-30",
            json!({
                "revision": revision, "method": "headCount", "complete": true,
                "lines": [{ "scientificName": TORTOISE, "individualCount": count }],
            }),
        )
    };
    store.seal(vec![opening(THULMAR, "2026-06-30", TORTOISE, 42), census(1, 41)], false).await.unwrap();
    let then = store.newest_stamp().await.unwrap();
    store.set_demo_clock(instant_of("2026-10-04T09:00:00Z").unwrap()).await.unwrap();
    store.seal(vec![census(2, 42)], false).await.unwrap();
    let counted = async |known_at: Option<i64>| counted(&store, known_at).await;
    assert_eq!(counted(Some(then)).await, [41]);
    assert_eq!(counted(None).await, [42]);
    let nights = store.nights(&Scope::Authority, &Period::parse("2026-Q3").unwrap(), None).await.unwrap();
    assert_eq!(nights.len(), 1);
    assert_eq!(nights[0].first_known, then, "the night was posted in time, whatever was mended later");
}

async fn counted(store: &Store, known_at: Option<i64>) -> Vec<u32> {
    let filter = EffectiveFilter {
        kinds: vec![haulout_schemas::Kind::Census],
        from: "2026-07-01".parse().ok(),
        ..EffectiveFilter::default()
    };
    let records =
        store.effective(&Scope::Authority, AsOf { known_at, through: None }, &filter).await.unwrap();
    records
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(haulout_schemas::Body::Census(census)) => Some(census.lines[0].individual_count),
            _ => None,
        })
        .collect()
}
