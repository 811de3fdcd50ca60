//! The committed files of the open schema are those that the record types make.
//!
//! `HAULOUT_WRITE_SCHEMA=1 cargo test -p haulout-schemas --test published` writes them anew.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use haulout_schemas::published;
use std::path::Path;

#[test]
fn committed_files_are_made_from_the_types() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("published/1.0");
    if std::env::var_os("HAULOUT_WRITE_SCHEMA").is_some() {
        for (name, text) in published::files() {
            std::fs::write(folder.join(name), text).unwrap();
        }
    }
    let mut committed: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    committed.sort();
    let made = published::files();
    assert_eq!(committed, made.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>());
    for (name, text) in made {
        let on_disk = std::fs::read_to_string(folder.join(&name)).unwrap();
        assert!(on_disk == text, "{name} differs from the record types: write the files anew");
    }
}
