//! What is wanting at a centre for one who stays, made larger.

use serde_json::json;

use super::admit::{stated_cap, stated_size};
use super::counted::trip;
use super::feasible::Checker;
use super::trial::Trial;
use crate::answer::Change;
use crate::case::Asked;
use crate::journey::Journey;
use crate::request::{Request, RequestFile};
use crate::rules::PlacementRule;
use crate::view::Unit;

/// What makes something larger: changes for the same unit, or another unit.
pub(crate) enum Larger {
    Same(Vec<Change>),
    Other(usize, Change),
}

impl Trial<'_> {
    /// What is wanting, made larger; none where nothing is known to do it.
    pub fn larger(
        &self,
        file: &RequestFile,
        unit_at: usize,
        code: &str,
        so_far: &[Change],
    ) -> Option<Larger> {
        let stands = file.view.centres.first()?;
        let more = self.asking.left;
        let set = |path: String, value: u32| Larger::Same(vec![Change::Add { path, value: json!(value) }]);
        Some(match code {
            "licence-heads" | "arrivals" => {
                // For all who stay, not for the least alone.
                Larger::Same(self.proposed(file, unit_at, PlacementRule::of(code)?, self.asking.left)?)
            }
            "crews-tonight" => {
                let crews = stands.crews_tonight.unwrap_or(0).saturating_add(self.asking.request().crew);
                set("/centres/0/crewsTonight".to_owned(), crews)
            }
            "vehicle-minutes" => {
                let minutes = stands.vehicle_minutes.unwrap_or(0).saturating_add(self.trip(file)?);
                set("/centres/0/vehicleMinutes".to_owned(), minutes)
            }
            "size" => {
                let unit = file.view.units.get(unit_at);
                let size = unit.and_then(|unit| stated_size(self.asking.request(), unit));
                let Some(size) = size else { return self.another(unit_at, so_far) };
                let free = unit.and_then(|unit| unit.free_size).unwrap_or(0);
                set(format!("/units/{unit_at}/freeSize"), free.saturating_add(size.saturating_mul(more)))
            }
            _ => {
                let fresh = unit_at >= self.excerpt.file.view.units.len();
                let rule = PlacementRule::of(code).filter(|rule| fresh || !rule.is_of_company());
                match rule {
                    Some(rule) => Larger::Same(self.proposed(file, unit_at, rule, self.asking.least())?),
                    None => return self.another(unit_at, so_far),
                }
            }
        })
    }

    /// Minutes that a vehicle of the changed file's centre is away for it.
    fn trip(&self, file: &RequestFile) -> Option<u32> {
        let of = self.asking.checker;
        let (request, centre) = (file.requests.get(self.excerpt.asking)?, file.view.centres.first()?);
        let asked = Asked::new(&file.view, request, of.species, of.at);
        let journey = Journey::of(&asked, centre).ok();
        u32::try_from(trip(request, &centre.centre_id, journey.as_ref())).ok()
    }

    /// One more unit like this, unless it is one more already.
    fn another(&self, unit_at: usize, so_far: &[Change]) -> Option<Larger> {
        if so_far.iter().any(|change| change.path() == format!("/units/{unit_at}/units")) {
            return None;
        }
        one_more(&self.excerpt.file, unit_at).map(|(other, change)| Larger::Other(other, change))
    }

    /// What a rule proposes for so many with the plan's others where they stand.
    fn proposed(
        &self,
        file: &RequestFile,
        unit_at: usize,
        rule: &PlacementRule,
        more: u32,
    ) -> Option<Vec<Change>> {
        let of = self.asking.checker;
        let checker = Checker::new(file, &file.requests, of.species, of.at);
        let laid = self.laid(file, &checker, unit_at, more)?;
        let mended =
            checker.put(0, &laid, (self.excerpt.asking, unit_at), |case| rule.mend(case.here, Some(case)))?;
        let changes: Vec<Change> = mended.into_iter().map(|change| self.own(change)).collect();
        (!changes.is_empty()).then_some(changes)
    }
}

/// One more unit like another, empty and on water of its own: its position, and the change. Where
/// requests state figures for the row by its name, the row itself grows.
pub(crate) fn one_more(file: &RequestFile, unit_at: usize) -> Option<(usize, Change)> {
    let unit = file.view.units.get(unit_at)?;
    let named =
        |request: &Request| stated_cap(request, unit).is_some() || stated_size(request, unit).is_some();
    if file.requests.iter().any(named) {
        let path = format!("/units/{unit_at}/units");
        return Some((unit_at, Change::Add { path, value: json!(unit.units + 1) }));
    }
    let taken = |name: &str| {
        let mut units = file.view.units.iter();
        units.any(|other| other.centre_id == unit.centre_id && other.unit_id == name)
    };
    let names = (1..).map(|number| format!("{} +{number}", unit.unit_id));
    let more = Unit {
        unit_id: names.into_iter().find(|name| !taken(name))?,
        units: 1,
        water_circuit: None,
        occupants: Vec::new(),
        expected: Vec::new(),
        reserved: Vec::new(),
        quarantine: None,
        free_units: None,
        ..unit.clone()
    };
    let change = Change::Add { path: "/units/-".to_owned(), value: serde_json::to_value(more).ok()? };
    Some((file.view.units.len(), change))
}
