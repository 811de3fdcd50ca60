//! The stock of one place day by day, and the rules on its figures: below zero, openings, clusters of
//! deaths. Census and licence have files of their own.

use super::finding::{Finding, RecordName};
use super::judging::{Judging, Parameters, days_after, parameters};
use super::milestone::Span;
use crate::account::{Account, Commodity};
use crate::posting::{Direction, entries, postings};
use chrono::NaiveDate;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::vocabulary::DeathWhen;
use haulout_schemas::{Body, Kind, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Fewer than none. Parameters: `scientificName`, `commodity`, `lowest`, `firstDay`, and `lastDay`
/// once it is mended.
pub(super) static BELOW_ZERO: Rule = Rule {
    code: "balance-below-zero",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Balance below zero",
    meaning: "At the close of a day the books of a centre or point hold fewer than none of a species.",
    why: "More left than ever came: an arrival was not posted, a species was named differently, or something was posted twice.",
    mend: "Post the missing arrival, or revise the record that names or counts wrongly.",
    source: "posting arithmetic",
    thresholds: &[],
};

/// More than one opening, or events before it. Parameters: `reason` (`second`, `earlier`), `openingDay`.
pub(super) static SECOND_OPENING: Rule = Rule {
    code: "second-opening",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Account opened twice, or posted before it was opened",
    meaning: "A place has a second opening census, or records that post to its stock before the day of its opening.",
    why: "The opening counted what was there; what is posted beside it is counted twice.",
    mend: "Withdraw the second opening; tell what happened before the opening by records that post nothing (`marking`, `sighting`).",
    source: "posting rules",
    thresholds: &[],
};

/// Many deaths in few days. Parameters: `scientificName`, `deaths`, `firstDay`, `lastDay`.
pub(super) static DEATHS_CLUSTER: Rule = Rule {
    code: "deaths-cluster",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Deaths in a cluster",
    meaning: "Several animals of one species died in care at one centre within a few days. Deaths before the rescue and on the road do not count.",
    why: "Deaths that come together may be one disease or one fault of water or heat; the next one may still be prevented.",
    mend: "Necropsies, samples, a look at water and heat, and a standstill if a veterinarian sees reason.",
    source: "from memory",
    thresholds: &[
        Threshold { name: "deaths", value: 4, unit: "animal", source: "from memory" },
        Threshold { name: "days", value: 3, unit: "day", source: "from memory" },
    ],
};

/// What one record did to the stock of one commodity.
struct Move<'r> {
    day: NaiveDate,
    delta: i64,
    record: &'r Record,
    died_in_care: i64,
}

/// The stock of one place.
pub(super) struct Ledger<'r> {
    /// Moves by commodity, by day.
    moves: BTreeMap<Commodity, Vec<Move<'r>>>,
    /// Close of each day on which something moved, by commodity; first of the day gone on from.
    closes: BTreeMap<Commodity, Vec<(NaiveDate, i64)>>,
}

/// Closes of one day, by commodity.
pub(super) type Closes = Vec<(Commodity, i64)>;

impl<'r> Ledger<'r> {
    /// The stock by these records, on from the closes of a day where there are some.
    pub(super) fn of(
        judging: &Judging<'_>,
        records: &[&'r Record],
        from: Option<(NaiveDate, &Closes)>,
    ) -> Self {
        let place = judging.key.id();
        let days = Span { after: from.map(|(after, _)| after), through: judging.today() };
        let mut moves: BTreeMap<Commodity, Vec<Move<'r>>> = BTreeMap::new();
        for record in records {
            for entry in entries(&postings(record, judging.world.names)) {
                if entry.account.place() != Some(place) || !days.holds(entry.day) {
                    continue;
                }
                let in_care = matches!(entry.death_when, Some(DeathWhen::InCare | DeathWhen::Within48h));
                let died = entry.direction == Direction::Out && entry.counter == Account::DEAD && in_care;
                let died_in_care = if died { -entry.delta } else { 0 };
                let one = Move { day: entry.day, delta: entry.delta, record, died_in_care };
                moves.entry(entry.commodity).or_default().push(one);
            }
        }
        let mut closes: BTreeMap<Commodity, Vec<(NaiveDate, i64)>> = BTreeMap::new();
        if let Some((after, stock)) = from {
            closes.extend(stock.iter().map(|(commodity, close)| (commodity.clone(), vec![(after, *close)])));
        }
        for (commodity, moves) in &mut moves {
            moves.sort_by_key(|one| one.day);
            let days = closes.entry(commodity.clone()).or_default();
            let mut close = days.last().map_or(0, |(_, close)| *close);
            for one in moves.iter() {
                close += one.delta;
                match days.last_mut() {
                    Some(last) if last.0 == one.day => last.1 = close,
                    _ => days.push((one.day, close)),
                }
            }
        }
        Self { moves, closes }
    }

    /// Everything that ever stood here.
    pub(super) fn commodities(&self) -> impl Iterator<Item = &Commodity> {
        self.closes.keys()
    }

    /// The close of a day.
    pub(super) fn close(&self, commodity: &Commodity, day: NaiveDate) -> i64 {
        let Some(days) = self.closes.get(commodity) else { return 0 };
        let after = days.partition_point(|(moved, _)| *moved <= day);
        after.checked_sub(1).and_then(|last| days.get(last)).map_or(0, |(_, close)| *close)
    }

    /// The closes of a day of all that had stood here by then.
    pub(super) fn closes_of(&self, day: NaiveDate) -> Closes {
        let stood =
            self.closes.iter().filter(|(_, days)| days.first().is_some_and(|(first, _)| *first <= day));
        stood.map(|(commodity, _)| (commodity.clone(), self.close(commodity, day))).collect()
    }

    /// The closes of the days on which something moved.
    pub(super) fn closes(&self, commodity: &Commodity) -> &[(NaiveDate, i64)] {
        self.closes.get(commodity).map_or(&[], Vec::as_slice)
    }

    /// The records that moved a commodity on a day, those that brought (1) or took away (-1).
    pub(super) fn movers(&self, commodity: &Commodity, day: NaiveDate, sign: i64) -> Vec<RecordName> {
        let Some(moves) = self.moves.get(commodity) else { return Vec::new() };
        let first = moves.partition_point(|one| one.day < day);
        let of_day = moves.iter().skip(first).take_while(|one| one.day == day);
        of_day.filter(|one| one.delta.signum() == sign).map(|one| one.record.into()).collect()
    }
}

/// Name and commodity, as findings tell them.
pub(super) fn named(commodity: &Commodity) -> Parameters {
    parameters([
        ("scientificName", commodity.scientific_name.as_str().into()),
        ("commodity", commodity.word().into()),
    ])
}

/// Balances below zero.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct BelowZero {
    open: Vec<(Commodity, Run)>,
    over: Vec<Finding>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Run {
    first: NaiveDate,
    lowest: i64,
    records: Vec<RecordName>,
}

impl BelowZero {
    pub(super) fn go_on(&mut self, judging: &Judging<'_>, ledger: &Ledger<'_>, span: Span) {
        let mut open: BTreeMap<Commodity, Run> = std::mem::take(&mut self.open).into_iter().collect();
        for commodity in ledger.commodities() {
            for (day, close) in ledger.closes(commodity).iter().filter(|(day, _)| span.holds(*day)) {
                if *close < 0 {
                    let run = open.entry(commodity.clone()).or_insert_with(|| Run {
                        first: *day,
                        lowest: *close,
                        records: ledger.movers(commodity, *day, -1),
                    });
                    run.lowest = run.lowest.min(*close);
                } else if let Some(run) = open.remove(commodity) {
                    self.over.push(below_zero(judging, commodity, &run, day.pred_opt()));
                }
            }
        }
        self.open = open.into_iter().collect();
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>) {
        let open: Vec<Finding> =
            self.open.iter().map(|(commodity, run)| below_zero(judging, commodity, run, None)).collect();
        judging.tell(self.over.into_iter().chain(open));
    }
}

fn below_zero(judging: &Judging<'_>, commodity: &Commodity, run: &Run, last: Option<NaiveDate>) -> Finding {
    let mut told = named(commodity);
    told.extend(parameters([("lowest", run.lowest.into()), ("firstDay", run.first.into())]));
    told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
    judging.finding(&BELOW_ZERO, [judging.key.id().into()], run.records.iter().cloned(), None, told)
}

/// The opening of a place and what stands against it.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Openings {
    /// Its opening censuses, in their order.
    counted: Vec<RecordName>,
    day: Option<NaiveDate>,
    /// What posted before the first of them.
    earlier: BTreeSet<RecordName>,
}

impl Openings {
    /// Whether any was counted.
    pub(super) fn any(&self) -> bool {
        self.day.is_some()
    }

    pub(super) fn go_on(&mut self, records: &[&Record], ledger: &Ledger<'_>, span: Span) {
        let mut openings: Vec<&Record> = records
            .iter()
            .copied()
            .filter(|record| is_opening(record) && span.holds(record.envelope.event_date.day()))
            .collect();
        openings.sort_by(|one, other| super::by_order(one, other));
        self.counted.extend(openings.iter().map(|record| RecordName::from(*record)));
        if let (None, Some(first)) = (self.day, openings.first()) {
            let day = first.envelope.event_date.day();
            let moves = ledger.moves.values().flatten();
            let earlier = moves.filter(|one| one.day < day && one.record.kind() != Kind::Link);
            self.earlier = earlier.map(|one| one.record.into()).collect();
            self.day = Some(day);
        }
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>) {
        let (Some(day), Some(first)) = (self.day, self.counted.first()) else { return };
        let told = |reason: &str| parameters([("reason", reason.into()), ("openingDay", day.into())]);
        let before: Vec<&RecordName> = self.earlier.iter().chain([first]).collect();
        let counted: Vec<&RecordName> = self.counted.iter().collect();
        // One record contradicts nothing.
        for (reason, rests_on) in [("earlier", before), ("second", counted)] {
            if rests_on.len() > 1 {
                let (place, rests_on) = (judging.key.id().into(), rests_on.into_iter().cloned());
                let finding = judging.finding(&SECOND_OPENING, [place], rests_on, None, told(reason));
                judging.tell([finding]);
            }
        }
    }
}

/// Whether a record opens the account of its place.
pub(super) fn is_opening(record: &Record) -> bool {
    matches!(&record.body, Some(Body::Census(census)) if census.opening == Some(true))
}

/// The deaths in care at a place, by species.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Deaths(Vec<(Commodity, Vec<Death>)>);

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Death {
    day: NaiveDate,
    count: i64,
    record: RecordName,
}

impl Deaths {
    pub(super) fn go_on(&mut self, ledger: &Ledger<'_>, span: Span) {
        let mut deaths: BTreeMap<Commodity, Vec<Death>> = std::mem::take(&mut self.0).into_iter().collect();
        for (commodity, moves) in ledger.moves.iter().filter(|(commodity, _)| !commodity.eggs) {
            let died = moves.iter().filter(|one| one.died_in_care > 0 && span.holds(one.day));
            let died =
                died.map(|one| Death { day: one.day, count: one.died_in_care, record: one.record.into() });
            deaths.entry(commodity.clone()).or_default().extend(died);
        }
        self.0 = deaths.into_iter().filter(|(_, deaths)| !deaths.is_empty()).collect();
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>) {
        let (least, span) =
            (judging.threshold(&DEATHS_CLUSTER, "deaths"), judging.threshold(&DEATHS_CLUSTER, "days"));
        for (commodity, deaths) in &self.0 {
            for (start, end) in clusters(deaths, least, span) {
                let cluster = &deaths[start..end];
                let (Some(first), Some(last)) = (cluster.first(), cluster.last()) else { continue };
                let told = parameters([
                    ("scientificName", commodity.scientific_name.as_str().into()),
                    ("deaths", cluster.iter().map(|one| one.count).sum::<i64>().into()),
                    ("firstDay", first.day.into()),
                    ("lastDay", last.day.into()),
                ]);
                let rests_on = cluster.iter().map(|one| one.record.clone());
                let finding =
                    judging.finding(&DEATHS_CLUSTER, [judging.key.id().into()], rests_on, None, told);
                judging.tell([finding]);
            }
        }
    }
}

/// Stretches of deaths by day. Windows of so many days that reach the figure and overlap are one.
fn clusters(deaths: &[Death], least: i64, days: i64) -> Vec<(usize, usize)> {
    let mut clusters: Vec<(usize, usize)> = Vec::new();
    let (mut end, mut sum) = (0, 0);
    for start in 0..deaths.len() {
        while end < deaths.len() && deaths[end].day < days_after(deaths[start].day, days) {
            sum += deaths[end].count;
            end += 1;
        }
        if sum >= least {
            match clusters.last_mut() {
                Some(last) if start < last.1 => last.1 = end,
                _ => clusters.push((start, end)),
            }
        }
        sum -= deaths[start].count;
    }
    clusters
}
