//! Submissions that are worked on later, and calls that are repeated.

use crate::databases::Databases;
use haulout_store::{
    Answer, Claim, Keeping, LineOutcome, NewSubmission, Role, Scope, Store, StoreOptions, SubmissionState,
};
use std::time::Duration;

pub async fn a_submission_outlives_its_process(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let first = Store::open(&StoreOptions::new(url.clone())).await.unwrap();
    let new = NewSubmission {
        caller: "token:1".into(),
        role: Role::Centre,
        party: Some("meruva.kolvani".into()),
        media_type: "application/x-ndjson".into(),
        strict: false,
    };
    let begun = first.begin_submission(&new).await.unwrap();
    let id = begun.submission_id.as_str();
    first.add_submission_part(id, 0, b"{\"a\":1}\n".to_vec()).await.unwrap();
    assert!(
        first.take_submission(Duration::from_secs(60)).await.unwrap().is_none(),
        "its body is not all there"
    );
    first.add_submission_part(id, 1, b"{\"a\":2}\n".to_vec()).await.unwrap();
    first.submission_waits(id).await.unwrap();
    // Whoever takes it first dies after one line.
    let (taken, after) = first.take_submission(Duration::from_millis(50)).await.unwrap().unwrap();
    assert_eq!((taken.by.clone(), after), (new, 0));
    let outcome = |ordinal: i64| LineOutcome {
        ordinal,
        outcome: "accepted".into(),
        canonical: format!("{{\"line\":{ordinal}}}"),
    };
    first.keep_submission(id, Keeping { lines: &[outcome(1)], ..Keeping::default() }).await.unwrap();
    first.close().await.unwrap();
    tokio::time::sleep(Duration::from_millis(80)).await;
    let second = Store::open(&StoreOptions::new(url)).await.unwrap();
    let (_, after) = second.take_submission(Duration::from_secs(60)).await.unwrap().unwrap();
    assert_eq!(after, 1, "one line has its outcome");
    assert!(second.take_submission(Duration::from_secs(60)).await.unwrap().is_none(), "it is taken");
    assert_eq!(second.submission_part(id, 1).await.unwrap().unwrap(), b"{\"a\":2}\n");
    assert!(second.renew_submission(id, Duration::from_secs(60)).await.unwrap());
    let counts = serde_json::json!({ "accepted": 2 });
    let lines = [outcome(1), outcome(2)];
    let end = Keeping { lines: &lines, done: Some(&counts), ..Keeping::default() };
    second.keep_submission(id, end).await.unwrap();
    let own = Scope::Party("meruva.kolvani".into());
    let done = second.submission(&own, id).await.unwrap();
    assert_eq!((done.state, done.counts["accepted"].as_i64()), (SubmissionState::Done, Some(2)));
    assert_eq!(second.submission_lines(&own, id, 1, 10).await.unwrap(), [outcome(2)]);
    assert!(second.submission_part(id, 0).await.unwrap().is_none(), "the body is no longer kept");
    assert!(second.submission(&Scope::Party("meruva.ombari".into()), id).await.is_err());
}

pub async fn a_call_may_be_repeated(databases: &dyn Databases) {
    let url = databases.fresh().await;
    let one = Store::open(&StoreOptions::new(url.clone())).await.unwrap();
    let other = Store::open(&StoreOptions::new(url)).await.unwrap();
    let long = Duration::from_secs(60);
    let body = [7; 32];
    assert_eq!(one.claim("c", "k", &body, Duration::from_secs(2)).await.unwrap(), Claim::Taken);
    assert_eq!(other.claim("c", "k", &body, long).await.unwrap(), Claim::Running);
    assert_eq!(other.claim("c", "k", &[8; 32], long).await.unwrap(), Claim::OtherBody);
    assert_eq!(other.claim("d", "k", &[8; 32], long).await.unwrap(), Claim::Taken, "another caller's key");
    tokio::time::sleep(Duration::from_millis(2_050)).await;
    assert_eq!(other.claim("c", "k", &body, long).await.unwrap(), Claim::Taken, "whoever had it is gone");
    assert!(!one.renew_claim("c", "k", long).await.unwrap());
    let answer = Answer { status: 200, media_type: "application/json".into(), body: b"{}".to_vec() };
    other.answer_claim("c", "k", &answer).await.unwrap();
    assert_eq!(one.claim("c", "k", &body, long).await.unwrap(), Claim::Answered(answer));
    other.give_up_claim("d", "k").await.unwrap();
    assert_eq!(one.claim("d", "k", &[9; 32], long).await.unwrap(), Claim::Taken);
    assert_eq!(one.forget_claims(Duration::ZERO).await.unwrap(), 2);
}
