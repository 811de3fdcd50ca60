//! The effective state is a function of the set of records, never of arrival.

use crate::databases::{Databases, demo_store};
use crate::writing::{basin, by, frame, rescue};
use haulout_reckoning::Effective;
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use haulout_store::{Records, Role, RoomState, Scope, Store, StoreOptions, ToSeal, Verification};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};
use serde_json::json;
use std::sync::Arc;

const LATER: &str = "2026-11-01T00:00:00Z";

pub async fn the_same_records_in_any_order_come_to_the_same(databases: &dyn Databases) {
    let (region, lines) = basin(6, 6);
    let straight = demo_store(&databases.fresh().await, LATER).await;
    straight.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
    for chunk in lines.chunks(200) {
        straight.seal(chunk.to_vec(), false).await.unwrap();
    }
    let expected = now_digests(&straight.verify().await.unwrap());
    assert!(lines.len() > 200, "only {} lines", lines.len());
    for seed in 1..=4 {
        let shuffled = demo_store(&databases.fresh().await, LATER).await;
        scatter(&shuffled, &region, &lines, seed).await;
        let found = shuffled.verify().await.unwrap();
        assert!(found.is_good(), "seed {seed}: {:?}", found.faults);
        assert_eq!(now_digests(&found), expected, "seed {seed}");
        assert_eq!(found.records, straight.verify().await.unwrap().records, "seed {seed}");
    }
}

/// Numbers below a bound, drawn.
fn drawn(seed: u64) -> impl FnMut(usize) -> usize {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    move |n| usize::try_from(chance.next_u64() % u64::try_from(n).unwrap()).unwrap()
}

/// Sends every line one to three times, in any order, in chunks of any size, and the region file
/// somewhere in between.
async fn scatter(store: &Store, region: &str, lines: &[ToSeal], seed: u64) {
    let mut below = drawn(seed);
    let mut sent: Vec<&ToSeal> = Vec::new();
    for line in lines {
        for _ in 0..=below(3) {
            sent.push(line);
        }
    }
    for at in (1..sent.len()).rev() {
        sent.swap(at, below(at + 1));
    }
    let mut load_at = below(sent.len());
    let mut rest = sent.as_slice();
    while !rest.is_empty() {
        let (chunk, later) = rest.split_at((1 + below(120)).min(rest.len()));
        rest = later;
        store.seal(chunk.iter().map(|line| (*line).clone()).collect(), false).await.unwrap();
        if below(4) == 0 {
            store.refresh_findings().await.unwrap();
        }
        match load_at.checked_sub(chunk.len()) {
            Some(left) => load_at = left,
            None if load_at != usize::MAX => {
                store.load_configuration(by(Role::Operator, "meruva.desk"), region).await.unwrap();
                load_at = usize::MAX;
            }
            None => {}
        }
    }
}

fn now_digests(found: &Verification) -> Vec<(&'static str, String)> {
    found.projections.iter().map(|(name, digests)| (*name, digests.now.clone())).collect()
}

/// Room is carried on record by record; a store that has just been opened reads it whole.
pub async fn room_followed_is_room_read(databases: &dyn Databases) {
    let (region, lines) = basin(20, 6);
    let (mut asked, mut revised) = (0, 0);
    for seed in 1..=6 {
        let url = databases.fresh().await;
        let store = demo_store(&url, LATER).await;
        store.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
        let configuration = store.configuration().await.unwrap();
        let centres: Vec<PartyId> = configuration
            .region
            .iter()
            .flat_map(|region| region.centres())
            .map(|one| one.party_id.clone())
            .collect();
        let mut below = drawn(seed);
        let mut sent: Vec<&ToSeal> = lines.iter().collect();
        for at in (1..sent.len()).rev() {
            sent.swap(at, below(at + 1));
        }
        let mut rest = sent.as_slice();
        while !rest.is_empty() {
            let (chunk, later) = rest.split_at((1 + below(80)).min(rest.len()));
            rest = later;
            revised += chunk.iter().filter(|line| line.record.envelope.revision > 1).count();
            store.seal(chunk.iter().map(|line| (*line).clone()).collect(), false).await.unwrap();
            let followed = told(&store.room_state(&centres).await.unwrap());
            if below(6) == 0 || rest.is_empty() {
                let other = Store::open(&StoreOptions::new(&url)).await.unwrap();
                assert_eq!(followed, told(&other.room_state(&centres).await.unwrap()), "seed {seed}");
                other.close().await.unwrap();
                asked += 1;
            }
        }
    }
    assert!(asked > 20 && revised >= 12, "{asked} readings, {revised} revisions");
}

/// Which records room rests on, and what is on the road.
fn told(state: &RoomState) -> Vec<String> {
    let names = |place: &str, records: &Records| -> Vec<String> {
        let name = |one: &Arc<Effective>| {
            let frame = &one.record.envelope;
            format!("{place} {} {} {}", frame.author_id, frame.record_id, frame.revision)
        };
        records.iter().map(name).collect()
    };
    let floors = state.floors.iter().flat_map(|(place, records)| names(place, records));
    let kinds =
        [Kind::Capacity, Kind::Readiness, Kind::Biosecurity, Kind::Licence, Kind::Order, Kind::Custody];
    let standing = kinds.iter().flat_map(|kind| names("standing", &state.standing.of(*kind).into()));
    let roads = state.journeys.iter().map(|one| format!("{one:?}"));
    floors.chain(standing).chain(names("roads", &state.journey_records)).chain(roads).collect()
}

pub async fn a_name_that_becomes_known_is_posted_anew(databases: &dyn Databases) {
    let store = demo_store(&databases.fresh().await, LATER).await;
    let lines = || {
        vec![
            rescue("meruva.kolvani", "l1", "2026-07-02", "Novochelys inventa", 5, json!({})),
            frame(
                "mortality",
                "meruva.kolvani",
                "m1",
                "2026-07-04",
                json!({
                    "event": "death", "lotID": "meruva.kolvani:l1", "scientificName": "Novochelys inventa",
                    "individualCount": 2, "when": "inCare",
                }),
            ),
        ]
    };
    store.seal(lines(), false).await.unwrap();
    let before = store.newest_stamp().await.unwrap();
    let region = json!({
        "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata",
        "parties": [{ "partyID": "meruva.kolvani", "role": "centre", "name": "Kolvani", "latitude": 20.1, "longitude": 80.2 }],
        "nameList": { "version": "basin-1", "names": [
            { "scientificName": "Vetuchelys inventa", "family": "Geoemydidae", "order": "Testudines", "synonyms": ["Novochelys inventa"] },
        ] },
    });
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region.to_string()).await.unwrap();
    let period = haulout_reckoning::Period::parse("2026-Q3").unwrap();
    for (known_at, name) in [(None, "Vetuchelys inventa"), (Some(before), "Novochelys inventa")] {
        let sums = store.sums(&Scope::Authority, &period, known_at, &Default::default()).await.unwrap();
        let stock: Vec<(&str, i64)> = sums
            .iter()
            .filter(|sum| sum.account.as_str() == "centre/meruva.kolvani")
            .map(|sum| (sum.scientific_name.as_str(), sum.within))
            .collect();
        assert_eq!(stock, [(name, -2), (name, 5)], "as known at {known_at:?}");
    }
    let stood = store.verify().await.unwrap().projections;
    store.rebuild().await.unwrap();
    assert_eq!(store.verify().await.unwrap().projections, stood);
    // A hub that had the region file first comes to the same.
    let other = demo_store(&databases.fresh().await, LATER).await;
    other.load_configuration(by(Role::Operator, "meruva.desk"), &region.to_string()).await.unwrap();
    other.seal(lines(), false).await.unwrap();
    assert_eq!(now_digests(&other.verify().await.unwrap()), now_digests(&store.verify().await.unwrap()));
}
