//! One script for two databases: words in braces stand for what each of them calls it.

use sea_orm_migration::sea_orm::DbBackend;

/// What the words in braces stand for.
///
/// `{text}` compares by code point on both: SQLite does so by itself, PostgreSQL under `COLLATE "C"`.
/// `{row}` is the number a table is kept by; `{keyed}` makes SQLite keep the table by its key.
const WORDS: [(&str, &str, &str); 4] = [
    ("{text}", "TEXT", "TEXT COLLATE \"C\""),
    ("{bytes}", "BLOB", "BYTEA"),
    ("{row}", "INTEGER PRIMARY KEY", "BIGINT PRIMARY KEY"),
    ("{keyed}", "WITHOUT ROWID", ""),
];

/// The statements of a script, in order, in the database's own words. A statement ends with `;` at
/// the end of its line; what follows `--` on a line is a remark.
pub(crate) fn statements(script: &str, backend: DbBackend) -> Vec<String> {
    let mut text: String = script
        .lines()
        .map(|line| line.split_once("--").map_or(line, |(before, _)| before).trim_end())
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>()
        .join("\n");
    for (word, sqlite, postgres) in WORDS {
        text = text.replace(word, if backend == DbBackend::Postgres { postgres } else { sqlite });
    }
    text.split(";\n")
        .map(|one| one.trim().trim_end_matches(';').trim_end().to_owned())
        .filter(|one| !one.is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_database_gets_its_own_words() {
        let script = "-- a remark\nCREATE TABLE a (id {row}, b {bytes}); -- why\nCREATE TABLE c (d {text} PRIMARY KEY) {keyed};\n";
        assert_eq!(
            statements(script, DbBackend::Sqlite),
            [
                "CREATE TABLE a (id INTEGER PRIMARY KEY, b BLOB)",
                "CREATE TABLE c (d TEXT PRIMARY KEY) WITHOUT ROWID"
            ]
        );
        assert_eq!(
            statements(script, DbBackend::Postgres),
            [
                "CREATE TABLE a (id BIGINT PRIMARY KEY, b BYTEA)",
                "CREATE TABLE c (d TEXT COLLATE \"C\" PRIMARY KEY)"
            ]
        );
    }
}
