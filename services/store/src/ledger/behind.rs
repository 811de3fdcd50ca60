//! Each figure opens into the records behind it.

use super::{direction_of, word};
use crate::database::{Store, rows};
use crate::effective::AsOf;
use crate::error::Result;
use crate::scope::Scope;
use haulout_reckoning::{Account, Direction, Micros, Period};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Sex};
use sea_orm::{QueryResult, Value};

/// One row of the ledger and the record behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryBehind {
    /// The record's author.
    pub author_id: String,
    /// The record.
    pub record_id: String,
    /// The revision that posted it.
    pub revision: u16,
    /// The day on which it counts.
    pub day: String,
    /// The account.
    pub account: String,
    /// The other side.
    pub counter: String,
    /// Gain or loss.
    pub direction: Direction,
    /// Accepted name.
    pub scientific_name: String,
    /// Eggs, not animals.
    pub eggs: bool,
    /// More or fewer.
    pub delta: i64,
    /// Age class.
    pub life_stage: Option<LifeStage>,
    /// Sex.
    pub sex: Option<Sex>,
    /// For a death, when it fell.
    pub death_when: Option<DeathWhen>,
    /// Since when the hub knows it.
    pub known_from: Micros,
}

impl Store {
    /// The ledger rows behind a figure: those of an account within a period that count as known at
    /// an instant, with the record of each.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn entries_behind(
        &self,
        scope: &Scope,
        account: &Account,
        period: &Period,
        known_at: Option<Micros>,
        scientific_name: Option<&str>,
    ) -> Result<Vec<EntryBehind>> {
        let configuration = self.configuration().await?;
        let mut values: Vec<Value> =
            vec![account.as_str().into(), period.first.to_string().into(), period.last.to_string().into()];
        let counting = AsOf { known_at, through: None }.condition(&mut values);
        // A row counts until a reversal of the same record is known: then the sum over the record is what is left.
        let mut condition = format!("e.account = $1 AND e.day >= $2 AND e.day <= $3 AND {counting}");
        if let Some(instant) = known_at {
            values.push(instant.into());
            condition += &format!(" AND e.known_from <= ${}", values.len());
        }
        if let Some(name) = scientific_name {
            values.push(name.into());
            condition += &format!(" AND e.scientific_name = ${}", values.len());
        }
        let kept = match scope {
            Scope::Party(party) => configuration.points_kept_by(party),
            _ => Vec::new(),
        };
        let (seen, more) = scope.condition(values.len() + 1, &kept);
        values.extend(more);
        let sql = format!(
            "SELECT j.author_id AS author_id, j.record_id AS record_id, j.revision AS revision, e.day AS day, \
             e.account AS account, e.counter AS counter, e.direction AS direction, \
             e.scientific_name AS scientific_name, e.eggs AS eggs, CAST(SUM(e.delta) AS BIGINT) AS delta, \
             e.life_stage AS life_stage, e.sex AS sex, e.death_when AS death_when, j.known_from AS known_from \
             FROM entry e JOIN journal j ON j.feed = e.feed JOIN record_version v ON v.feed = e.feed \
             WHERE {condition} AND {seen} \
             GROUP BY j.author_id, j.record_id, j.revision, e.day, e.account, e.counter, e.direction, \
             e.scientific_name, e.eggs, e.life_stage, e.sex, e.death_when, j.known_from \
             HAVING SUM(e.delta) <> 0 ORDER BY e.day, j.author_id, j.record_id, e.counter"
        );
        rows(self.db(), sql, values).await?.iter().map(entry_behind).collect()
    }
}

fn entry_behind(row: &QueryResult) -> Result<EntryBehind> {
    let text = |column: &str| -> Result<String> { Ok(row.try_get("", column)?) };
    Ok(EntryBehind {
        author_id: text("author_id")?,
        record_id: text("record_id")?,
        revision: u16::try_from(row.try_get::<i64>("", "revision")?).unwrap_or(u16::MAX),
        day: text("day")?,
        account: text("account")?,
        counter: text("counter")?,
        direction: direction_of(&text("direction")?),
        scientific_name: text("scientific_name")?,
        eggs: row.try_get("", "eggs")?,
        delta: row.try_get("", "delta")?,
        life_stage: word(&text("life_stage")?)?,
        sex: word(&text("sex")?)?,
        death_when: word(&text("death_when")?)?,
        known_from: row.try_get("", "known_from")?,
    })
}
