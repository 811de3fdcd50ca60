//! A statement's JSON, as `haulout statement --format json` prints it, in every format that is made
//! from it: `documents STATEMENT.json FOLDER`. For looking at, and for the reference test.

use haulout_documents::{Document, csvw, html, xlsx};
use haulout_reckoning::statement::{Statement, csv};
use std::error::Error;
use std::fs;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [from, to] = arguments.as_slice() else {
        return Err("usage: documents STATEMENT.json FOLDER".into());
    };
    let statement: Statement = serde_json::from_slice(&fs::read(from)?)?;
    let document = Document::of(&statement)?;
    let name = document.file_name();
    let write = |ending: &str, bytes: &[u8]| {
        let path = Path::new(to).join(format!("{name}{ending}"));
        println!("{} {} bytes", path.display(), bytes.len());
        fs::write(path, bytes)
    };
    fs::create_dir_all(to)?;
    write(".html", html(&document).as_bytes())?;
    write(".xlsx", &xlsx(&document)?)?;
    write(".csv", csv(&statement).as_bytes())?;
    write(".csv-metadata.json", &csvw::csvw(&statement, &format!("{name}.csv"))?)?;
    write(".pdf", &haulout_documents::pdf(&document)?)?;
    Ok(())
}
