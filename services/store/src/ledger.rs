//! The ledger: month balances, sums for a statement, the records behind a figure.

use crate::bulk::Rows;
use crate::configuration::Configuration;
use crate::database::{Store, row, rows};
use crate::effective::{AsOf, parse};
use crate::error::{Result, StoreError};
use crate::projection::{Projection, Staged};
use crate::scope::Scope;
use chrono::{Datelike, NaiveDate};
use haulout_reckoning::statement::Sum;
use haulout_reckoning::{Account, Direction, Entry, Micros, Period};
use haulout_schemas::names::Names;
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Sex};
use sea_orm::{ConnectionTrait, QueryResult, Value};
use std::collections::{BTreeMap, HashMap};

pub(crate) const fn direction_text(direction: Direction) -> &'static str {
    match direction {
        Direction::In => "in",
        Direction::Out => "out",
    }
}

fn direction_of(text: &str) -> Direction {
    if text == "in" { Direction::In } else { Direction::Out }
}

#[derive(PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Line {
    month: String,
    account: String,
    counter: String,
    direction: Direction,
    scientific_name: String,
    eggs: bool,
    life_stage: &'static str,
    death_when: &'static str,
}

/// What a chunk adds to the month balances.
#[derive(Default)]
pub(crate) struct Balances(HashMap<Line, i64>);

impl Balances {
    pub fn add(&mut self, entry: &Entry, delta: i64) {
        let line = Line {
            month: month(entry.day),
            account: entry.account.as_str().to_owned(),
            counter: entry.counter.as_str().to_owned(),
            direction: entry.direction,
            scientific_name: entry.commodity.scientific_name.clone(),
            eggs: entry.commodity.eggs,
            life_stage: entry.life_stage.map_or("", |stage| stage.as_str()),
            death_when: entry.death_when.map_or("", |when| when.as_str()),
        };
        *self.0.entry(line).or_default() += delta;
    }

    /// Adds them up in the table. A line that came to nothing within the chunk is still written, as
    /// zero: the table then does not depend on how a journal was cut into chunks.
    pub async fn write(self, on: &impl ConnectionTrait) -> Result<()> {
        let mut rows = Rows::new(
            "INSERT INTO month_balance (month, account, counter, direction, scientific_name, eggs, life_stage, \
             death_when, delta)",
            "ON CONFLICT (month, account, counter, direction, scientific_name, eggs, life_stage, death_when) \
             DO UPDATE SET delta = month_balance.delta + excluded.delta",
        );
        let mut lines: Vec<(Line, i64)> = self.0.into_iter().collect();
        lines.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        for (line, delta) in lines {
            rows.push([
                Value::from(line.month),
                line.account.into(),
                line.counter.into(),
                direction_text(line.direction).into(),
                line.scientific_name.into(),
                line.eggs.into(),
                line.life_stage.into(),
                line.death_when.into(),
                delta.into(),
            ]);
        }
        rows.write(on).await
    }
}

fn month(day: NaiveDate) -> String {
    format!("{:04}-{:02}", day.year(), day.month())
}

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

/// Which part of the ledger.
#[derive(Clone, Debug, Default)]
pub struct SumFilter {
    /// Only this centre or point, what travels to or from it, and the deaths that it posted.
    pub place: Option<String>,
    /// Only this accepted name.
    pub scientific_name: Option<String>,
}

/// Words of the stock accounts and of the dead, whose sums a statement is made from.
const ASKED_FOR: &str =
    "(account LIKE 'centre/%' OR account LIKE 'point/%' OR account LIKE 'transit/%' OR account = 'dead')";

const LINE: &str = "account, counter, direction, scientific_name, eggs, life_stage, death_when";

impl Store {
    /// The sums of a statement: of every stock account and of the dead, before the period and within
    /// it, as known at an instant. Whole months come from the month balances when everything known
    /// is asked for, the rest from the entries.
    ///
    /// A party sees its own stock, what travels to or from it, and the deaths it posted.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn sums(
        &self,
        scope: &Scope,
        period: &Period,
        known_at: Option<Micros>,
        filter: &SumFilter,
    ) -> Result<Vec<Sum>> {
        let tx = self.snapshot().await?;
        let newest = crate::database::read_state(&tx).await?.last_known_from;
        let known_at = known_at.filter(|instant| *instant < newest);
        let configuration =
            self.configuration_of(&tx, crate::database::read_state(&tx).await?.configuration).await?;
        let Some((seen, seen_values)) = accounts_seen(scope, &configuration) else { return Ok(Vec::new()) };
        let mut sums = BTreeMap::new();
        for part in parts(period, known_at.is_none()) {
            let mut values = seen_values.clone();
            let sql = part.sql(known_at, filter, &seen, &mut values);
            for row in rows(&tx, sql, values).await? {
                let (key, before, within) = sum_of(&row)?;
                let sum: &mut (i64, i64) = sums.entry(key).or_default();
                *sum = (sum.0 + before, sum.1 + within);
            }
        }
        sums.into_iter().filter(|(_, (before, within))| *before != 0 || *within != 0).map(to_sum).collect()
    }

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

/// A stretch of days that is summed from one table.
enum Part {
    /// Whole months, from the balances: from and through, and whether before the period.
    Months(Option<String>, String, bool),
    /// Days, from the entries.
    Days(Option<NaiveDate>, NaiveDate, bool),
}

/// Before the period and within it; whole months apart where the balances may be used.
fn parts(period: &Period, balances: bool) -> Vec<Part> {
    let Some(eve) = period.first.pred_opt() else { return Vec::new() };
    if !balances {
        return vec![Part::Days(None, eve, true), Part::Days(Some(period.first), period.last, false)];
    }
    let mut parts = stretch(None, eve, true);
    parts.extend(stretch(Some(period.first), period.last, false));
    parts
}

fn stretch(first: Option<NaiveDate>, last: NaiveDate, before: bool) -> Vec<Part> {
    let ends_whole = last.succ_opt().is_some_and(|next| next.day() == 1);
    let month_start = |day: NaiveDate| day.with_day(1).unwrap_or(day);
    // The last whole month, and the first.
    let through = if ends_whole { Some(last) } else { month_start(last).pred_opt() };
    let from = first.map(|first| if first.day() == 1 { first } else { next_month(first) });
    let Some(through) = through.filter(|through| from.is_none_or(|from| from <= *through)) else {
        return vec![Part::Days(first, last, before)];
    };
    let mut parts = vec![Part::Months(from.map(month), month(through), before)];
    if let (Some(first), Some(from)) = (first, from)
        && first < from
        && let Some(eve) = from.pred_opt()
    {
        parts.push(Part::Days(Some(first), eve, before));
    }
    if let Some(rest) = through.succ_opt().filter(|rest| *rest <= last) {
        parts.push(Part::Days(Some(rest), last, before));
    }
    parts
}

fn next_month(day: NaiveDate) -> NaiveDate {
    haulout_schemas::event_date::last_of_month(day).succ_opt().unwrap_or(day)
}

impl Part {
    fn sql(
        &self,
        known_at: Option<Micros>,
        filter: &SumFilter,
        seen: &str,
        values: &mut Vec<Value>,
    ) -> String {
        let mut condition = format!("{ASKED_FOR} AND {seen}");
        let mut bind = |condition: &mut String, sql: &str, value: Value| {
            values.push(value);
            *condition += &format!(" AND {}", sql.replace('?', &format!("${}", values.len())));
        };
        let (table, before) = match self {
            Self::Months(from, through, before) => {
                if let Some(from) = from {
                    bind(&mut condition, "month >= ?", from.as_str().into());
                }
                bind(&mut condition, "month <= ?", through.as_str().into());
                ("month_balance", before)
            }
            Self::Days(from, through, before) => {
                if let Some(from) = from {
                    bind(&mut condition, "day >= ?", from.to_string().into());
                }
                bind(&mut condition, "day <= ?", through.to_string().into());
                if let Some(instant) = known_at {
                    bind(&mut condition, "known_from <= ?", instant.into());
                }
                ("entry", before)
            }
        };
        if let Some(place) = &filter.place {
            let any = "(account IN ('centre/' || ?, 'point/' || ?) \
                       OR (account = 'dead' AND counter IN ('centre/' || ?, 'point/' || ?)) \
                       OR account IN (SELECT e.account FROM entry e WHERE e.account LIKE 'transit/%' \
                       AND e.counter IN ('centre/' || ?, 'point/' || ?)))";
            bind(&mut condition, any, place.as_str().into());
        }
        if let Some(name) = &filter.scientific_name {
            bind(&mut condition, "scientific_name = ?", name.as_str().into());
        }
        let (before, within) = if *before { ("SUM(delta)", "0") } else { ("0", "SUM(delta)") };
        format!(
            "SELECT {LINE}, CAST({before} AS BIGINT) AS sum_before, CAST({within} AS BIGINT) AS sum_within \
             FROM {table} WHERE {condition} GROUP BY {LINE}"
        )
    }
}

/// The accounts that a scope may see, bound from `$1` on; `None` for nobody's.
fn accounts_seen(scope: &Scope, configuration: &Configuration) -> Option<(String, Vec<Value>)> {
    match scope {
        Scope::Region | Scope::Authority => Some(("1 = 1".into(), Vec::new())),
        Scope::Public => None,
        Scope::Party(party) => {
            let mut own = vec![format!("centre/{party}"), format!("point/{party}")];
            own.extend(configuration.points_kept_by(party).iter().map(|point| format!("point/{point}")));
            let places: Vec<String> = (1..=own.len()).map(|n| format!("${n}")).collect();
            let places = places.join(", ");
            let journeys = format!(
                "account IN (SELECT e.account FROM entry e WHERE e.account LIKE 'transit/%' AND e.counter IN ({places}))"
            );
            let condition = format!(
                "(account IN ({places}) OR (account = 'dead' AND counter IN ({places})) OR {journeys})"
            );
            Some((condition, own.into_iter().map(Value::from).collect()))
        }
    }
}

type SumKey = (String, String, Direction, String, bool, String, String);

fn sum_of(row: &QueryResult) -> Result<(SumKey, i64, i64)> {
    let direction: String = row.try_get("", "direction")?;
    let key = (
        row.try_get("", "account")?,
        row.try_get("", "counter")?,
        direction_of(&direction),
        row.try_get("", "scientific_name")?,
        row.try_get("", "eggs")?,
        row.try_get("", "life_stage")?,
        row.try_get("", "death_when")?,
    );
    Ok((key, row.try_get("", "sum_before")?, row.try_get("", "sum_within")?))
}

fn to_sum((key, (before, within)): (SumKey, (i64, i64))) -> Result<Sum> {
    let (account, counter, direction, scientific_name, eggs, life_stage, death_when) = key;
    Ok(Sum {
        account: Account::from_text(account),
        counter: Account::from_text(counter),
        direction,
        scientific_name,
        eggs,
        life_stage: word(&life_stage)?,
        death_when: word(&death_when)?,
        before,
        within,
    })
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

/// A word of a vocabulary from its column; empty where it was not stated.
fn word<T: serde::de::DeserializeOwned>(text: &str) -> Result<Option<T>> {
    if text.is_empty() {
        return Ok(None);
    }
    serde_json::from_value(serde_json::Value::String(text.to_owned()))
        .map(Some)
        .map_err(|_| StoreError::bug(format!("`{text}` in the ledger is no word of its vocabulary")))
}

/// Posts anew what stands under names that the configuration maps to others than before. An existing
/// mapping never changes, so this touches only names that were unknown until now.
pub(crate) async fn rename(
    on: &impl ConnectionTrait,
    before: &Names,
    configuration: &Configuration,
) -> Result<()> {
    let standing = rows(on, "SELECT DISTINCT scientific_name FROM month_balance", Vec::new()).await?;
    let mut projection = Projection::new();
    let mut feeds = std::collections::BTreeSet::new();
    for standing in standing {
        let name: String = standing.try_get("", "scientific_name")?;
        if configuration.names.commodity(&name) == name {
            continue;
        }
        let sql = "SELECT DISTINCT e.feed AS feed FROM entry e JOIN record_version v ON v.feed = e.feed \
                   WHERE e.scientific_name = $1 AND v.effective_until IS NULL";
        for row in rows(on, sql, vec![name.into()]).await? {
            feeds.insert(row.try_get::<i64>("", "feed")?);
        }
    }
    for feed in feeds {
        let text = row(on, "SELECT canonical FROM journal WHERE feed = $1", [feed.into()])
            .await?
            .ok_or_else(|| StoreError::bug(format!("record {feed} is missing from the journal")))?;
        let record = parse(&text.try_get::<String>("", "canonical")?, feed)?;
        let (old, new) = (Staged::of(&record, before), Staged::of(&record, &configuration.names));
        if old.entries != new.entries {
            projection.reposts(feed, configuration.known_from, &old, &new)?;
        }
    }
    projection.write(on).await
}
