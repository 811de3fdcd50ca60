//! Chains, verifying, rebuilding.

use crate::databases::{Databases, demo_store, meddle};
use crate::writing::{basin, by, rescue};
use haulout_schemas::RecordRef;
use haulout_store::{ErrorKind, Role, Scope};
use serde_json::json;

const LATER: &str = "2026-11-01T00:00:00Z";

pub async fn an_altered_byte_is_named(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let store = demo_store(&url, LATER).await;
    let lines = (1..=5)
        .map(|n| {
            rescue("meruva.kolvani", &format!("a{n}"), "2026-07-02", "Crocodylus palustris", 1, json!({}))
        })
        .collect();
    store.seal(lines, false).await.unwrap();
    let act = by(Role::Operator, "meruva.desk");
    store
        .load_configuration(
            act,
            &json!({
                "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata", "parties": [],
            })
            .to_string(),
        )
        .await
        .unwrap();
    assert!(store.verify().await.unwrap().is_good());
    let good = store.verify().await.unwrap().projections;
    for (alter, undo, author, sequence) in [
        (
            "UPDATE journal SET canonical = replace(canonical, 'fromWild', 'fromWilt') WHERE feed = 3",
            "UPDATE journal SET canonical = replace(canonical, 'fromWilt', 'fromWild') WHERE feed = 3",
            "meruva.kolvani",
            3,
        ),
        (
            "UPDATE journal SET known_from = known_from + 1 WHERE feed = 5",
            "UPDATE journal SET known_from = known_from - 1 WHERE feed = 5",
            "meruva.kolvani",
            5,
        ),
        (
            "UPDATE journal SET place = 'meruva.desharu' WHERE feed = 2",
            "UPDATE journal SET place = 'meruva.kolvani' WHERE feed = 2",
            "meruva.kolvani",
            2,
        ),
        (
            "UPDATE act SET canonical = replace(canonical, 'basin', 'bisin') WHERE sequence = 1",
            "UPDATE act SET canonical = replace(canonical, 'bisin', 'basin') WHERE sequence = 1",
            "acts",
            1,
        ),
    ] {
        meddle(&url, alter).await;
        let found = store.verify().await.unwrap();
        let named: Vec<(&str, i64)> =
            found.faults.iter().map(|fault| (fault.author_id.as_str(), fault.sequence)).collect();
        assert!(named.contains(&(author, sequence)), "{alter}: {named:?}");
        meddle(&url, undo).await;
    }
    assert_eq!(store.verify().await.unwrap().projections, good);
    meddle(&url, "UPDATE balance SET delta = delta + 1").await;
    let found = store.verify().await.unwrap();
    assert!(found.is_good(), "a projection is not the journal");
    assert_ne!(found.projections["balances"], good["balances"]);
    store.rebuild().await.unwrap();
    assert_eq!(store.verify().await.unwrap().projections, good);
    meddle(&url, "DELETE FROM journal WHERE feed = 5").await;
    assert!(!store.verify().await.unwrap().is_good(), "an entry is missing at the end");
}

pub async fn a_rebuild_is_the_same_to_the_byte(databases: &dyn Databases) {
    let (region, lines) = basin(5, 6);
    let store = demo_store(&databases.fresh().await, "2026-07-04T00:00:00Z").await;
    let half = lines.len() / 2;
    // Backwards, so that later revisions come before earlier ones; the region in the middle.
    let (second, first) = lines.split_at(half);
    store.seal(first.iter().rev().cloned().collect(), false).await.unwrap();
    store.load_configuration(by(Role::Operator, "meruva.desk"), &region).await.unwrap();
    store.findings(&Scope::Authority, &Default::default()).await.unwrap();
    store.set_demo_clock(haulout_store::clock::instant_of(LATER).unwrap()).await.unwrap();
    store.seal(second.to_vec(), false).await.unwrap();
    let stood = store.verify().await.unwrap();
    let rebuilt = store.rebuild().await.unwrap();
    assert_eq!((rebuilt.records, rebuilt.acts), (stood.records, 1));
    let stands = store.verify().await.unwrap();
    assert_eq!(stands, stood);
}

pub async fn a_redaction_leaves_the_chain_intact(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let store = demo_store(&url, LATER).await;
    let noted = rescue(
        "meruva.kolvani",
        "a1",
        "2026-07-02",
        "Crocodylus palustris",
        1,
        json!({ "notes": "brought by the miller" }),
    );
    store.seal(vec![noted], false).await.unwrap();
    let named = RecordRef { author_id: "meruva.kolvani".into(), record_id: "a1".into() };
    let desk = || by(Role::Operator, "meruva.desk");
    for pointer in ["/individualCount", "/scientificName", "/organismID", "/nothing", "/authorID", "/kind"] {
        let refused = store.redact(desk(), named.clone(), 1, vec![pointer.into()], "asked for".into()).await;
        assert_eq!(refused.unwrap_err().kind(), ErrorKind::Invalid, "{pointer}");
    }
    store.redact(desk(), named, 1, vec!["/notes".into()], "names a person".into()).await.unwrap();
    let found = store.verify().await.unwrap();
    assert!(found.is_good(), "{:?}", found.faults);
    assert_eq!(found.redacted.len(), 1);
    let record = store.record(&Scope::Region, "meruva.kolvani", "a1").await.unwrap();
    assert!(
        record.redacted && record.canonical.contains("[redacted]") && !record.canonical.contains("miller")
    );
    meddle(&url, "UPDATE journal SET canonical = replace(canonical, '[redacted]', '[reducted]')").await;
    assert!(!store.verify().await.unwrap().is_good(), "a blanked text cannot be altered either");
}

pub async fn an_earlier_checkpoint_is_a_beginning(databases: &dyn Databases) {
    let store = demo_store(&databases.fresh().await, LATER).await;
    let one = |n: u32| {
        rescue("meruva.kolvani", &format!("a{n}"), "2026-07-02", "Crocodylus palustris", 1, json!({}))
    };
    store.seal(vec![one(1), one(2)], false).await.unwrap();
    let mut checkpoint = store.checkpoint().await.unwrap();
    let then = store.newest_stamp().await.unwrap();
    store.seal(vec![one(3)], false).await.unwrap();
    assert_eq!(store.compare_heads(&checkpoint.chain_heads).await.unwrap(), []);
    let heads = store.chain_heads(Some(then)).await.unwrap();
    assert_eq!(heads["meruva.kolvani"].0, 2);
    assert_eq!(hex::encode(heads["meruva.kolvani"].1), checkpoint.chain_heads["meruva.kolvani"].link);
    assert_eq!(store.chain_heads(Some(then - 1)).await.unwrap()["meruva.kolvani"].0, 1);
    checkpoint.chain_heads.get_mut("meruva.kolvani").unwrap().sequence = 9;
    assert_eq!(store.compare_heads(&checkpoint.chain_heads).await.unwrap().len(), 1);
}

pub async fn a_backup_is_whole(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let store = demo_store(&url, LATER).await;
    let one = |n: u32| {
        rescue("meruva.kolvani", &format!("a{n}"), "2026-07-02", "Crocodylus palustris", 1, json!({}))
    };
    store.seal(vec![one(1), one(2)], false).await.unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("copy.db");
    if !url.starts_with("sqlite") {
        assert_eq!(store.backup_to(&file).await.unwrap_err().kind(), ErrorKind::Invalid);
        return;
    }
    // Others write while the copy is made.
    let writer = store.clone();
    let writing = tokio::spawn(async move {
        for n in 3..30 {
            writer.seal(vec![one(n)], false).await.unwrap();
        }
    });
    store.backup_to(&file).await.unwrap();
    writing.await.unwrap();
    assert_eq!(store.backup_to(&file).await.unwrap_err().kind(), ErrorKind::Invalid, "it is there already");
    let copy = demo_store(&format!("sqlite://{}", file.display()), LATER).await;
    let found = copy.verify().await.unwrap();
    assert!(found.is_good() && found.records >= 2, "{:?}", found.faults);
    let heads = copy.checkpoint().await.unwrap().chain_heads;
    assert_eq!(store.compare_heads(&heads).await.unwrap(), [], "its chains are beginnings of today's");
}
