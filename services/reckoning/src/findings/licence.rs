//! What a centre keeps against what its licence allows.

use super::coverage::Coverage;
use super::finding::{Finding, RecordName};
use super::judging::{Judging, parameters};
use super::ledger::Ledger;
use super::milestone::Span;
use crate::account::Commodity;
use chrono::NaiveDate;
use haulout_schemas::records::authority::{Licence, LicenceStatus};
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// More than the licence allows. Parameters: `reason` (`heads`, `species`), `scientificName` (of the
/// licence's line, or of the species outside every line), `heads` (the most), `firstDay`, `lastDay`
/// once it is over; for `heads` also `headsLimit` and `licenceNumber`.
pub(super) static EXCEEDED: Rule = Rule {
    code: "licence-exceeded",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Licence exceeded",
    meaning: "At the close of a day a centre held more heads than a line of its licence allows, or a species that no line of a licence in force covers.",
    why: "Keeping beyond the licence is unlawful, and rooms and hands were reckoned for fewer.",
    mend: "Move animals, or ask the authority for a change of the licence. Eggs are no heads; holding points need no licence.",
    source: "the authority's licence",
    thresholds: &[],
};

/// A licence as it stood from a day on.
struct Stage<'r> {
    from: NaiveDate,
    through: Option<NaiveDate>,
    lawful: bool,
    record: &'r Record,
    licence: &'r Licence,
}

/// What is exceeded: a line of a licence, or a species outside every line.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
enum Excess {
    Heads { licence: String, line: String, limit: i64 },
    Species { name: String },
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Run {
    first: NaiveDate,
    most: i64,
    records: BTreeSet<RecordName>,
}

/// What exceeds a licence, and what of it is over.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Excesses {
    open: Vec<(Excess, Run)>,
    over: Vec<Finding>,
}

impl Excesses {
    pub(super) fn go_on(
        &mut self,
        judging: &mut Judging<'_>,
        records: &[&Record],
        ledger: &Ledger<'_>,
        span: Span,
    ) {
        let stages = stages(judging, records);
        // Before the first licence that the hub knows nobody can say what was allowed.
        let Some(start) = stages.values().flatten().map(|stage| stage.from).min() else { return };
        let animals: Vec<&Commodity> = ledger.commodities().filter(|commodity| !commodity.eggs).collect();
        let mut days: BTreeSet<NaiveDate> = BTreeSet::from([start]);
        for commodity in &animals {
            days.extend(ledger.closes(commodity).iter().map(|(day, _)| *day));
        }
        for stage in stages.values().flatten() {
            days.insert(stage.from);
            days.extend(stage.through.and_then(|day| day.succ_opt()));
        }
        if let Some(next) = days.iter().find(|day| **day > judging.today()) {
            judging.changes_on(*next);
        }
        let mut coverage = Coverage::new(judging.world.names);
        let mut open: BTreeMap<Excess, Run> = std::mem::take(&mut self.open).into_iter().collect();
        for day in days.into_iter().filter(|day| *day >= start && span.holds(*day)) {
            let now = excesses(&stages, &animals, ledger, day, &mut coverage);
            let ended: Vec<Excess> =
                open.keys().filter(|excess| !now.contains_key(*excess)).cloned().collect();
            for excess in ended {
                let run = open.remove(&excess);
                self.over.extend(run.map(|run| finding(judging, &excess, &run, day.pred_opt())));
            }
            for (excess, (heads, records)) in now {
                let run = open.entry(excess).or_insert_with(|| Run {
                    first: day,
                    most: 0,
                    records: records.into_iter().collect(),
                });
                run.most = run.most.max(heads);
            }
        }
        self.open = open.into_iter().collect();
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>) {
        let open: Vec<Finding> =
            self.open.iter().map(|(excess, run)| finding(judging, excess, run, None)).collect();
        judging.tell(self.over.into_iter().chain(open));
    }
}

/// The authority's licences by number, each as it stood from day to day.
fn stages<'r>(judging: &Judging<'_>, records: &[&'r Record]) -> BTreeMap<&'r str, Vec<Stage<'r>>> {
    let mut stages: BTreeMap<&str, Vec<Stage<'_>>> = BTreeMap::new();
    for record in records {
        let Some(Body::Licence(licence)) = &record.body else { continue };
        if licence.holder_id.as_str() == judging.key.id() && judging.by_authority(record) {
            let from = licence.valid_from.map_or(record.envelope.event_date.day(), |day| day.0);
            // A licence under renewal continues by law beyond its last day.
            let through =
                licence.valid_through.map(|day| day.0).filter(|_| licence.status == LicenceStatus::InForce);
            let lawful = matches!(licence.status, LicenceStatus::InForce | LicenceStatus::UnderRenewal);
            stages.entry(licence.licence_number.as_str()).or_default().push(Stage {
                from,
                through,
                lawful,
                record,
                licence,
            });
        }
    }
    for stages in stages.values_mut() {
        stages.sort_by(|one, other| {
            one.from.cmp(&other.from).then_with(|| super::by_order(one.record, other.record))
        });
    }
    stages
}

/// Heads and the records they rest on, by what is exceeded.
type Now = BTreeMap<Excess, (i64, Vec<RecordName>)>;

fn excesses(
    stages: &BTreeMap<&str, Vec<Stage<'_>>>,
    animals: &[&Commodity],
    ledger: &Ledger<'_>,
    day: NaiveDate,
    coverage: &mut Coverage<'_>,
) -> Now {
    let in_force: Vec<&Stage<'_>> = stages
        .values()
        .filter_map(|stages| stages.iter().rev().find(|stage| stage.from <= day))
        .filter(|stage| stage.lawful && stage.through.is_none_or(|last| day <= last))
        .collect();
    let held: Vec<(&Commodity, i64)> = animals
        .iter()
        .map(|commodity| (*commodity, ledger.close(commodity, day)))
        .filter(|(_, heads)| *heads > 0)
        .collect();
    let mut found = BTreeMap::new();
    for stage in &in_force {
        for line in &stage.licence.lines {
            let Some(limit) = line.heads_limit.map(i64::from) else { continue };
            let name = line.scientific_name.as_str();
            let under: Vec<_> = held
                .iter()
                .filter(|(commodity, _)| coverage.covers(name, &commodity.scientific_name))
                .collect();
            let heads: i64 = under.iter().map(|(_, heads)| heads).sum();
            if heads > limit {
                let excess = Excess::Heads {
                    licence: stage.licence.licence_number.to_string(),
                    line: name.to_owned(),
                    limit,
                };
                let movers = under.iter().flat_map(|(commodity, _)| ledger.movers(commodity, day, 1));
                found.insert(excess, (heads, movers.chain([stage.record.into()]).collect()));
            }
        }
    }
    for (commodity, heads) in held {
        let mut lines = in_force.iter().flat_map(|stage| &stage.licence.lines);
        if !lines.any(|line| coverage.covers(line.scientific_name.as_str(), &commodity.scientific_name)) {
            let licences = in_force.iter().map(|stage| stage.record.into());
            let records = ledger.movers(commodity, day, 1).into_iter().chain(licences).collect();
            found.insert(Excess::Species { name: commodity.scientific_name.clone() }, (heads, records));
        }
    }
    found
}

fn finding(judging: &Judging<'_>, excess: &Excess, run: &Run, last: Option<NaiveDate>) -> Finding {
    let mut told = parameters([("heads", run.most.into()), ("firstDay", run.first.into())]);
    told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
    told.extend(match excess {
        Excess::Heads { licence, line, limit } => parameters([
            ("reason", "heads".into()),
            ("scientificName", line.as_str().into()),
            ("headsLimit", (*limit).into()),
            ("licenceNumber", licence.as_str().into()),
        ]),
        Excess::Species { name } => {
            parameters([("reason", "species".into()), ("scientificName", name.as_str().into())])
        }
    });
    judging.finding(&EXCEEDED, [judging.key.id().into()], run.records.iter().cloned(), None, told)
}
