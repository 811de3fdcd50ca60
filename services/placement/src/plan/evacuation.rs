//! A centre that is emptied: whoever stands there asks for a place elsewhere.

use crate::request::{Evacuation, Origin, Request, RequestFile};
use crate::view::Occupant;

/// How the requests of a centre that is emptied begin; the centre, the unit and the position in its
/// list follow.
pub(crate) const PREFIX: &str = "evacuate/";

impl RequestFile {
    /// The requests that a plan answers: those of the file, and whoever stands in a centre that is
    /// to be emptied, under the identifiers that the plan uses.
    #[must_use]
    pub fn with_evacuees(&self) -> Vec<Request> {
        requests(self)
    }
}

/// The file's requests, then one for each animal or lot of a centre that is emptied. Those on the way
/// there are not there yet: they are requests only where the file says so.
pub(crate) fn requests(file: &RequestFile) -> Vec<Request> {
    let mut requests = file.requests.clone();
    for emptied in &file.evacuate {
        let centre = &emptied.centre_id;
        let units = file.view.units.iter().filter(|unit| unit.centre_id == *centre);
        for unit in units {
            for (at, one) in unit.occupants.iter().enumerate() {
                requests.push(request(emptied, one, &format!("{}/{at}", unit.unit_id)));
            }
        }
        let there = file.view.centres.iter().find(|one| one.centre_id == *centre);
        for (at, one) in there.iter().flat_map(|centre| centre.unhoused.iter().enumerate()) {
            requests.push(request(emptied, one, &format!("unhoused/{at}")));
        }
    }
    requests
}

fn request(emptied: &Evacuation, one: &Occupant, where_it_stands: &str) -> Request {
    Request {
        request_id: format!("{PREFIX}{}/{where_it_stands}", emptied.centre_id),
        organism_id: one.organism_id.clone(),
        lot_id: one.lot_id.clone(),
        batch_id: one.batch_id.clone(),
        individual_count: one.individual_count,
        scientific_name: one.scientific_name.clone(),
        length: one.length.clone(),
        sex: one.sex,
        life_stage: one.life_stage,
        triage: emptied.triage,
        stay: emptied.stay,
        from: Origin { place_id: Some(emptied.centre_id.clone()), latitude: None, longitude: None },
        fit_to_travel: emptied.fit_to_travel.clone(),
        custody: None,
        release_programme: false,
        earliest_departure: None,
        may_redate_batch_ids: Vec::new(),
        minutes: std::collections::BTreeMap::new(),
        waivers: Vec::new(),
        stay_until: None,
        basin: None,
        team: None,
        stops: Vec::new(),
        indivisible: false,
        crew: 0,
        trip_minutes: std::collections::BTreeMap::new(),
        caps: Vec::new(),
        sizes: Vec::new(),
    }
}
