//! A failure in the middle: all or nothing.

use crate::databases::{Databases, meddle};
use crate::writing::{dispatch, opening, rescue};
use haulout_store::{ErrorKind, RecordFilter, Scope, Sealed, Store, StoreOptions};
use serde_json::json;

const TABLES: [&str; 7] = ["journal", "record_version", "filed", "entry", "balance", "carried", "chain_head"];

/// Breaks the database at the n-th row written, for n = 1, 2, 3, … until a submission gets through.
pub async fn a_failure_at_any_row_leaves_nothing_behind(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let store = Store::open(&StoreOptions::new(url.clone())).await.unwrap();
    let mugger = "Crocodylus palustris";
    let lot = |revision: u16, count: u32| {
        rescue(
            "meruva.kolvani",
            "l1",
            "2026-07-02",
            mugger,
            count,
            json!({ "revision": revision, "lotID": "meruva.kolvani:l1" }),
        )
    };
    store.seal(vec![opening("meruva.kolvani", "2026-06-30", mugger, 40), lot(1, 3)], false).await.unwrap();
    let before = store.verify().await.unwrap();
    meddle(&url, &fuse(&url)).await;
    let submission = || {
        vec![
            lot(2, 5),
            dispatch("meruva.kolvani", "meruva.desharu", "meruva.kolvani:7", "2026-07-03", mugger, 2),
            rescue("meruva.kolvani", "a9", "2026-07-04", mugger, 1, json!({})),
        ]
    };
    let mut failures = 0;
    for nth in 1..200 {
        meddle(&url, &format!("UPDATE fuse SET left_over = {nth}")).await;
        match store.seal(submission(), false).await {
            Err(error) => {
                failures += 1;
                assert_eq!(error.kind(), ErrorKind::Bug, "{error}: {:?}", error.inner());
                let journal =
                    store.records(&Scope::Region, &RecordFilter::default(), None, 10).await.unwrap();
                assert_eq!(journal.items.len(), 2, "after failing at row {nth}");
            }
            Ok(sealed) => {
                assert!(
                    sealed.lines.iter().all(|line| matches!(line, Sealed::Accepted { .. })),
                    "{sealed:?}"
                );
                assert!(failures > 20, "only {failures} rows were written one by one");
                meddle(&url, "UPDATE fuse SET left_over = -1").await;
                let after = store.verify().await.unwrap();
                assert!(after.is_good() && after.records == before.records + 3, "{after:?}");
                let rebuilt = after.projections.clone();
                store.rebuild().await.unwrap();
                assert_eq!(store.verify().await.unwrap().projections, rebuilt);
                return;
            }
        }
    }
    panic!("never got through");
}

/// Counts rows down and fails at zero; -1 lets everything through.
fn fuse(url: &str) -> String {
    let mut script = "CREATE TABLE fuse (left_over BIGINT); INSERT INTO fuse VALUES (-1);".to_owned();
    if url.starts_with("sqlite") {
        for table in TABLES {
            script += &format!(
                "CREATE TRIGGER fuse_{table} BEFORE INSERT ON {table} BEGIN \
                 UPDATE fuse SET left_over = left_over - 1 WHERE left_over > 0; \
                 SELECT RAISE(ABORT, 'broken on purpose') FROM fuse WHERE left_over = 0; END;"
            );
        }
    } else {
        script += "CREATE FUNCTION burn() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN \
                   UPDATE fuse SET left_over = left_over - 1 WHERE left_over > 0; \
                   IF (SELECT left_over FROM fuse) = 0 THEN RAISE EXCEPTION 'broken on purpose'; END IF; \
                   RETURN NEW; END $$;";
        for table in TABLES {
            script += &format!(
                "CREATE TRIGGER fuse BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION burn();"
            );
        }
    }
    script
}
