//! The stock of one place day by day, and the rules on its figures: below zero, openings, clusters of
//! deaths. Census and licence have files of their own.

use super::judging::{Judging, Parameters, days_after, parameters};
use crate::account::{Account, Commodity};
use crate::posting::{Direction, entries, postings};
use chrono::NaiveDate;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::vocabulary::DeathWhen;
use haulout_schemas::{Body, Kind, Record};
use std::collections::BTreeMap;

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
    /// Close of each day on which something moved, by commodity.
    closes: BTreeMap<Commodity, Vec<(NaiveDate, i64)>>,
}

impl<'r> Ledger<'r> {
    pub(super) fn of(judging: &Judging<'_>, records: &[&'r Record]) -> Self {
        let place = judging.key.id();
        let mut moves: BTreeMap<Commodity, Vec<Move<'r>>> = BTreeMap::new();
        for record in records {
            for entry in entries(&postings(record, judging.world.names)) {
                if entry.account.place() != Some(place) || entry.day > judging.today() {
                    continue;
                }
                let in_care = matches!(entry.death_when, Some(DeathWhen::InCare | DeathWhen::Within48h));
                let died = entry.direction == Direction::Out && entry.counter == Account::DEAD && in_care;
                let died_in_care = if died { -entry.delta } else { 0 };
                let one = Move { day: entry.day, delta: entry.delta, record, died_in_care };
                moves.entry(entry.commodity).or_default().push(one);
            }
        }
        let mut closes = BTreeMap::new();
        for (commodity, moves) in &mut moves {
            moves.sort_by_key(|one| one.day);
            let mut days: Vec<(NaiveDate, i64)> = Vec::new();
            let mut close = 0;
            for one in moves.iter() {
                close += one.delta;
                match days.last_mut() {
                    Some(last) if last.0 == one.day => last.1 = close,
                    _ => days.push((one.day, close)),
                }
            }
            closes.insert(commodity.clone(), days);
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

    /// The closes of the days on which something moved.
    pub(super) fn closes(&self, commodity: &Commodity) -> &[(NaiveDate, i64)] {
        self.closes.get(commodity).map_or(&[], Vec::as_slice)
    }

    /// The records that moved a commodity on a day, those that brought (1) or took away (-1).
    pub(super) fn movers(&self, commodity: &Commodity, day: NaiveDate, sign: i64) -> Vec<&'r Record> {
        let Some(moves) = self.moves.get(commodity) else { return Vec::new() };
        let first = moves.partition_point(|one| one.day < day);
        let of_day = moves.iter().skip(first).take_while(|one| one.day == day);
        of_day.filter(|one| one.delta.signum() == sign).map(|one| one.record).collect()
    }
}

/// Name and commodity, as findings tell them.
pub(super) fn named(commodity: &Commodity) -> Parameters {
    parameters([
        ("scientificName", commodity.scientific_name.as_str().into()),
        ("commodity", commodity.word().into()),
    ])
}

pub(super) fn below_zero(judging: &mut Judging<'_>, ledger: &Ledger<'_>) {
    let place = judging.key.id();
    for commodity in ledger.commodities() {
        let mut run: Option<(NaiveDate, i64)> = None;
        let mut runs: Vec<(NaiveDate, Option<NaiveDate>, i64)> = Vec::new();
        for (day, close) in ledger.closes(commodity) {
            match (&mut run, *close < 0) {
                (None, true) => run = Some((*day, *close)),
                (Some((_, lowest)), true) => *lowest = (*lowest).min(*close),
                (Some((first, lowest)), false) => {
                    runs.push((*first, day.pred_opt(), *lowest));
                    run = None;
                }
                (None, false) => {}
            }
        }
        runs.extend(run.map(|(first, lowest)| (first, None, lowest)));
        for (first, last, lowest) in runs {
            let mut told = named(commodity);
            told.extend(parameters([("lowest", lowest.into()), ("firstDay", first.into())]));
            told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
            judging.find_at(&BELOW_ZERO, [place.into()], ledger.movers(commodity, first, -1), None, told);
        }
    }
}

pub(super) fn openings(judging: &mut Judging<'_>, records: &[&Record], ledger: &Ledger<'_>) {
    let place = judging.key.id();
    let mut openings: Vec<&Record> = records
        .iter()
        .copied()
        .filter(|record| matches!(&record.body, Some(Body::Census(census)) if census.opening == Some(true)))
        .collect();
    openings.sort_by(|one, other| super::by_order(one, other));
    let Some(first) = openings.first() else { return };
    let day = first.envelope.event_date.day();
    if openings.len() > 1 {
        let told = parameters([("reason", "second".into()), ("openingDay", day.into())]);
        judging.find_at(&SECOND_OPENING, [place.into()], openings.iter().copied(), None, told);
    }
    let moves = ledger.moves.values().flatten();
    let earlier: Vec<&Record> =
        moves.filter(|one| one.day < day && one.record.kind() != Kind::Link).map(|one| one.record).collect();
    if !earlier.is_empty() {
        let told = parameters([("reason", "earlier".into()), ("openingDay", day.into())]);
        judging.find_at(&SECOND_OPENING, [place.into()], earlier.into_iter().chain([*first]), None, told);
    }
}

pub(super) fn deaths_cluster(judging: &mut Judging<'_>, ledger: &Ledger<'_>) {
    let place = judging.key.id();
    let (least, span) =
        (judging.threshold(&DEATHS_CLUSTER, "deaths"), judging.threshold(&DEATHS_CLUSTER, "days"));
    for (commodity, moves) in ledger.moves.iter().filter(|(commodity, _)| !commodity.eggs) {
        let deaths: Vec<&Move<'_>> = moves.iter().filter(|one| one.died_in_care > 0).collect();
        // Windows that reach the figure and overlap are one cluster.
        let mut clusters: Vec<(usize, usize)> = Vec::new();
        let mut end = 0;
        let mut sum = 0;
        for start in 0..deaths.len() {
            while end < deaths.len() && deaths[end].day < days_after(deaths[start].day, span) {
                sum += deaths[end].died_in_care;
                end += 1;
            }
            if sum >= least {
                match clusters.last_mut() {
                    Some(last) if start < last.1 => last.1 = end,
                    _ => clusters.push((start, end)),
                }
            }
            sum -= deaths[start].died_in_care;
        }
        for (start, end) in clusters {
            let cluster = &deaths[start..end];
            let (Some(first), Some(last)) = (cluster.first(), cluster.last()) else { continue };
            let told = parameters([
                ("scientificName", commodity.scientific_name.as_str().into()),
                ("deaths", cluster.iter().map(|one| one.died_in_care).sum::<i64>().into()),
                ("firstDay", first.day.into()),
                ("lastDay", last.day.into()),
            ]);
            judging.find_at(
                &DEATHS_CLUSTER,
                [place.into()],
                cluster.iter().map(|one| one.record),
                None,
                told,
            );
        }
    }
}
