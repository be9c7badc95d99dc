//! A job with everything that follows from it.

use anyhow::Context;
use design::Design;
use document::Job;
use finding::Finding;
use sha2::{Digest, Sha256};

use crate::args::Rig;

/// A job, read, derived and checked.
pub(crate) struct Loaded {
    /// The job as read.
    pub(crate) job: Job,
    /// What follows from it.
    pub(crate) design: Design,
    /// What the checks say.
    pub(crate) findings: Vec<Finding>,
    /// Hash of every file it was read from.
    pub(crate) inputs: String,
}

/// The version of the program.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Reads a job and derives everything from it.
pub(crate) fn load(rig: &Rig) -> anyhow::Result<Loaded> {
    let job = document::read(&rig.rig, rig.shop.as_deref())?;
    let design = design::derive(job.rig.clone(), job.limits.clone()).laid();
    let findings = checks::check(&design);
    Ok(with_hash(job, design, findings))
}

/// Reads a job and derives from it what needs no leads laid; its findings are those of the rules that ask no engine.
pub(crate) fn load_stated(rig: &Rig) -> anyhow::Result<Loaded> {
    let job = document::read(&rig.rig, rig.shop.as_deref())?;
    let design = design::derive(job.rig.clone(), job.limits.clone());
    let findings = checks::check_stated(&design);
    Ok(with_hash(job, design, findings))
}

fn with_hash(job: Job, design: Design, findings: Vec<Finding>) -> Loaded {
    let mut hash = Sha256::new();
    for file in &job.files.0 {
        hash.update(u64::try_from(file.text.len()).unwrap_or(u64::MAX).to_be_bytes());
        hash.update(file.text.as_bytes());
    }
    let inputs = hex(&hash.finalize());
    Loaded { job, design, findings, inputs }
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |out, byte| out + &format!("{byte:02x}"))
}

impl Loaded {
    /// Whether an open finding of severity *stop* stands.
    pub(crate) fn stops(&self) -> bool {
        self.findings.iter().any(Finding::is_open_stop)
    }
}

/// The file a job's document is in.
pub(crate) fn document_path(rig: &Rig) -> anyhow::Result<std::path::PathBuf> {
    let path = if rig.rig.is_dir() { rig.rig.join("rig.toml") } else { rig.rig.clone() };
    path.canonicalize().with_context(|| format!("cannot find `{}`", path.display()))
}
