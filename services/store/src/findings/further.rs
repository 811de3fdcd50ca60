//! Keys whose rules go on from a milestone: only what was filed since is read.

use super::Loaded;
use crate::database::{Locked, Store, among_texts, rows, run};
use crate::effective::{in_order, json_texts};
use crate::error::Result;
use chrono::{Datelike, Days, NaiveDate};
use haulout_reckoning::findings::{Judged, Milestone, counts_through, goes_on, judge_further};
use haulout_reckoning::{Effective, Key, World};
use sea_orm::{ConnectionTrait, Value};
use std::collections::HashMap;
use std::sync::Arc;

/// Records come some days late: a milestone so many days old seldom falls again.
const LATE_DAYS: u64 = 3;
/// Milestones are left on Sundays, and the last four of them kept for what comes later still.
const KEPT_DAYS: u64 = 28;

/// The latest milestone that still holds, by key.
pub(super) type Milestones = HashMap<Key, Milestone>;

/// The day at whose close milestones are left when findings are judged through a day.
fn to_keep(through: NaiveDate) -> NaiveDate {
    let settled = through - Days::new(LATE_DAYS);
    settled - Days::new(u64::from(settled.weekday().num_days_from_sunday()))
}

/// The milestones of keys that hold: of a day before the first one that changed. The others go.
pub(super) async fn milestones(locked: &Locked, keys: &[Key]) -> Result<Milestones> {
    let keys: Vec<&str> = keys.iter().filter(|key| goes_on(key)).map(Key::as_str).collect();
    if keys.is_empty() {
        return Ok(Milestones::new());
    }
    let tx = &locked.tx;
    let among = among_texts(tx.get_database_backend(), 1);
    let list = json_texts(keys.into_iter())?;
    let fallen = format!(
        "DELETE FROM milestone WHERE key {among} AND EXISTS \
         (SELECT 1 FROM touched t WHERE t.key = milestone.key AND t.day <= milestone.day)"
    );
    run(tx, &fallen, [list.as_str().into()]).await?;
    let latest = format!(
        "SELECT m.key AS key, m.state AS state FROM milestone m WHERE m.key {among} AND m.day = \
         (SELECT MAX(l.day) FROM milestone l WHERE l.key = m.key)"
    );
    let mut found = Milestones::new();
    for row in rows(tx, latest, vec![list.into()]).await? {
        let (key, state): (String, String) = (row.try_get("", "key")?, row.try_get("", "state")?);
        // What does not read was left by another release: the key begins at its first record.
        if let (Some(key), Ok(milestone)) = (Key::from_text(key), serde_json::from_str(&state)) {
            found.insert(key, milestone);
        }
    }
    Ok(found)
}

/// Every milestone goes: the configuration changed, or the evaluated day went back.
pub(super) async fn forget_milestones(on: &impl ConnectionTrait) -> Result<()> {
    run(on, "DELETE FROM milestone", []).await.map(drop)
}

/// Judges a key on from its milestone, or from its first record, and leaves the milestone that is due.
/// `None` where records were lacked that `held` has noted.
pub(super) async fn judge_on(
    store: &Store,
    locked: &Locked,
    held: &mut Loaded,
    key: &Key,
    from: Option<&Milestone>,
    world: &World<'_>,
) -> Result<Option<Judged>> {
    let through = world.evaluated_through;
    let keep = to_keep(through);
    let mut from = from.filter(|milestone| milestone.through < through);
    loop {
        let after = from.map(|milestone| milestone.through);
        let own = store.filed_since(&locked.tx, key, after, through).await?;
        held.lacked.set(false);
        let went_on = judge_further(key, from, &own, keep, &*held, world);
        if held.lacked.get() {
            return Ok(None);
        }
        if let Some((judged, left)) = went_on {
            if let Some(left) = left {
                leave(&locked.tx, key, &left).await?;
            }
            return Ok(Some(judged));
        }
        from = None;
    }
}

/// Leaves a milestone; those that have become too old go.
async fn leave(on: &impl ConnectionTrait, key: &Key, milestone: &Milestone) -> Result<()> {
    let old = (milestone.through - Days::new(KEPT_DAYS)).to_string();
    run(on, "DELETE FROM milestone WHERE key = $1 AND day <= $2", [key.as_str().into(), old.into()]).await?;
    let state = serde_json::to_string(milestone)?;
    let sql = "INSERT INTO milestone (key, day, state) VALUES ($1, $2, $3) \
               ON CONFLICT (key, day) DO UPDATE SET state = excluded.state";
    let day = milestone.through.to_string();
    run(on, sql, [key.as_str().into(), day.into(), state.into()]).await.map(drop)
}

impl Store {
    /// Effective records of a key that are dated after one day and through another, and all that
    /// reach back beyond their date.
    async fn filed_since(
        &self,
        on: &impl ConnectionTrait,
        key: &Key,
        after: Option<NaiveDate>,
        through: NaiveDate,
    ) -> Result<Vec<Arc<Effective>>> {
        let sql = "SELECT k.feed AS feed FROM filed k JOIN record_version v ON v.feed = k.feed \
                   WHERE k.key = $1 AND v.effective_until IS NULL AND (k.day = '' OR (k.day > $2 AND k.day <= $3))";
        let after = after.map_or_else(String::new, |day| day.to_string());
        let values: Vec<Value> = vec![key.as_str().into(), after.into(), through.to_string().into()];
        let found = rows(on, sql, values).await?;
        let feeds: Vec<i64> = found.iter().map(|row| Ok(row.try_get("", "feed")?)).collect::<Result<_>>()?;
        let mut records: Vec<Arc<Effective>> = self.records_of(on, &feeds).await?.into_values().collect();
        records.retain(|one| counts_through(&one.record, through));
        in_order(&mut records);
        Ok(records)
    }
}
