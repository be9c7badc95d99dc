//! `boardwright papers`.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use anyhow::{Context, bail};
use design::Design;
use papers::{PAPERS, PaperSet, PaperSize, PapersInput, ToneChange};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::args::{PaperName, Papers};
use crate::loaded::{Loaded, VERSION, hex, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Papers) -> anyhow::Result<Outcome> {
    for name in &options.only {
        if PAPERS.iter().all(|kind| kind.name != name) {
            let names: Vec<&str> = PAPERS.iter().map(|kind| kind.name).collect();
            bail!("there is no paper `{name}`; there are {}", names.join(", "));
        }
    }
    let loaded = load(&options.rig)?;
    let set = patiently("setting the papers …", || make(options, &loaded))?;
    std::fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make `{}`", options.out.display()))?;
    let mut files: Vec<Value> = Vec::new();
    let revision = loaded.design.rig.job.revision.as_deref().unwrap_or("draft");
    let write = |name: &str, bytes: &[u8]| {
        std::fs::write(options.out.join(name), bytes).with_context(|| format!("cannot write `{name}`"))
    };
    for paper in &set.papers {
        let name = format!("{}.pdf", paper.name);
        write(&name, &paper.pdf)?;
        let sum = hex(&Sha256::digest(&paper.pdf));
        files.push(json!({ "file": name, "sha256": sum, "pages": paper.pages, "revision": revision }));
    }
    for table in &set.tables {
        let name = format!("{}.csv", table.name);
        write(&name, table.csv.as_bytes())?;
        let sum = hex(&Sha256::digest(table.csv.as_bytes()));
        files.push(json!({ "file": name, "sha256": sum, "pages": null, "revision": revision }));
    }
    let manifest = json!({
        "schema": "boardwright.manifest.1",
        "program": VERSION,
        "inputs_sha256": loaded.inputs,
        "revision": revision,
        "files": files,
    });
    document::edit::write_atomically(
        &options.out.join("manifest.json"),
        &(serde_json::to_string_pretty(&manifest)? + "\n"),
    )?;
    let pages: usize = set.papers.iter().filter(|paper| paper.name != papers::BOOK).map(|p| p.pages).sum();
    let (count, tables) = (set.papers.len(), set.tables.len());
    shell::say(&format!(
        "wrote {count} papers ({pages} pages) and {tables} tables to {}",
        options.out.display()
    ));
    let open = loaded.findings.iter().filter(|finding| finding.is_open_stop()).count();
    if 0 < open {
        let words = if open == 1 { "finding says" } else { "findings say" };
        shell::say(&format!("{open} open {words} stop; they stand in the findings"));
    }
    Ok(if loaded.stops() { Outcome::Stop } else { Outcome::Clean })
}

fn make(options: &Papers, loaded: &Loaded) -> anyhow::Result<PaperSet> {
    let tone = worst_tone(&loaded.design);
    let size = match options.paper {
        PaperName::A4 => PaperSize::A4,
        PaperName::Letter => PaperSize::Letter,
    };
    let input = PapersInput {
        tone: tone.as_ref(),
        tape_mm: options.tape.as_mm(),
        program_version: VERSION,
        input_hash: &loaded.inputs,
        ..PapersInput::new(&loaded.design, &loaded.findings, size)
    };
    let only: Vec<&str> = options.only.iter().map(String::as_str).collect();
    Ok(papers::papers(&input, &only)?)
}

/// The largest change at 4 kHz over all ways into an amp, or over all ways where there is no amp.
pub(crate) fn worst_tone(design: &Design) -> Option<ToneChange> {
    let leads = design
        .leads
        .iter()
        .filter(|lead| lead.class == rig::LeadClass::Signal)
        .map(|lead| signal::LeadLength {
            from: lead.from.port.clone(),
            to: lead.to.port.clone(),
            length: lead.cut,
        })
        .collect();
    let outcome = signal::solve(&signal::Input::new(&design.rig, leads), &signal::Config::default());
    let amps = outcome.ways.iter().any(|way| way.is_amp);
    let worst = outcome.ways.iter().filter(|way| way.is_amp || !amps).max_by(|a, b| {
        let size = |way: &signal::Way| way.judged().worst.change_at_4k_db.abs();
        size(a).total_cmp(&size(b))
    })?;
    let change = &worst.judged().worst;
    change.change_at_4k_db.is_finite().then(|| ToneChange {
        change_db: change.change_at_4k_db,
        state: change.state.clone().unwrap_or_default(),
        sink: worst.sink.clone(),
        assumed: !outcome.assumed.is_empty() || !outcome.lacks.is_empty(),
    })
}

/// Does the work, and says so when it takes longer than a second.
fn patiently<T>(words: &str, work: impl FnOnce() -> T) -> T {
    let (done, waiting) = channel::<()>();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            if waiting.recv_timeout(Duration::from_secs(1)) == Err(RecvTimeoutError::Timeout) {
                shell::say(words);
            }
        });
        let out = work();
        drop(done);
        out
    })
}
