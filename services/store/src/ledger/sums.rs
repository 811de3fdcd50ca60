//! The sums of a statement.

use super::{direction_of, month, word};
use crate::configuration::Configuration;
use crate::database::{Store, rows};
use crate::error::Result;
use crate::scope::Scope;
use chrono::{Datelike, NaiveDate};
use haulout_reckoning::statement::Sum;
use haulout_reckoning::{Account, Direction, Micros, Period};
use sea_orm::{QueryResult, Value};
use std::collections::BTreeMap;

/// Which part of the ledger.
#[derive(Clone, Debug, Default)]
pub struct SumFilter {
    /// Only this centre or point, what travels to or from it, and the deaths that it posted.
    pub place: Option<String>,
    /// Only this accepted name.
    pub scientific_name: Option<String>,
}

/// The dead, and those put to death by order.
const DEAD: &str = "account IN ('dead', 'destroyedByOrder')";

/// Words of the stock accounts and of the dead, whose sums a statement is made from.
const ASKED_FOR: &str = "(account LIKE 'centre/%' OR account LIKE 'point/%' OR account LIKE 'transit/%' OR account IN ('dead', 'destroyedByOrder'))";

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
}

impl Store {
    /// What all accounts together, stocks and others, gained or lost in the period, by accepted name
    /// and commodity (true is eggs): zero each, or the ledger is at fault. For who sees the region.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn trial_balance(
        &self,
        period: &Period,
        known_at: Option<Micros>,
    ) -> Result<Vec<(String, bool, i64)>> {
        let tx = self.snapshot().await?;
        let newest = crate::database::read_state(&tx).await?.last_known_from;
        let known_at = known_at.filter(|instant| *instant < newest);
        let mut sums: BTreeMap<(String, bool), i64> = BTreeMap::new();
        for part in parts(period, known_at.is_none()).into_iter().filter(Part::is_within) {
            let mut values = Vec::new();
            let (table, condition) = part.days(known_at, &mut values);
            let sql = format!(
                "SELECT scientific_name, eggs, CAST(SUM(delta) AS BIGINT) AS sum FROM {table} WHERE {condition} \
                 GROUP BY scientific_name, eggs"
            );
            for row in rows(&tx, sql, values).await? {
                let key = (row.try_get("", "scientific_name")?, row.try_get("", "eggs")?);
                *sums.entry(key).or_default() += row.try_get::<i64>("", "sum")?;
            }
        }
        Ok(sums.into_iter().map(|((name, eggs), sum)| (name, eggs, sum)).collect())
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

/// Adds a condition; each `?` of it is the value.
fn bind(values: &mut Vec<Value>, condition: &mut String, sql: &str, value: Value) {
    values.push(value);
    if !condition.is_empty() {
        condition.push_str(" AND ");
    }
    condition.push_str(&sql.replace('?', &format!("${}", values.len())));
}

impl Part {
    const fn is_before(&self) -> bool {
        match self {
            Self::Months(_, _, before) | Self::Days(_, _, before) => *before,
        }
    }

    const fn is_within(&self) -> bool {
        !self.is_before()
    }

    /// The table, and the condition on its days.
    fn days(&self, known_at: Option<Micros>, values: &mut Vec<Value>) -> (&'static str, String) {
        let mut condition = String::new();
        match self {
            Self::Months(from, through, _) => {
                if let Some(from) = from {
                    bind(values, &mut condition, "month >= ?", from.as_str().into());
                }
                bind(values, &mut condition, "month <= ?", through.as_str().into());
                ("month_balance", condition)
            }
            Self::Days(from, through, _) => {
                if let Some(from) = from {
                    bind(values, &mut condition, "day >= ?", from.to_string().into());
                }
                bind(values, &mut condition, "day <= ?", through.to_string().into());
                if let Some(instant) = known_at {
                    bind(values, &mut condition, "known_from <= ?", instant.into());
                }
                ("entry", condition)
            }
        }
    }

    fn sql(
        &self,
        known_at: Option<Micros>,
        filter: &SumFilter,
        seen: &str,
        values: &mut Vec<Value>,
    ) -> String {
        let (table, days) = self.days(known_at, values);
        let mut condition = format!("{ASKED_FOR} AND {seen} AND {days}");
        if let Some(place) = &filter.place {
            let any = "(account IN ('centre/' || ?, 'point/' || ?) \
                       OR (account IN ('dead', 'destroyedByOrder') AND counter IN ('centre/' || ?, 'point/' || ?)) \
                       OR account IN (SELECT m.account FROM month_balance m WHERE m.account >= 'transit/' AND m.account < 'transit0' \
                       AND m.counter IN ('centre/' || ?, 'point/' || ?)))";
            bind(values, &mut condition, any, place.as_str().into());
        }
        if let Some(name) = &filter.scientific_name {
            bind(values, &mut condition, "scientific_name = ?", name.as_str().into());
        }
        let (before, within) = if self.is_before() { ("SUM(delta)", "0") } else { ("0", "SUM(delta)") };
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
                "account IN (SELECT m.account FROM month_balance m WHERE m.account >= 'transit/' AND m.account < 'transit0' AND m.counter IN ({places}))"
            );
            let condition =
                format!("(account IN ({places}) OR ({DEAD} AND counter IN ({places})) OR {journeys})");
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
