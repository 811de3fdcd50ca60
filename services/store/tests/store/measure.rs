//! How fast records are sealed. Run by hand, in release:
//! `cargo test --release -p haulout-store --test store -- --ignored --nocapture measure`

use crate::databases::{Databases, Sqlite};
use crate::writing::value;
use haulout_store::{Scope, Store, StoreOptions, ToSeal};
use serde_json::json;
use std::time::{Duration, Instant};

const RECORDS: usize = 100_000;

/// The night's small change: housing, care, and now and then a census, of ten centres.
fn mix() -> Vec<ToSeal> {
    (0..RECORDS)
        .map(|n| {
            let centre = format!("meruva.centre-{}", n % 10);
            let day = format!("2026-{:02}-{:02}", 7 + (n / 1_200) % 3, 1 + (n / 40) % 28);
            let animal = format!("{centre}:{}", n % 700);
            let id = format!("r{n}");
            let record = match n % 10 {
                0 => value("census", &centre, &id, &day, json!({
                    "method": "headCount", "complete": true,
                    "lines": (0..6).map(|line| json!({
                        "scientificName": "Lissemys punctata", "individualCount": 10 + line, "unitID": format!("P{line}"),
                    })).collect::<Vec<_>>(),
                })),
                1..=3 => value("housing", &centre, &id, &day, json!({
                    "event": "housed", "organismID": animal, "scientificName": "Lissemys punctata",
                    "units": [{ "unitID": format!("P{}", n % 40), "individualCount": 1 }],
                })),
                4 => value("rescue", &centre, &id, &day, json!({
                    "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted",
                    "scientificName": "Lissemys punctata", "organismID": format!("{centre}:n{n}"),
                })),
                _ => value("care", &centre, &id, &day, json!({
                    "event": "feeding", "food": "fish", "organismID": animal, "scientificName": "Lissemys punctata",
                })),
            };
            crate::writing::record(&record)
        })
        .collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "a measurement"]
async fn measure_sealing_on_sqlite() {
    measure(&Sqlite::default()).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "a measurement"]
async fn measure_sealing_on_postgres() {
    if let Some(cluster) = crate::postgres::Cluster::start() {
        measure(&cluster).await;
    }
}

async fn measure(databases: &dyn Databases) {
    let lines = mix();
    let store = Store::open(&StoreOptions::new(databases.fresh().await)).await.unwrap();
    let mut slowest = Duration::ZERO;
    let begun = Instant::now();
    for chunk in lines.chunks(2_000) {
        let part = Instant::now();
        store.seal(chunk.to_vec(), false).await.unwrap();
        slowest = slowest.max(part.elapsed());
    }
    let took = begun.elapsed().as_secs_f64();
    eprintln!(
        "{}: {:.0} records/s sealed in chunks of 2,000; slowest chunk {slowest:?}",
        store.database_name(),
        100_000.0 / took
    );
    let begun = Instant::now();
    for chunk in lines.chunks(2_000).take(10) {
        store.seal(chunk.to_vec(), false).await.unwrap();
    }
    eprintln!("{:.0} records/s known again", 20_000.0 / begun.elapsed().as_secs_f64());
    let begun = Instant::now();
    let one =
        crate::writing::rescue("meruva.centre-1", "single", "2026-07-02", "Lissemys punctata", 1, json!({}));
    store.seal(vec![one], false).await.unwrap();
    eprintln!("{:?} for a single record", begun.elapsed());
    let period = haulout_reckoning::Period::parse("2026-Q3").unwrap();
    let begun = Instant::now();
    store.sums(&Scope::Authority, &period, None, &Default::default()).await.unwrap();
    eprintln!("{:?} for the sums of a quarter", begun.elapsed());
    let begun = Instant::now();
    store.refresh_findings().await.unwrap();
    eprintln!("{:?} for the findings", begun.elapsed());
    let begun = Instant::now();
    store.rebuild().await.unwrap();
    eprintln!("{:?} for a rebuild", begun.elapsed());
    let begun = Instant::now();
    store.verify().await.unwrap();
    eprintln!("{:?} for verifying", begun.elapsed());
}
