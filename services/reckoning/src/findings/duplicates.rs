//! One animal that two centres may have reported without a readable mark.

use super::coverage::Coverage;
use super::in_hand;
use super::judging::{Judging, parameters};
use super::not_counted::not_counted;
use super::reports::{parted, shared};
use crate::keys::Key;
use crate::linkage::{Agreement, days, kilometres, numeric, text};
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::records::arrival::Rescue;
use haulout_schemas::records::keeping::{MarkType, MarkingEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::OrganismId;
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

/// The shortest degree of latitude, at the equator (WGS 84: 110.574 km).
const KILOMETRES_A_DEGREE: f64 = 110.57;

/// An arrival of a single animal.
struct Arrival<'r> {
    record: &'r Record,
    rescue: &'r Rescue,
    day: NaiveDate,
    /// Of the key's month, not of the next.
    own: bool,
    /// Its name's place among the names.
    name: usize,
    /// Whether a natural pattern of its animal was told of.
    patterned: bool,
}

/// Pairs of the key's month, and of it with the next one: no two days of the longest window lie further
/// apart. They are many, so what a pair can come to at best is asked before its animals are looked up.
pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(next) = month(judging.key).and_then(|first| first.checked_add_months(chrono::Months::new(1)))
    else {
        return;
    };
    let window = judging.threshold(&LIKELY, "days").min(28);
    let (own, later) = (judging.own(), judging.records.of(&Key::likeness(next)));
    let mut names: Vec<String> = Vec::new();
    let mut place_of = |name: &str| {
        let known = names.iter().position(|known| known == name);
        known.unwrap_or_else(|| {
            names.push(name.to_owned());
            names.len() - 1
        })
    };
    let mut arrivals: Vec<Arrival<'_>> = own
        .iter()
        .map(|one| (&one.record, true))
        .chain(later.iter().map(|one| (&one.record, false)))
        .filter_map(|(record, own)| {
            let Some(Body::Rescue(rescue)) = &record.body else { return None };
            let name = place_of(record.envelope.scientific_name.as_ref()?.as_str());
            Some(Arrival {
                record,
                rescue,
                day: record.envelope.event_date.day(),
                own,
                name,
                patterned: false,
            })
        })
        .collect();
    let patterned = patterned(judging);
    for arrival in &mut arrivals {
        arrival.patterned =
            arrival.record.envelope.organism_id.as_ref().is_some_and(|id| patterned.contains(id));
    }
    arrivals.sort_by(|one, other| super::by_order(one.record, other.record));
    let (weights, alike) = (Weights::of(judging), Alike::of(&names, judging.world.names));
    for (at, one) in arrivals.iter().enumerate().filter(|(_, one)| one.own) {
        let near = arrivals[at + 1..].iter().take_while(|other| (other.day - one.day).num_days() <= window);
        for other in near {
            let (frame, second_frame) = (&one.record.envelope, &other.record.envelope);
            if !alike.are(one.name, other.name)
                || frame.author_id == second_frame.author_id
                || frame.organism_id == second_frame.organism_id
                || !weights.may_reach(one, other)
                || shared(one.rescue, other.rescue).is_some()
                || both_marked(judging, one.record, other.record)
                || in_hand::at_once(judging, one.record, other.record)
                || parted(judging, one.record, other.record)
                || not_counted(judging, one.record)
                || not_counted(judging, other.record)
            {
                continue;
            }
            score(judging, &weights, one, other);
        }
    }
}

/// The names of arrivals, and which may mean the same animal.
struct Alike {
    compatible: Vec<bool>,
    names: usize,
}

impl Alike {
    fn of(names: &[String], list: &Names) -> Self {
        let mut coverage = Coverage::new(list);
        let pairs = names.iter().flat_map(|one| names.iter().map(move |other| (one, other)));
        let compatible = pairs.map(|(one, other)| coverage.compatible(one, other)).collect();
        Self { compatible, names: names.len() }
    }

    fn are(&self, one: usize, other: usize) -> bool {
        self.compatible.get(one * self.names + other).copied().unwrap_or_default()
    }
}

/// What each field says in bits where it agrees and where it does not, and from how many hundredths on a
/// pair is told of.
struct Weights {
    sex: Weight,
    size: Weight,
    stage: Weight,
    place: Weight,
    time: Weight,
    pattern: Weight,
    kilometres: f64,
    possible: i64,
    likely: i64,
}

#[derive(Clone, Copy)]
struct Weight {
    agrees: f64,
    differs: f64,
}

impl Weight {
    fn of(self, agrees: Option<bool>) -> f64 {
        agrees.map_or(0.0, |agrees| if agrees { self.agrees } else { self.differs })
    }

    fn most(self) -> f64 {
        self.agrees.max(self.differs).max(0.0)
    }
}

impl Weights {
    fn of(judging: &Judging<'_>) -> Self {
        let share = |name: &str| {
            f64::from(u32::try_from(judging.threshold(&LIKELY, name).clamp(1, 99)).unwrap_or(1)) / 100.0
        };
        let field = |m: &str, u: &str| {
            let field = Agreement { m: share(m), u: share(u) };
            Weight { agrees: field.weight(Some(true)), differs: field.weight(Some(false)) }
        };
        let kilometres = u32::try_from(judging.threshold(&LIKELY, "kilometres")).unwrap_or(u32::MAX);
        Self {
            sex: field("sexM", "sexU"),
            size: field("sizeM", "sizeU"),
            stage: field("stageM", "stageU"),
            place: field("placeM", "placeU"),
            time: field("timeM", "timeU"),
            pattern: field("patternM", "patternU"),
            kilometres: f64::from(kilometres),
            possible: judging.threshold(&LIKELY, "possible"),
            likely: judging.threshold(&LIKELY, "likely"),
        }
    }

    /// Whether a pair may be told of, if its patterns speak for it as much as they can.
    fn may_reach(&self, one: &Arrival<'_>, other: &Arrival<'_>) -> bool {
        let told = self.sex.of(sex(one.rescue, other.rescue))
            + self.size.of(size(one.rescue, other.rescue))
            + self.stage.of(stage(one.rescue, other.rescue))
            + self.time.of(Some(in_days(one, other)));
        let told = told + if one.patterned && other.patterned { self.pattern.most() } else { 0.0 };
        // One more for rounding. A distance is worked out only where it can matter.
        let reaches = |bits: f64| hundredths(bits) + 1 >= self.possible;
        reaches(told + self.place.most())
            && reaches(told + self.place.of(self.near(one.rescue, other.rescue)))
    }

    /// Whether two arrivals were found in one place.
    fn near(&self, one: &Rescue, other: &Rescue) -> Option<bool> {
        let ((one, blur), (other, more)) = point(one).zip(point(other))?;
        let limit = self.kilometres + blur + more;
        // No degree of latitude is shorter, anywhere: many pairs need no geodesic.
        Some(KILOMETRES_A_DEGREE * (one.0 - other.0).abs() <= limit && kilometres(one, other) <= limit)
    }
}

fn sex(one: &Rescue, other: &Rescue) -> Option<bool> {
    let sexed = |rescue: &Rescue| rescue.sex.filter(|sex| matches!(sex, Sex::Female | Sex::Male));
    sexed(one).zip(sexed(other)).map(|(one, other)| one == other)
}

fn stage(one: &Rescue, other: &Rescue) -> Option<bool> {
    one.life_stage.zip(other.life_stage).map(|(one, other)| one == other)
}

/// A week apart is half alike.
fn in_days(one: &Arrival<'_>, other: &Arrival<'_>) -> bool {
    days(one.day, other.day, 0.0, 7.0) >= 0.5
}

#[allow(clippy::cast_possible_truncation, reason = "a few bits")]
fn hundredths(bits: f64) -> i64 {
    (bits * 100.0).round() as i64
}

fn score(judging: &mut Judging<'_>, weights: &Weights, one: &Arrival<'_>, other: &Arrival<'_>) {
    let (first, second) = (one.rescue, other.rescue);
    let fields: [(&str, Weight, Option<bool>); 6] = [
        ("sex", weights.sex, sex(first, second)),
        ("size", weights.size, size(first, second)),
        ("stage", weights.stage, stage(first, second)),
        ("place", weights.place, weights.near(first, second)),
        ("time", weights.time, Some(in_days(one, other))),
        ("pattern", weights.pattern, pattern(judging, one.record, other.record)),
    ];
    let score = hundredths(fields.iter().map(|(_, field, agrees)| field.of(*agrees)).sum());
    if score < weights.possible {
        return;
    }
    let grade = if score >= weights.likely { "likely" } else { "possible" };
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
        ("organismID", id(one.record).into()),
        ("otherOrganismID", id(other.record).into()),
    ]);
    judging.find(&LIKELY, [one.record, other.record], None, told);
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

/// The animals of which a natural pattern was told.
fn patterned(judging: &Judging<'_>) -> BTreeSet<OrganismId> {
    let told = judging.records.of(&Key::patterns());
    told.iter().filter_map(|one| one.record.envelope.organism_id.clone()).collect()
}

fn pattern(judging: &Judging<'_>, one: &Record, other: &Record) -> Option<bool> {
    let natural = |record: &Record| marks(judging, record, |mark| mark == MarkType::NaturalPattern);
    let (own, theirs) = (natural(one), natural(other));
    let pairs = own.iter().flat_map(|one| theirs.iter().map(move |other| text(one, other)));
    pairs.reduce(f64::max).map(|best| best >= 0.9)
}
