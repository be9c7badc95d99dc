//! Connections: how many, how long one may take to ask, and who makes room when there are too many.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::response::Response;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::task::AbortHandle;

/// How many connections may be open at once: twenty benches and phones with the six that a browser takes for each.
const MOST: usize = 160;

/// How long a visitor may take to ask, and how long a connection may wait for its next request.
const TIME_TO_ASK: Duration = Duration::from_secs(15);

/// The most bytes a request may have before its body.
const LARGEST_HEAD: usize = 64 * 1024;

/// Waits when the system has no more connections to give.
const PAUSE: Duration = Duration::from_millis(50);

/// What is known of a connection.
#[derive(Debug, Default)]
struct Guest {
    /// Requests that are being served.
    asked: AtomicUsize,
    /// Whether anything it asked was granted.
    is_known: AtomicBool,
}

/// The connections that are open, in the order in which they came.
#[derive(Debug, Default)]
struct Room {
    next: u64,
    open: BTreeMap<u64, (Arc<Guest>, AbortHandle)>,
}

impl Room {
    /// Who goes when there is no more room: the oldest that was never granted anything, else the oldest that waits.
    /// Nobody goes whose request is being served.
    fn leaver(&self) -> Option<u64> {
        let waits = |guest: &Guest| guest.asked.load(Ordering::Relaxed) == 0;
        let is_known = |guest: &Guest| guest.is_known.load(Ordering::Relaxed);
        let mut waiting = self.open.iter().filter(|(_, (guest, _))| waits(guest));
        let strange = waiting.clone().find(|(_, (guest, _))| !is_known(guest));
        strange.or_else(|| waiting.next()).map(|(id, _)| *id)
    }

    /// Makes room for one more; says whether there is any.
    fn make_way(&mut self, most: usize) -> bool {
        if self.open.len() < most {
            return true;
        }
        let Some((_, task)) = self.leaver().and_then(|id| self.open.remove(&id)) else { return false };
        task.abort();
        true
    }
}

fn lock(room: &Mutex<Room>) -> MutexGuard<'_, Room> {
    // The map is whole after every statement.
    room.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Serves until told to stop; then every connection ends.
pub(crate) async fn serve(
    router: Router,
    listener: TcpListener,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let room = Arc::new(Mutex::new(Room::default()));
    let mut stop = std::pin::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        match accepted {
            Ok((stream, _)) => admit(&room, &router, stream),
            // The visitor is gone already, or the system has no more to give: neither ends the server.
            Err(_) => tokio::time::sleep(PAUSE).await,
        }
    }
    for (_, task) in std::mem::take(&mut lock(&room).open).into_values() {
        task.abort();
    }
    Ok(())
}

fn admit(room: &Arc<Mutex<Room>>, router: &Router, stream: TcpStream) {
    let mut open = lock(room);
    if !open.make_way(MOST) {
        return;
    }
    let id = open.next;
    open.next += 1;
    let guest = Arc::new(Guest::default());
    let served = connection(router.clone(), stream, Arc::clone(&guest));
    let leaves = Arc::clone(room);
    // The lock is held until the connection is listed, so that it cannot leave before.
    let task = tokio::spawn(async move {
        served.await;
        lock(&leaves).open.remove(&id);
    });
    open.open.insert(id, (guest, task.abort_handle()));
}

async fn connection(router: Router, stream: TcpStream, guest: Arc<Guest>) {
    // Answers are small and wanted at once.
    let _ = stream.set_nodelay(true);
    let inner = TowerToHyperService::new(router);
    let service = service_fn(move |request: hyper::Request<Incoming>| {
        let (inner, guest) = (inner.clone(), Arc::clone(&guest));
        async move {
            guest.asked.fetch_add(1, Ordering::Relaxed);
            let answer: Result<Response, Infallible> = inner.call(request).await;
            guest.asked.fetch_sub(1, Ordering::Relaxed);
            if let Ok(answer) = &answer
                && !answer.status().is_client_error()
            {
                guest.is_known.store(true, Ordering::Relaxed);
            }
            answer
        }
    });
    let served = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(TIME_TO_ASK)
        .max_buf_size(LARGEST_HEAD)
        .serve_connection(TokioIo::new(stream), service);
    // A visitor that goes away in mid-sentence is no error of ours.
    let _ = served.await;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(guests: &[(usize, bool)]) -> Room {
        let runtime = tokio::runtime::Builder::new_current_thread().build().expect("runtime");
        let mut room = Room::default();
        for (asked, is_known) in guests {
            let guest = Guest { asked: AtomicUsize::new(*asked), is_known: AtomicBool::new(*is_known) };
            let task = runtime.spawn(std::future::pending::<()>());
            room.open.insert(room.next, (Arc::new(guest), task.abort_handle()));
            room.next += 1;
        }
        room
    }

    #[test]
    fn strangers_make_way_before_those_who_are_known_and_nobody_in_mid_request() {
        let mut all = room(&[(1, false), (0, true), (0, false), (0, true), (0, false)]);
        let mut gone = Vec::new();
        while let Some(id) = all.leaver() {
            assert!(all.make_way(all.open.len()));
            gone.push(id);
        }
        assert_eq!(gone, [2, 4, 1, 3]);
        assert!(!all.make_way(1), "the one that is being served stays");
        assert!(all.make_way(2), "there is room without anybody leaving");
    }
}
