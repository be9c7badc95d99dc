//! Where the token of a workbench comes from: a file that its owner alone reads, or a variable; never the command line, which
//! everybody on the machine can list.

use std::io::{ErrorKind, Write};
use std::path::Path;

use anyhow::{Context, bail, ensure};

use crate::shell;

/// The variable that may hold the token.
pub(crate) const VARIABLE: &str = "BOARDWRIGHT_TOKEN";

/// Letters and digits that a token has at least: 16 of 62 are more than anybody tries.
const LEAST: usize = 16;

/// Letters and digits of a token that is made.
const MADE: usize = 24;

const SIGNS: &[u8; 32] = b"abcdefghijkmnopqrstuvwxyz2345679";

/// The token that visitors must show; `None` where nobody named one.
pub(crate) fn token(file: Option<&Path>) -> anyhow::Result<Option<String>> {
    let Some(path) = file else {
        let Some(value) = std::env::var_os(VARIABLE) else { return Ok(None) };
        let value = value.to_str().unwrap_or_default();
        return good(value).with_context(|| format!("the variable {VARIABLE}")).map(Some);
    };
    let text = match document::edit::read_plain_text(path) {
        Ok(text) => text,
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let made = make(path).with_context(|| format!("cannot make `{}`", path.display()))?;
            shell::say(&format!(
                "boardwright: a token was made, `{}`; you alone can read it",
                path.display()
            ));
            made
        }
        Err(error) => return Err(error).with_context(|| format!("cannot read `{}`", path.display())),
    };
    is_private(path)?;
    good(text.lines().next().unwrap_or_default().trim())
        .with_context(|| format!("`{}`", path.display()))
        .map(Some)
}

fn good(token: &str) -> anyhow::Result<String> {
    ensure!(
        LEAST <= token.len() && token.chars().all(|c| c.is_ascii_alphanumeric()),
        "a token has at least {LEAST} letters and digits and nothing else"
    );
    Ok(token.to_owned())
}

/// Makes a file with a new token that its owner alone reads.
fn make(path: &Path) -> anyhow::Result<String> {
    let mut chance = [0; MADE];
    getrandom::fill(&mut chance)
        .map_err(|error| anyhow::anyhow!("the system has no chance to give: {error}"))?;
    // 32 signs, so that each is as likely as any other.
    let token: String = chance.iter().map(|byte| char::from(SIGNS[usize::from(byte % 32)])).collect();
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(path)?;
    file.write_all(format!("{token}\n").as_bytes())?;
    file.sync_all()?;
    Ok(token)
}

#[cfg(unix)]
fn is_private(path: &Path) -> anyhow::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let mode = path.metadata()?.permissions().mode() & 0o777;
    if mode & 0o077 != 0 {
        bail!("others may read `{0}` (mode {mode:o}); `chmod 600 {0}` makes it yours alone", path.display());
    }
    Ok(())
}

#[cfg(not(unix))]
fn is_private(_: &Path) -> anyhow::Result<()> {
    Ok(())
}
