//! `boardwright papers`.

use std::borrow::Cow;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use anyhow::{Context, bail};
use design::Design;
use papers::{
    Binding, ChangeOrder, INTAKE_PAPERS, MONEY_PAPERS, PAPERS, PaperSet, PaperSize, PapersInput, Priced,
    RevisionNote, SignalWay, StateLevels, ToneChange,
};
use rig::State;
use schemars::JsonSchema;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::args::{PaperName, Papers};
use crate::loaded::{Loaded, VERSION, document_path, hex, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Papers) -> anyhow::Result<Outcome> {
    for name in &options.only {
        let all = || PAPERS.iter().chain(MONEY_PAPERS).chain(INTAKE_PAPERS);
        if all().all(|kind| kind.name != name) && Binding::named(name).is_none() {
            let bound = Binding::ALL.into_iter().map(Binding::name);
            let names: Vec<&str> = bound.chain(all().map(|kind| kind.name)).collect();
            bail!("there is no paper `{name}`; there are {}", names.join(", "));
        }
    }
    let mut loaded = load(&options.rig)?;
    let mut notes = revisions(options, &mut loaded)?;
    // The papers of a frozen revision are those of its text: its numbers were issued when it was frozen.
    if loaded.design.rig.job.revision.is_none() || notes.is_empty() {
        loaded = super::number::issued(&options.rig, loaded)?;
        notes = revisions(options, &mut loaded)?;
    }
    let set = patiently("setting the papers …", || make(options, &loaded, &notes))?;
    std::fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make `{}`", options.out.display()))?;
    let files = files(&set, loaded.design.rig.job.revision.as_deref(), &loaded.inputs)?;
    let files = if options.zip {
        let all: Vec<(String, &[u8])> =
            files.iter().map(|(name, bytes)| (name.clone(), bytes.as_ref())).collect();
        vec![("papers.zip".to_owned(), Cow::Owned(workbench::archive(&all)?))]
    } else {
        files
    };
    for (name, bytes) in &files {
        crate::written::bytes(&options.out, name, bytes)?;
    }
    let single = || set.papers.iter().filter(|paper| papers::Binding::named(paper.name).is_none());
    let pages: usize = single().map(|paper| paper.pages).sum();
    let (count, bound) = (single().count(), set.papers.len() - single().count());
    let tables = set.tables.len();
    shell::say(&format!(
        "wrote {} ({}), {} and {} to {}",
        counted(count, "paper"),
        counted(pages, "page"),
        counted(bound, "binding"),
        counted(tables, "table"),
        options.out.display()
    ));
    let open = loaded.findings.iter().filter(|finding| finding.is_open_stop()).count();
    if 0 < open {
        let words = if open == 1 { "finding says" } else { "findings say" };
        shell::say(&format!("{open} open {words} stop; they stand in the findings"));
    }
    Ok(if loaded.stops() { Outcome::Stop } else { Outcome::Clean })
}

/// The papers and tables as files, by name, and last the manifest of them.
pub(crate) fn files<'a>(
    set: &'a PaperSet,
    revision: Option<&str>,
    inputs_sha256: &str,
) -> serde_json::Result<Vec<(String, Cow<'a, [u8]>)>> {
    let revision = revision.unwrap_or("draft");
    let papers =
        set.papers.iter().map(|paper| (format!("{}.pdf", paper.name), &paper.pdf[..], Some(paper.pages)));
    let tables = set.tables.iter().map(|table| (format!("{}.csv", table.name), table.csv.as_bytes(), None));
    let all: Vec<(String, &[u8], Option<usize>)> = papers.chain(tables).collect();
    let files = all.iter().map(|(file, bytes, pages)| ManifestFile {
        file: file.clone(),
        sha256: hex(&Sha256::digest(bytes)),
        pages: *pages,
        revision,
    });
    let manifest = Manifest {
        schema: MANIFEST_SCHEMA,
        program: VERSION,
        inputs_sha256,
        revision,
        files: files.collect(),
    };
    let manifest = serde_json::to_string_pretty(&manifest)? + "\n";
    let files = all.into_iter().map(|(file, bytes, _)| (file, Cow::Borrowed(bytes)));
    Ok(files.chain([("manifest.json".to_owned(), Cow::Owned(manifest.into_bytes()))]).collect())
}

/// `1 paper`, `3 papers`.
fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Name and version of the form of the manifest.
const MANIFEST_SCHEMA: &str = "boardwright.manifest.1";

/// What `boardwright papers` writes beside the papers: which files are there, and what they were made from.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Manifest<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = MANIFEST_SCHEMA))]
    schema: &'static str,
    /// Version of the program.
    program: &'static str,
    /// Hash of every file that the job was read from.
    inputs_sha256: &'a str,
    /// Letter of the revision, or `draft`.
    revision: &'a str,
    /// The files.
    files: Vec<ManifestFile<'a>>,
}

/// A paper or table.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "File")]
struct ManifestFile<'a> {
    /// Its name in the folder of the manifest.
    file: String,
    /// Hash of its bytes.
    sha256: String,
    /// Pages of a paper; null for a table.
    pages: Option<usize>,
    /// Letter of the revision, or `draft`.
    revision: &'a str,
}

fn make(options: &Papers, loaded: &Loaded, notes: &[RevisionNote]) -> anyhow::Result<PaperSet> {
    let heard = heard(&loaded.design);
    let size = match options.paper {
        PaperName::A4 => PaperSize::A4,
        PaperName::Letter => PaperSize::Letter,
    };
    let shelf = super::stock::shelf_for(&options.rig)?;
    let prices = super::priced::priced(&options.rig, loaded.job.text())?;
    let quote = super::priced::quote_of(&loaded.design, &prices);
    let changed = match &options.from {
        Some(from) => Some(super::change::find(&options.rig, from, "draft")?),
        None => None,
    };
    if options.only.iter().any(|name| matches!(name.as_str(), "quote" | "invoice")) && !prices.known {
        bail!("the shop has no prices.toml: it says what things cost");
    }
    if options.only.iter().any(|name| name == "invoice") && quote.is_at_least() {
        let gaps: Vec<&str> = quote.missing.iter().map(|gap| gap.title.as_str()).collect();
        bail!("an invoice needs a price for all of the job; not priced: {}", gaps.join(", "));
    }
    if options.only.iter().any(|name| name == "change-order") && changed.is_none() {
        bail!("a change order is against an earlier revision; name it with --from");
    }
    let wishes = checks::wishes(&loaded.design);
    let record = super::test::record_for(&options.rig, &loaded.design)?;
    let plots = super::test::plots_for(&options.rig, &loaded.design)?;
    let only: Vec<&str> = options.only.iter().map(String::as_str).collect();
    let first = what_decides(&loaded.design, &only);
    let shop = super::stock::shop_of(&options.rig);
    let photographs = super::photographs::photographs(shop.as_deref(), &loaded.design);
    let journal = super::test::journal_for(&options.rig)?;
    let (repairs, mended) = super::mended::of(journal.as_ref(), &super::stock::job_of(&options.rig)?)?;
    let input = PapersInput {
        repairs: &repairs,
        mended: &mended,
        photographs: &photographs,
        record: Some(&record),
        plots: &plots,
        measuring: first.as_ref(),
        priced: prices.known.then_some(Priced { quote: &quote, prices: &prices.prices }),
        change: changed.as_ref().map(|found| ChangeOrder {
            from: &found.before.name,
            before: &found.before.design,
            change: &found.change,
            priced: Priced { quote: &found.quote, prices: &found.prices },
            whole: [&found.before.quote, &found.after.quote],
            repriced: &found.repriced,
        }),
        tone: heard.tone.as_ref(),
        ways: &heard.ways,
        signal_notes: &heard.notes,
        revisions: notes,
        shelf: &shelf,
        tape_mm: options.tape.as_mm(),
        program_version: VERSION,
        input_hash: &loaded.inputs,
        wishes: &wishes,
        ..PapersInput::new(&loaded.design, &loaded.findings, size)
    };
    Ok(papers::papers(&input, &only)?)
}

/// What to measure first, where a paper says it.
pub(crate) fn what_decides(design: &Design, only: &[&str]) -> Option<measure::Answer> {
    let says = ["measuring", "order", Binding::Bench.name()];
    let is_said = only.is_empty() || only.iter().any(|name| says.contains(name));
    is_said.then(|| measure::first(&design.rig, &design.limits, measure::Config::QUICK))
}

/// What the signal does on every way, with the curve of the worst state, and the worst change of all.
pub(crate) struct Heard {
    pub(crate) ways: Vec<SignalWay>,
    pub(crate) notes: Vec<String>,
    pub(crate) tone: Option<ToneChange>,
}

/// Solves the signal for the bands, and once more where a worst state is none that has a name, for its curve.
pub(crate) fn heard(design: &Design) -> Heard {
    let config = design.signal_config();
    let mut input = design.signal_input();
    let solve = |input: &signal::Input<'_>| signal::solve_with(input, &config, signal::BufferSearch::Skip);
    let outcome = design.signal();
    let name = |index: usize| format!("\u{1}{index}");
    let engaged_alike =
        |a: &[String], b: &[String]| a.len() == b.len() && a.iter().all(|tag| b.contains(tag));
    let curve = |way: &signal::Way, engaged: &[String]| {
        let state = way.states.iter().find(|state| engaged_alike(&state.engaged, engaged));
        state.map(signal::StateResponse::level_db)
    };
    for (index, way) in outcome.ways.iter().enumerate() {
        if let Some(engaged) = judged_state(way)
            && curve(way, &engaged).is_none()
        {
            input.states.push(State { name: name(index), engaged });
        }
    }
    let again = (!input.states.is_empty()).then(|| solve(&input));
    let assumed = !outcome.assumed.is_empty() || !outcome.lacks.is_empty();
    let answers = signal::answers(&design.signal_input(), &config, outcome);
    let advised = signal::solve(&design.signal_input(), &config);
    let named = outcome.ways.first().map_or(&[][..], |way| way.states.as_slice());
    let on = signal::on_in_states(
        &design.signal_input(),
        &config,
        named.iter().map(|state| state.engaged.as_slice()),
    );
    let title = |id: &str| -> String {
        let rig = &design.rig;
        let found = rig.source(id).map(|source| &source.title).or(rig.sink(id).map(|sink| &sink.title));
        let device = || rig.device(id).map(|device| format!("{id} {}", device.title));
        found
            .filter(|title| !title.is_empty())
            .map_or_else(|| device().unwrap_or_else(|| id.to_owned()), Clone::clone)
    };
    let ways = outcome
        .ways
        .iter()
        .enumerate()
        .map(|(index, way)| {
            let band = way.judged();
            let solved = again.as_ref().and_then(|again| again.ways.get(index)).unwrap_or(way);
            let engaged = judged_state(way);
            let worst = engaged.as_deref().and_then(|engaged| curve(solved, engaged)).unwrap_or_default();
            let at_4k = |levels: &[f64]| levels.get(signal::grid::AT_4K).copied();
            let change =
                at_4k(&worst).zip(at_4k(&way.reference_db)).map(|(level, reference)| level - reference);
            SignalWay {
                source: title(&way.source),
                sink: title(&way.sink),
                frequencies: outcome.frequencies.clone(),
                reference_db: way.reference_db.clone(),
                upper_db: band.upper_db.clone(),
                lower_db: band.lower_db.clone(),
                worst_db: worst,
                worst_state: engaged.unwrap_or_default(),
                change_at_4k_db: change.or(Some(band.worst.change_at_4k_db)).filter(|db| db.is_finite()),
                turned: way.turned_worst().map(|turned| (turned.words(), turned.change_db)),
                left_off: if way.band_sparing.is_some() { bare(design) } else { Vec::new() },
                limits_db: [design.limits.treble_change_look.get(), design.limits.treble_change_stop.get()],
                states: way.states.iter().zip(&on).map(|(state, on)| levels(way, state, on)).collect(),
                doubt: band.doubt(),
                assumed,
                asked: answers.get(index).map_or_else(Vec::new, |answers| {
                    let said =
                        signal::asked(answers, way).into_iter().map(|said| (said.question, said.answer));
                    super::signal_text::figures_said(way, answers).into_iter().chain(said).collect()
                }),
            }
        })
        .collect();
    let notes = super::signal_text::said_of_all(&advised, design.limits.junction_loss_stop.get());
    Heard {
        ways,
        tone: worst_tone(outcome, title),
        notes: outcome.notes.iter().cloned().chain(notes).collect(),
    }
}

/// The state of the change that limits of treble are held against, volume pedals as they stand.
fn judged_state(way: &signal::Way) -> Option<Vec<String>> {
    let (_, state) = way.treble_as_it_stands()?;
    state.cloned()
}

/// Devices that want the bare pickup.
fn bare(design: &Design) -> Vec<String> {
    let wants = |device: &&rig::Device| device.signal.bare_pickup.value == Some(true);
    design.rig.devices.iter().filter(wants).map(|device| device.tag.clone()).collect()
}

/// One state of a way against its reference.
fn levels(way: &signal::Way, state: &signal::StateResponse, on: &[String]) -> StateLevels {
    let level = state.level_db();
    let change = |at: usize| {
        let change = level.get(at)? - way.reference_db.get(at)?;
        change.is_finite().then_some(change)
    };
    let (one, four) = (change(signal::grid::AT_1K), change(signal::grid::AT_4K));
    StateLevels {
        name: state.name.clone(),
        on: on.to_vec(),
        change_at_4k_db: four,
        tone_change_db: four.zip(one).map(|(four, one)| four - one),
        insertion_loss_1k_db: one.map(|change| -change),
    }
}

/// The largest change that limits of treble are held against, over all ways: into an amp, and into a desk.
fn worst_tone(outcome: &signal::Outcome, title: impl Fn(&str) -> String) -> Option<ToneChange> {
    // What goes beside the sound is held to no limit.
    let worst = outcome.ways.iter().filter(|way| !way.aside).max_by(|a, b| {
        let size = |way: &signal::Way| way.treble().map_or(0.0, |(db, _)| db.abs());
        size(a).total_cmp(&size(b))
    })?;
    let (change_db, state) = worst.treble()?;
    change_db.is_finite().then(|| ToneChange {
        change_db,
        state: state.cloned().unwrap_or_default(),
        sink: title(&worst.sink),
        turned: worst.turned_worst().map(signal::Turned::words),
        by_tone: worst.turned_worst().map_or_else(|| worst.is_judged_by_tone(), |turned| turned.by_tone),
        assumed: !outcome.assumed.is_empty() || !outcome.lacks.is_empty(),
    })
}

/// The revisions that the shop's journal has of a job, oldest first; none where there is no journal.
///
/// The papers are of a revision only while the document is as it was frozen: then they carry its letter and,
/// where the document states none, its date. A document that was edited since is a draft that replaces it.
fn revisions(options: &Papers, loaded: &mut Loaded) -> anyhow::Result<Vec<RevisionNote>> {
    let document = document_path(&options.rig)?;
    let Some(folder) = document.parent() else { return Ok(Vec::new()) };
    let shop = options.rig.shop.as_deref().or_else(|| folder.parent());
    let Some(job) = folder.file_name().and_then(|name| name.to_str()) else { return Ok(Vec::new()) };
    let Some(store) = shop.map(shell::journal_of).transpose()?.flatten() else { return Ok(Vec::new()) };
    let entries = store.revisions(job)?;
    let text = std::fs::read_to_string(&document)
        .with_context(|| format!("cannot read `{}`", document.display()))?;
    let frozen = workbench::frozen_as(&store, job, &text).map_err(anyhow::Error::msg)?;
    let day = |entry: &store::RevisionEntry| entry.at.chars().take(10).collect::<String>();
    let job = &mut loaded.design.rig.job;
    match frozen {
        Some(entry) => {
            job.revision = Some(entry.letter.clone());
            job.date.get_or_insert_with(|| day(&entry));
        }
        None if entries.iter().any(|entry| Some(&entry.letter) == job.revision.as_ref()) => {
            job.revision = None;
        }
        None => {}
    }
    Ok(entries
        .iter()
        .map(|entry| RevisionNote {
            letter: entry.letter.clone(),
            date: day(entry),
            why: entry.why.clone(),
            by: entry.by.clone(),
        })
        .collect())
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
