//! Stops on the way, and what is done at each.
//!
//! No source was found that names hours for reptiles: the figures are proposals,
//! on the side of looking too often. Local code and the veterinarian's word stand
//! above them.

use haulout_schemas::profile::{Group, Profile};
use serde::{Deserialize, Serialize};

use super::window::Bar;
use crate::grounds::{Advice, Grounds};
use crate::refusal::Refusal;
use crate::units::Hours;

/// A journey, as far as stops go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Journey {
    /// Driving time, hours.
    pub journey_hour: Hours,
    /// Hours for which jaws or limbs will have been bound on arrival; absent where nothing is bound.
    pub bound_hour: Option<Hours>,
    /// Longest binding that the veterinarian or local code allows, hours.
    pub bound_at_most_hour: Option<Hours>,
}

/// The stops.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Stops {
    /// Hours of driving after which to stop.
    pub after_hour: Vec<Hours>,
    /// What is done at each.
    pub advice: Vec<Advice>,
    /// What closes every departure.
    pub bars: Vec<Bar>,
    /// What the hours rest on.
    pub grounds: Grounds,
    /// What could not be told.
    pub unknown: Vec<Refusal>,
}

/// Longest drive between two looks, hours (a proposal).
pub const BETWEEN: Hours = Hours::of(2.0);

/// Where to stop and what for.
///
/// # Errors
/// A journey of no time, or of more than three days.
pub fn stops(profile: &Profile, journey: &Journey) -> Result<Stops, Refusal> {
    let hours = journey.journey_hour.hours();
    if !(hours > 0.0 && hours <= 72.0) {
        return Err(Refusal::new(
            "journey",
            format!("stops of a journey of {hours} hours"),
            "the journey must take more than nothing and at most three days",
            "plan the stages one by one",
        ));
    }
    // Even stages, none longer than the longest.
    let stages = (hours / BETWEEN.hours() - 1e-9).ceil().max(1.0);
    let after = (1..stages as u32).map(|stop| Hours::new(hours * f64::from(stop) / stages));
    let (mut bars, mut unknown) = (Vec::new(), Vec::new());
    match (journey.bound_hour, journey.bound_at_most_hour) {
        (Some(bound), Some(most)) if bound > most => bars.push(Bar::BoundTooLong),
        (Some(_), None) => unknown.push(Refusal::new(
            "binding-limit",
            "how long jaws or limbs may be bound",
            "neither the veterinarian nor local code is told to have set it",
            "ask the veterinarian before the first binding",
        )),
        _ => {}
    }
    Ok(Stops {
        after_hour: after.collect::<Result<_, _>>()?,
        advice: advice(profile.group),
        bars,
        grounds: Grounds::proposal("a look every two hours at most"),
        unknown,
    })
}

fn advice(group: Group) -> Vec<Advice> {
    let proposal = |text: &'static str| Advice::new(text, Grounds::proposal("caution on the road"));
    let rp3 = |text: &'static str| Advice::new(text, Grounds::published("CITES packers' guideline Rp/3"));
    let mut told = vec![
        proposal("In the shade, engine and load in moving air; nobody opens a crate near traffic."),
        proposal(
            "Read the thermometer in the crate, look for breath and for what has shifted; write both down.",
        ),
        rp3("No feeding. A sick or dead animal is taken out when feasible, and written down."),
    ];
    told.push(match group {
        Group::Crocodilian => proposal("Bindings and nostrils looked at from outside; wet the cloth over body and eyes, never the nostrils."),
        Group::Tortoise => proposal("No water in the crate; a shallow bath after arrival."),
        _ => Advice::new("Wet the padding again; no standing water.", Grounds::memory()),
    });
    told
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn told(name: &str, hours: f64, bound: Option<f64>, most: Option<f64>) -> Result<Stops, Refusal> {
        let hour = |number: f64| Hours::new(number).unwrap();
        let journey = Journey {
            journey_hour: hour(hours),
            bound_hour: bound.map(hour),
            bound_at_most_hour: most.map(hour),
        };
        stops(Profiles::standard().get(name).unwrap(), &journey)
    }

    /// By hand: two hours need no stop, five hours two (at 1 h 40 and 3 h 20), eight hours three.
    #[test]
    fn a_look_every_two_hours() {
        let after = |hours| {
            let told = told("Batagur kachuga", hours, None, None).unwrap().after_hour;
            told.iter().map(|stop| (stop.hours() * 60.0).round() as i64).collect::<Vec<_>>()
        };
        assert_eq!(after(2.0), [0_i64; 0]);
        assert_eq!(after(5.0), [100, 200]);
        assert_eq!(after(8.0), [120, 240, 360]);
        assert_eq!(told("Batagur kachuga", 0.0, None, None).unwrap_err().code, "journey");
        assert_eq!(told("Batagur kachuga", 73.0, None, None).unwrap_err().code, "journey");
    }

    #[test]
    fn bindings_that_last_too_long_close_the_road() {
        let mugger = |bound, most| told("Crocodylus palustris", 3.0, bound, most).unwrap();
        assert_eq!(mugger(Some(3.0), Some(2.0)).bars, [Bar::BoundTooLong]);
        assert_eq!(mugger(Some(2.0), Some(2.0)).bars, []);
        assert_eq!(mugger(Some(2.0), None).unknown[0].code, "binding-limit");
        assert!(mugger(None, None).advice.iter().any(|line| line.text.contains("nostrils")));
    }
}
