//! The numbered steps that make a hub's database, the same on SQLite and PostgreSQL.
//!
//! Every step may be run again on a database that has it already, and a step that was cut short can
//! be repeated: whoever opens a database runs them in one transaction under the hub's lock.
//!
//! This crate must not know what the tables are used for: it knows neither records nor postings,
//! and no crate of the project but this one may change a table's shape.

mod dialect;
mod steps;

pub use sea_orm_migration::MigratorTrait;
use sea_orm_migration::prelude::*;

/// All steps, oldest first. A step that has been released is never edited; a later one follows it.
#[derive(Debug)]
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(steps::Step { name: "0001_journal", script: include_str!("steps/0001_journal.sql") }),
            Box::new(steps::Step { name: "0002_ledger", script: include_str!("steps/0002_ledger.sql") }),
            Box::new(steps::Step { name: "0003_findings", script: include_str!("steps/0003_findings.sql") }),
            Box::new(steps::Step {
                name: "0004_reservations",
                script: include_str!("steps/0004_reservations.sql"),
            }),
            Box::new(steps::Step { name: "0005_people", script: include_str!("steps/0005_people.sql") }),
            Box::new(steps::Step {
                name: "0006_submissions",
                script: include_str!("steps/0006_submissions.sql"),
            }),
            Box::new(steps::Step { name: "0007_balances", script: include_str!("steps/0007_balances.sql") }),
            Box::new(steps::Step {
                name: "0008_milestones",
                script: include_str!("steps/0008_milestones.sql"),
            }),
        ]
    }
}
