//! Many rows of one table in few statements.

use crate::database::run_with;
use crate::error::Result;
use sea_orm::{ConnectionTrait, DbBackend, Value};
use std::fmt::Write;

/// Rows in one statement, largest first. Only these sizes are used, so that a connection's prepared
/// statements are few and stay prepared.
const SIZES: [usize; 5] = [256, 64, 16, 4, 1];

/// Rows to be inserted, one after the other.
pub(crate) struct Rows {
    head: &'static str,
    columns: usize,
    tail: &'static str,
    values: Vec<Value>,
}

impl Rows {
    /// `head` is `INSERT INTO table (columns)`, `tail` what follows the values, such as `ON CONFLICT`.
    pub fn new(head: &'static str, tail: &'static str) -> Self {
        let columns = head.bytes().filter(|byte| *byte == b',').count() + 1;
        Self { head, columns, tail, values: Vec::new() }
    }

    /// Adds a row; its values stand in the order of the columns.
    pub fn push<const N: usize>(&mut self, row: [Value; N]) {
        debug_assert_eq!(N, self.columns, "{}", self.head);
        self.values.extend(row);
    }

    /// Inserts them all.
    pub async fn write(self, on: &impl ConnectionTrait) -> Result<()> {
        let mut left = self.values.len() / self.columns;
        let mut values = self.values.into_iter();
        for size in SIZES {
            if left < size {
                continue;
            }
            let sql = statement(on.get_database_backend(), self.head, self.columns, size, self.tail);
            while left >= size {
                run_with(on, sql.clone(), values.by_ref().take(size * self.columns).collect()).await?;
                left -= size;
            }
        }
        Ok(())
    }
}

/// SQLite keeps the names of `$1`, `$2`, … in a list that it walks for each: thousands of them cost
/// more than the rows. There the values have no names.
fn statement(backend: DbBackend, head: &str, columns: usize, rows: usize, tail: &str) -> String {
    let mut sql = String::with_capacity(head.len() + tail.len() + rows * columns * 7 + 10);
    sql.push_str(head);
    sql.push_str(" VALUES ");
    for row in 0..rows {
        sql.push_str(if row == 0 { "(" } else { ",(" });
        for column in 1..=columns {
            sql.push_str(if column == 1 { "" } else { "," });
            if backend == DbBackend::Sqlite {
                sql.push('?');
            } else {
                let _ = write!(sql, "${}", row * columns + column);
            }
        }
        sql.push(')');
    }
    sql.push(' ');
    sql.push_str(tail);
    sql
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_statement_counts_its_values_through() {
        let of = |backend| statement(backend, "INSERT INTO a (b, c)", 2, 2, "ON CONFLICT DO NOTHING");
        assert_eq!(
            of(DbBackend::Postgres),
            "INSERT INTO a (b, c) VALUES ($1,$2),($3,$4) ON CONFLICT DO NOTHING"
        );
        assert_eq!(of(DbBackend::Sqlite), "INSERT INTO a (b, c) VALUES (?,?),(?,?) ON CONFLICT DO NOTHING");
    }
}
