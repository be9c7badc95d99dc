//! Replacing a text that another program may be saving at the same moment: nothing that was saved is lost.

use std::io::{Error, ErrorKind, Result};
use std::path::Path;

use super::file::{Disk, Landed, beside, flushed, holds, target};
use super::plain::read_plain;

/// What became of a text that was to replace another.
#[derive(Debug)]
#[must_use]
pub enum Replaced {
    /// It stands in the file instead of the one it was made from.
    Landed(Landed),
    /// Another program saved meanwhile; what it saved last stands in the file.
    Overtaken {
        /// What other programs saved and what is not in the file any more, in the order of saving. Empty but for saves
        /// within one instant.
        taken: Vec<String>,
    },
}

/// How often what was taken is brought back, before it is only handed to the caller.
const ROUNDS: usize = 8;

/// Replaces `before` by `after`, and only `before`: the file is compared right before the exchange, and what the
/// exchange took out is compared too, so that no save between the two goes unseen. Where the system cannot exchange two
/// files in one step, the first comparison alone protects.
///
/// The file that was replaced, with its old text, is moved to `aside` where one is named and on the same disk: another
/// program that opened it before may write into it still.
///
/// # Errors
///
/// The file holds what it held, or what another program saved. Where a save by another program could not be brought back
/// it stays in the temporary file beside it.
pub fn replace_on(
    disk: &dyn Disk,
    path: &Path,
    before: &str,
    after: &str,
    aside: Option<&Path>,
) -> Result<Replaced> {
    let path = &target(path)?;
    let spare = &beside(path);
    let forget = || {
        // Best effort: what it holds is known.
        let _ = std::fs::remove_file(spare);
    };
    if let Err(error) = disk.write(spare, after, path) {
        forget();
        return Err(error);
    }
    if !holds(path, before) {
        forget();
        return Ok(Replaced::Overtaken { taken: Vec::new() });
    }
    let doubt = match disk.swap(spare, path) {
        Ok(()) => None,
        Err(error) if error.kind() == ErrorKind::Unsupported => {
            return moved(disk, spare, path, after, aside);
        }
        // A disk across a network may answer with a failure after the exchange; the spare file tells.
        Err(error) if holds(spare, after) => {
            forget();
            return Err(error);
        }
        Err(error) => Some(error),
    };
    let out = read_plain(spare).map_err(|error| kept(spare, &error))?;
    if out == before.as_bytes() {
        // Best effort: on another disk, or without room there, it is not kept.
        if aside.is_none_or(|aside| std::fs::rename(spare, aside).is_err()) {
            forget();
        }
        return Ok(Replaced::Landed(doubt.map_or_else(|| flushed(disk, path), Landed::Unconfirmed)));
    }
    let taken = bring_back(disk, spare, path, after.as_bytes().to_vec(), out)?;
    forget();
    Ok(Replaced::Overtaken { taken })
}

/// The spare file holds `out`, which another program saved: it goes back into the file instead of `put`. Whatever came
/// there meanwhile is newer and goes back in turn.
fn bring_back(
    disk: &dyn Disk,
    spare: &Path,
    path: &Path,
    mut put: Vec<u8>,
    mut out: Vec<u8>,
) -> Result<Vec<String>> {
    let mut taken = Vec::new();
    for _ in 0..ROUNDS {
        match disk.swap(spare, path) {
            Ok(()) => {}
            // The file was taken away meanwhile.
            Err(error) if error.kind() == ErrorKind::NotFound => {
                disk.rename(spare, path)?;
                return Ok(taken);
            }
            Err(error) => return Err(kept(spare, &error)),
        }
        let newer = read_plain(spare).map_err(|error| kept(spare, &error))?;
        if newer == put {
            return Ok(taken);
        }
        taken.push(String::from_utf8_lossy(&out).into_owned());
        put = std::mem::replace(&mut out, newer);
    }
    taken.push(String::from_utf8_lossy(&out).into_owned());
    Ok(taken)
}

fn kept(spare: &Path, error: &Error) -> Error {
    let why = format!("{error}; what another program saved is kept as `{}`", spare.display());
    Error::new(error.kind(), why)
}

/// Without an exchange: the new text is moved over the one it was compared with.
fn moved(disk: &dyn Disk, spare: &Path, path: &Path, after: &str, aside: Option<&Path>) -> Result<Replaced> {
    if let Some(aside) = aside {
        // Best effort: a second name for the same file, where the system has such.
        let _ = std::fs::hard_link(path, aside);
    }
    match disk.rename(spare, path) {
        Ok(()) => Ok(Replaced::Landed(flushed(disk, path))),
        Err(error) => {
            let is_gone = matches!(spare.symlink_metadata(), Err(gone) if gone.kind() == ErrorKind::NotFound);
            if is_gone && holds(path, after) {
                return Ok(Replaced::Landed(Landed::Unconfirmed(error)));
            }
            let _ = std::fs::remove_file(spare);
            Err(error)
        }
    }
}
