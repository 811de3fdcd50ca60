//! The findings, worked out anew for the keys that were touched, and for any past instant in full.

mod further;
mod past;

use crate::bulk::Rows;
use crate::clock::day_of;
use crate::configuration::Configuration;
use crate::database::{Locked, Store, among_texts, row, rows, run, run_with};
use crate::effective::{AsOf, json_texts};
use crate::error::{Result, StoreError};
use crate::scope::Scope;
use chrono::NaiveDate;
use further::{forget_milestones, judge_on, milestones};
use haulout_reckoning::findings::{CaseLookups, Judged, counts_through, goes_on, judge_key, woken};
use haulout_reckoning::{Effective, Finding, Key, Micros, Records, World};
use haulout_schemas::rule::Severity;
use sea_orm::{ConnectionTrait, DbBackend, Value};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

pub(crate) use past::PastFindings;

/// Keys judged in one transaction: others may write in between.
const KEYS_AT_ONCE: u64 = 400;
/// Records kept from one transaction to the next: what the neighbours of a key look at too.
const KEPT_RECORDS: usize = 50_000;

/// Which findings; every member narrows.
#[derive(Clone, Debug, Default)]
pub struct FindingFilter {
    /// With this code.
    pub code: Option<String>,
    /// As grave as this.
    pub severity: Option<Severity>,
    /// That concern this centre or point.
    pub place: Option<String>,
}

/// The findings as they stand, and through which day they were judged.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingsNow {
    /// Deadlines are judged at it, and records dated through it count.
    pub evaluated_through: NaiveDate,
    /// Sorted, each once.
    pub findings: Vec<Finding>,
}

impl Store {
    /// The findings as they stand through yesterday (in the region's zone), worked out first where
    /// records came or days passed.
    ///
    /// # Errors
    /// When the database cannot be read or written.
    pub async fn findings(&self, scope: &Scope, filter: &FindingFilter) -> Result<FindingsNow> {
        self.refresh_findings().await?;
        let through = evaluated_through(self.db()).await?.unwrap_or_default();
        if !scope.sees_records() {
            return Ok(FindingsNow { evaluated_through: through, findings: Vec::new() });
        }
        let mut values: Vec<Value> = Vec::new();
        let mut condition = "1 = 1".to_owned();
        if let Some(code) = &filter.code {
            values.push(code.as_str().into());
            condition += &format!(" AND code = ${}", values.len());
        }
        if let Some(severity) = filter.severity {
            values.push(severity.as_str().into());
            condition += &format!(" AND severity = ${}", values.len());
        }
        if let Some(place) = &filter.place {
            values.push(format!("%|{place}|%").into());
            condition += &format!(" AND centres LIKE ${}", values.len());
        }
        let found =
            rows(self.db(), format!("SELECT canonical FROM finding WHERE {condition}"), values).await?;
        let configuration = self.configuration().await?;
        let mut findings = BTreeSet::new();
        for row in &found {
            let finding: Finding = serde_json::from_str(&row.try_get::<String>("", "canonical")?)?;
            if seen(scope, &configuration, &finding) {
                findings.insert(finding);
            }
        }
        Ok(FindingsNow { evaluated_through: through, findings: findings.into_iter().collect() })
    }

    /// The findings through a day as known at an instant, judged in full with the configuration of
    /// that instant, unless they are those that stand. None before the first region file.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn findings_at(
        &self,
        scope: &Scope,
        as_of: AsOf,
        filter: &FindingFilter,
    ) -> Result<Vec<Finding>> {
        let configuration = match as_of.known_at {
            Some(instant) => self.configuration_at(instant).await?,
            None => self.configuration().await?,
        };
        if configuration.region.is_none() || as_of.through.is_none() || !scope.sees_records() {
            return Ok(Vec::new());
        }
        let mut findings = match self.standing(as_of, &configuration).await? {
            Some(standing) => standing,
            None => self.judged_anew(as_of, &configuration).await?.to_vec(),
        };
        findings.retain(|finding| {
            seen(scope, &configuration, finding)
                && filter.code.as_ref().is_none_or(|code| *code == finding.code)
                && filter.severity.is_none_or(|severity| severity == finding.severity)
                && filter
                    .place
                    .as_ref()
                    .is_none_or(|place| finding.centre_ids.iter().any(|id| id.as_str() == place))
        });
        Ok(findings)
    }

    /// The findings as they stand, where an instant of knowledge asks for just those: nothing came after
    /// it, they were judged through the same day by the same region file, and no key waits.
    async fn standing(&self, as_of: AsOf, configuration: &Configuration) -> Result<Option<Vec<Finding>>> {
        let (Some(instant), Some(through)) = (as_of.known_at, as_of.through) else { return Ok(None) };
        let tx = self.snapshot().await?;
        let newest = crate::database::read_state(&tx).await?.last_known_from;
        let state =
            row(&tx, "SELECT evaluated_through, configuration FROM finding_state WHERE one = 1", []).await?;
        let Some(state) = state.filter(|_| instant >= newest) else { return Ok(None) };
        let same = state.try_get::<String>("", "evaluated_through")? == through.to_string()
            && state.try_get::<i64>("", "configuration")? == configuration.sequence;
        if !same || row(&tx, "SELECT key FROM touched LIMIT 1", []).await?.is_some() {
            return Ok(None);
        }
        let found = rows(&tx, "SELECT DISTINCT canonical FROM finding", Vec::new()).await?;
        let findings: BTreeSet<Finding> = found
            .iter()
            .map(|row| Ok(serde_json::from_str(&row.try_get::<String>("", "canonical")?)?))
            .collect::<Result<_>>()?;
        Ok(Some(findings.into_iter().collect()))
    }

    /// Works out the findings of the keys that were touched since, that other keys have woken, or
    /// whose day has come. Idempotent; each part in a transaction of its own.
    ///
    /// # Errors
    /// When the database cannot be read or written.
    pub async fn refresh_findings(&self) -> Result<()> {
        if self.findings_stand().await? {
            return Ok(());
        }
        self.begin_day().await?;
        let mut held = Held::default();
        while self.wake(&mut held).await? {}
        while self.judge_some(&mut held).await? {}
        Ok(())
    }

    /// Whether nothing has changed since the findings were worked out.
    async fn findings_stand(&self) -> Result<bool> {
        let configuration = self.configuration().await?;
        let today = self.judged_through(&configuration).await?;
        let state =
            row(self.db(), "SELECT evaluated_through, configuration FROM finding_state WHERE one = 1", [])
                .await?;
        let Some(state) = state else { return Ok(false) };
        let through: String = state.try_get("", "evaluated_through")?;
        let touched = row(self.db(), "SELECT key FROM touched LIMIT 1", []).await?;
        let same = state.try_get::<i64>("", "configuration")? == configuration.sequence;
        Ok(same && through == today.to_string() && touched.is_none())
    }

    async fn judged_through(&self, configuration: &Configuration) -> Result<NaiveDate> {
        let today = day_of(self.now().await?, configuration.zone());
        Ok(today.pred_opt().unwrap_or(today))
    }

    /// Brings the evaluated day and the configuration up to date and touches the keys on which that
    /// may tell: of records that have become of age, of deadlines that have come, or all of them.
    async fn begin_day(&self) -> Result<()> {
        let locked = self.lock_aside().await?;
        let configuration = self.in_force(&locked).await?;
        let today = day_of(locked.now(), configuration.zone());
        let through = today.pred_opt().unwrap_or(today);
        let tx = &locked.tx;
        let state =
            row(tx, "SELECT evaluated_through, configuration FROM finding_state WHERE one = 1", []).await?;
        let before: Option<(String, i64)> = match &state {
            Some(state) => {
                Some((state.try_get("", "evaluated_through")?, state.try_get("", "configuration")?))
            }
            None => None,
        };
        let touch = "INSERT INTO touched (key, woken) SELECT DISTINCT k.key, FALSE FROM filed k";
        let again = "ON CONFLICT (key) DO UPDATE SET woken = FALSE";
        match before {
            Some((day, sequence)) if sequence == configuration.sequence && day <= through.to_string() => {
                if day == through.to_string() {
                    return Ok(());
                }
                let sql = format!(
                    "{touch} JOIN journal j ON j.feed = k.feed JOIN record_version v ON v.feed = k.feed \
                     WHERE v.effective_until IS NULL AND j.event_day > $1 AND j.event_day <= $2 {again}"
                );
                run(tx, &sql, [day.into(), through.to_string().into()]).await?;
                let due = "INSERT INTO touched (key, woken) SELECT key, TRUE FROM key_due WHERE day <= $1 \
                           ON CONFLICT (key) DO NOTHING";
                run(tx, due, [through.to_string().into()]).await?;
            }
            _ => {
                run(tx, "DELETE FROM finding", []).await?;
                run(tx, "DELETE FROM key_due", []).await?;
                forget_milestones(tx).await?;
                run(tx, &format!("{touch} WHERE 1 = 1 {again}"), []).await?;
            }
        }
        run(
            tx,
            "INSERT INTO finding_state (one, evaluated_through, configuration) VALUES (1, $1, $2) \
             ON CONFLICT (one) DO UPDATE SET evaluated_through = excluded.evaluated_through, \
             configuration = excluded.configuration",
            [through.to_string().into(), configuration.sequence.into()],
        )
        .await?;
        locked.commit_unchanged().await
    }

    /// Touches the keys that look at touched ones. Whether there may be more.
    async fn wake(&self, held: &mut Held) -> Result<bool> {
        let locked = self.lock_aside().await?;
        let keys = some_touched(&locked, false).await?;
        if keys.is_empty() {
            return Ok(false);
        }
        let through = evaluated_through(&locked.tx).await?;
        let cases = self.cases(&locked, held, through).await?;
        let held = held.of(&locked, through);
        // Who looks at a place's stock or floor looks the whole of it up: few do.
        let looked_at: Vec<Key> = keys.iter().filter(|key| !goes_on(key)).cloned().collect();
        self.load(&locked, held, &looked_at, through).await?;
        let wakened = loop {
            let wakened = woken(keys.iter().cloned(), held, &cases);
            let missing = held.missing.take();
            if missing.is_empty() {
                break wakened;
            }
            self.load(&locked, held, &missing.into_iter().collect::<Vec<_>>(), through).await?;
        };
        let mut touched = Rows::new(
            "INSERT INTO touched (key, woken)",
            "ON CONFLICT (key) DO UPDATE SET woken = excluded.woken",
        );
        let own: BTreeSet<&Key> = keys.iter().collect();
        for key in &keys {
            touched.push([key.as_str().into(), true.into()]);
        }
        let mut others = Rows::new("INSERT INTO touched (key, woken)", "ON CONFLICT (key) DO NOTHING");
        for key in wakened.iter().filter(|key| !own.contains(key)) {
            others.push([key.as_str().into(), true.into()]);
        }
        touched.write(&locked.tx).await?;
        others.write(&locked.tx).await?;
        locked.commit_unchanged().await?;
        Ok(true)
    }

    /// What the confirmed cases look up: worked out once for all that waits.
    async fn cases(
        &self,
        locked: &Locked,
        held: &mut Held,
        through: Option<NaiveDate>,
    ) -> Result<Arc<CaseLookups>> {
        held.of(locked, through);
        if let Some(known) = &held.cases {
            return Ok(Arc::clone(known));
        }
        let loaded = &mut held.loaded;
        let cases = loop {
            let cases = CaseLookups::of(&*loaded);
            let missing: Vec<Key> = loaded.missing.take().into_iter().collect();
            if missing.is_empty() {
                break Arc::new(cases);
            }
            self.load(locked, loaded, &missing, through).await?;
        };
        held.cases = Some(Arc::clone(&cases));
        Ok(cases)
    }

    /// Judges some of the touched keys. Whether there may be more.
    async fn judge_some(&self, held: &mut Held) -> Result<bool> {
        let locked = self.lock_aside().await?;
        let keys = some_touched(&locked, true).await?;
        if keys.is_empty() {
            return Ok(false);
        }
        let configuration = self.in_force(&locked).await?;
        let through = evaluated_through(&locked.tx).await?;
        let judged = match through.and_then(|through| configuration.world(through)) {
            Some(world) => self.judge(&locked, held.of(&locked, through), &keys, &world).await?,
            // Without a region nobody knows who is who: nothing can be judged.
            None => BTreeMap::new(),
        };
        write(&locked, &keys, &judged).await?;
        locked.commit_unchanged().await?;
        Ok(true)
    }

    /// Judges keys. A judgement that lacked records is done again when they are there: it is pure.
    async fn judge(
        &self,
        locked: &Locked,
        held: &mut Loaded,
        keys: &[Key],
        world: &World<'_>,
    ) -> Result<BTreeMap<Key, Judged>> {
        let through = Some(world.evaluated_through);
        let milestones = milestones(locked, keys).await?;
        let mut open: Vec<&Key> = keys.iter().collect();
        let looked_at: Vec<Key> = keys.iter().filter(|key| !goes_on(key)).cloned().collect();
        self.load(locked, held, &looked_at, through).await?;
        let mut judged = BTreeMap::new();
        while !open.is_empty() {
            for key in std::mem::take(&mut open) {
                let judgement = if goes_on(key) {
                    judge_on(self, locked, held, key, milestones.get(key), world).await?
                } else {
                    held.lacked.set(false);
                    let judgement = judge_key(key, held, world);
                    (!held.lacked.get()).then_some(judgement)
                };
                match judgement {
                    Some(judgement) => drop(judged.insert(key.clone(), judgement)),
                    None => open.push(key),
                }
            }
            let missing: Vec<Key> = held.missing.take().into_iter().collect();
            self.load(locked, held, &missing, through).await?;
        }
        Ok(judged)
    }

    async fn load(
        &self,
        locked: &Locked,
        held: &mut Loaded,
        keys: &[Key],
        through: Option<NaiveDate>,
    ) -> Result<()> {
        let keys: Vec<&Key> = keys.iter().filter(|key| !held.by_key.contains_key(*key)).collect();
        if keys.is_empty() {
            return Ok(());
        }
        let texts: Vec<String> = keys.iter().map(|key| key.as_str().to_owned()).collect();
        let mut found = self.effective_of_keys(&locked.tx, &texts, AsOf { known_at: None, through }).await?;
        for key in keys {
            let mut records = found.remove(key.as_str()).unwrap_or_default();
            if let Some(day) = through {
                records.retain(|one| counts_through(&one.record, day));
            }
            held.by_key.insert(key.clone(), records);
        }
        Ok(())
    }
}

/// What one transaction has loaded, for the next: most of what a key looks at (the stock of its centre)
/// is what its neighbours look at.
#[derive(Default)]
struct Held {
    loaded: Loaded,
    cases: Option<Arc<CaseLookups>>,
    /// The newest stamp and the evaluated day at which it was loaded.
    state: Option<(Micros, Option<NaiveDate>)>,
}

impl Held {
    /// What was loaded, or nothing where anything was written since or too much is held.
    fn of(&mut self, locked: &Locked, through: Option<NaiveDate>) -> &mut Loaded {
        let state = Some((locked.state.last_known_from, through));
        let count: usize = self.loaded.by_key.values().map(Vec::len).sum();
        if self.state != state {
            *self = Self { state, ..Self::default() };
        } else if count > KEPT_RECORDS {
            self.loaded = Loaded::default();
        }
        &mut self.loaded
    }
}

/// Records by key, as far as they were loaded; what is asked for beyond is noted.
#[derive(Default)]
struct Loaded {
    by_key: HashMap<Key, Vec<Arc<Effective>>>,
    missing: RefCell<BTreeSet<Key>>,
    lacked: Cell<bool>,
}

impl Records for Loaded {
    fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        match self.by_key.get(key) {
            Some(records) => records.clone(),
            None => {
                self.missing.borrow_mut().insert(key.clone());
                self.lacked.set(true);
                Vec::new()
            }
        }
    }
}

/// Some touched keys, by what stands behind their family: a centre's keys follow one another.
async fn some_touched(locked: &Locked, awake: bool) -> Result<Vec<Key>> {
    let position = match locked.tx.get_database_backend() {
        DbBackend::Postgres => "strpos(key, '/')",
        _ => "instr(key, '/')",
    };
    let sql = format!(
        "SELECT key FROM touched WHERE woken = $1 ORDER BY substr(key, {position} + 1), key LIMIT {KEYS_AT_ONCE}"
    );
    let found = rows(&locked.tx, sql, vec![awake.into()]).await?;
    found
        .iter()
        .map(|row| {
            let text: String = row.try_get("", "key")?;
            Key::from_text(text.as_str()).ok_or_else(|| StoreError::bug(format!("`{text}` is no key")))
        })
        .collect()
}

async fn evaluated_through(on: &impl sea_orm::ConnectionTrait) -> Result<Option<NaiveDate>> {
    let state = row(on, "SELECT evaluated_through FROM finding_state WHERE one = 1", []).await?;
    let Some(state) = state else { return Ok(None) };
    let day: String = state.try_get("", "evaluated_through")?;
    day.parse().map(Some).map_err(|_| StoreError::bug(format!("`{day}` is no day")))
}

/// Puts the findings of keys in place of what was found for them before.
async fn write(locked: &Locked, keys: &[Key], judged: &BTreeMap<Key, Judged>) -> Result<()> {
    let tx = &locked.tx;
    let list = json_texts(keys.iter().map(Key::as_str))?;
    let among = among_texts(sea_orm::ConnectionTrait::get_database_backend(tx), 1);
    for table in ["finding", "key_due", "touched"] {
        run_with(tx, format!("DELETE FROM {table} WHERE key {among}"), vec![list.as_str().into()]).await?;
    }
    let mut findings =
        Rows::new("INSERT INTO finding (key, ordinal, code, severity, centres, canonical)", "");
    let mut due = Rows::new("INSERT INTO key_due (key, day)", "");
    for (key, judgement) in judged {
        for (ordinal, finding) in (0_i64..).zip(&judgement.findings) {
            let centres: String = finding.centre_ids.iter().map(|id| format!("{id}|")).collect();
            findings.push([
                key.as_str().into(),
                ordinal.into(),
                finding.code.as_str().into(),
                finding.severity.as_str().into(),
                format!("|{centres}").into(),
                serde_json_canonicalizer::to_string(finding)?.into(),
            ]);
        }
        if let Some(day) = judgement.next_change {
            due.push([key.as_str().into(), day.to_string().into()]);
        }
    }
    findings.write(tx).await?;
    due.write(tx).await
}

/// A party sees the findings that concern it or the points it keeps, or rest on its own records.
fn seen(scope: &Scope, configuration: &Configuration, finding: &Finding) -> bool {
    match scope {
        Scope::Region | Scope::Authority => true,
        Scope::Public => false,
        Scope::Party(party) => {
            let kept = configuration.points_kept_by(party);
            finding.centre_ids.iter().any(|id| id == party || kept.iter().any(|point| point == id.as_str()))
                || finding.records.iter().any(|record| record.author_id == *party)
        }
    }
}
