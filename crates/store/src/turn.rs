//! Taking turns at writing.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::Duration;

use crate::StoreError;
use crate::records::RECORDS;

/// How long to wait for another program's write. A write takes milliseconds; a program that takes this long hangs, and
/// whoever waits should hear it.
pub(crate) const PATIENCE: Duration = Duration::from_millis(2500);

/// The turn to write in a shop folder: held until the returned file is dropped. Who does not get it in time is told, and
/// nothing is done later.
pub(crate) fn take(folder: &Path, patience: Duration) -> Result<File, StoreError> {
    let path = folder.join(RECORDS).join("lock");
    if let Ok(found) = path.metadata()
        && !found.is_file()
    {
        let why = format!(
            "the lock of the shop is not a plain file; `boardwright shop repair {}` puts it right",
            folder.display()
        );
        return Err(StoreError::file(&path, std::io::Error::new(std::io::ErrorKind::InvalidInput, why)));
    }
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(|error| StoreError::file(&path, error))?;
    match file.try_lock() {
        Ok(()) => return Ok(file),
        Err(TryLockError::Error(error)) => return Err(StoreError::file(&path, error)),
        Err(TryLockError::WouldBlock) => {}
    }
    // Somebody waits for the lock itself. Where it comes too late nobody takes it, and the file is let go at once.
    let (give, get) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let locked = file.lock().map(|()| file);
        give.send(locked).ok();
    });
    match get.recv_timeout(patience) {
        Ok(Ok(file)) => Ok(file),
        Ok(Err(error)) => Err(StoreError::file(&path, error)),
        Err(_) => Err(StoreError::Busy { path, seconds: patience.as_secs_f64() }),
    }
}
