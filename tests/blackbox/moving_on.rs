//! The region as it stands is moved on by what is posted, and is then what a hub reads that has just
//! started.

use crate::basin::{Basin, Posting};
use haulout_tests::{Client, Hub};
use rand::seq::{IndexedRandom, SliceRandom};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

const CENTRES: u32 = 8;
const NIGHTS: u32 = 24;

#[test]
fn nights_questions_and_kept_places_move_the_region_on() {
    let seed: u64 = std::env::var("HAULOUT_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or(7);
    println!("seed {seed}");
    let mut luck = ChaCha8Rng::seed_from_u64(seed);
    let basin = Basin::generate(CENTRES, NIGHTS, seed, true);
    let questions = questions(&basin);
    let mut posting = Posting::new(Hub::on_sqlite(&basin.region), &basin.region, "2026-07-24T22:00:00+05:30");
    let coordination = basin.party("coordination");
    let mut files = basin.files();
    // Nights come late, and corrections before what they correct.
    files.chunks_mut(20).for_each(|some| some.shuffle(&mut luck));
    let (mut compared, mut kept, mut last) = (0, 0, Value::Null);
    for (at, file) in files.iter().enumerate() {
        let caller =
            |party: &str| Client::new(posting.hub.url(), posting.party(party).token().map(str::to_owned));
        let answer = caller(&file.party).submit_text(&(file.lines.join("\n") + "\n"));
        assert_eq!(answer.status, 200, "{}: {}", file.party, answer.text());
        let question = questions.choose(&mut luck).unwrap();
        let options = caller(&coordination).post_json("/v1/placements/options", question).json();
        if luck.random_bool(0.1)
            && let Some(best) = options["options"].get(0)
        {
            let place =
                json!({ "request": question, "centreID": best["centreID"], "unitID": best["unitID"] });
            let answer = caller(&coordination).post_json("/v1/reservations", &json!({ "places": [place] }));
            assert_eq!(answer.status, 201, "{}", answer.text());
            kept += 1;
        }
        if luck.random_bool(0.05) || at + 1 == files.len() {
            let moved_on = told(&caller(&coordination), &questions);
            posting.hub.kill_and_restart(&["--demo-clock"]);
            let token = posting.party(&coordination).token().map(str::to_owned);
            let read_anew = told(&Client::new(posting.hub.url(), token), &questions);
            assert_eq!(moved_on, read_anew, "seed {seed}, file {at}");
            assert_ne!(moved_on, last);
            last = moved_on;
            compared += 1;
        }
    }
    assert!(compared > 5 && kept > 5, "{compared} compared, {kept} kept");
}

fn questions(basin: &Basin) -> Vec<Value> {
    let crocodile = basin.question();
    let mut turtle = crocodile.clone();
    turtle["scientificName"] = json!("Lissemys punctata");
    turtle["length"] = json!({ "value": 0.2, "measure": "straightCarapaceLength", "method": "taped" });
    turtle["fitToTravel"] = json!({ "fit": "yes" });
    vec![crocodile, turtle]
}

/// Centres, units and options as the coordination sees them.
fn told(coordination: &Client, questions: &[Value]) -> Value {
    let centres = coordination.get("/v1/centres").json();
    let ids = centres["centres"].as_array().unwrap().iter().filter_map(|one| one["centreID"].as_str());
    let units: Vec<Value> =
        ids.map(|id| coordination.get(&format!("/v1/centres/{id}/units")).json()).collect();
    assert_eq!(units.len(), CENTRES as usize, "{centres}");
    let options = questions.iter().map(|question| {
        let mut answer = coordination.post_json("/v1/placements/options", question).json();
        answer.as_object_mut().unwrap().remove("at").unwrap();
        answer
    });
    let options: Vec<Value> = options.collect();
    json!({ "centres": centres, "units": units, "options": options })
}
