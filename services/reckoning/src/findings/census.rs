//! What was counted against what the books say.

use super::finding::{Finding, RecordName};
use super::judging::{Judging, parameters};
use super::ledger::{Ledger, named};
use super::milestone::Span;
use crate::account::Commodity;
use chrono::NaiveDate;
use haulout_schemas::records::count::Census;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// A count differs from the books. Parameters: `scientificName`, `commodity`, `difference` (counted
/// less booked), `firstDay`, `lastDay` (of the run of equal differences).
pub(super) static DIFFERENCE: Rule = Rule {
    code: "census-difference",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Count differs from the books",
    meaning: "On each of these nights with a census the whole place counted more or fewer of a species than its books held at the close of the day.",
    why: "An animal is missing, was overlooked, or was never booked.",
    mend: "Count again. Overlooked: revise the census (`overlooked`). Gone: `loss` or `mortality`. Never booked: the missing record. Only what nobody can explain is an `adjustment`.",
    source: "stock balance: a counted difference is never folded into another line (from memory)",
    thresholds: &[],
};

/// Counted less booked, on the nights of a run.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Run {
    first: NaiveDate,
    last: NaiveDate,
    records: Vec<RecordName>,
}

/// Runs of differences.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Differences {
    open: Vec<((Commodity, i64), Run)>,
    over: Vec<Finding>,
}

/// Runs that are still going on, by commodity and difference.
type Open = BTreeMap<(Commodity, i64), Run>;

impl Differences {
    pub(super) fn go_on(
        &mut self,
        judging: &Judging<'_>,
        records: &[&Record],
        ledger: &Ledger<'_>,
        span: Span,
    ) {
        let mut nights: BTreeMap<NaiveDate, Vec<(&Record, &Census)>> = BTreeMap::new();
        for record in records {
            let day = record.envelope.event_date.day();
            if let Some(Body::Census(census)) = &record.body
                && compares(census)
                && span.holds(day)
            {
                nights.entry(day).or_default().push((record, census));
            }
        }
        let mut open: Open = std::mem::take(&mut self.open).into_iter().collect();
        for (day, censuses) in nights {
            let mut stated: BTreeMap<Commodity, Vec<(i64, &Record)>> = BTreeMap::new();
            for (record, census) in censuses {
                for (commodity, counted) in counts(judging, census, ledger, &open) {
                    let difference = counted - ledger.close(&commodity, day);
                    stated.entry(commodity).or_default().push((difference, record));
                }
            }
            for (commodity, differences) in stated {
                let today: BTreeSet<i64> = differences.iter().map(|(difference, _)| *difference).collect();
                let ended: Vec<(Commodity, i64)> = open
                    .range((commodity.clone(), i64::MIN)..=(commodity.clone(), i64::MAX))
                    .map(|(key, _)| key.clone())
                    .filter(|(_, difference)| !today.contains(difference))
                    .collect();
                for key in ended {
                    self.over.extend(open.remove(&key).map(|run| finding(judging, &key, &run)));
                }
                for (difference, record) in differences.into_iter().filter(|(difference, _)| *difference != 0)
                {
                    let run = open.entry((commodity.clone(), difference)).or_insert(Run {
                        first: day,
                        last: day,
                        records: Vec::new(),
                    });
                    run.last = day;
                    run.records.push(record.into());
                }
            }
        }
        self.open = open.into_iter().collect();
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>) {
        let open: Vec<Finding> = self.open.iter().map(|(key, run)| finding(judging, key, run)).collect();
        judging.tell(self.over.into_iter().chain(open));
    }
}

/// A count of the whole place that says it is complete. An opening is the books, not a count against them.
fn compares(census: &Census) -> bool {
    census.complete && census.unit_id.is_none() && census.opening != Some(true)
}

/// What a census states: the sum of its lines for each species, and zero for every other species that
/// the books know. A species with a line that cannot be counted now is no statement.
fn counts(
    judging: &Judging<'_>,
    census: &Census,
    ledger: &Ledger<'_>,
    open: &Open,
) -> BTreeMap<Commodity, i64> {
    let known = ledger.commodities().chain(open.keys().map(|(commodity, _)| commodity));
    let mut counted: BTreeMap<Commodity, i64> = known.map(|commodity| (commodity.clone(), 0)).collect();
    let commodity = |line: &haulout_schemas::records::count::CensusLine| {
        Commodity::of(&judging.world.names.commodity(line.scientific_name.as_str()), line.life_stage)
    };
    for line in &census.lines {
        *counted.entry(commodity(line)).or_default() += i64::from(line.individual_count);
    }
    for line in census.lines.iter().filter(|line| line.not_countable == Some(true)) {
        counted.remove(&commodity(line));
    }
    counted
}

fn finding(judging: &Judging<'_>, (commodity, difference): &(Commodity, i64), run: &Run) -> Finding {
    let mut told = named(commodity);
    told.extend(parameters([
        ("difference", (*difference).into()),
        ("firstDay", run.first.into()),
        ("lastDay", run.last.into()),
    ]));
    judging.finding(&DIFFERENCE, [judging.key.id().into()], run.records.iter().cloned(), None, told)
}
