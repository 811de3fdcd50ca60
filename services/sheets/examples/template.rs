//! Writes the template of a kind into a file, for looking at: `template rescue rescue.xlsx`.

use std::error::Error;
use std::{env, fs};

use haulout_sheets::{SheetForm, template};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [kind, file] = arguments.as_slice() else {
        return Err("usage: template KIND FILE".into());
    };
    let kind = kind.parse().map_err(|()| "there is no such kind")?;
    let form = SheetForm::of_name(file).ok_or("the file should end with .csv or .xlsx")?;
    fs::write(file, template(kind, form)?)?;
    Ok(())
}
