//! A ledger of any size, written and asked through the store alone, for measuring.
//!
//! `ledger DATABASE FIRST_DAY` takes one order a line and answers each with one line of JSON:
//!
//! - `grow POSTINGS`: seals the days that follow until the ledger holds so many postings (two rows each);
//! - `ask PERIOD now|INSTANT ROUNDS`: the account of a period, and what the rounds took in seconds;
//! - `trial PERIOD`: what all accounts together came to; zero each.
//!
//! The calendar is a demonstration's, so that each day's records become known on their evening.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod days;

use chrono::NaiveDate;
use days::Basin;
use haulout_reckoning::statement::{Basis, Beside, Completeness, Parts, Question, Statement, statement};
use haulout_reckoning::{Micros, Period};
use haulout_schemas::names::Names;
use haulout_store::clock::{close_of_day, instant_of, instant_text};
use haulout_store::ledger::SumFilter;
use haulout_store::{By, Clock, Role, Scope, Store, StoreOptions, ToSeal};
use serde_json::{Value, json};
use std::io::BufRead;
use std::sync::Arc;
use std::time::Instant;

/// As in the hub.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[tokio::main]
async fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [database, first] = arguments.as_slice() else { panic!("usage: ledger DATABASE FIRST_DAY") };
    let mut basin = Basin::new(first.parse().unwrap());
    let clock = Clock::Demo { start: Some(evening(basin.day().pred_opt().unwrap())) };
    let store = Store::open(&StoreOptions { clock, ..StoreOptions::new(database) }).await.unwrap();
    let by = By { role: Role::Operator, party_id: None, recorded_by: None };
    store.load_configuration(by, &Basin::region()).await.unwrap();
    let mut postings = 0;
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let answer = match words.as_slice() {
            ["grow", until] => grow(&store, &mut basin, &mut postings, until.parse().unwrap()).await,
            ["ask", period, instant, rounds] => {
                ask(&store, period, instant_of(instant), rounds.parse().unwrap()).await
            }
            ["trial", period] => {
                json!(store.trial_balance(&Period::parse(period).unwrap(), None).await.unwrap())
            }
            _ => panic!("no such order: {line}"),
        };
        println!("{answer}");
    }
    store.close().await.unwrap();
}

fn evening(day: NaiveDate) -> Micros {
    close_of_day(day, chrono_tz::Asia::Kolkata)
}

async fn grow(store: &Store, basin: &mut Basin, postings: &mut usize, until: usize) -> Value {
    let begun = Instant::now();
    let mut records = 0;
    while *postings < until {
        let day = basin.day();
        let told = basin.next();
        records += told.len();
        *postings += told.iter().map(posted).sum::<usize>();
        store.set_demo_clock(evening(day)).await.unwrap();
        store.seal(told, false).await.unwrap();
    }
    json!({
        "postings": postings, "records": records, "through": basin.day().pred_opt().unwrap().to_string(),
        "newest": instant_text(store.newest_stamp().await.unwrap()), "seconds": begun.elapsed().as_secs_f64(),
    })
}

/// What a record posts; one that replaces another also takes back what that posted.
fn posted(line: &ToSeal) -> usize {
    let own = haulout_reckoning::postings(&line.record, Names::standard()).len();
    if line.record.envelope.revision > 1 { 2 * own } else { own }
}

async fn ask(store: &Store, period: &str, known_at: Option<Micros>, rounds: usize) -> Value {
    let period = Period::parse(period).unwrap();
    let (mut summed, mut made, mut kept) = (Vec::new(), Vec::new(), None);
    for _ in 0..rounds {
        let begun = Instant::now();
        let sums = store.sums(&Scope::Authority, &period, known_at, &SumFilter::default()).await.unwrap();
        summed.push(begun.elapsed().as_secs_f64());
        let count = sums.len();
        let account = account(&period, sums);
        made.push(begun.elapsed().as_secs_f64() - summed.last().unwrap());
        kept = Some((count, account));
    }
    let (sums, statement) = kept.unwrap();
    json!({ "sumsSeconds": summed, "rowsSeconds": made, "sums": sums, "account": statement.account })
}

/// The statement of the sums alone: nothing was counted, found or signed.
fn account(period: &Period, sums: Vec<haulout_reckoning::statement::Sum>) -> Statement {
    let question = Question { period: period.to_string(), centre_id: None, scientific_name: None };
    let basis = Basis {
        as_known_at: String::new(),
        chain_heads: Default::default(),
        posting_rules: haulout_reckoning::POSTING_RULES.into(),
        rule_set: String::new(),
        release: String::new(),
        demonstration: true,
    };
    let beside = Beside {
        period: period.clone(),
        papers: Vec::new(),
        deaths: None,
        in_hand: None,
        trial: None,
        region: None,
        names: Arc::new(Names::standard().clone()),
        sign_offs: Vec::new(),
        acceptances: Vec::new(),
    };
    statement(Parts {
        question,
        sums,
        censuses: Vec::new(),
        evaluated_through: period.last,
        findings: Vec::new(),
        relocations: Vec::new(),
        nests: Vec::new(),
        beside,
        completeness: Completeness { parties: Vec::new(), notices: Vec::new() },
        basis,
    })
    .unwrap()
}
