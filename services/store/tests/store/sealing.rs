//! The sealing step.

use crate::databases::{Databases, store};
use crate::writing::{frame, opening, record, rescue, value};
use haulout_store::{RecordFilter, Scope, Sealed};
use serde_json::json;

const KOLVANI: &str = "meruva.kolvani";
const MUGGER: &str = "Crocodylus palustris";

pub async fn a_line_is_accepted_once_and_known_ever_after(databases: &dyn Databases) {
    let store = store(databases).await;
    let first =
        store.seal(vec![rescue(KOLVANI, "a1", "2026-07-02", MUGGER, 1, json!({}))], false).await.unwrap();
    let Sealed::Accepted { sequence: 1, known_from } = first.lines[0] else { panic!("{first:?}") };
    let newer = value(
        "rescue",
        KOLVANI,
        "a1",
        "2026-07-02",
        json!({
            "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted",
            "scientificName": MUGGER, "organismID": "meruva.kolvani:a1",
        }),
    );
    let again = vec![record(&newer), opening(KOLVANI, "2026-06-30", MUGGER, 4), record(&newer)];
    let second = store.seal(again, false).await.unwrap();
    let known = Sealed::Known { sequence: 1, known_from };
    assert_eq!(second.lines[0], known);
    let Sealed::Accepted { sequence: 2, known_from: later } = second.lines[1] else { panic!("{second:?}") };
    assert!(later > known_from, "stamps grow");
    assert_eq!(second.lines[2], known, "a repetition within one submission is known too");
    assert_eq!(second.heads[KOLVANI].0, 2);
    let journal = store.records(&Scope::Region, &RecordFilter::default(), None, 10).await.unwrap();
    assert_eq!(journal.items.len(), 2);
    assert!(store.verify().await.unwrap().is_good());
}

pub async fn a_reused_revision_names_what_differs(databases: &dyn Databases) {
    let store = store(databases).await;
    let one =
        rescue(KOLVANI, "a1", "2026-07-02", MUGGER, 1, json!({ "notes": "bank of the brickworks pond" }));
    let other = rescue(KOLVANI, "a1", "2026-07-03", MUGGER, 1, json!({}));
    let differ = Sealed::Reused { fields: vec!["eventDate".into(), "notes".into()] };
    let sealed = store.seal(vec![one.clone(), other.clone()], false).await.unwrap();
    assert_eq!(sealed.lines[1], differ, "within one submission");
    let sealed = store.seal(vec![other, one], false).await.unwrap();
    assert_eq!(sealed.lines[0], differ, "against the journal");
    assert!(matches!(sealed.lines[1], Sealed::Known { sequence: 1, .. }));
}

pub async fn a_strict_submission_is_all_or_nothing(databases: &dyn Databases) {
    let store = store(databases).await;
    let good = rescue(KOLVANI, "a1", "2026-07-02", MUGGER, 1, json!({}));
    store.seal(vec![good], true).await.unwrap();
    let reused = rescue(KOLVANI, "a1", "2026-07-09", MUGGER, 1, json!({}));
    let new = rescue(KOLVANI, "a2", "2026-07-02", MUGGER, 1, json!({}));
    let sealed = store.seal(vec![new.clone(), reused], true).await.unwrap();
    assert_eq!(sealed.lines, [Sealed::Withheld, Sealed::Reused { fields: vec!["eventDate".into()] }]);
    assert_eq!(
        store.records(&Scope::Region, &RecordFilter::default(), None, 10).await.unwrap().items.len(),
        1
    );
    assert!(matches!(
        store.seal(vec![new], true).await.unwrap().lines[0],
        Sealed::Accepted { sequence: 2, .. }
    ));
}

pub async fn a_lower_revision_that_comes_late_never_counts(databases: &dyn Databases) {
    let store = store(databases).await;
    let version = |revision: u16, count: u32| {
        let lot = json!({ "revision": revision, "individualCount": count, "lotID": "meruva.kolvani:l1" });
        rescue(KOLVANI, "l1", "2026-07-02", MUGGER, 5, lot)
    };
    store.seal(vec![version(2, 7)], false).await.unwrap();
    let before = store.newest_stamp().await.unwrap();
    store.seal(vec![version(1, 9)], false).await.unwrap();
    assert_eq!(balance(&store, None).await, 7);
    store.seal(vec![version(3, 8), version(4, 6)], false).await.unwrap();
    assert_eq!(balance(&store, None).await, 6);
    assert_eq!(balance(&store, Some(before)).await, 7, "as known then");
    let history = store.revisions(&Scope::Region, KOLVANI, "l1").await.unwrap();
    let counts: Vec<(u16, bool)> = history.iter().map(|one| (one.revision, one.counts)).collect();
    assert_eq!(counts, [(1, false), (2, false), (3, false), (4, true)]);
    let withdrawn = value(
        "rescue",
        KOLVANI,
        "l1",
        "2026-07-02",
        json!({
            "revision": 5, "withdrawn": true, "withdrawnReason": "reported twice by the gate", "recordedBy": null,
        }),
    );
    store.seal(vec![record(&withdrawn)], false).await.unwrap();
    assert_eq!(balance(&store, None).await, 0, "a withdrawn record posts nothing");
    assert!(store.verify().await.unwrap().is_good());
}

pub async fn several_writers_get_one_chain_each(databases: &dyn Databases) {
    let store = store(databases).await;
    let centres = ["meruva.kolvani", "meruva.desharu", "meruva.ombari", "meruva.velitha"];
    let mut writers = Vec::new();
    for centre in centres {
        let store = store.clone();
        writers.push(tokio::spawn(async move {
            for chunk in 0..5 {
                let lines = (0..20)
                    .map(|n| {
                        frame(
                            "care",
                            centre,
                            &format!("c{chunk}-{n}"),
                            "2026-07-02",
                            json!({
                                "event": "feeding", "food": "fish", "organismID": format!("{centre}:1"),
                            }),
                        )
                    })
                    .collect();
                store.seal(lines, false).await.unwrap();
            }
        }));
    }
    for writer in writers {
        writer.await.unwrap();
    }
    let mut stamps = Vec::new();
    let mut after = None;
    loop {
        let page = store.records(&Scope::Authority, &RecordFilter::default(), after, 150).await.unwrap();
        stamps.extend(page.items.iter().map(|record| record.known_from));
        after = page.next;
        if after.is_none() {
            break;
        }
    }
    assert_eq!(stamps.len(), 400);
    assert!(stamps.windows(2).all(|pair| pair[0] < pair[1]), "the feed is in the order of the stamps");
    assert!(store.verify().await.unwrap().is_good());
}

async fn balance(store: &haulout_store::Store, known_at: Option<i64>) -> i64 {
    let period = haulout_reckoning::Period::parse("2026").unwrap();
    let sums = store.sums(&Scope::Authority, &period, known_at, &Default::default()).await.unwrap();
    sums.iter()
        .filter(|sum| sum.account.as_str() == "centre/meruva.kolvani")
        .map(|sum| sum.before + sum.within)
        .sum()
}
