//! People who may come in: offices and pseudonyms, a password, a role.

use crate::database::{Store, row, rows, run};
use crate::error::{Result, StoreError};
use crate::secret::random_hex;
use argon2::password_hash::phc::PasswordHash;
use argon2::{Argon2, PasswordHasher, PasswordVerifier};
use haulout_reckoning::Micros;
use haulout_schemas::text::PartyId;
use schemars::JsonSchema;
use sea_orm::QueryResult;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// What somebody may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Role {
    /// Writes only its own, sees its own in full. Also police and range offices that keep a point.
    Centre,
    /// Places animals, sees the region.
    Coordinator,
    /// Reads everything exactly; writes licences, permits, orders, inspections, sign-offs.
    Authority,
    /// Writes results.
    Laboratory,
    /// Schema, checks, generalised public counts.
    Partner,
    /// People, tokens; no animal data by default.
    Operator,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 6] =
        [Self::Centre, Self::Coordinator, Self::Authority, Self::Laboratory, Self::Partner, Self::Operator];

    /// The role as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Centre => "centre",
            Self::Coordinator => "coordinator",
            Self::Authority => "authority",
            Self::Laboratory => "laboratory",
            Self::Partner => "partner",
            Self::Operator => "operator",
        }
    }

    /// Whether the role stands for a party and cannot be had without one.
    pub const fn needs_party(self) -> bool {
        !matches!(self, Self::Partner | Self::Operator)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Role {
    type Err = StoreError;
    fn from_str(text: &str) -> Result<Self> {
        Self::ALL.into_iter().find(|role| role.as_str() == text).ok_or_else(|| {
            let all: Vec<&str> = Self::ALL.iter().map(|role| role.as_str()).collect();
            StoreError::invalid(format!("`{text}` is no role; write one of {}", all.join(", ")))
        })
    }
}

/// Somebody who may come in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// An office or a pseudonym, never a person's name.
    pub login: String,
    /// What they may do.
    pub role: Role,
    /// For which party.
    pub party: Option<PartyId>,
    /// Whether they are kept out.
    pub disabled: bool,
}

/// Characters of a password at least; length counts, composition does not.
pub const SHORTEST_PASSWORD: usize = 12;
/// Bytes of a password at most, so that hashing stays bounded.
pub const LONGEST_PASSWORD: usize = 1_024;
/// How long somebody stays in after coming in: twelve hours, a night shift.
const SESSION: Micros = 12 * 3_600 * 1_000_000;

/// A hash of nothing anyone can send, so that an unknown login takes the same time.
const NOBODY: &str =
    "$argon2id$v=19$m=19456,t=2,p=1$bm9ib2R5IGlzIGhlcmU$V0m0OcRrXyVBAyKMhmJcjSbnEjpNL2Bmgwm8QO1HtCU";

impl Store {
    /// Lets somebody in. A login that exists gets the new password, role and party.
    ///
    /// # Errors
    /// `Invalid` for a login, password or party that cannot be.
    pub async fn add_person(
        &self,
        login: &str,
        password: &str,
        role: Role,
        party: Option<&PartyId>,
    ) -> Result<Person> {
        check_login(login)?;
        check_party(role, party)?;
        if password.chars().count() < SHORTEST_PASSWORD || password.len() > LONGEST_PASSWORD {
            return Err(StoreError::invalid(format!(
                "a password has at least {SHORTEST_PASSWORD} characters and at most {LONGEST_PASSWORD} bytes"
            )));
        }
        let hash = self.hash_password(password.to_owned()).await?;
        let now = self.now().await?;
        run(
            self.db(),
            "INSERT INTO person (login, password, role, party, disabled, added_at) VALUES ($1, $2, $3, $4, $5, $6) \
             ON CONFLICT (login) DO UPDATE SET password = excluded.password, role = excluded.role, \
             party = excluded.party, disabled = excluded.disabled",
            [
                login.into(),
                hash.into(),
                role.as_str().into(),
                party.map(ToString::to_string).into(),
                false.into(),
                now.into(),
            ],
        )
        .await?;
        self.end_sessions(login).await?;
        Ok(Person { login: login.to_owned(), role, party: party.cloned(), disabled: false })
    }

    /// Keeps somebody out from now on.
    ///
    /// # Errors
    /// `NotFound` for an unknown login.
    pub async fn disable_person(&self, login: &str) -> Result<()> {
        let changed =
            run(self.db(), "UPDATE person SET disabled = $1 WHERE login = $2", [true.into(), login.into()])
                .await?;
        if changed == 0 {
            return Err(StoreError::not_found(format!("there is nobody called {login}")));
        }
        self.end_sessions(login).await
    }

    /// Everybody, by login.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn people(&self) -> Result<Vec<Person>> {
        let sql = "SELECT login, role, party, disabled FROM person ORDER BY login";
        rows(self.db(), sql, Vec::new()).await?.iter().map(person).collect()
    }

    /// The person of a login and password. Unknown, disabled and wrong are one answer, `None`, and
    /// take the same time.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn check_password(&self, login: &str, password: &str) -> Result<Option<Person>> {
        let sql = "SELECT login, role, party, disabled, password FROM person WHERE login = $1";
        let found = row(self.db(), sql, [login.into()]).await?;
        let hash = match &found {
            Some(row) => row.try_get("", "password")?,
            None => NOBODY.to_owned(),
        };
        // What is too long was never taken: it is hashed as nothing, in the same time, and cannot match.
        let fits = password.len() <= LONGEST_PASSWORD;
        let password = if fits { password.to_owned() } else { String::new() };
        let matches = self.verify_password(password, hash).await? && fits;
        let person = found.as_ref().map(person).transpose()?;
        Ok(person.filter(|person| matches && !person.disabled))
    }

    /// Begins a session and gives its secret, which is kept nowhere.
    ///
    /// # Errors
    /// When it cannot be stored.
    pub async fn start_session(&self, login: &str) -> Result<String> {
        let secret = random_hex()?;
        let now = self.now().await?;
        run(self.db(), "DELETE FROM session WHERE expires_at < $1", [now.into()]).await?;
        run(
            self.db(),
            "INSERT INTO session (digest, login, started_at, expires_at) VALUES ($1, $2, $3, $4)",
            [digest(&secret), login.into(), now.into(), (now + SESSION).into()],
        )
        .await?;
        Ok(secret)
    }

    /// The person of a session's secret, while it lasts and they are let in.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn person_of_session(&self, secret: &str) -> Result<Option<Person>> {
        let sql = "SELECT p.login AS login, p.role AS role, p.party AS party, p.disabled AS disabled FROM session s \
                   JOIN person p ON p.login = s.login WHERE s.digest = $1 AND s.expires_at >= $2";
        let found = row(self.db(), sql, [digest(secret), self.now().await?.into()]).await?;
        Ok(found.as_ref().map(person).transpose()?.filter(|person| !person.disabled))
    }

    /// Ends a session.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn end_session(&self, secret: &str) -> Result<()> {
        run(self.db(), "DELETE FROM session WHERE digest = $1", [digest(secret)]).await?;
        Ok(())
    }

    async fn end_sessions(&self, login: &str) -> Result<()> {
        run(self.db(), "DELETE FROM session WHERE login = $1", [login.into()]).await?;
        Ok(())
    }

    async fn hash_password(&self, password: String) -> Result<String> {
        self.hashing(move || {
            let hash: PasswordHash =
                Argon2::default().hash_password(password.as_bytes()).map_err(StoreError::bug)?;
            Ok(hash.to_string())
        })
        .await
    }

    async fn verify_password(&self, password: String, hash: String) -> Result<bool> {
        self.hashing(move || {
            let hash = PasswordHash::new(&hash).map_err(StoreError::bug)?;
            Ok(Argon2::default().verify_password(password.as_bytes(), &hash).is_ok())
        })
        .await
    }

    /// Hashing takes a core and 19 MiB for tens of milliseconds: off the event loop, few at a time.
    async fn hashing<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let _turn = self.inner.hashing.acquire().await.map_err(StoreError::bug)?;
        tokio::task::spawn_blocking(work).await.map_err(StoreError::bug)?
    }
}

/// What of a secret is kept.
pub(crate) fn digest(secret: &str) -> sea_orm::Value {
    crate::chain::sha256(secret.as_bytes()).to_vec().into()
}

pub(crate) fn check_party(role: Role, party: Option<&PartyId>) -> Result<()> {
    if role.needs_party() && party.is_none() {
        return Err(StoreError::invalid(format!(
            "the role {role} stands for a party; name it, such as meruva.kolvani"
        )));
    }
    Ok(())
}

fn check_login(login: &str) -> Result<()> {
    let fits = (2..=64).contains(&login.len())
        && login
            .bytes()
            .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || b"._-".contains(&byte));
    if fits {
        return Ok(());
    }
    Err(StoreError::invalid(
        "a login has 2 to 64 lower-case letters, digits, dots, dashes or underscores; name an office, not a person",
    ))
}

fn person(row: &QueryResult) -> Result<Person> {
    Ok(Person {
        login: row.try_get("", "login")?,
        role: row.try_get::<String>("", "role")?.parse()?,
        party: row.try_get::<Option<String>>("", "party")?.map(PartyId),
        disabled: row.try_get("", "disabled")?,
    })
}
