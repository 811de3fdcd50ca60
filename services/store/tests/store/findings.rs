//! Findings worked out bit by bit, and in full.

use crate::databases::{Databases, demo_store};
use crate::writing::{basin, by};
use haulout_store::{AsOf, Role, Scope};

/// What hubs spawn must be able to move between threads.
fn moves<T: Send>(work: T) -> T {
    work
}

pub async fn what_is_refreshed_bit_by_bit_equals_what_is_judged_in_full(databases: &dyn Databases) {
    let (region, lines) = basin(30, 12);
    let store = demo_store(&databases.fresh().await, "2026-07-02T00:00:00Z").await;
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
    let mut most = 0;
    let chunks: Vec<_> = lines.chunks(lines.len().div_ceil(8)).collect();
    for (nth, chunk) in chunks.iter().enumerate() {
        store.seal(chunk.to_vec(), false).await.unwrap();
        // Days pass faster than records come, so that deadlines fall due without anything touching them.
        let day = 3 + nth * 4;
        let now = format!("2026-{:02}-{:02}T12:00:00Z", 7 + day / 31, 1 + day % 31);
        store.set_demo_clock(haulout_store::clock::instant_of(&now).unwrap()).await.unwrap();
        let standing = moves(store.findings(&Scope::Authority, &Default::default())).await.unwrap();
        let as_of = AsOf { known_at: None, through: Some(standing.evaluated_through) };
        let full = store.findings_at(&Scope::Authority, as_of, &Default::default()).await.unwrap();
        assert_eq!(standing.findings, full, "on {now}");
        most = most.max(full.len());
    }
    assert!(most > 5, "only {most} findings at any time");
}
