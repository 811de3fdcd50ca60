//! Tokens for machines: 256 random bits, of which only the SHA-256 is kept.

use crate::database::{Store, row, rows, run};
use crate::error::{Result, StoreError};
use crate::people::{Role, check_party, digest};
use crate::secret::{random_hex, random_name};
use haulout_reckoning::Micros;
use haulout_schemas::text::PartyId;
use sea_orm::QueryResult;

/// What every token begins with, so that a leaked one is recognised.
pub const PREFIX: &str = "hlt_";
/// `last used` is written at most this often, microseconds: a busy machine must not queue for the writer.
const LAST_USED_GRAIN: Micros = 60_000_000;

/// A token, without its secret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// Its number, for revoking.
    pub token_id: String,
    /// What its bearer may do.
    pub role: Role,
    /// For which party.
    pub party: Option<PartyId>,
    /// What it is for, such as `nightly post`.
    pub label: String,
    /// When it was issued.
    pub issued_at: Micros,
    /// When it ends; `None`: when revoked.
    pub expires_at: Option<Micros>,
    /// When it was last used, to the minute.
    pub last_used_at: Option<Micros>,
    /// When it was revoked.
    pub revoked_at: Option<Micros>,
}

const COLUMNS: &str = "token_id, role, party, label, issued_at, expires_at, last_used_at, revoked_at";

/// What a secret that somebody presents turns out to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Presented {
    /// A token in force.
    InForce(Token),
    /// A token whose time has ended.
    Expired,
    /// A token that was taken back.
    Revoked,
    /// No token that was issued here.
    Unknown,
}

impl Store {
    /// Issues a token; its secret is in the answer and nowhere else.
    ///
    /// # Errors
    /// `Invalid` where the role needs a party, or the end lies in the past.
    pub async fn issue_token(
        &self,
        role: Role,
        party: Option<&PartyId>,
        label: &str,
        expires_at: Option<Micros>,
    ) -> Result<(Token, String)> {
        check_party(role, party)?;
        let issued_at = self.now().await?;
        if expires_at.is_some_and(|end| end <= issued_at) {
            return Err(StoreError::invalid("the token would have ended already; give a later instant"));
        }
        let secret = format!("{PREFIX}{}", random_hex()?);
        let token = Token {
            token_id: random_name()?,
            role,
            party: party.cloned(),
            label: label.to_owned(),
            issued_at,
            expires_at,
            last_used_at: None,
            revoked_at: None,
        };
        run(
            self.db(),
            "INSERT INTO token (token_id, digest, role, party, label, issued_at, expires_at) \
             VALUES ($1, $2, $3, $4, $5, $6, $7)",
            [
                token.token_id.as_str().into(),
                digest(&secret),
                role.as_str().into(),
                party.map(ToString::to_string).into(),
                label.into(),
                issued_at.into(),
                expires_at.into(),
            ],
        )
        .await?;
        Ok((token, secret))
    }

    /// Ends a token, named by its number or its secret.
    ///
    /// # Errors
    /// `NotFound` where there is no such token in force.
    pub async fn revoke_token(&self, number_or_secret: &str) -> Result<()> {
        let now = self.now().await?;
        let changed = run(
            self.db(),
            "UPDATE token SET revoked_at = $1 WHERE (token_id = $2 OR digest = $3) AND revoked_at IS NULL",
            [now.into(), number_or_secret.into(), digest(number_or_secret)],
        )
        .await?;
        if changed == 0 {
            return Err(StoreError::not_found("there is no such token in force"));
        }
        Ok(())
    }

    /// Every token, newest first.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn tokens(&self) -> Result<Vec<Token>> {
        let sql = format!("SELECT {COLUMNS} FROM token ORDER BY issued_at DESC, token_id");
        rows(self.db(), sql, Vec::new()).await?.iter().map(token).collect()
    }

    /// Whose secret it is, and whether it still opens. A text without the prefix is not looked up.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn caller_of_token(&self, secret: &str) -> Result<Presented> {
        if !secret.starts_with(PREFIX) || secret.len() > 200 {
            return Ok(Presented::Unknown);
        }
        let now = self.now().await?;
        let sql = format!("SELECT {COLUMNS} FROM token WHERE digest = $1");
        let Some(found) = row(self.db(), &sql, [digest(secret)]).await? else {
            return Ok(Presented::Unknown);
        };
        let token = token(&found)?;
        if token.revoked_at.is_some() {
            return Ok(Presented::Revoked);
        }
        if token.expires_at.is_some_and(|end| end <= now) {
            return Ok(Presented::Expired);
        }
        if token.last_used_at.is_none_or(|last| last + LAST_USED_GRAIN <= now) {
            let sql = "UPDATE token SET last_used_at = $1 WHERE token_id = $2";
            // A note for operators: while the database is busy it is left out, and the call goes on.
            if let Err(error) = run(self.db(), sql, [now.into(), token.token_id.as_str().into()]).await {
                tracing::debug!(inner = error.inner(), "last use of a token not noted");
            }
        }
        Ok(Presented::InForce(token))
    }
}

fn token(row: &QueryResult) -> Result<Token> {
    Ok(Token {
        token_id: row.try_get("", "token_id")?,
        role: row.try_get::<String>("", "role")?.parse()?,
        party: row.try_get::<Option<String>>("", "party")?.map(PartyId),
        label: row.try_get("", "label")?,
        issued_at: row.try_get("", "issued_at")?,
        expires_at: row.try_get("", "expires_at")?,
        last_used_at: row.try_get("", "last_used_at")?,
        revoked_at: row.try_get("", "revoked_at")?,
    })
}
