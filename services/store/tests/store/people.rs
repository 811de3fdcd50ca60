//! Who may come in.

use crate::databases::{Databases, store};
use haulout_schemas::text::PartyId;
use haulout_store::{ErrorKind, Presented, Role};
use std::time::Instant;

pub async fn who_may_come_in(databases: &dyn Databases) {
    let store = store(databases).await;
    let party = PartyId::from("meruva.kolvani");
    let add = |login: &'static str, password: &'static str, role, party| {
        let store = store.clone();
        async move { store.add_person(login, password, role, party).await }
    };
    assert_eq!(
        add("Keeper", "a long enough word", Role::Centre, Some(&party)).await.unwrap_err().kind(),
        ErrorKind::Invalid
    );
    assert_eq!(
        add("desk", "short", Role::Centre, Some(&party)).await.unwrap_err().kind(),
        ErrorKind::Invalid
    );
    assert_eq!(
        add("desk", "a long enough word", Role::Centre, None).await.unwrap_err().kind(),
        ErrorKind::Invalid
    );
    add("desk", "a long enough word", Role::Centre, Some(&party)).await.unwrap();
    let person = store.check_password("desk", "a long enough word").await.unwrap().unwrap();
    assert_eq!((person.role, person.party), (Role::Centre, Some(party)));
    assert!(store.check_password("desk", "another long word").await.unwrap().is_none());
    // Wrong and unknown take about the same time: within a factor of four on a busy machine.
    let begun = Instant::now();
    store.check_password("desk", "another long word").await.unwrap();
    let wrong = begun.elapsed();
    let begun = Instant::now();
    assert!(store.check_password("nobody", "another long word").await.unwrap().is_none());
    let unknown = begun.elapsed();
    assert!(unknown * 4 > wrong && wrong * 4 > unknown, "wrong {wrong:?}, unknown {unknown:?}");
    let secret = store.start_session("desk").await.unwrap();
    assert_eq!(store.person_of_session(&secret).await.unwrap().unwrap().login, "desk");
    assert!(store.person_of_session("guessed").await.unwrap().is_none());
    store.disable_person("desk").await.unwrap();
    assert!(store.person_of_session(&secret).await.unwrap().is_none());
    assert!(store.check_password("desk", "a long enough word").await.unwrap().is_none());
    assert_eq!(store.disable_person("nobody").await.unwrap_err().kind(), ErrorKind::NotFound);
}

pub async fn tokens_end(databases: &dyn Databases) {
    let store = store(databases).await;
    let party = PartyId::from("meruva.kolvani");
    let (token, secret) = store.issue_token(Role::Centre, Some(&party), "nightly post", None).await.unwrap();
    assert!(secret.starts_with("hlt_") && secret.len() == 68);
    let Presented::InForce(caller) = store.caller_of_token(&secret).await.unwrap() else {
        panic!("it is in force")
    };
    assert_eq!(caller.party, Some(party.clone()));
    assert!(store.tokens().await.unwrap()[0].last_used_at.is_some());
    assert!(store.caller_of_token("hlt_0000").await.unwrap() == Presented::Unknown);
    assert!(
        store.caller_of_token(&token.token_id).await.unwrap() == Presented::Unknown,
        "its number is no secret"
    );
    let soon = store.now().await.unwrap() + 300_000;
    let (_, brief) = store.issue_token(Role::Partner, None, "trial", Some(soon)).await.unwrap();
    assert!(matches!(store.caller_of_token(&brief).await.unwrap(), Presented::InForce(_)));
    tokio::time::sleep(std::time::Duration::from_millis(350)).await;
    assert!(store.caller_of_token(&brief).await.unwrap() == Presented::Expired, "it has ended");
    store.revoke_token(&token.token_id).await.unwrap();
    assert!(store.caller_of_token(&secret).await.unwrap() == Presented::Revoked);
    assert_eq!(store.revoke_token(&token.token_id).await.unwrap_err().kind(), ErrorKind::NotFound);
    assert_eq!(
        store.issue_token(Role::Centre, None, "x", None).await.unwrap_err().kind(),
        ErrorKind::Invalid
    );
}
