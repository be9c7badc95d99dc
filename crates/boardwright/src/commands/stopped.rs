//! Ctrl C ends a search early, and what was found so far is kept.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use layout::Cancel;

/// What the shell is told when Ctrl C comes a second time: ended by the user, as shells count it.
const ENDED: i32 = 130;

/// Whether somebody has pressed Ctrl C.
pub(super) struct Stopped(Arc<AtomicBool>);

impl Stopped {
    /// Listens from now on. Pressed once, the search hands back its best; pressed again, the program ends at once.
    pub(super) fn by_ctrl_c() -> Self {
        let stopped = Arc::new(AtomicBool::new(false));
        let heard = Arc::clone(&stopped);
        // Without a listener Ctrl C ends the program, as it does everywhere.
        if let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() {
            std::thread::spawn(move || {
                runtime.block_on(async {
                    if tokio::signal::ctrl_c().await.is_ok() {
                        heard.store(true, Ordering::Relaxed);
                        if tokio::signal::ctrl_c().await.is_ok() {
                            std::process::exit(ENDED);
                        }
                    }
                });
            });
        }
        Self(stopped)
    }
}

impl Cancel for Stopped {
    fn is_cancelled(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
