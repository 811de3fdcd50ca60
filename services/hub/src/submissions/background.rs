//! Submissions that nobody waits for: kept in the store in pieces, worked on by whichever hub is
//! free, taken over where a process died.

use actix_web::{HttpResponse, web};
use haulout_checking::Limits;
use haulout_store::Store;
use haulout_store::submissions::Submission;
use std::io::{self, Read};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;
use tokio::runtime::Handle;
use tokio::time::Instant;

use super::chunks::Work;
use super::intake::{self, Intake};
use super::kept::{self, Keeper};
use super::{LEASE, answer, blocking, measure, work_of};
use crate::checks;
use crate::hub::Hub;
use crate::web::{Problem, limits};

/// Bytes of one piece of a kept body.
const PIECE: usize = 1 << 20;
/// How long to wait before looking for work again.
const LOOK_AGAIN: Duration = Duration::from_secs(2);
/// How long a key is remembered: two weeks, as callers repeat nightly.
const KEYS: Duration = Duration::from_secs(14 * 24 * 3600);

/// Keeps the body and answers at once.
///
/// # Errors
/// A problem where the store fails; nothing is worked on then.
pub async fn take_in(hub: &Hub, mut intake: Intake) -> Result<HttpResponse, Problem> {
    let submission = hub.store.begin_submission(&intake.new_submission()).await?;
    let id = submission.submission_id.clone();
    let (store, handle, received) = (hub.store.clone(), Handle::current(), intake.received);
    let of = id.clone();
    let kept = blocking(move || {
        let mut pieces = Pieces { store, id: of, handle, ordinal: 0, piece: Vec::with_capacity(PIECE) };
        measure::measure(&mut intake.spool, received, |bytes| pieces.add(bytes))?;
        pieces.flush().map_err(crate::web::body::storage)
    });
    if let Err(problem) = kept.await.and_then(|kept| kept) {
        hub.store.fail_submission(&id, "the body could not be kept").await?;
        return Err(problem);
    }
    hub.store.submission_waits(&id).await?;
    if let Some(key) = &intake.key {
        let answer = haulout_store::idempotency::Answer {
            status: 202,
            media_type: "text/plain".into(),
            body: id.clone().into_bytes(),
        };
        hub.store.answer_claim(&intake.who.id, key, &answer).await?;
    }
    hub.waiting.notify_one();
    let submission = hub.store.submission(&intake.who.scope(), &id).await?;
    Ok(answer::taken_in(&submission, intake.preferences))
}

struct Pieces {
    store: Store,
    id: String,
    handle: Handle,
    ordinal: i64,
    piece: Vec<u8>,
}

impl Pieces {
    fn add(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.piece.extend_from_slice(bytes);
        if self.piece.len() >= PIECE { self.flush() } else { Ok(()) }
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.piece.is_empty() {
            return Ok(());
        }
        let piece = std::mem::replace(&mut self.piece, Vec::with_capacity(PIECE));
        self.handle
            .block_on(self.store.add_submission_part(&self.id, self.ordinal, piece))
            .map_err(io::Error::other)?;
        self.ordinal += 1;
        Ok(())
    }
}

/// A kept body, read piece by piece from a thread that may wait.
struct KeptBody {
    store: Store,
    id: String,
    handle: Handle,
    ordinal: i64,
    piece: io::Cursor<Vec<u8>>,
}

impl Read for KeptBody {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            let read = self.piece.read(buffer)?;
            if read > 0 || buffer.is_empty() {
                return Ok(read);
            }
            match self
                .handle
                .block_on(self.store.submission_part(&self.id, self.ordinal))
                .map_err(io::Error::other)?
            {
                None => return Ok(0),
                Some(piece) => {
                    self.ordinal += 1;
                    self.piece = io::Cursor::new(piece);
                }
            }
        }
    }
}

/// Works on what waits until the task is aborted.
pub async fn work(hub: web::Data<Hub>) {
    let mut forgot = Instant::now();
    loop {
        match hub.store.take_submission(LEASE).await {
            Ok(Some((submission, done))) => one(&hub, submission, done).await,
            Ok(None) => {
                let _ = tokio::time::timeout(LOOK_AGAIN, hub.waiting.notified()).await;
            }
            Err(error) => {
                tracing::warn!(%error, inner = error.inner(), "cannot look for submissions");
                tokio::time::sleep(LOOK_AGAIN).await;
            }
        }
        if forgot.elapsed() > Duration::from_secs(3600) {
            forgot = Instant::now();
            if let Err(error) = hub.store.forget_claims(KEYS).await {
                tracing::warn!(%error, "old keys could not be forgotten");
            }
        }
        if hub.stopping.load(Ordering::Relaxed) {
            return;
        }
    }
}

async fn one(hub: &Hub, submission: Submission, done: i64) {
    let id = submission.submission_id.clone();
    match worked(hub, submission, done).await {
        Ok(()) => tracing::info!(submission = id, "done in the background"),
        Err(problem) => {
            // It stays taken until its lease ends, and is then worked on again from where it stopped.
            tracing::warn!(submission = id, %problem, "left for later");
            if hub.stopping.load(Ordering::Relaxed)
                && let Err(error) = hub.store.submission_waits(&id).await
            {
                tracing::warn!(submission = id, %error, "could not be given back");
            }
        }
    }
}

async fn worked(hub: &Hub, submission: Submission, done: i64) -> Result<(), Problem> {
    let Some(writer) = submission.by.party.clone() else {
        hub.store.fail_submission(&submission.submission_id, "it names no party to write for").await?;
        return Ok(());
    };
    let id = submission.submission_id.clone();
    let work: Work = work_of(hub, writer, submission.by.strict).await?;
    let body = KeptBody {
        store: hub.store.clone(),
        id: id.clone(),
        handle: Handle::current(),
        ordinal: 0,
        piece: io::Cursor::default(),
    };
    let before = kept::counts_so_far(&hub.store, &id).await?;
    let layout = intake::layout_of(&submission.by.media_type);
    let mut keeper = Keeper {
        store: hub.store.clone(),
        submission,
        begun: true,
        claim: None,
        lines: None,
        ordinal: done,
        to_keep: Vec::new(),
        leased: true,
        stopping: Arc::clone(&hub.stopping),
        renewed: Instant::now(),
    };
    let options = checks::options(
        layout,
        Limits { total_bytes: Some(limits::RECORDS_DECOMPRESSED), ..Limits::default() },
    );
    let mut summary = work.run(body, options, done, &mut keeper).await?;
    super::count(hub, &summary);
    summary.counts.include(&before);
    super::complete_receipt(hub, &work, &mut summary).await?;
    keeper.finish(&summary).await
}
