//! `haulout rules`: the catalogue of rules.

use clap::{Args, ValueEnum};

use super::{Failure, Verdict, output};
use crate::catalogue;

/// List the rules, or explain one.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  haulout rules\n  haulout rules census-difference")]
pub struct Rules {
    /// Code of one rule.
    code: Option<String>,
    /// Form of the answer.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Rules {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let rules = match &self.code {
            None => catalogue::rules(),
            Some(code) => match catalogue::find(code) {
                Some(rule) => vec![rule],
                None => {
                    let near = catalogue::nearest(code);
                    let hint = if near.is_empty() {
                        String::new()
                    } else {
                        format!("; did you mean {}?", near.join(" or "))
                    };
                    return Err(Failure::new(format!("there is no rule `{code}`{hint}")));
                }
            },
        };
        match self.format {
            Form::Json => output::print_json(&rules)?,
            Form::Text => {
                let text: Vec<String> = rules.into_iter().map(catalogue::in_words).collect();
                output::print(text.join("\n").as_bytes())?;
            }
        }
        Ok(Verdict::Yes)
    }
}
