//! Eggs in hand: when each clutch may hatch, and what must not be done to it.

use super::{Floor, Line, Task, Told, When, is_egg};
use crate::keys::Key;
use crate::occupancy::Occupant;
use chrono::NaiveDate;
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::{Body, Record};
use haulout_welfare::eggs::care::turned;
use haulout_welfare::eggs::warmth::EggReading;
use haulout_welfare::eggs::window::{Incubated, Stage, Window, window};
use haulout_welfare::refusal::Refusal;
use haulout_welfare::units::Celsius;

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    for (unit, one) in floor.everyone().filter(|(_, one)| is_egg(one)) {
        let called = one.lot_id.as_ref().map_or_else(|| one.scientific_name.clone(), ToString::to_string);
        let refuse =
            |code, why: &str, mend: &str| Refusal::new(code, format!("hatch window of {called}"), why, mend);
        let Some(profile) = floor.profile(&one.scientific_name) else {
            told.unknown.push(refuse(
                "no-profile",
                "no profile is known for its name",
                "determine the species, or state its profile in the region file",
            ));
            continue;
        };
        let filed = one.lot_id.as_ref().map(|lot| floor.filed(&Key::lot(lot))).unwrap_or_default();
        let steps: Vec<(&Record, &Clutch)> = filed
            .iter()
            .filter_map(|effective| match &effective.record.body {
                Some(Body::Clutch(clutch)) => Some((&effective.record, clutch)),
                _ => None,
            })
            .collect();
        let Some((laid_from, laid_through)) = laid(&steps) else {
            told.unknown.push(refuse(
                "laid-when",
                "no record says when it was laid",
                "state `laidOn` in the clutch's record, as an interval where the day is not known",
            ));
            continue;
        };
        let clutch = Incubated { laid_from, laid_through, log: log(&steps), on: floor.at() };
        match window(profile, &clutch) {
            Ok(window) => line(floor, unit, one, &steps, &window, told),
            Err(refusal) => {
                told.unknown.push(Refusal { what: format!("{called}: {}", refusal.what), ..refusal })
            }
        }
    }
}

/// First and last day on which it may have been laid: as told, else the day of laying in care.
fn laid(steps: &[(&Record, &Clutch)]) -> Option<(NaiveDate, NaiveDate)> {
    let told = steps.iter().filter_map(|(_, clutch)| clutch.laid_on.as_ref()).next_back();
    let in_care = || {
        let own = steps.iter().find(|(_, clutch)| clutch.event == ClutchEvent::Laid);
        own.map(|(record, _)| &record.envelope.event_date)
    };
    let date = told.or_else(in_care)?;
    Some((date.start().day.min(date.end().day), date.day()))
}

fn log(steps: &[(&Record, &Clutch)]) -> Vec<EggReading> {
    let readings = steps.iter().filter_map(|(record, clutch)| {
        let celsius = Celsius::new(clutch.celsius?).ok()?;
        Some(EggReading { at: record.envelope.event_date.start().earliest(), celsius })
    });
    readings.collect()
}

fn line(
    floor: &Floor<'_>,
    unit: Option<&str>,
    one: &Occupant,
    steps: &[(&Record, &Clutch)],
    window: &Window,
    told: &mut Told,
) {
    let (from, through) = (window.from, window.through);
    let (when, what) = match window.stage {
        Stage::Before => (When::of(from, floor.at()), format!("may hatch from {from} to {through}")),
        Stage::Within => (When::Due, format!("may hatch now, until {through}")),
        // Whoever is told that eggs are overdue opens them.
        Stage::After => {
            (When::Due, format!("past its window, which ended on {through}: do not open or discard"))
        }
        Stage::AfterButPausing => {
            (When::NotDue, "pausing eggs, not overdue: do not open or discard".to_owned())
        }
    };
    let mut line =
        Line::new(Task::Eggs, what, window.grounds.clone()).in_unit(unit).about(one).because(window.advice);
    if window.by_temperature {
        line = line.because("by the logged temperatures, interpolated, a tenth either way");
    }
    for doubt in &window.doubts {
        line = line.because(doubt.to_string());
    }
    let marked = steps.iter().filter_map(|(_, clutch)| clutch.tops_marked);
    let tops_marked = marked.reduce(|one, other| one && other);
    let caution: Vec<String> =
        turned(None, tops_marked).into_iter().map(|advice| advice.text.into_owned()).collect();
    told.add(when, Line { from: Some(from), ..line.caution(caution.join(" ")) });
}
