//! Faults of what only a plan reads: pins, forbids, centres to be emptied, explicit figures.

use std::collections::HashSet;

use super::Found;
use super::requests::{look_at_minutes, unknown};
use crate::plan::evacuation::PREFIX as EVACUEE;
use crate::request::{Bound, Request, RequestFile};
use crate::view::RegionView;

pub(super) fn look_at(file: &RequestFile, found: &mut Found) {
    if file.requests.is_empty() && file.evacuate.is_empty() {
        found.add(
            "/requests",
            "nothing asks for a place",
            "name at least one request, or a centre to be emptied",
        );
    }
    for (at, request) in file.requests.iter().enumerate() {
        let base = format!("/requests/{at}");
        look_at_minutes(&request.trip_minutes, &file.view, &format!("{base}/tripMinutes"), found);
        named_units(request, &file.view, &base, found);
    }
    for (list, bounds) in [("pins", &file.pins), ("forbids", &file.forbids)] {
        for (at, one) in bounds.iter().enumerate() {
            bound(file, &format!("/{list}/{at}"), one, found);
        }
    }
    for (at, emptied) in file.evacuate.iter().enumerate() {
        if !is_centre(&file.view, &emptied.centre_id) {
            unknown(found, format!("/evacuate/{at}/centreID"), &emptied.centre_id);
        }
    }
    found.twice(file.evacuate.iter().map(|one| one.centre_id.as_str()), |at| {
        format!("/evacuate/{at}/centreID")
    });
}

fn named_units(request: &Request, view: &RegionView, base: &str, found: &mut Found) {
    let caps = request.caps.iter().map(|cap| (&cap.centre_id, &cap.unit_id));
    let sizes = request.sizes.iter().map(|size| (&size.centre_id, &size.unit_id));
    for (list, named) in [("caps", caps.collect::<Vec<_>>()), ("sizes", sizes.collect())] {
        let mut seen = HashSet::new();
        for (at, (centre, unit)) in named.into_iter().enumerate() {
            let pointer = format!("{base}/{list}/{at}");
            if !is_unit(view, centre, unit) {
                no_unit(found, pointer, centre, unit);
            } else if !seen.insert((centre, unit)) {
                found.add(pointer, format!("{unit} of {centre} is named twice"), "keep one of them");
            }
        }
    }
}

fn bound(file: &RequestFile, base: &str, bound: &Bound, found: &mut Found) {
    let of_file = file.requests.iter().any(|one| one.request_id == bound.request_id);
    if !of_file && !bound.request_id.starts_with(EVACUEE) {
        found.add(
            format!("{base}/requestID"),
            format!("{} is no request of the file", bound.request_id),
            "add the request, or correct its identifier",
        );
    }
    if !is_centre(&file.view, &bound.centre_id) {
        unknown(found, format!("{base}/centreID"), &bound.centre_id);
    } else if let Some(unit) = &bound.unit_id
        && !is_unit(&file.view, &bound.centre_id, unit)
    {
        no_unit(found, format!("{base}/unitID"), &bound.centre_id, unit);
    }
}

fn is_centre(view: &RegionView, id: &str) -> bool {
    view.centres.iter().any(|centre| centre.centre_id == id)
}

fn is_unit(view: &RegionView, centre: &str, id: &str) -> bool {
    view.units.iter().any(|unit| unit.centre_id == centre && unit.unit_id == id)
}

fn no_unit(found: &mut Found, pointer: String, centre: &str, unit: &str) {
    found.add(
        pointer,
        format!("{centre} has no unit {unit} in the file"),
        "add the unit, or correct its identifier",
    );
}
