//! Any order, any re-sending: the same records give the same region.

use crate::basin::{Basin, NightFile, Posting};
use haulout_tests::Hub;
use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const PERIODS: &[&str] = &["2026-07", "2026-08", "2026-09", "2026-Q3", "2026-07-15..2026-08-14"];

/// All hubs know everything by the same day, so that deadlines are judged at the same one.
const NOW: &str = "2026-12-01T09:00:00+05:30";

fn posted(basin: &Basin, post: impl FnOnce(&Posting)) -> Vec<(String, String, String)> {
    let posting = Posting::new(Hub::on_sqlite(&basin.region), &basin.region, NOW);
    post(&posting);
    posting.figures(PERIODS)
}

fn split(file: &NightFile, luck: &mut ChaCha8Rng) -> Vec<NightFile> {
    let cut = luck.random_range(0..=file.lines.len());
    let (head, tail) = file.lines.split_at(cut);
    [head, tail]
        .into_iter()
        .filter(|lines| !lines.is_empty())
        .map(|lines| NightFile { party: file.party.clone(), lines: lines.to_vec() })
        .collect()
}

#[test]
fn twelve_centres_and_ninety_nights_in_any_order() {
    let seed: u64 = std::env::var("HAULOUT_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or(11);
    println!("seed {seed}");
    let mut luck = ChaCha8Rng::seed_from_u64(seed);
    let basin = Basin::generate(12, 90, seed, true);
    let files = basin.files();
    let in_order = posted(&basin, |posting| files.iter().for_each(|file| posting.post(file)));

    let mut shuffled: Vec<NightFile> = files.iter().flat_map(|file| split(file, &mut luck)).collect();
    shuffled.shuffle(&mut luck);
    for file in &mut shuffled {
        file.lines.shuffle(&mut luck);
    }
    let split_and_shuffled = posted(&basin, |posting| shuffled.iter().for_each(|file| posting.post(file)));
    assert_eq!(in_order, split_and_shuffled, "split at random lines and shuffled");

    let corrections_first = posted(&basin, |posting| {
        for file in files.iter().rev() {
            posting.post(file);
            posting.post(file);
        }
    });
    assert_eq!(in_order, corrections_first, "backwards, each file twice");

    let several = posted(&basin, |posting| {
        std::thread::scope(|scope| {
            for part in 0..4 {
                let files = &files;
                scope.spawn(move || files.iter().skip(part).step_by(4).for_each(|file| posting.post(file)));
            }
        });
    });
    assert_eq!(in_order, several, "from four connections");
}
