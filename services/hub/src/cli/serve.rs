//! `haulout serve`: the hub.

use actix_web::web::Data;
use clap::Args;
use haulout_store::Clock;
use std::io::{IsTerminal, Write};
use std::net::TcpListener;
use std::path::PathBuf;
use std::sync::atomic::Ordering;
use std::time::Duration;
use tracing_subscriber::EnvFilter;

use super::database::{Database, block_on, by_operator, read_text};
use super::{Failure, Verdict};
use crate::hub::Hub;
use crate::{server, submissions};

/// How long background work may take to come to a stop.
const LAST_WORK: Duration = Duration::from_secs(10);

/// Serve a hub.
///
/// Prints `listening on http://ADDRESS` once it takes requests. SIGTERM or Ctrl-C: what was begun
/// is finished, then it stops. Logs go to standard error, one JSON object a line; HAULOUT_LOG
/// chooses how much, for example `debug`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  haulout serve --listen 127.0.0.1:8080 --database 'sqlite://haulout.db?mode=rwc' --region region.json"
)]
pub struct Serve {
    /// Address and port; port 0 takes a free one.
    #[arg(long, value_name = "ADDR", env = "HAULOUT_LISTEN", default_value = "127.0.0.1:8080")]
    listen: String,
    #[command(flatten)]
    database: Database,
    /// A region file to bring into force first.
    #[arg(long, value_name = "FILE", env = "HAULOUT_REGION")]
    region: Option<PathBuf>,
    /// A demonstration: the calendar stands where `POST /v1/demo/clock` last set it. Only for a
    /// database made with it.
    #[arg(long, env = "HAULOUT_DEMO_CLOCK")]
    demo_clock: bool,
}

impl Serve {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        log();
        no_slips(std::env::vars().map(|(name, _)| name))?;
        block_on(async {
            let clock = if self.demo_clock { Clock::Demo { start: Some(0) } } else { Clock::Real };
            let store = self.database.open(clock).await?;
            if let Some(path) = &self.region {
                store.load_configuration(by_operator(), &read_text(path)?).await?;
            }
            if store.configuration().await?.region.is_none() {
                tracing::warn!(
                    "no region file is in force: `haulout region load FILE` brings one into force"
                );
            }
            let listener = TcpListener::bind(&self.listen)
                .map_err(|error| Failure::new(format!("cannot listen on {}", self.listen)).because(error))?;
            serve(Hub::new(store).map_err(|error| Failure::new(error.to_string()))?, listener, |address| {
                let mut out = std::io::stdout().lock();
                writeln!(out, "listening on http://{address}").and_then(|()| out.flush())
            })
            .await?;
            Ok(Verdict::Yes)
        })
    }
}

/// Serves until a signal to stop; `ready` is told the address once requests are taken.
///
/// # Errors
/// When the socket fails.
pub async fn serve(
    hub: Hub,
    listener: TcpListener,
    ready: impl FnOnce(std::net::SocketAddr) -> std::io::Result<()>,
) -> Result<(), Failure> {
    let failed = |error: std::io::Error| Failure::new("cannot serve").because(error);
    let hub = Data::new(hub);
    let jobs = submissions::work_in_background(&hub);
    let (server, address) = server::start(hub.clone(), listener).map_err(failed)?;
    let handle = server.handle();
    let stopping = tokio::spawn(async move {
        wait_for_signal().await;
        tracing::info!("stopping: requests that were begun are finished");
        handle.stop(true).await;
    });
    ready(address).map_err(failed)?;
    tracing::info!(%address, database = hub.store.database_name(), "serving");
    server.await.map_err(failed)?;
    stopping.abort();
    hub.stopping.store(true, Ordering::Relaxed);
    hub.waiting.notify_one();
    if tokio::time::timeout(LAST_WORK, jobs).await.is_err() {
        tracing::warn!("background work is left where it stands; it goes on after the next start");
    }
    hub.store.close().await?;
    tracing::info!("stopped");
    Ok(())
}

async fn wait_for_signal() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = terminate.recv() => {}
                _ = tokio::signal::ctrl_c() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}

/// One JSON object a line on standard error; words for people on a terminal.
fn log() {
    let filter = EnvFilter::try_from_env("HAULOUT_LOG")
        .unwrap_or_else(|_| EnvFilter::new("info,sqlx=warn,sea_orm_migration=warn"));
    let logging = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    // A second start in one process keeps the first one's log.
    let _ = if std::io::stderr().is_terminal() {
        logging.with_target(false).try_init()
    } else {
        logging.json().flatten_event(true).with_current_span(false).with_span_list(false).try_init()
    };
}

/// Settings that come from the environment.
const SETTINGS: [&str; 5] =
    ["HAULOUT_LISTEN", "HAULOUT_DATABASE", "HAULOUT_REGION", "HAULOUT_DEMO_CLOCK", "HAULOUT_LOG"];

/// A misspelt setting would be passed over in silence, and the hub would serve another database.
fn no_slips(names: impl Iterator<Item = String>) -> Result<(), Failure> {
    for name in names.filter(|name| name.starts_with("HAULOUT_") && !SETTINGS.contains(&name.as_str())) {
        if let Some(meant) =
            SETTINGS.into_iter().find(|setting| strsim::damerau_levenshtein(&name, setting) <= 2)
        {
            return Err(Failure::new(format!("`{name}` is no setting; did you mean {meant}?")));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::no_slips;

    #[test]
    fn a_misspelt_setting_stops_the_start() {
        let of = |name: &str| no_slips([name.to_owned()].into_iter());
        assert!(of("HAULOUT_DATABSE").is_err());
        assert!(of("HAULOUT_DATABASE").is_ok());
        assert!(of("HAULOUT_BENCH_DATA").is_ok());
        assert!(of("PATH").is_ok());
    }
}
