//! What a night costs a region that has many behind it, and what its statement is made of.
//!
//! `night DATABASE BASIN`: seals the nights of a folder that `haulout generate` wrote, all but the last
//! as one, and prints one line of JSON: seconds of sealing the last night, of judging its findings,
//! of judging and of projecting everything anew, and of each part of a quarter's statement. The
//! calendar is a demonstration's; it stands at the evening of the night told last.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]

use chrono::{Datelike, NaiveDate};
use haulout_checking::{CheckedLine, Checker, Settings};
use haulout_reckoning::Period;
use haulout_schemas::Kind;
use haulout_store::clock::close_of_day;
use haulout_store::ledger::SumFilter;
use haulout_store::{
    AsOf, By, Clock, EffectiveFilter, FindingFilter, Role, Scope, Store, StoreOptions, ToSeal,
};
use serde_json::json;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// As in the hub.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[tokio::main]
async fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [database, basin] = arguments.as_slice() else { panic!("usage: night DATABASE BASIN") };
    let basin = Path::new(basin);
    let nights = nights(basin);
    let (last, files) = nights.last_key_value().unwrap();
    let eve = last.pred_opt().unwrap();
    let clock = Clock::Demo { start: Some(evening(eve)) };
    let store = Store::open(&StoreOptions { clock, ..StoreOptions::new(database) }).await.unwrap();
    let by = By { role: Role::Operator, party_id: None, recorded_by: None };
    store.load_configuration(by, &fs::read_to_string(basin.join("region.json")).unwrap()).await.unwrap();
    let checker = Checker::new(Settings::standard(None)).unwrap();
    let mut before = 0;
    for files in nights.values().take(nights.len() - 1) {
        before += seal(&store, &checker, files).await;
    }
    let judged_before = timed(store.refresh_findings()).await;
    // The evening after: what falls due by the passing of the day alone, then the night's records.
    store.set_demo_clock(evening(*last)).await.unwrap();
    let day_passed = timed(store.refresh_findings()).await;
    let begun = Instant::now();
    let records = seal(&store, &checker, files).await;
    let sealed = begun.elapsed().as_secs_f64();
    let findings = timed(store.refresh_findings()).await;
    let standing = store.findings(&Scope::Authority, &FindingFilter::default()).await.unwrap().findings;
    let as_of = AsOf { known_at: None, through: Some(eve) };
    let begun = Instant::now();
    let anew = store.findings_at(&Scope::Authority, as_of, &FindingFilter::default()).await.unwrap();
    let rescan = begun.elapsed().as_secs_f64();
    let mut parts = BTreeMap::new();
    for quarter in quarters(*last) {
        parts.insert(quarter.clone(), statement(&store, &quarter, *last).await);
    }
    let rebuild = timed(store.rebuild()).await;
    let rebuilt = store.findings(&Scope::Authority, &FindingFilter::default()).await.unwrap().findings;
    println!(
        "{}",
        json!({
            "recordsBefore": before, "records": records, "findings": standing.len(),
            "sameAsRescan": standing == anew, "sameAsRebuild": standing == rebuilt,
            "seconds": {
                "judged before": judged_before, "day passed": day_passed, "sealed": sealed,
                "findings": findings, "rescan": rescan, "rebuild": rebuild,
            },
            "statements": parts,
        })
    );
    store.close().await.unwrap();
}

fn evening(day: NaiveDate) -> i64 {
    close_of_day(day, chrono_tz::Asia::Kolkata)
}

async fn timed<T>(work: impl Future<Output = haulout_store::Result<T>>) -> f64 {
    let begun = Instant::now();
    work.await.unwrap();
    begun.elapsed().as_secs_f64()
}

/// The files of each night.
fn nights(basin: &Path) -> BTreeMap<NaiveDate, Vec<PathBuf>> {
    let folders = fs::read_dir(basin.join("nights")).unwrap().map(|entry| entry.unwrap().path());
    folders
        .map(|folder| {
            let day = folder.file_name().unwrap().to_str().unwrap().parse().unwrap();
            let mut files: Vec<PathBuf> =
                fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
            files.sort();
            (day, files)
        })
        .collect()
}

async fn seal(store: &Store, checker: &Checker, files: &[PathBuf]) -> usize {
    let texts: Vec<Vec<u8>> = files.iter().map(|file| fs::read(file).unwrap()).collect();
    let lines =
        texts.iter().flat_map(|text| text.split(|byte| *byte == b'\n')).filter(|line| !line.is_empty());
    let told: Vec<ToSeal> = lines.map(|line| checked(checker, line)).collect();
    let records = told.len();
    store.seal(told, false).await.unwrap();
    records
}

fn checked(checker: &Checker, line: &[u8]) -> ToSeal {
    match checker.check_line(line, 1) {
        CheckedLine::Accepted(accepted) => {
            let kept = accepted.kept.unwrap();
            ToSeal {
                line: accepted.line,
                record: accepted.record,
                canonical: kept.canonical,
                record_hash: *kept.record_hash.as_bytes(),
                content_hash: *kept.content_hash.as_bytes(),
            }
        }
        CheckedLine::Refused(refused) => panic!("{}: {:#?}", String::from_utf8_lossy(line), refused.problems),
    }
}

/// Seconds that each part of a quarter's statement takes the store.
async fn statement(store: &Store, period: &str, night: NaiveDate) -> BTreeMap<&'static str, f64> {
    let period = Period::parse(period).unwrap();
    let known_at = Some(store.newest_stamp().await.unwrap());
    let through = Some(period.last.min(night.pred_opt().unwrap()));
    let all = &Scope::Authority;
    let as_of = AsOf { known_at, through: Some(period.last) };
    let of =
        |kinds: &[Kind], from| EffectiveFilter { kinds: kinds.to_vec(), from, ..EffectiveFilter::default() };
    let papers = of(&[Kind::Permit, Kind::Licence, Kind::Release], None);
    let deaths = of(
        &[Kind::Mortality, Kind::Rescue, Kind::Tally, Kind::Receipt, Kind::Settlement, Kind::Link],
        Some(period.first),
    );
    let counted = of(&[Kind::Census, Kind::Relocation, Kind::Nest], Some(period.first));
    BTreeMap::from([
        ("sums", timed(store.sums(all, &period, known_at, &SumFilter::default())).await),
        ("trial balance", timed(store.trial_balance(&period, known_at)).await),
        (
            "findings",
            timed(store.findings_at(all, AsOf { known_at, through }, &FindingFilter::default())).await,
        ),
        ("permits and licences", timed(store.effective(all, as_of, &papers)).await),
        ("deaths", timed(store.effective(all, as_of, &deaths)).await),
        ("censuses", timed(store.effective(all, as_of, &counted)).await),
        ("completeness", timed(store.nights(all, &period, known_at)).await),
    ])
}

/// The quarter of a night, and the one before it.
fn quarters(night: NaiveDate) -> [String; 2] {
    let of = |months: i32| format!("{}-Q{}", months.div_euclid(12), months.rem_euclid(12) / 3 + 1);
    let months = 12 * night.year() + i32::try_from(night.month0()).unwrap();
    [of(months), of(months - 3)]
}
