//! Quarantine of a batch: left too early, or never ended.

mod members;
mod rooms;
mod served;
pub(super) mod standing;

use super::judging::{Judging, days_after, parameters};
use super::sequence::surely_before;
use crate::effective::Effective;
use crate::keys::place_of;
use crate::occupancy::{Floor, in_order};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::profile::TaxonOrder;
use haulout_schemas::records::health::{Quarantine, QuarantineEvent};
use haulout_schemas::records::keeping::HousingEvent;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::Stay;
use haulout_schemas::{Body, EventDate, Record};
use members::Members;
use rooms::{Newcomer, Rooms};
use std::sync::Arc;

pub(crate) use served::{Served, served};

/// Left before the clear day. Parameters: `batchID`, `leftDay`, `clearDay`, `kind` (of the record by
/// which it left).
pub(super) static SHORT: Rule = Rule {
    code: "quarantine-short",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Quarantine cut short",
    meaning: "Animals of a batch were dispatched, released, or housed for a long stay elsewhere before the batch's clear day (its last entry, or the entry of a newcomer of the same order into its unit or water, and the days), and no veterinarian had ended the quarantine.",
    why: "A disease that needs longer to show leaves with the animal.",
    mend: "Tell the receiving end and its veterinarian. If a veterinarian ended it, post the `quarantine`, event `ended`, with its date.",
    source: "aza.org/quarantine: 30 days under a veterinarian, a newcomer of the same order starts them again",
    thresholds: &[Threshold {
        name: "days",
        value: 30,
        unit: "day",
        source: "aza.org/quarantine; only where neither the record nor a species profile says more",
    }],
};

/// Nobody ended it. Parameters: `batchID`, `clearDay`, `heads` (still there).
pub(super) static OVERDUE: Rule = Rule {
    code: "quarantine-overdue",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Quarantine not ended",
    meaning: "A batch is past its clear day, animals of it are still there, and no veterinarian has ended or extended its quarantine.",
    why: "A room that is clear on paper only is a place that the region does not have.",
    mend: "A veterinarian looks at the batch and writes `quarantine`, event `ended` or `extended`.",
    source: "common practice",
    thresholds: &[Threshold { name: "graceDays", value: 7, unit: "day", source: "from memory" }],
};

/// The records of a batch, sorted out.
struct Batch<'r> {
    place: PartyId,
    entered: Vec<(&'r Record, Subject)>,
    ended: Vec<&'r Record>,
    days: i64,
    order: Option<TaxonOrder>,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let Some(batch) = Batch::of(judging, &own) else { return };
    let members = Members::of(judging, &batch, &batch_id(judging));
    let filed: Vec<Arc<Effective>> = members.filed(judging);
    let rooms = Rooms::of(judging, &batch.place, &own);
    let newcomers = rooms.newcomers(judging, &batch, &members);
    left_early(judging, &batch, &filed, &members, &rooms, &newcomers);
    overdue(judging, &batch, &filed, &members, &newcomers);
}

impl<'r> Batch<'r> {
    fn of(judging: &Judging<'_>, own: &'r [Arc<Effective>]) -> Option<Self> {
        let (place, _) = judging.key.within()?;
        // A holding point keeps no quarantine.
        if judging.world.region.point(&place).is_some() {
            return None;
        }
        let steps = own.iter().filter_map(|one| match &one.record.body {
            Some(Body::Quarantine(quarantine)) => Some((&one.record, quarantine)),
            _ => None,
        });
        let of = |event: QuarantineEvent| steps.clone().filter(move |(_, step)| step.event == event);
        let entered: Vec<_> = of(QuarantineEvent::Entered)
            .filter_map(|(record, _)| Some((record, Subject::of_frame(&record.envelope)?)))
            .collect();
        let stated = |event| of(event).filter_map(|(_, step): (_, &Quarantine)| step.days).max();
        let names = entered.iter().filter_map(|(record, _)| record.envelope.scientific_name.as_ref());
        let profiles: Vec<_> = names.flat_map(|name| judging.world.names.members(name.as_str())).collect();
        let days = stated(QuarantineEvent::Extended)
            .or_else(|| stated(QuarantineEvent::Entered))
            .or_else(|| profiles.iter().map(|profile| profile.quarantine_days.value).max());
        let days = days.map_or_else(|| judging.threshold(&SHORT, "days"), i64::from);
        let by_vet = |step: &Quarantine| step.by_veterinarian == Some(true);
        let ended =
            of(QuarantineEvent::Ended).filter(|(_, step)| by_vet(step)).map(|(record, _)| record).collect();
        let order = profiles.first().map(|profile| profile.order);
        (!entered.is_empty()).then_some(Self { place, entered, ended, days, order })
    }

    /// Whether a veterinarian ended it since its last entry.
    fn is_ended(&self) -> bool {
        let last = self.entered.iter().map(|(record, _)| record.envelope.event_date.day()).max();
        self.ended.iter().any(|step| Some(step.envelope.event_date.day()) >= last)
    }

    /// Animals of it that are still there, by the books of its place.
    fn heads(&self, judging: &Judging<'_>, filed: &[Arc<Effective>], members: &Members) -> i64 {
        still_there(judging, &self.place, filed, members).iter().map(|(_, heads)| heads).sum()
    }

    /// First day on which the batch may leave, by the entries that `counts` lets pass: its own last
    /// entry, and newcomers that came while it was not clear.
    fn clear_day<'n>(
        &self,
        newcomers: &'n [Newcomer<'n>],
        counts: impl Fn(&EventDate) -> bool,
    ) -> Option<(NaiveDate, Vec<&'n Record>)> {
        let entries =
            self.entered.iter().map(|(record, _)| &record.envelope.event_date).filter(|date| counts(date));
        let days: Vec<NaiveDate> = entries.map(EventDate::day).collect();
        let (first, last) = (*days.iter().min()?, *days.iter().max()?);
        let mut clear = days_after(last, self.days);
        let mut by = Vec::new();
        for newcomer in newcomers.iter().filter(|newcomer| counts(&newcomer.record.envelope.event_date)) {
            let day = newcomer.record.envelope.event_date.day();
            if first <= day && day <= clear && days_after(day, self.days) > clear {
                clear = days_after(day, self.days);
                by.push(newcomer.record);
            }
        }
        Some((clear, by))
    }
}

fn left_early(
    judging: &mut Judging<'_>,
    batch: &Batch<'_>,
    filed: &[Arc<Effective>],
    members: &Members,
    rooms: &Rooms,
    newcomers: &[Newcomer<'_>],
) {
    for record in filed.iter().map(|one| &one.record) {
        let date = &record.envelope.event_date;
        if place_of(&record.envelope) != Some(&batch.place) || !leaves(record, members, rooms) {
            continue;
        }
        let Some((clear, by)) = batch.clear_day(newcomers, |entry| surely_before(entry, date)) else {
            continue;
        };
        let ended = batch.ended.iter().any(|step| !surely_before(date, &step.envelope.event_date));
        if date.day() < clear && !ended {
            let told = parameters([
                ("batchID", batch_id(judging).into()),
                ("kind", record.kind().as_str().into()),
                ("leftDay", date.day().into()),
                ("clearDay", clear.into()),
            ]);
            let entries = batch
                .entered
                .iter()
                .map(|(entry, _)| *entry)
                .filter(|entry| surely_before(&entry.envelope.event_date, date));
            let rests_on: Vec<&Record> = entries.chain(by).chain([record]).collect();
            judging.find_at(&SHORT, [batch.place.clone()], rests_on, Some(clear), told);
        }
    }
}

fn batch_id(judging: &Judging<'_>) -> String {
    judging.key.within().map(|(_, batch)| batch.to_owned()).unwrap_or_default()
}

/// Whether a record takes animals of the batch out of its quarantine: away from the place, or into a
/// long stay in units that share neither room nor water with the batch.
fn leaves(record: &Record, members: &Members, rooms: &Rooms) -> bool {
    let date = &record.envelope.event_date;
    let own = || Subject::of_frame(&record.envelope).is_some_and(|subject| members.holds_on(&subject, date));
    match &record.body {
        Some(Body::Dispatch(dispatch)) => {
            let taken = dispatch.lines.iter().filter_map(Subject::taken);
            taken.into_iter().any(|subject| members.holds_on(&subject, date))
        }
        Some(Body::Release(_)) => own(),
        Some(Body::Housing(housing)) => {
            let long = matches!(housing.stay, Some(Stay::Long | Stay::Lifelong));
            let elsewhere = !housing.units.iter().any(|housed| rooms.holds(housed.unit_id.as_str()));
            own() && long && housing.event == HousingEvent::Housed && rooms.known() && elsewhere
        }
        _ => false,
    }
}

fn overdue(
    judging: &mut Judging<'_>,
    batch: &Batch<'_>,
    filed: &[Arc<Effective>],
    members: &Members,
    newcomers: &[Newcomer<'_>],
) {
    let Some((clear, by)) = batch.clear_day(newcomers, |_| true) else { return };
    if batch.is_ended() {
        return;
    }
    let due = days_after(clear, judging.threshold(&OVERDUE, "graceDays"));
    if !judging.passed(due) {
        return;
    }
    let heads = batch.heads(judging, filed, members);
    if heads > 0 {
        let told = parameters([
            ("batchID", batch_id(judging).into()),
            ("clearDay", clear.into()),
            ("heads", heads.into()),
        ]);
        let rests_on: Vec<&Record> = batch.entered.iter().map(|(record, _)| *record).chain(by).collect();
        judging.find_at(&OVERDUE, [batch.place.clone()], rests_on, Some(due), told);
    }
}

/// The members of a batch that entered no other and are still in the stock, with their number.
fn still_there(
    judging: &Judging<'_>,
    place: &PartyId,
    filed: &[Arc<Effective>],
    members: &Members,
) -> Vec<(Subject, i64)> {
    let mut floor = Floor::new(place, judging.world.names, filed);
    for one in in_order(filed) {
        floor.apply(&one.record);
    }
    let heads = members.remaining().map(|subject| (subject.clone(), floor.animals_of(subject)));
    heads.filter(|(_, heads)| *heads > 0).collect()
}
