//! In which sequence places are offered.

use serde_json::{Value, json};

use crate::basin::{answer, plain, with};

fn centre(id: &str, minutes: u32, heads: u32, water: f64) -> [Value; 3] {
    let plain = plain();
    let mut centre = plain["centres"][0].clone();
    centre["centreID"] = json!(id);
    centre["heads"] = json!(heads);
    let mut unit = plain["units"][0].clone();
    unit["centreID"] = json!(id);
    unit["waterSquareMetre"] = json!(water);
    [centre, unit, json!({ "from": "meruva.yard", "to": id, "minutes": minutes })]
}

#[test]
fn minutes_then_load_then_the_smallest_unit_then_the_identifier() {
    let mut centres = Vec::new();
    let mut units = Vec::new();
    let mut travel = Vec::new();
    for [centre, unit, line] in [
        centre("meruva.saivera", 60, 4, 60.0),
        centre("meruva.desharu", 90, 10, 60.0),
        centre("meruva.ombari", 60, 4, 40.0),
        centre("meruva.kolvani", 60, 4, 40.0),
        centre("meruva.velitha", 60, 3, 30.0),
    ] {
        centres.push(centre);
        units.push(unit);
        travel.push(line);
    }
    let file = with(
        plain(),
        &[("/centres", json!(centres)), ("/units", json!(units)), ("/roads/travel", json!(travel))],
    );
    let answer = answer(&file);
    let sequence: Vec<_> = answer
        .options
        .iter()
        .map(|one| (one.centre_id.as_str(), one.minutes, one.load_after_per_mille))
        .collect();
    assert_eq!(
        sequence,
        [
            ("meruva.kolvani", 60, Some(250)),
            ("meruva.ombari", 60, Some(250)),
            ("meruva.saivera", 60, Some(250)),
            ("meruva.velitha", 60, Some(334)),
            ("meruva.desharu", 90, Some(100)),
        ]
    );
}

#[test]
fn a_centre_offers_its_smallest_sufficient_unit() {
    let mut small = plain()["units"][0].clone();
    small["unitID"] = json!("K9");
    small["waterSquareMetre"] = json!(20.0);
    let mut too_small = small.clone();
    too_small["unitID"] = json!("K8");
    too_small["waterSquareMetre"] = json!(19.0);
    let file = with(plain(), &[("/units/-", small), ("/units/-", too_small)]);
    assert_eq!(answer(&file).options[0].unit_id, "K9");
}

/// The road from a position, by the geodesic: 267 529.3568 m x 1.31 at 40 km/h is 525.7 minutes.
#[test]
fn a_position_is_reckoned_by_the_geodesic() {
    let file = with(
        plain(),
        &[
            ("/centres/0/latitude", json!(27.9)),
            ("/centres/0/longitude", json!(81.2)),
            ("/requests/0/from", json!({ "latitude": 26.5, "longitude": 79.0 })),
            ("/roads/roadFactor", json!(1.31)),
            ("/roads/speedKmh", json!(40)),
        ],
    );
    let answer = answer(&file);
    assert_eq!((answer.options[0].minutes, answer.options[0].kilometres), (526, Some(350.5)));
}
