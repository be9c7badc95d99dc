//! `boardwright papers`.

use anyhow::Context;
use papers::{LayoutInput, PaperSize};
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::args::{PaperName, Papers};
use crate::loaded::{VERSION, hex, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Papers) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let input = LayoutInput {
        design: &loaded.design,
        findings: &loaded.findings,
        paper: match options.paper {
            PaperName::A4 => PaperSize::A4,
            PaperName::Letter => PaperSize::Letter,
        },
        program_version: VERSION,
        input_hash: &loaded.inputs,
    };
    let paper = papers::layout_sheet(&input)?;
    std::fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make `{}`", options.out.display()))?;
    let name = format!("{}.pdf", paper.name);
    std::fs::write(options.out.join(&name), &paper.pdf).with_context(|| format!("cannot write `{name}`"))?;
    let manifest = json!({
        "schema": "boardwright.manifest.1",
        "program": VERSION,
        "inputs_sha256": loaded.inputs,
        "revision": loaded.design.rig.job.revision.as_deref().unwrap_or("draft"),
        "files": [{
            "file": name,
            "sha256": hex(&Sha256::digest(&paper.pdf)),
            "pages": paper.pages,
        }],
    });
    document::edit::write_atomically(
        &options.out.join("manifest.json"),
        &(serde_json::to_string_pretty(&manifest)? + "\n"),
    )?;
    let open = loaded.findings.iter().filter(|finding| finding.is_open_stop()).count();
    shell::say(&format!("wrote {} ({} pages)", options.out.join(&name).display(), paper.pages));
    if 0 < open {
        let words = if open == 1 { "finding says" } else { "findings say" };
        shell::say(&format!("{open} open {words} stop; they stand on the sheet"));
    }
    Ok(if loaded.stops() { Outcome::Stop } else { Outcome::Clean })
}
