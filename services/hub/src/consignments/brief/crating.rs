//! The crates that the groups need, how they are packed, and what is done on the way.

use haulout_schemas::profile::{FROM_MEMORY, Profile};
use haulout_store::Configuration;
use haulout_welfare::grounds::{Advice, Grounds, Standing};
use haulout_welfare::measures;
use haulout_welfare::transport::crates::{self, Body, CratePlan, crate_for, lifters};
use haulout_welfare::transport::stops::{BETWEEN, Journey, stops};
use haulout_welfare::transport::window::Bar;
use haulout_welfare::units::{Hours, Kilograms};

use super::super::carrying::Said;
use super::bodies::Traveller;
use super::form::{Crating, InnerSize, Stops};

/// The crate of each group, and how all of them are packed, each sentence once.
pub(super) fn crating(
    configuration: &Configuration,
    travellers: &[Traveller<'_>],
) -> (Vec<Crating>, Vec<Said>) {
    let (mut needed, mut packing) = (Vec::new(), Vec::new());
    for one in travellers {
        // A name above the species: the crate of the one that needs most room.
        let plans = one.profiles.iter().filter_map(|profile| plan(profile, one).ok());
        let largest = plans.max_by(|a, b| a.inner.length_metre.m().total_cmp(&b.inner.length_metre.m()));
        let refusals: Vec<String> = match (&largest, one.profiles.first()) {
            (Some(plan), _) => plan
                .unknown
                .iter()
                .filter(|fault| fault.code != "mass-unknown")
                .map(|fault| format!("{}: {}", fault.what, fault.mend))
                .collect(),
            (None, Some(profile)) => plan(profile, one).err().into_iter().collect(),
            (None, None) => {
                vec!["no profile is known: crate it as able to break out, and ask the vet".to_owned()]
            }
        };
        for advice in one.profiles.iter().flat_map(|profile| crates::packing(profile)) {
            add(&mut packing, said(configuration, &advice));
        }
        needed.push(told(configuration, one, largest.as_ref(), refusals));
    }
    (needed, packing)
}

/// The plan, or why there is none.
fn plan(profile: &Profile, one: &Traveller<'_>) -> Result<CratePlan, String> {
    let Some(length) = &one.length else {
        return Err(
            "length not known: measure it, or take the crate of one known to be no smaller".to_owned()
        );
    };
    let body = Body {
        length_metre: length.clone(),
        width_metre: None,
        height_metre: None,
        mass_kilogram: one.mass.and_then(|(mass, _)| Kilograms::new(mass).ok()),
        crate_kilogram: None,
    };
    crate_for(profile, &body).map_err(|refusal| refusal.to_string())
}

fn told(
    configuration: &Configuration,
    one: &Traveller<'_>,
    plan: Option<&CratePlan>,
    unknown: Vec<String>,
) -> Crating {
    let mass = one.mass.and_then(|(mass, day)| Some((Kilograms::new(mass).ok()?, day)));
    let people = mass.map(|(mass, _)| lifters(mass));
    let inner = plan.map_or_else(InnerSize::default, |plan| InnerSize {
        length: Some(centimetres_up(plan.inner.length_metre.m())),
        width: plan.inner.width_metre.map(|side| centimetres_up(side.m())),
        height: plan.inner.height_metre.map(|side| centimetres_up(side.m())),
    });
    let size = match (inner.length, one.length.as_ref()) {
        (Some(inner), Some(length)) => format!(
            "at least {inner:.2} m long inside for {} m {}; width and height by the body, measured",
            length.high.unwrap_or(length.value).max(length.value),
            measures::words(length.measure)
        ),
        _ => "size not known: measure first".to_owned(),
    };
    let each = if one.line.individual_count > 1 {
        "; for the largest of them, each in its own compartment unless known to bear each other"
    } else {
        ""
    };
    let lift = match (mass, people) {
        (Some((mass, day)), Some(people)) => format!(
            "; weighs {} kg ({}): {people} people or more lift it, the crate's own weight on top",
            mass.kg(),
            day.format("%-d %b %Y")
        ),
        _ => "; weight not known: plan as for the heaviest of its kind".to_owned(),
    };
    Crating {
        subject: one.line.subject.clone().unwrap_or_else(|| one.line.scientific_name.clone()),
        length: one.length.as_ref().map(|length| {
            let most = length.high.unwrap_or(length.value).max(length.value);
            format!("{most} m {}", measures::words(length.measure))
        }),
        inner_metre: inner,
        words: format!("{size}{each}{lift}."),
        lifters: people,
        kilogram: mass.map(|(mass, _)| mass.kg()),
        unknown,
        source: plan.map_or_else(String::new, |plan| source(configuration, &plan.size_grounds)),
    }
}

/// Stops by the length of the way; the advice of all groups, each sentence once; and what bars the way.
pub(super) fn on_the_way(
    configuration: &Configuration,
    travellers: &[Traveller<'_>],
    minutes: Option<u32>,
    bound_hours: Option<f64>,
) -> (Stops, Vec<Bar>, Vec<String>) {
    let mut told = Stops::default();
    let (mut bars, mut unknown) = (Vec::new(), Vec::new());
    let hours = f64::from(minutes.unwrap_or(60).max(1)) / 60.0;
    for profile in travellers.iter().flat_map(|one| &one.profiles) {
        let bound_hour = bound_hours.and_then(|bound| Hours::new(bound + hours).ok());
        let journey = Hours::new(hours).map(|journey_hour| Journey {
            journey_hour,
            bound_hour,
            bound_at_most_hour: None,
        });
        match journey.and_then(|journey| stops(profile, &journey)) {
            Ok(found) => {
                if minutes.is_some() {
                    told.after_minutes =
                        found.after_hour.iter().map(|hour| (hour.hours() * 60.0).round() as u32).collect();
                }
                for advice in &found.advice {
                    add(&mut told.advice, said(configuration, advice));
                }
                bars.extend(found.bars.into_iter().filter(|bar| !bars.contains(bar)).collect::<Vec<_>>());
                for refusal in found.unknown {
                    let line = refusal.to_string();
                    if !unknown.contains(&line) {
                        unknown.push(line);
                    }
                }
            }
            Err(refusal) => {
                let line = refusal.to_string();
                if !unknown.contains(&line) {
                    unknown.push(line);
                }
            }
        }
    }
    told.words = match (minutes, told.after_minutes.as_slice()) {
        (None, _) => format!(
            "The length of the way is not known: stop and look at least every {} hours.",
            BETWEEN.hours()
        ),
        (Some(_), []) => {
            format!("A way of {} hours or less: look before leaving and on arrival.", BETWEEN.hours())
        }
        (Some(_), after) => {
            let after: Vec<String> =
                after.iter().map(|minutes| format!("{} h {:02}", minutes / 60, minutes % 60)).collect();
            format!("Stop and look after {} of driving.", after.join(", "))
        }
    };
    (told, bars, unknown)
}

/// A sentence with its source in words.
pub(super) fn said(configuration: &Configuration, advice: &Advice) -> Said {
    Said::new(advice.text.clone(), source(configuration, &advice.grounds))
}

/// What something rests on, in words.
pub(super) fn source(configuration: &Configuration, grounds: &Grounds) -> String {
    match grounds.standing {
        Standing::FromMemory => FROM_MEMORY.to_owned(),
        Standing::Proposal => format!("a choice of this programme: {}", grounds.source),
        _ => configuration.profiles.source_title(&grounds.source).to_owned(),
    }
}

pub(super) fn add(list: &mut Vec<Said>, line: Said) {
    if list.iter().all(|known| known.text != line.text) {
        list.push(line);
    }
}

/// Rounded up to the centimetre, so that it never comes out too small.
fn centimetres_up(metres: f64) -> f64 {
    (metres * 100.0 - 1e-6).ceil() / 100.0
}
