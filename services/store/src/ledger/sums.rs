//! The sums of a statement.

use super::parts::{Part, parts};
use super::{direction_of, word};
use crate::configuration::Configuration;
use crate::database::{Store, rows, rows_as_text};
use crate::error::Result;
use crate::scope::Scope;
use haulout_reckoning::statement::Sum;
use haulout_reckoning::{Account, Direction, Micros, Period};
use sea_orm::{ConnectionTrait, DatabaseTransaction, Value};
use std::collections::{BTreeMap, HashMap};

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

/// The stock accounts.
const STOCKS: &str = "((account >= 'centre/' AND account < 'centre0') OR (account >= 'point/' AND account < 'point0') \
                      OR (account >= 'transit/' AND account < 'transit0'))";

/// Every journey as counter-account is one, as it is in the balances: statements tell them as one.
const COUNTER: &str =
    "CASE WHEN counter >= 'transit/' AND counter < 'transit0' THEN 'transit' ELSE counter END";

impl Store {
    /// The sums of a statement, as known at an instant: what every stock account held before the
    /// period (one sum a stage, its counter [`Account::CARRIED`]), and what it and the dead gained and
    /// lost within (every journey as counter-account is `transit`). What is read does not grow with
    /// the history: see [`parts`].
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
        let state = crate::database::read_state(&tx).await?;
        let newest = state.last_known_from;
        let known_at = known_at.filter(|instant| *instant < newest);
        let configuration = self.configuration_of(&tx, state.configuration).await?;
        let Some(own) = places_seen(scope, &configuration) else { return Ok(Vec::new()) };
        let mut sums = Sums::default();
        for part in parts(period, known_at, newest) {
            sums.read(&tx, &part, own.as_deref(), filter, known_at).await?;
        }
        sums.told()
    }

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
        for part in parts(period, known_at, newest).into_iter().filter(Part::tells_within) {
            let mut values = Vec::new();
            let (condition, _, within) = part.sql(tx.get_database_backend(), &mut values)?;
            let sql = format!(
                "SELECT scientific_name, eggs, {within} AS sum_within FROM {} WHERE {condition} \
                 GROUP BY scientific_name, eggs",
                part.table()
            );
            for row in rows(&tx, sql, values).await? {
                let key = (row.try_get("", "scientific_name")?, row.try_get("", "eggs")?);
                *sums.entry(key).or_default() += row.try_get::<i64>("", "sum_within")?;
            }
        }
        Ok(sums.into_iter().map(|((name, eggs), sum)| (name, eggs, sum)).collect())
    }
}

/// A row of a part: [`Stock`], with 1 for eggs, then [`Way`], then the sums before and within.
type Row = (String, String, u8, String, String, String, String, i64, i64);

/// A stock, a name, eggs or animals, an age class.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Stock(String, String, bool, String);

/// A counter-account, a direction, when a death fell.
#[derive(PartialEq, Eq, Hash)]
struct Way(String, String, String);

#[derive(Default)]
struct Sums {
    before: HashMap<Stock, i64>,
    within: HashMap<Stock, HashMap<Way, i64>>,
}

impl Sums {
    async fn read(
        &mut self,
        tx: &DatabaseTransaction,
        part: &Part,
        own: Option<&[String]>,
        filter: &SumFilter,
        known_at: Option<Micros>,
    ) -> Result<()> {
        let mut values = Vec::new();
        let backend = tx.get_database_backend();
        let (mut condition, before, within) = part.sql(backend, &mut values)?;
        let (ways, accounts) = if part.tells_within() {
            let counter = if part.table() == "entry" { COUNTER } else { "counter" };
            (format!("{counter} AS way, direction, death_when"), format!("({STOCKS} OR {DEAD})"))
        } else {
            ("'' AS way, '' AS direction, '' AS death_when".to_owned(), STOCKS.to_owned())
        };
        condition += &format!(" AND {accounts}");
        let place =
            filter.place.as_ref().map(|place| vec![format!("centre/{place}"), format!("point/{place}")]);
        for among in own.into_iter().chain(place.as_deref()) {
            condition += &format!(" AND {}", of_places(among, part, known_at, &mut values));
        }
        if let Some(name) = &filter.scientific_name {
            values.push(name.as_str().into());
            condition += &format!(" AND scientific_name = ${}", values.len());
        }
        let grouped = if part.tells_within() { "1, 2, 3, 4, 5, 6, 7" } else { "1, 2, 3, 4" };
        let sql = format!(
            "SELECT account, scientific_name, CASE WHEN eggs THEN 1 ELSE 0 END AS eggs, life_stage, {ways}, \
             {before} AS sum_before, {within} AS sum_within FROM {} WHERE {condition} GROUP BY {grouped}",
            part.table()
        );
        let columns =
            "account, scientific_name, eggs, life_stage, way, direction, death_when, sum_before, sum_within";
        let told = rows_as_text(tx, columns, &sql, values).await?;
        for row in serde_json::from_str::<Vec<Row>>(&told)? {
            self.add(row);
        }
        Ok(())
    }

    fn add(&mut self, (account, name, eggs, stage, counter, direction, death, before, within): Row) {
        let stock = Stock(account, name, eggs == 1, stage);
        if within != 0 {
            let ways = self.within.entry(stock.clone()).or_default();
            *ways.entry(Way(counter, direction, death)).or_default() += within;
        }
        if before != 0 {
            *self.before.entry(stock).or_default() += before;
        }
    }

    /// All that came to something, sorted.
    fn told(self) -> Result<Vec<Sum>> {
        let mut told = Vec::with_capacity(self.before.len() + self.within.len());
        let mut tell =
            |Stock(account, scientific_name, eggs, stage): Stock, ways: Vec<(Way, i64, i64)>| -> Result<()> {
                for (Way(counter, direction, death), before, within) in ways {
                    told.push(Sum {
                        account: Account::from_text(account.as_str()),
                        counter: Account::from_text(counter),
                        direction: direction_of(&direction),
                        scientific_name: scientific_name.clone(),
                        eggs,
                        life_stage: word(&stage)?,
                        death_when: word(&death)?,
                        before,
                        within,
                    });
                }
                Ok(())
            };
        let is_dead = |account: &str| {
            [Account::DEAD, Account::DESTROYED_BY_ORDER].iter().any(|dead| dead.as_str() == account)
        };
        for (stock, before) in self.before.into_iter().filter(|(stock, sum)| *sum != 0 && !is_dead(&stock.0))
        {
            let carried = Account::CARRIED.as_str().to_owned();
            tell(
                stock,
                vec![(
                    Way(carried, super::direction_text(Direction::In).to_owned(), String::new()),
                    before,
                    0,
                )],
            )?;
        }
        for (stock, ways) in self.within {
            tell(
                stock,
                ways.into_iter().filter(|(_, sum)| *sum != 0).map(|(way, sum)| (way, 0, sum)).collect(),
            )?;
        }
        told.sort_unstable_by(|one, other| {
            let key = |sum: &Sum| {
                (
                    sum.eggs,
                    sum.life_stage.map(|stage| stage.as_str()),
                    sum.direction,
                    sum.death_when.map(|when| when.as_str()),
                )
            };
            (&one.account, &one.scientific_name, &one.counter)
                .cmp(&(&other.account, &other.scientific_name, &other.counter))
                .then_with(|| key(one).cmp(&key(other)))
        });
        Ok(told)
    }
}

/// The condition that a row is of these stocks, of a journey from or to one, or a death that one posted.
/// Whose journey it was may itself have become known later.
fn of_places(stocks: &[String], part: &Part, known_at: Option<Micros>, values: &mut Vec<Value>) -> String {
    let bound: Vec<String> = stocks
        .iter()
        .map(|stock| {
            values.push(stock.as_str().into());
            format!("${}", values.len())
        })
        .collect();
    let (among, table) = (bound.join(", "), part.table());
    let dead =
        if part.tells_within() { format!("({DEAD} AND counter IN ({among})) OR ") } else { String::new() };
    let (ends, known) = match known_at {
        None => ("balance", String::new()),
        Some(instant) => {
            values.push(instant.into());
            ("entry", format!(" AND m.known_from <= ${}", values.len()))
        }
    };
    format!(
        "(account IN ({among}) OR {dead}(account >= 'transit/' AND account < 'transit0' AND EXISTS \
         (SELECT 1 FROM {ends} m WHERE m.account = {table}.account AND m.counter IN ({among}){known})))"
    )
}

/// The stocks that a scope may see: `None` inside for all of them, outside for nobody's.
fn places_seen(scope: &Scope, configuration: &Configuration) -> Option<Option<Vec<String>>> {
    match scope {
        Scope::Region | Scope::Authority => Some(None),
        Scope::Public => None,
        Scope::Party(party) => {
            let mut own = vec![format!("centre/{party}"), format!("point/{party}")];
            own.extend(configuration.points_kept_by(party).iter().map(|point| format!("point/{point}")));
            Some(Some(own))
        }
    }
}
