//! A PostgreSQL server for the length of a test run.

use crate::databases::Databases;
use sea_orm::ConnectionTrait;
use std::future::Future;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::process::{Command, Output};
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// A server of one's own, or one that the environment names.
pub struct Cluster {
    /// Address of a database in which others can be made.
    base: String,
    made: AtomicU32,
    own: Option<Own>,
}

struct Own {
    folder: TempDir,
    programs: PathBuf,
}

impl Cluster {
    /// `HAULOUT_TEST_POSTGRES` names a server; else one is started where its programs are installed.
    pub fn start() -> Option<Self> {
        if let Ok(base) = std::env::var("HAULOUT_TEST_POSTGRES") {
            return Some(Self { base, made: AtomicU32::new(0), own: None });
        }
        let own = Own { folder: tempfile::tempdir().ok()?, programs: programs()? };
        let root = own.folder.path().to_owned();
        if is_root() {
            // The server refuses to run as root, and its folder must be its own.
            run(Command::new("chown").arg("postgres").arg(&root));
            std::process::Command::new("chmod").arg("755").arg(&root).status().ok()?;
        }
        let data = root.join("data");
        run(own.program("initdb").arg("-D").arg(&data).args([
            "-U",
            "postgres",
            "-A",
            "trust",
            "--no-sync",
            "--no-instructions",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
        ]));
        let port = TcpListener::bind("127.0.0.1:0").ok()?.local_addr().ok()?.port();
        let settings = format!(
            "-c listen_addresses=127.0.0.1 -c port={port} -c unix_socket_directories={} -c fsync=off -c full_page_writes=off",
            root.display()
        );
        run(own
            .program("pg_ctl")
            .arg("-D")
            .arg(&data)
            .args(["-w", "-l"])
            .arg(root.join("log"))
            .args(["-o", &settings, "start"]));
        Some(Self {
            base: format!("postgres://postgres@127.0.0.1:{port}/postgres"),
            made: AtomicU32::new(0),
            own: Some(own),
        })
    }
}

impl Own {
    fn program(&self, name: &str) -> Command {
        let path = self.programs.join(name);
        if is_root() {
            let mut command = Command::new("runuser");
            command.args(["-u", "postgres", "--"]).arg(path);
            command
        } else {
            Command::new(path)
        }
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        if let Some(own) = &self.own {
            let data = own.folder.path().join("data");
            let _ =
                own.program("pg_ctl").arg("-D").arg(data).args(["-m", "immediate", "-w", "stop"]).output();
        }
    }
}

impl Databases for Cluster {
    fn fresh<'a>(&'a self) -> Pin<Box<dyn Future<Output = String> + Send + 'a>> {
        Box::pin(async move {
            let name =
                format!("haulout_{}_{}", std::process::id(), self.made.fetch_add(1, Ordering::Relaxed));
            let db = sea_orm::Database::connect(&self.base).await.unwrap();
            db.execute_unprepared(&format!("CREATE DATABASE {name}")).await.unwrap();
            db.close().await.unwrap();
            let (server, _) = self.base.rsplit_once('/').unwrap();
            format!("{server}/{name}")
        })
    }
}

fn programs() -> Option<PathBuf> {
    let mut versions: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .ok()?
        .filter_map(|entry| Some(entry.ok()?.path().join("bin")))
        .collect();
    versions.sort();
    versions
        .into_iter()
        .rev()
        .find(|folder| folder.join("initdb").exists() && Path::new(&folder.join("pg_ctl")).exists())
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout == b"0\n")
}

fn run(command: &mut Command) {
    // No pipes: a server that is started would keep them open.
    let Output { status, .. } = command
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .output()
        .unwrap();
    assert!(status.success(), "{command:?}: {status}");
}
