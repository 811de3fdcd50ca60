//! One mark on two animals, on two species, or read long after its bearer died.

use super::coverage::Coverage;
use super::deaths::dies;
use super::descent::same_animal;
use super::judging::{Judging, days_after, parameters};
use super::sequence::{by_order, surely_before};
use crate::keys::Key;
use haulout_schemas::records::identity::DeterminationEvent;
use haulout_schemas::records::keeping::{MarkType, MarkingEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::Vitality;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};

/// One number where it cannot be twice. Parameters: `markNumber`, `reason` (`animals`, `species`,
/// `afterDeath`).
pub(super) static TWO_PLACES: Rule = Rule {
    code: "mark-in-two-places",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "One mark, two bearers",
    meaning: "The number of a transponder or tag stands on two animals that no link calls the same, on two species, or was read on its bearer long after the death. Notches, paint, patterns and transmitters may repeat and are not judged.",
    why: "A mark is how an animal is known for life; read wrongly, two histories run into one.",
    mend: "Read again. The same animal: a `link`, or a revision of the later arrival with the old number. A slip: a revision of the marking.",
    source: "common practice",
    thresholds: &[Threshold { name: "carcassDays", value: 14, unit: "day", source: "from memory" }],
};

/// A record that puts the number on somebody.
struct Reading<'r> {
    record: &'r Record,
    /// Read on a living animal, or on a carcass.
    read: bool,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let number = judging.key.id();
    let mut readings: Vec<Reading<'_>> = own.iter().filter_map(|one| reading(&one.record, number)).collect();
    let types = own.iter().filter_map(|one| match &one.record.body {
        Some(Body::Marking(marking)) => Some(marking.mark_type),
        _ => None,
    });
    if types.clone().count() > 0 && !types.clone().any(is_unique) {
        return;
    }
    readings.retain(|reading| match &reading.record.body {
        Some(Body::Marking(marking)) => is_unique(marking.mark_type),
        _ => true,
    });
    readings.sort_by(|one, other| by_order(one.record, other.record));
    let mut bearers: BTreeMap<OrganismId, Vec<&Record>> = BTreeMap::new();
    for reading in &readings {
        if let Some(animal) = &reading.record.envelope.organism_id {
            bearers.entry(animal.clone()).or_default().push(reading.record);
        }
    }
    let told = |reason: &str| parameters([("markNumber", number.into()), ("reason", reason.into())]);
    let Some(first) = bearers.keys().next() else { return };
    let same = same_animal(first, judging.records);
    if bearers.keys().any(|other| !same.contains(other)) {
        let records = bearers.values().flatten().copied();
        judging.find(&TWO_PLACES, records, None, told("animals"));
        return;
    }
    if let Some(pair) = two_species(judging, &readings, &same) {
        judging.find(&TWO_PLACES, pair, None, told("species"));
    }
    after_death(judging, &readings, &same);
}

/// Transponders and tags carry serial numbers; every other mark may repeat.
fn is_unique(mark: MarkType) -> bool {
    matches!(mark, MarkType::Transponder | MarkType::Tag)
}

fn reading<'r>(record: &'r Record, number: &str) -> Option<Reading<'r>> {
    match &record.body {
        Some(Body::Marking(marking)) => {
            let carried = [&marking.mark_number, &marking.replaced_number].into_iter().flatten();
            let names = carried.into_iter().any(|known| known.as_str() == number);
            (names && marking.event != MarkingEvent::NoneFound)
                .then_some(Reading { record, read: marking.event == MarkingEvent::Read })
        }
        Some(Body::Release(_)) => Some(Reading { record, read: true }),
        Some(Body::Sighting(sighting)) => {
            Some(Reading { record, read: sighting.vitality == Vitality::Alive })
        }
        _ => None,
    }
}

/// The first two records that name species which cannot be one, unless a determination joins them.
fn two_species<'r>(
    judging: &Judging<'_>,
    readings: &[Reading<'r>],
    same: &BTreeSet<OrganismId>,
) -> Option<[&'r Record; 2]> {
    let mut joined: Vec<(String, String)> = Vec::new();
    for animal in same {
        for one in judging.records.of(&Key::animal(animal)) {
            if let Some(Body::Determination(determination)) = &one.record.body
                && determination.event == DeterminationEvent::Species
                && let (Some(from), Some(to)) =
                    (&determination.from_scientific_name, &determination.to_scientific_name)
            {
                joined.push((from.to_string(), to.to_string()));
            }
        }
    }
    let mut coverage = Coverage::new(judging.world.names);
    let named: Vec<(&Record, &str)> = readings
        .iter()
        .filter_map(|reading| {
            Some((reading.record, reading.record.envelope.scientific_name.as_ref()?.as_str()))
        })
        .collect();
    let (first, name) = named.first()?;
    // All names that determinations reach from the first one are the same animal.
    let mut reached: Vec<String> = vec![(*name).to_owned()];
    let mut at = 0;
    while let Some(known) = reached.get(at).cloned() {
        for (from, to) in &joined {
            let other = if coverage.compatible(&known, from) {
                to
            } else if coverage.compatible(&known, to) {
                from
            } else {
                continue;
            };
            if !reached.contains(other) {
                reached.push(other.clone());
            }
        }
        at += 1;
    }
    let stranger =
        named.iter().find(|(_, name)| !reached.iter().any(|known| coverage.compatible(known, name)))?;
    Some([*first, stranger.0])
}

fn after_death(judging: &mut Judging<'_>, readings: &[Reading<'_>], same: &BTreeSet<OrganismId>) {
    let span = judging.threshold(&TWO_PLACES, "carcassDays");
    for animal in same {
        let filed = judging.records.of(&Key::animal(animal));
        for death in filed.iter().map(|one| &one.record).filter(|record| dies(record, animal)) {
            let last = days_after(death.envelope.event_date.day(), span);
            for reading in readings.iter().filter(|reading| reading.read) {
                let date = &reading.record.envelope.event_date;
                // Within the days of its necropsy the mark of a carcass is read to know it.
                let carcass = matches!(&reading.record.body, Some(Body::Marking(_))) && date.day() <= last;
                if surely_before(&death.envelope.event_date, date) && !carcass {
                    let told = parameters([
                        ("markNumber", judging.key.id().into()),
                        ("reason", "afterDeath".into()),
                    ]);
                    judging.find(&TWO_PLACES, [death, reading.record], None, told);
                }
            }
        }
    }
}
