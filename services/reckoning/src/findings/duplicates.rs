//! One animal that two centres may have reported without a readable mark.

use super::coverage::Coverage;
use super::in_hand;
use super::judging::{Judging, parameters};
use super::not_counted::not_counted;
use super::reports::{parted, shared};
use crate::keys::Key;
use crate::linkage::{Agreement, days, kilometres, numeric, text};
use chrono::NaiveDate;
use haulout_schemas::records::arrival::Rescue;
use haulout_schemas::records::keeping::{MarkType, MarkingEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::vocabulary::Sex;
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;

const fn percent(name: &'static str, value: i64) -> Threshold {
    Threshold { name, value, unit: "percent", source: "assumed; common practice" }
}

/// Two arrivals that may be one animal. Parameters: `score` (hundredths of a bit), `grade` (`likely` or
/// `possible`), `agree` and `differ` (fields, parted by blanks), `organismID`, `otherOrganismID`.
pub(super) static LIKELY: Rule = Rule {
    code: "likely-duplicate",
    layer: Layer::Finding,
    severity: Severity::Info,
    title: "Likely one animal",
    meaning: "Two parties took in single animals that may be one, by species, sex, size, age class, place, days and natural pattern, and at most one carries a readable mark. The score adds log2(m/u) for each field that agrees and log2((1-m)/(1-u)) for each that differs (Fellegi and Sunter); what one does not tell counts nothing. Arrivals within the days of the threshold, 28 at most, are compared. Two that both housed, quarantined, opened or buried are not told where both had theirs at the close of one day: one body is in one place. Evidence for a person, never a merge.",
    why: "An animal that is told twice is counted, fed and freed twice on paper.",
    mend: "Compare photographs and read both for marks; then the coordination writes a `link`, `same` or `notSame`.",
    source: "Fellegi and Sunter 1969 for the score; the shares are assumptions, to be set by local code",
    thresholds: &[
        Threshold { name: "days", value: 28, unit: "day", source: "common practice" },
        Threshold { name: "kilometres", value: 10, unit: "kilometre", source: "common practice" },
        // Stage, place and time alone, 730, are what many animals of one flood share.
        Threshold { name: "possible", value: 740, unit: "hundredth of a bit", source: "common practice" },
        Threshold { name: "likely", value: 1000, unit: "hundredth of a bit", source: "common practice" },
        percent("sexM", 95),
        percent("sexU", 50),
        percent("sizeM", 90),
        percent("sizeU", 15),
        percent("stageM", 85),
        percent("stageU", 35),
        percent("placeM", 90),
        percent("placeU", 5),
        percent("timeM", 90),
        percent("timeU", 25),
        percent("patternM", 90),
        percent("patternU", 2),
    ],
};

/// Pairs of the key's month, and of it with the next one: no two days of the longest window lie further apart.
pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(next) = month(judging.key).and_then(|first| first.checked_add_months(chrono::Months::new(1)))
    else {
        return;
    };
    let window = judging.threshold(&LIKELY, "days").min(28);
    let (own, later) = (judging.own(), judging.records.of(&Key::likeness(next)));
    let mut arrivals: Vec<(&Record, &Rescue, bool)> = own
        .iter()
        .map(|one| (one, true))
        .chain(later.iter().map(|one| (one, false)))
        .filter_map(|(one, own)| match &one.record.body {
            Some(Body::Rescue(rescue)) => Some((&one.record, rescue, own)),
            _ => None,
        })
        .collect();
    arrivals.sort_by(|(one, ..), (other, ..)| super::by_order(one, other));
    let mut coverage = Coverage::new(judging.world.names);
    for (at, (one, first, own)) in arrivals.iter().enumerate() {
        for (other, second, _) in arrivals.iter().skip(at + 1).filter(|_| *own) {
            let (frame, second_frame) = (&one.envelope, &other.envelope);
            let apart = (second_frame.event_date.day() - frame.event_date.day()).num_days();
            let names = frame.scientific_name.as_ref().zip(second_frame.scientific_name.as_ref());
            if apart.abs() > window
                || frame.author_id == second_frame.author_id
                || frame.organism_id == second_frame.organism_id
                || shared(first, second).is_some()
                || !names.is_some_and(|(one, other)| coverage.compatible(one.as_str(), other.as_str()))
            {
                continue;
            }
            if both_marked(judging, one, other)
                || in_hand::at_once(judging, one, other)
                || parted(judging, one, other)
                || not_counted(judging, one)
                || not_counted(judging, other)
            {
                continue;
            }
            score(judging, (one, first), (other, second));
        }
    }
}

fn score(judging: &mut Judging<'_>, (one, first): (&Record, &Rescue), (other, second): (&Record, &Rescue)) {
    let sexed = |rescue: &Rescue| rescue.sex.filter(|sex| matches!(sex, Sex::Female | Sex::Male));
    let sex = sexed(first).zip(sexed(second)).map(|(one, other)| one == other);
    let stage = first.life_stage.zip(second.life_stage).map(|(one, other)| one == other);
    let limit = judging.threshold(&LIKELY, "kilometres");
    let near = point(first).zip(point(second)).map(|((one, blur), (other, more))| {
        kilometres(one, other) <= f64::from(u32::try_from(limit).unwrap_or(u32::MAX)) + blur + more
    });
    let (day, later) = (one.envelope.event_date.day(), other.envelope.event_date.day());
    let fields: [(&str, &str, &str, Option<bool>); 6] = [
        ("sex", "sexM", "sexU", sex),
        ("size", "sizeM", "sizeU", size(first, second)),
        ("stage", "stageM", "stageU", stage),
        ("place", "placeM", "placeU", near),
        // A week apart is half alike.
        ("time", "timeM", "timeU", Some(days(day, later, 0.0, 7.0) >= 0.5)),
        ("pattern", "patternM", "patternU", pattern(judging, one, other)),
    ];
    let share = |name: &str| {
        f64::from(u32::try_from(judging.threshold(&LIKELY, name).clamp(1, 99)).unwrap_or(1)) / 100.0
    };
    let bits: f64 =
        fields.iter().map(|(_, m, u, agrees)| Agreement { m: share(m), u: share(u) }.weight(*agrees)).sum();
    #[allow(clippy::cast_possible_truncation, reason = "a few bits")]
    let score = (bits * 100.0).round() as i64;
    if score < judging.threshold(&LIKELY, "possible") {
        return;
    }
    let grade = if score >= judging.threshold(&LIKELY, "likely") { "likely" } else { "possible" };
    let told = |wanted: bool| {
        let named = fields.iter().filter(|(.., agrees)| *agrees == Some(wanted)).map(|(name, ..)| *name);
        named.collect::<Vec<_>>().join(" ")
    };
    let id =
        |record: &Record| record.envelope.organism_id.as_ref().map(ToString::to_string).unwrap_or_default();
    let told = parameters([
        ("score", score.into()),
        ("grade", grade.into()),
        ("agree", told(true).into()),
        ("differ", told(false).into()),
        ("organismID", id(one).into()),
        ("otherOrganismID", id(other).into()),
    ]);
    judging.find(&LIKELY, [one, other], None, told);
}

/// The first day of the key's month.
fn month(key: &Key) -> Option<NaiveDate> {
    format!("{}-01", key.id()).parse().ok()
}

/// Lengths in one measure agree where they are at least half alike; a tenth of the larger is a half.
fn size(first: &Rescue, second: &Rescue) -> Option<bool> {
    first.lengths_metre.iter().find_map(|one| {
        let other = second.lengths_metre.iter().find(|other| other.measure == one.measure)?;
        Some(numeric(one.value, other.value, 0.0, 0.1 * one.value.max(other.value)) >= 0.5)
    })
}

/// Where it was found, in degrees, and how far off that may be, kilometre.
fn point(rescue: &Rescue) -> Option<((f64, f64), f64)> {
    let place = rescue.place.as_ref()?;
    let blur = f64::from(place.coordinate_uncertainty_in_meters.unwrap_or_default()) / 1000.0;
    Some(((place.decimal_latitude?, place.decimal_longitude?), blur))
}

fn marks(judging: &Judging<'_>, record: &Record, wanted: impl Fn(MarkType) -> bool) -> BTreeSet<String> {
    let animal = record.envelope.organism_id.iter().flat_map(|id| judging.records.of(&Key::animal(id)));
    let numbers = animal.filter_map(|one| match &one.record.body {
        Some(Body::Marking(marking))
            if wanted(marking.mark_type)
                && !matches!(marking.event, MarkingEvent::NoneFound | MarkingEvent::Failed) =>
        {
            marking.mark_number.as_ref().map(ToString::to_string)
        }
        _ => None,
    });
    numbers.collect()
}

/// Whether both carry a mark that can be read: they are told apart by it, or `mark-in-two-places` tells.
fn both_marked(judging: &Judging<'_>, one: &Record, other: &Record) -> bool {
    let readable = |mark: MarkType| {
        !matches!(mark, MarkType::NaturalPattern | MarkType::Temporary | MarkType::Transmitter)
    };
    [one, other].iter().all(|record| !marks(judging, record, readable).is_empty())
}

fn pattern(judging: &Judging<'_>, one: &Record, other: &Record) -> Option<bool> {
    let natural = |record: &Record| marks(judging, record, |mark| mark == MarkType::NaturalPattern);
    let (own, theirs) = (natural(one), natural(other));
    let pairs = own.iter().flat_map(|one| theirs.iter().map(move |other| text(one, other)));
    pairs.reduce(f64::max).map(|best| best >= 0.9)
}
