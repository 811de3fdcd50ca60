//! What a statement takes from records themselves: the last counts, relocations, nests.

use haulout_reckoning::statement::{ApartLine, CensusTaken};
use haulout_reckoning::{Account, Commodity, Effective, Micros};
use haulout_schemas::records::count::Census;
use haulout_schemas::{Body, Kind};
use haulout_store::{AsOf, Configuration, EffectiveFilter, Scope, Store, StoreError};
use std::collections::BTreeMap;
use std::sync::Arc;

use super::make::Asked;

/// What was counted, moved and left in place.
pub struct Counted {
    /// The last count of each place in the period.
    pub censuses: Vec<CensusTaken>,
    /// Caught and freed the same day.
    pub relocations: Vec<ApartLine>,
    /// Nests left in place.
    pub nests: Vec<ApartLine>,
}

impl Counted {
    /// From the records of the period that count as known at an instant.
    ///
    /// # Errors
    /// When the store fails.
    pub async fn of(
        store: &Store,
        scope: &Scope,
        asked: &Asked,
        known_at: Micros,
        name: Option<&str>,
        configuration: &Configuration,
    ) -> Result<Self, StoreError> {
        let filter = EffectiveFilter {
            places: asked.centre_id.iter().cloned().collect(),
            kinds: vec![Kind::Census, Kind::Relocation, Kind::Nest],
            from: Some(asked.period.first),
            key: None,
        };
        let as_of = AsOf { known_at: Some(known_at), through: Some(asked.period.last) };
        let records = store.effective(scope, as_of, &filter).await?;
        let apart = |kind: Kind| apart_lines(&records, kind, name, configuration);
        Ok(Self {
            censuses: last_counts(&records, name, configuration),
            relocations: apart(Kind::Relocation),
            nests: apart(Kind::Nest),
        })
    }
}

/// The counts of each place's last counted day. A count of the whole place stands before counts of
/// single units; those are added up, and say nothing of what they do not name.
fn last_counts(
    records: &[Arc<Effective>],
    name: Option<&str>,
    configuration: &Configuration,
) -> Vec<CensusTaken> {
    let mut last: BTreeMap<Account, Vec<(&Effective, &Census)>> = BTreeMap::new();
    for record in records {
        let frame = &record.record.envelope;
        let account = match (&frame.centre_id, &frame.point_id) {
            (Some(centre), _) => Account::centre(centre),
            (None, Some(point)) => Account::point(point),
            (None, None) => continue,
        };
        let Some(Body::Census(census)) = &record.record.body else { continue };
        let of_place = last.entry(account).or_default();
        let day = frame.event_date.day();
        if of_place.first().is_some_and(|(before, _)| before.record.envelope.event_date.day() < day) {
            of_place.clear();
        }
        of_place.push((record, census));
    }
    last.into_iter().filter_map(|(account, taken)| count(account, &taken, name, configuration)).collect()
}

fn count(
    account: Account,
    taken: &[(&Effective, &Census)],
    name: Option<&str>,
    configuration: &Configuration,
) -> Option<CensusTaken> {
    let day = taken.last()?.0.record.envelope.event_date.day();
    let whole = taken.iter().rfind(|(_, census)| census.unit_id.is_none());
    let (counted, complete): (Vec<&Census>, bool) = match whole {
        Some((_, census)) => (vec![census], census.complete),
        None => (taken.iter().map(|(_, census)| *census).collect(), false),
    };
    let mut counts: BTreeMap<(String, bool), Option<i64>> = BTreeMap::new();
    for line in counted.iter().flat_map(|census| &census.lines) {
        let commodity =
            Commodity::of(&configuration.names.commodity(line.scientific_name.as_str()), line.life_stage);
        if name.is_some_and(|name| name != commodity.scientific_name) {
            continue;
        }
        let sum = counts.entry((commodity.scientific_name, commodity.eggs)).or_insert(Some(0));
        *sum = match line.not_countable {
            Some(true) => None,
            _ => sum.map(|sum| sum + i64::from(line.individual_count)),
        };
    }
    Some(CensusTaken { account, day, complete, counts })
}

fn apart_lines(
    records: &[Arc<Effective>],
    kind: Kind,
    name: Option<&str>,
    configuration: &Configuration,
) -> Vec<ApartLine> {
    let mut lines: BTreeMap<(String, String), (u64, u64)> = BTreeMap::new();
    for record in records.iter().filter(|record| record.record.kind() == kind) {
        let frame = &record.record.envelope;
        let (Some(written), Some(body)) = (&frame.scientific_name, &record.record.body) else { continue };
        let accepted = configuration.names.commodity(written.as_str()).into_owned();
        if name.is_some_and(|name| name != accepted) {
            continue;
        }
        let individuals = match body {
            Body::Relocation(relocation) => u64::from(relocation.individual_count),
            Body::Nest(nest) => nest.individual_count.map_or(0, u64::from),
            _ => 0,
        };
        let centre = frame.centre_id.as_ref().unwrap_or(&frame.author_id).to_string();
        let line = lines.entry((centre, accepted)).or_default();
        *line = (line.0 + 1, line.1 + individuals);
    }
    lines
        .into_iter()
        .map(|((centre_id, scientific_name), (records, individual_count))| ApartLine {
            centre_id,
            scientific_name,
            records,
            individual_count,
        })
        .collect()
}
