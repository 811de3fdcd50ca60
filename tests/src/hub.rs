//! The binary as a user starts it.

use crate::client::Client;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// The binary under test: `$HAULOUT`, or the one built beside this test.
pub fn binary() -> PathBuf {
    if let Some(path) = std::env::var_os("HAULOUT") {
        return path.into();
    }
    let test = std::env::current_exe().unwrap();
    let built = test.parent().and_then(Path::parent).unwrap().join("haulout");
    assert!(built.exists(), "build the binary first: cargo build -p haulout-hub");
    built
}

/// Runs a command of the binary to its end.
pub fn haulout<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Output {
    Command::new(binary()).args(arguments).stdin(Stdio::null()).output().unwrap()
}

/// Runs a command that must succeed, and gives its standard output.
pub fn haulout_ok<S: AsRef<std::ffi::OsStr> + std::fmt::Debug>(arguments: &[S]) -> String {
    let output = haulout(arguments);
    assert!(
        output.status.success(),
        "haulout {arguments:?} ended with {}: {}",
        output.status,
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

/// Databases made by this process: each test has its own.
static DATABASES: AtomicU32 = AtomicU32::new(0);

/// A running hub. It is killed when dropped.
pub struct Hub {
    child: Child,
    address: String,
    database: String,
    _folder: TempDir,
}

impl Hub {
    /// Starts a hub on a fresh SQLite database whose calendar the test sets.
    pub fn on_sqlite(region: &serde_json::Value) -> Self {
        let folder = TempDir::new().unwrap();
        let database = format!("sqlite://{}?mode=rwc", folder.path().join("hub.db").display());
        Self::start(folder, database, region, &["--demo-clock"])
    }

    /// Starts a hub on a fresh database of the PostgreSQL server that `HAULOUT_TEST_POSTGRES` names;
    /// `None` where none is named, which CI does not accept.
    pub fn on_postgres(region: &serde_json::Value) -> Option<Self> {
        let Ok(server) = std::env::var("HAULOUT_TEST_POSTGRES") else {
            assert!(std::env::var_os("CI").is_none(), "HAULOUT_TEST_POSTGRES must name a server");
            println!("not run: HAULOUT_TEST_POSTGRES names no server");
            return None;
        };
        let nth = DATABASES.fetch_add(1, Ordering::Relaxed);
        let name = format!("blackbox_{}_{nth}", std::process::id());
        let made =
            Command::new("psql").args([&server, "-qc", &format!("CREATE DATABASE {name}")]).status().unwrap();
        assert!(made.success());
        let (base, _) = server.rsplit_once('/').unwrap();
        Some(Self::start(TempDir::new().unwrap(), format!("{base}/{name}"), region, &["--demo-clock"]))
    }

    /// Starts another process on the same database.
    pub fn beside(&self, region: &serde_json::Value) -> Self {
        Self::start(TempDir::new().unwrap(), self.database.clone(), region, &["--demo-clock"])
    }

    /// Starts a hub on a database address; `folder` keeps its region file.
    pub fn start(folder: TempDir, database: String, region: &serde_json::Value, flags: &[&str]) -> Self {
        let file = folder.path().join("region.json");
        std::fs::write(&file, region.to_string()).unwrap();
        let (child, address) = spawn(&database, Some(&file), flags);
        Self { child, address, database, _folder: folder }
    }

    /// Kills the process without warning and starts another on the same database.
    pub fn kill_and_restart(&mut self, flags: &[&str]) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        let (child, address) = spawn(&self.database, None, flags);
        self.child = child;
        self.address = address;
    }

    /// The database address, for commands beside the hub.
    pub fn database(&self) -> &str {
        &self.database
    }

    /// `http://127.0.0.1:PORT`.
    pub fn url(&self) -> &str {
        &self.address
    }

    /// The operating system's number of the process.
    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// Somebody without an account.
    pub fn nobody(&self) -> Client {
        Client::new(&self.address, None)
    }

    /// A machine with a token of a role, for a party where the role has one.
    pub fn caller(&self, role: &str, party: Option<&str>) -> Client {
        let mut arguments = vec!["token", "issue", "--role", role, "--database", &self.database];
        if let Some(party) = party {
            arguments.extend(["--party", party]);
        }
        let token = haulout_ok(&arguments).trim().to_owned();
        Client::new(&self.address, Some(token))
    }

    /// The token of whoever may post for a party of the region.
    pub fn party(&self, region: &serde_json::Value, party: &str) -> Client {
        let role = region["parties"]
            .as_array()
            .and_then(|parties| parties.iter().find(|entry| entry["partyID"] == party))
            .and_then(|entry| entry["role"].as_str())
            .unwrap_or_else(|| panic!("{party} is not in the region"));
        let role = match role {
            "coordination" => "coordinator",
            "agency" => "centre",
            other => other,
        };
        self.caller(role, Some(party))
    }

    /// Sets the calendar of a database created with `--demo-clock`.
    pub fn set_clock(&self, operator: &Client, now: &str) {
        let answer = operator.post_json("/v1/demo/clock", &serde_json::json!({ "now": now }));
        assert_eq!(answer.status, 200, "{}", answer.text());
    }

    /// Asks the process to stop and waits for its end.
    pub fn stop(mut self) -> bool {
        let stopped = Command::new("kill").arg(self.child.id().to_string()).status().unwrap().success();
        stopped && self.child.wait().unwrap().success()
    }
}

impl Drop for Hub {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[allow(
    clippy::zombie_processes,
    reason = "a child that does not start fails the test; one that does is waited for when dropped"
)]
fn spawn(database: &str, region: Option<&Path>, flags: &[&str]) -> (Child, String) {
    let mut command = Command::new(binary());
    command.args(["serve", "--listen", "127.0.0.1:0", "--database", database]).args(flags);
    if let Some(region) = region {
        command.arg("--region").arg(region);
    }
    let mut child =
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap());
    let mut error = child.stderr.take().unwrap();
    let mut line = String::new();
    loop {
        line.clear();
        if lines.read_line(&mut line).unwrap() == 0 {
            let mut why = String::new();
            let _ = error.read_to_string(&mut why);
            panic!("the hub did not start: {why}");
        }
        if let Some(address) = line.trim().strip_prefix("listening on ") {
            let address = address.to_owned();
            // Both streams are read on, or a full pipe would stop the hub.
            std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
            std::thread::spawn(move || std::io::copy(&mut error, &mut std::io::sink()));
            return (child, address);
        }
    }
}
