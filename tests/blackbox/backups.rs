//! `haulout backup`: a whole copy while the hub goes on, and plain words where it cannot be made.

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::{Hub, haulout, haulout_ok};
use serde_json::{Value, json};
use tempfile::TempDir;

fn url(path: &std::path::Path) -> String {
    format!("sqlite://{}?mode=rwc", path.display())
}

#[test]
fn a_copy_made_while_the_hub_writes_is_whole_and_stands_alone() {
    let region = story::region();
    let posting = Posting::new(Hub::on_sqlite(&region), &region, "2026-06-30T09:00:00+05:30");
    let until = chrono::DateTime::parse_from_rfc3339("2026-07-12T00:00:00+05:30").unwrap();
    let posts: Vec<_> =
        story::posts(&story::Consignments::default()).into_iter().filter(|post| post.at < until).collect();
    let (first, rest) = posts.split_at(posts.len() / 2);
    let tell = |post: &story::Post| {
        posting.hub.set_clock(&posting.operator, &post.at.to_rfc3339());
        assert_eq!(posting.party(post.party).submit(&post.records).status, 200);
    };
    first.iter().for_each(tell);
    let before = first.iter().map(|post| post.records.len()).sum::<usize>();
    let all = posts.iter().map(|post| post.records.len()).sum::<usize>();
    let folder = TempDir::new().unwrap();
    let copy = folder.path().join("copy.db");
    let to = copy.to_str().unwrap();
    std::thread::scope(|scope| {
        let writing = scope.spawn(|| rest.iter().for_each(tell));
        let said = haulout_ok(&["backup", "--to", to, "--database", posting.hub.database()]);
        assert!(said.contains("haulout verify"), "{said}");
        writing.join().unwrap();
    });
    let verify = |database: &str| -> Value {
        serde_json::from_str(&haulout_ok(&["verify", "--database", database, "--format", "json"])).unwrap()
    };
    let copied = verify(&url(&copy));
    assert_eq!(copied["good"], true, "{copied}");
    let records = copied["verification"]["records"].as_u64().unwrap() as usize;
    assert!((before..=all).contains(&records), "{records} records, {before} to {all} were sealed");
    assert_eq!(verify(posting.hub.database())["verification"]["records"].as_u64().unwrap() as usize, all);

    // A second copy over the first is refused, and the first stays as it is.
    let again = haulout(&["backup", "--to", to, "--database", posting.hub.database()]);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("is there already"));
    assert_eq!(verify(&url(&copy))["verification"]["records"].as_u64().unwrap() as usize, records);

    // The copy can be served: what was sealed by then is answered from it.
    let served = Hub::start(folder, url(&copy), &region, &["--demo-clock"]);
    let statement = served.caller("authority", Some("meruva.authority")).statement("2026-07", None);
    assert!(statement["account"]["rows"].as_array().is_some_and(|rows| !rows.is_empty()));
}

#[test]
fn what_cannot_be_copied_is_said_plainly() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("copy.db");
    let refused = |database: &str, words: &str| {
        let output = haulout(&["backup", "--to", to.to_str().unwrap(), "--database", database]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{database}: {said}");
        assert!(said.contains(words), "{database}: {said}");
        assert!(!to.exists());
    };
    refused("postgres://hub@127.0.0.1:1/haulout", "pg_dump");
    // A slip in the name must not make an empty database and copy that.
    let nowhere = folder.path().join("nowhere.db");
    refused(&url(&nowhere), "there is no database");
    assert!(!nowhere.exists());
    let text = folder.path().join("notes.db");
    std::fs::write(&text, json!({ "not": "a database" }).to_string()).unwrap();
    let output = haulout(&["backup", "--to", to.to_str().unwrap(), "--database", &url(&text)]);
    assert_eq!(output.status.code(), Some(2));
    assert!(!to.exists() && !folder.path().join("copy.db.part").exists());
}
