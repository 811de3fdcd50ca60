//! `haulout template`: a sheet to fill.

use clap::{Args, ValueEnum};
use haulout_sheets::{Kind, SheetForm, nearest_kind, template};
use std::fs;
use std::io::{self, IsTerminal};
use std::path::PathBuf;

use super::{Failure, Verdict, output};

/// Write a sheet to fill for records of one kind.
///
/// The columns are the fields of the kind, those that are required first. The workbook has
/// drop-downs, and a sheet that explains every column. Check the filled sheet with `haulout check`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  haulout template rescue --out rescue.xlsx\n  haulout template census --format csv > census.csv"
)]
pub struct Template {
    /// Kind of record, such as rescue.
    #[arg(value_name = "KIND")]
    kind: String,
    /// Form of the sheet; that of the file's name, or csv, unless given.
    #[arg(long, value_enum)]
    format: Option<Form>,
    /// File to write, which must not be there yet; standard output unless given.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Csv,
    Xlsx,
}

impl Template {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let kind: Kind = self.kind.parse().map_err(|()| unknown(&self.kind))?;
        let form = self.form()?;
        let bytes = template(kind, form)
            .map_err(|error| Failure::new("the template cannot be made").because(error))?;
        match &self.out {
            Some(path) => {
                // A sheet that somebody has filled is not written over.
                let mut file = fs::File::create_new(path).map_err(|error| {
                    Failure::new(format!("cannot make {}", path.display())).because(error)
                })?;
                io::Write::write_all(&mut file, &bytes).map_err(|error| {
                    Failure::new(format!("cannot write {}", path.display())).because(error)
                })?;
            }
            None if form == SheetForm::Xlsx && io::stdout().is_terminal() => {
                return Err(Failure::new(format!(
                    "a workbook is not for a terminal; add --out {kind}.xlsx, or send it on with >"
                )));
            }
            None => output::print(&bytes)?,
        }
        Ok(Verdict::Yes)
    }
}

impl Template {
    /// A file is of the form that its name says: office programs go by it.
    fn form(&self) -> Result<SheetForm, Failure> {
        let named = self.out.as_ref().and_then(|path| SheetForm::of_name(&path.to_string_lossy()));
        let given = self.format.map(|form| match form {
            Form::Csv => SheetForm::Csv,
            Form::Xlsx => SheetForm::Xlsx,
        });
        match (given, named) {
            (Some(given), Some(named)) if given != named => Err(Failure::new(
                "--format and the name of --out say different forms; leave --format out, or change the name",
            )),
            (given, named) => Ok(given.or(named).unwrap_or(SheetForm::Csv)),
        }
    }
}

fn unknown(given: &str) -> Failure {
    let given: String = given.chars().take(40).flat_map(char::escape_debug).collect();
    let hint = match nearest_kind(&given) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let all: Vec<&str> = Kind::ALL.iter().map(|kind| kind.as_str()).collect();
            format!("the kinds are {}", all.join(", "))
        }
    };
    Failure::new(format!("there is no record kind `{given}`; {hint}"))
}
