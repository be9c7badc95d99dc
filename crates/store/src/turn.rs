//! Taking turns at writing.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::Duration;

use crate::{RECORDS, StoreError};

/// How long to wait for another program's write. A write takes milliseconds; a program that takes this long hangs, and
/// whoever waits should hear it.
pub(crate) const PATIENCE: Duration = Duration::from_millis(2500);
const PAUSE: Duration = Duration::from_millis(10);

/// The turn to write in a shop folder: held until the returned file is dropped. Who does not get it in time is told, and
/// nothing is done later.
pub(crate) fn take(folder: &Path, patience: Duration) -> Result<File, StoreError> {
    let path = folder.join(RECORDS).join("lock");
    if let Ok(found) = path.metadata()
        && !found.is_file()
    {
        let why = "the lock of the shop is no plain file; take it away";
        return Err(StoreError::file(&path, std::io::Error::new(std::io::ErrorKind::InvalidInput, why)));
    }
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(|error| StoreError::file(&path, error))?;
    let mut left = patience;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::Error(error)) => return Err(StoreError::file(&path, error)),
            Err(TryLockError::WouldBlock) if left.is_zero() => {
                return Err(StoreError::Busy { path, seconds: patience.as_secs_f64() });
            }
            Err(TryLockError::WouldBlock) => pause(PAUSE.min(left)),
        }
        left = left.saturating_sub(PAUSE);
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "a lock of another program has no event to wait for with a limit"
)]
fn pause(time: Duration) {
    std::thread::sleep(time);
}
