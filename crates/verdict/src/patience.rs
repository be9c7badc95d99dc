//! Judging that can be left alone: who stops it does not wait until all leads are laid.

use std::sync::{Arc, mpsc};
use std::thread;
use std::time::Duration;

use document::Job;
use finding::{Edit, Finding};
use layout::Cancel;

use crate::judge::{Refused, Verdict, judge};

/// How often whoever waits is asked whether it is stopped.
const ASKED: Duration = Duration::from_millis(10);

/// A job and what is said of it today, to be judged beside whoever waits.
pub(crate) struct Patience {
    known: Arc<(Job, Vec<Finding>)>,
}

impl Patience {
    pub(crate) fn new(job: &Job, today: &[Finding]) -> Self {
        Self { known: Arc::new((job.clone(), today.to_vec())) }
    }

    /// The verdicts on edits, found beside one another, in their order; `None` when it is stopped meanwhile: what runs then
    /// runs out by itself and nobody hears of it.
    pub(crate) fn judged(
        &self,
        edits: Vec<Edit>,
        cancel: &dyn Cancel,
    ) -> Option<Vec<Result<Verdict, Refused>>> {
        let mut waiting = Vec::new();
        for edit in edits {
            let (sender, receiver) = mpsc::channel();
            let known = Arc::clone(&self.known);
            thread::spawn(move || {
                // Whoever stopped it hears no more.
                let _ = sender.send(judge(&known.0, &known.1, &edit));
            });
            waiting.push(receiver);
        }
        let mut out = Vec::new();
        for receiver in waiting {
            loop {
                match receiver.recv_timeout(ASKED) {
                    Ok(verdict) => {
                        out.push(verdict);
                        break;
                    }
                    Err(mpsc::RecvTimeoutError::Timeout) if !cancel.is_cancelled() => {}
                    Err(_) => return None,
                }
            }
        }
        Some(out)
    }
}
