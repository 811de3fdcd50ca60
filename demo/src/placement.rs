//! `placement.json`: the basin as it stands after the last night, and one animal that looks for a
//! place in it: a mugger in a pond, three metres and more by torch.
//!
//! The file is a request file as `haulout plan` reads it: centres, units with their occupants,
//! points, roads, one request. The shape is written here by structs of this crate's own.

use haulout_schemas::envelope::Length;
use haulout_schemas::records::authority::LicenceStatus;
use haulout_schemas::records::standing::{Arrangement, CrewSkill, UnitKind, VetLevel};
use haulout_schemas::vocabulary::{Known, LengthMeasure, LengthMethod, LifeStage, Sex, Stay, Triage};
use serde::Serialize;

use crate::basin::{PlaceIx, ROAD_FACTOR, SPEED_KMH};
use crate::species;
use crate::stock::Group;
use crate::world::World;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RequestFile {
    centres: Vec<Centre>,
    units: Vec<Unit>,
    points: Vec<Point>,
    roads: Roads,
    requests: Vec<Request>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Centre {
    #[serde(rename = "centreID")]
    centre_id: String,
    name: String,
    latitude: f64,
    longitude: f64,
    licences: Vec<LicenceLine>,
    crews: Vec<Crew>,
    vet_level: VetLevel,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct LicenceLine {
    licence_number: String,
    scope: Vec<String>,
    status: LicenceStatus,
}

#[derive(Serialize)]
struct Crew {
    skill: CrewSkill,
    people: u16,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Unit {
    #[serde(rename = "unitID")]
    unit_id: String,
    #[serde(rename = "centreID")]
    centre_id: String,
    unit_kind: UnitKind,
    arrangement: Arrangement,
    land_square_metre: f64,
    water_square_metre: f64,
    depth_metre: f64,
    heads_limit: u32,
    suits: Vec<String>,
    occupants: Vec<Occupant>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Occupant {
    #[serde(rename = "organismID", skip_serializing_if = "Option::is_none")]
    organism_id: Option<String>,
    #[serde(rename = "lotID", skip_serializing_if = "Option::is_none")]
    lot_id: Option<String>,
    scientific_name: &'static str,
    individual_count: u32,
    length: Length,
    #[serde(skip_serializing_if = "Option::is_none")]
    sex: Option<Sex>,
    life_stage: LifeStage,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Point {
    #[serde(rename = "pointID")]
    point_id: String,
    latitude: f64,
    longitude: f64,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Roads {
    travel: Vec<TravelLine>,
    road_factor: f64,
    speed_kmh: f64,
}

#[derive(Serialize)]
struct TravelLine {
    from: String,
    to: String,
    minutes: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Request {
    #[serde(rename = "requestID")]
    request_id: String,
    individual_count: u32,
    scientific_name: &'static str,
    length: Length,
    triage: Triage,
    stay: Stay,
    from: Origin,
    fit_to_travel: FitToTravel,
}

#[derive(Serialize)]
struct Origin {
    latitude: f64,
    longitude: f64,
}

#[derive(Serialize)]
struct FitToTravel {
    fit: Known,
}

/// The file's bytes.
pub(crate) fn file(world: &World) -> Result<Vec<u8>, serde_json::Error> {
    let centres = 0..world.basin.centres;
    serde_json::to_vec_pretty(&RequestFile {
        centres: centres.clone().map(|place| centre(world, place)).collect(),
        units: centres.clone().flat_map(|place| units(world, place)).collect(),
        points: world
            .basin
            .places
            .iter()
            .filter(|place| place.point)
            .map(|place| Point { point_id: place.id.clone(), latitude: place.at.0, longitude: place.at.1 })
            .collect(),
        roads: roads(world),
        requests: vec![mugger(world)],
    })
}

fn centre(world: &World, place: PlaceIx) -> Centre {
    let of = &world.basin.places[place];
    let mut crews = vec![Crew { skill: CrewSkill::Chelonian, people: 2 }];
    if of.licensed.contains(&"Crocodylidae") {
        crews.push(Crew { skill: CrewSkill::LargeCrocodilian, people: 4 });
    }
    Centre {
        centre_id: of.id.clone(),
        name: of.name.clone(),
        latitude: of.at.0,
        longitude: of.at.1,
        licences: vec![LicenceLine {
            licence_number: world.licences[place].0.clone(),
            scope: of.licensed.iter().map(|name| (*name).to_owned()).collect(),
            status: LicenceStatus::InForce,
        }],
        crews,
        // Every centre of the basin has first aid at least.
        vet_level: VetLevel::FirstAid,
    }
}

fn units(world: &World, place: PlaceIx) -> Vec<Unit> {
    let mut occupants: Vec<Vec<Occupant>> = world.units[place].iter().map(|_| Vec::new()).collect();
    for group in world.stock.standing(place) {
        let animal = &world.stock.groups[group];
        if let Some(unit) = animal.unit {
            occupants[unit].push(occupant(animal));
        }
    }
    let numbered = world.units[place].iter().zip(occupants).enumerate();
    numbered
        .map(|(index, (unit, occupants))| {
            let stated = world.capacity_of(place, index);
            Unit {
                unit_id: unit.id.clone(),
                centre_id: world.basin.places[place].id.clone(),
                unit_kind: unit.kind,
                arrangement: if unit.quarantine { Arrangement::Isolating } else { Arrangement::Communal },
                land_square_metre: stated.land_square_metre.unwrap_or_default(),
                water_square_metre: stated.water_square_metre.unwrap_or_default(),
                depth_metre: stated.depth_metre.unwrap_or_default(),
                heads_limit: unit.heads_limit,
                suits: stated.suits.iter().map(ToString::to_string).collect(),
                occupants,
            }
        })
        .collect()
}

fn occupant(animal: &Group) -> Occupant {
    Occupant {
        organism_id: animal.single.then(|| animal.id.clone()),
        lot_id: (!animal.single).then(|| animal.id.clone()),
        scientific_name: animal.kind().name,
        individual_count: animal.count,
        length: animal.kind().taped(animal.length_m),
        sex: animal.sex,
        life_stage: animal.stage,
    }
}

/// Minutes between the places of each reach; beyond it the factor and the mean speed must do.
fn roads(world: &World) -> Roads {
    let places = &world.basin.places;
    let mut travel = Vec::new();
    for from in 0..places.len() {
        for to in from + 1..places.len() {
            if places[from].reach == places[to].reach {
                let minutes = world.basin.minutes(from, to);
                travel.push(TravelLine { from: places[from].id.clone(), to: places[to].id.clone(), minutes });
            }
        }
    }
    Roads { travel, road_factor: ROAD_FACTOR, speed_kmh: SPEED_KMH }
}

/// Seen by torch; its crew will call it fit to travel.
fn mugger(world: &World) -> Request {
    let at = world.basin.places[0].at;
    Request {
        request_id: "R-1".to_owned(),
        individual_count: 1,
        scientific_name: species::ALL[species::named("Crocodylus palustris").unwrap_or_default()].name,
        length: Length {
            value: 3.25,
            measure: LengthMeasure::TotalLength,
            method: LengthMethod::ByEye,
            low: Some(3.0),
            high: Some(3.5),
        },
        triage: Triage::Yellow,
        stay: Stay::Quarantine,
        from: Origin { latitude: at.0 + 0.02, longitude: at.1 + 0.02 },
        fit_to_travel: FitToTravel { fit: Known::Yes },
    }
}
