//! The hub of the demonstration, as a process of its own on a fresh database.

use super::line::Line;
use crate::cli::Failure;
use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// A running hub; it is stopped when dropped.
pub(super) struct HubProcess {
    child: Child,
    address: String,
    database: String,
    _folder: Option<TempDir>,
}

impl HubProcess {
    /// Starts a hub whose calendar is set by hand.
    pub(super) fn start(listen: &str, keep: Option<&Path>, region: &Value) -> Result<Self, Failure> {
        let temporary = match keep {
            Some(_) => None,
            None => Some(TempDir::new().map_err(|e| Failure::new(format!("no temporary folder: {e}")))?),
        };
        let folder = match (keep, &temporary) {
            (Some(kept), _) => kept,
            (None, Some(made)) => made.path(),
            (None, None) => return Err(Failure::new("no folder for the database")),
        };
        std::fs::create_dir_all(folder).map_err(|e| Failure::new(format!("{}: {e}", folder.display())))?;
        let file = folder.join("haulout.db");
        if file.exists() {
            return Err(Failure::new(format!("{} exists; the story needs a fresh folder", file.display())));
        }
        let region_file = folder.join("region.json");
        std::fs::write(&region_file, format!("{region:#}\n"))
            .map_err(|e| Failure::new(format!("{}: {e}", region_file.display())))?;
        let database = format!("sqlite://{}?mode=rwc", file.display());
        let mut child = binary()?
            .args(["serve", "--demo-clock", "--listen", listen, "--database", &database, "--region"])
            .arg(&region_file)
            .env("HAULOUT_LOG", "warn")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|e| Failure::new(format!("the hub did not start: {e}")))?;
        let address = match child.stdout.take().map(BufReader::new) {
            Some(mut lines) => {
                let address = first_address(&mut lines);
                // Read on, or a full pipe would stop the hub.
                std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
                address
            }
            None => None,
        };
        let Some(address) = address else {
            let _ = child.kill();
            let _ = child.wait();
            return Err(Failure::new("the hub stopped before it listened; its reason stands above"));
        };
        Ok(Self { child, address, database, _folder: temporary })
    }

    /// `http://…`.
    pub(super) fn address(&self) -> &str {
        &self.address
    }

    /// A caller with a token of its own.
    pub(super) fn line(&self, role: &str, party: Option<&str>) -> Result<Line, Failure> {
        let mut command = binary()?;
        command.args(["token", "issue", "--role", role, "--database", &self.database]);
        if let Some(party) = party {
            command.args(["--party", party]);
        }
        let output = command.output().map_err(|e| Failure::new(format!("no token: {e}")))?;
        if !output.status.success() {
            return Err(Failure::new(String::from_utf8_lossy(&output.stderr).trim().to_owned()));
        }
        let token = String::from_utf8_lossy(&output.stdout).trim().to_owned();
        Ok(Line::new(&self.address, token))
    }

    /// Waits until somebody stops the hub.
    pub(super) fn wait(&mut self) -> Result<(), Failure> {
        self.child.wait().map(|_| ()).map_err(|e| Failure::new(format!("the hub was lost: {e}")))
    }
}

impl Drop for HubProcess {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn binary() -> Result<Command, Failure> {
    std::env::current_exe().map(Command::new).map_err(|e| Failure::new(format!("own binary not found: {e}")))
}

fn first_address(lines: &mut impl BufRead) -> Option<String> {
    lines
        .lines()
        .map_while(Result::ok)
        .find_map(|line| Some(line.trim().strip_prefix("listening on ")?.to_owned()))
}
