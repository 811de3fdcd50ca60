//! Lots that were never counted, and clutches that do not add up or ought to have hatched.

use super::judging::{Judging, Parameters, days_after, parameters};
use super::not_counted::not_counted;
use super::sequence::surely_before;
use super::stays::leaves;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::LotId;
use haulout_schemas::vocabulary::{CountMethod, LifeStage, Vitality};
use haulout_schemas::{Body, Record};

/// An estimate stayed an estimate. Parameters: `lotID`, `individualCount`.
pub(super) static NEVER_TALLIED: Rule = Rule {
    code: "lot-never-tallied",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Estimated lot never counted out",
    meaning: "A lot came in with an estimated number, and by the deadline no tally counted it out and no receipt counted it at another place. Eggs and carcasses are exempt, and lots that were released, handed on beyond the region or became others.",
    why: "The books carry a guess, and every later balance rests on it.",
    mend: "Count the lot and write the `tally`; where only the number is to be mended, revise the rescue with what was counted.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

/// More eggs came to an end than there were. Parameters: `lotID`, `eggs`, `ended`.
pub(super) static EGGS_BEYOND: Rule = Rule {
    code: "eggs-beyond-clutch",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "More eggs hatched or failed than the clutch had",
    meaning: "The eggs of a clutch that hatched, failed or died are more than were collected and laid. Clutches that were split, merged, received from elsewhere, counted out or opened with the books are not judged.",
    why: "Eggs were miscounted, or two clutches go under one number; the books of eggs fall below zero.",
    mend: "Revise the `clutch` record whose number is wrong.",
    source: "posting arithmetic",
    thresholds: &[],
};

/// Nothing hatched in time. Parameters: `lotID`, `eggs` (left), `laidDay`.
pub(super) static OVERDUE: Rule = Rule {
    code: "clutch-overdue",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Clutch beyond its hatching window",
    meaning: "Eggs are left of a clutch whose latest day of hatching, by the species' profile, has passed with the grace. Species whose eggs pause (diapause) are never judged, nor species whose window nobody knows, clutches of which nobody knows when they were laid, and those that were split, merged or received from elsewhere. Do not open or discard eggs on the calendar alone: cool eggs take longer.",
    why: "Either it was not told what became of the eggs, or they need somebody who knows.",
    mend: "If they hatched or failed, write it. Else candle them without turning, look at the temperature, ask a specialist; do not open or discard them.",
    source: "species profiles: incubation; grace: common practice",
    thresholds: &[Threshold { name: "graceDays", value: 14, unit: "day", source: "common practice" }],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let lot = LotId::from(judging.key.id());
    let subject = Subject::Lot(lot.clone());
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    never_tallied(judging, &subject, &records);
    if let Some(eggs) = Eggs::of(&records, &subject) {
        beyond(judging, &lot, &eggs);
        overdue(judging, &lot, &eggs, &records);
    }
}

fn never_tallied(judging: &mut Judging<'_>, subject: &Subject, records: &[&Record]) {
    for record in records {
        let Some(Body::Rescue(rescue)) = &record.body else { continue };
        let guessed = rescue.count_method == CountMethod::Estimated
            && rescue.vitality != Some(Vitality::Dead)
            && rescue.life_stage != Some(LifeStage::Egg);
        if !guessed
            || Subject::of_frame(&record.envelope).as_ref() != Some(subject)
            || not_counted(judging, record)
        {
            continue;
        }
        let counted = records.iter().any(|other| {
            let received = matches!(&other.body, Some(Body::Receipt(receipt))
                if receipt.lines.iter().any(|line| Subject::received(line).as_ref() == Some(subject)));
            (received || leaves(other, subject))
                && !surely_before(&other.envelope.event_date, &record.envelope.event_date)
        });
        let due = days_after(record.envelope.event_date.day(), judging.threshold(&NEVER_TALLIED, "days"));
        if !counted && judging.passed(due) {
            let mut told = named(subject.id());
            told.insert("individualCount".to_owned(), rescue.individual_count.into());
            judging.find(&NEVER_TALLIED, [*record], Some(due), told);
        }
    }
}

fn named(lot: &str) -> Parameters {
    parameters([("lotID", lot.into())])
}

/// The eggs of one clutch, of which all that is told is told under its own number.
struct Eggs<'r> {
    came: i64,
    ended: i64,
    /// When it was laid, as far as that is told: the latest day.
    laid: Option<NaiveDate>,
    records: Vec<&'r Record>,
}

impl<'r> Eggs<'r> {
    /// `None` where the lot is no clutch, or more is told than its own steps.
    fn of(records: &[&'r Record], subject: &Subject) -> Option<Self> {
        let mut eggs = Eggs { came: 0, ended: 0, laid: None, records: Vec::new() };
        for record in records {
            let own = Subject::of_frame(&record.envelope).as_ref() == Some(subject);
            let (came, ended) = match record.body.as_ref()? {
                Body::Clutch(clutch) if own => {
                    eggs.laid = eggs.laid.max(laid(record, clutch));
                    step(clutch)
                }
                Body::Mortality(death) if own && death.event == MortalityEvent::Death => {
                    (0, i64::from(death.individual_count))
                }
                Body::Mortality(_) | Body::Custody(_) | Body::Housing(_) | Body::Outlook(_) => (0, 0),
                Body::Order(_) | Body::Assessment(_) | Body::Treatment(_) | Body::Marking(_) => (0, 0),
                _ => return None,
            };
            eggs.came += came;
            eggs.ended += ended;
            if came + ended > 0 {
                eggs.records.push(record);
            }
        }
        (eggs.came > 0).then_some(eggs)
    }
}

/// Eggs that came and eggs that came to an end by a step.
fn step(clutch: &Clutch) -> (i64, i64) {
    let count = clutch.individual_count.map_or(0, i64::from);
    match clutch.event {
        ClutchEvent::Collected | ClutchEvent::Laid => (count, 0),
        ClutchEvent::Hatched | ClutchEvent::Failed => (0, count),
        ClutchEvent::Candled | ClutchEvent::FoundHatched => (0, 0),
    }
}

fn laid(record: &Record, clutch: &Clutch) -> Option<NaiveDate> {
    let told = clutch.laid_on.as_ref().map(|date| date.start().day.max(date.end().day));
    told.or_else(|| (clutch.event == ClutchEvent::Laid).then(|| record.envelope.event_date.day()))
}

fn beyond(judging: &mut Judging<'_>, lot: &LotId, eggs: &Eggs<'_>) {
    if eggs.ended > eggs.came {
        let mut told = named(lot.as_str());
        told.extend(parameters([("eggs", eggs.came.into()), ("ended", eggs.ended.into())]));
        judging.find(&EGGS_BEYOND, eggs.records.iter().copied(), None, told);
    }
}

fn overdue(judging: &mut Judging<'_>, lot: &LotId, eggs: &Eggs<'_>, records: &[&Record]) {
    let Some(laid) = eggs.laid.filter(|_| eggs.ended < eggs.came) else { return };
    let mut latest: Option<i64> = None;
    for name in records.iter().filter_map(|record| record.envelope.scientific_name.as_ref()) {
        let members = judging.world.names.members(name.as_str());
        if members.is_empty() {
            return;
        }
        for profile in members {
            let known = judging.world.profiles.get(&profile.scientific_name);
            let window = known.and_then(|profile| profile.incubation.as_ref());
            let Some(window) = window.filter(|window| !window.value.diapause) else { return };
            #[allow(clippy::cast_possible_truncation, reason = "days of a profile, far below the limit")]
            let days = window.value.days_high.ceil() as i64;
            latest = latest.max(Some(days));
        }
    }
    let Some(days) = latest else { return };
    let due = days_after(laid, days + judging.threshold(&OVERDUE, "graceDays"));
    if judging.passed(due) {
        let mut told = named(lot.as_str());
        told.extend(parameters([("eggs", (eggs.came - eggs.ended).into()), ("laidDay", laid.into())]));
        judging.find(&OVERDUE, eggs.records.iter().copied(), Some(due), told);
    }
}
