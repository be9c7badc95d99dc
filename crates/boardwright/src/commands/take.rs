//! `boardwright take`: test signals, and recordings of them.

use std::path::Path;

use anyhow::{Context, bail};
use design::Design;
use rig::{Known, PickupKind, Provenance};
use signal::Sweep;
use signal::grid::frequencies;
use takes::signals::{Part, Side, alone, played};
use takes::wav::{LARGEST, read, write};
use takes::{Heard, Judged, Level, Question, Take as Measured};

use crate::args::{Bits, OutcomeFormat, Rig, Take, TakeCommand, TakeRead, TakeSignals};
use crate::loaded::load;
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Take) -> anyhow::Result<Outcome> {
    match &options.command {
        TakeCommand::Signals(options) => signals(options),
        TakeCommand::Read(options) => listened(options),
    }
}

fn signals(options: &TakeSignals) -> anyhow::Result<Outcome> {
    let folder = &options.out;
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
    let depth = match options.bits {
        Bits::Pcm16 => takes::wav::Depth::Pcm16,
        Bits::Pcm24 => takes::wav::Depth::Pcm24,
        Bits::Pcm32 => takes::wav::Depth::Pcm32,
        Bits::Float => takes::wav::Depth::Float32,
    };
    let rate = options.rate;
    let both = |part| [Side::Left, Side::Right].map(|side| alone(rate, part, side));
    for (name, sides) in [
        ("all.wav", [Side::Left, Side::Right].map(|side| played(rate, side))),
        ("sweep.wav", both(Part::Sweep)),
        ("tones.wav", both(Part::Tone)),
        ("pulse.wav", both(Part::Pulse)),
        ("silence.wav", both(Part::Silence)),
    ] {
        let path = folder.join(name);
        let mut file = std::io::Cursor::new(Vec::new());
        write(&mut file, rate, depth, &[&sides[0], &sides[1]])
            .with_context(|| format!("`{}` cannot be made", path.display()))?;
        std::fs::write(&path, file.get_ref())
            .with_context(|| format!("cannot write `{}`", path.display()))?;
        shell::say(&format!("wrote {}", path.display()));
    }
    let page = folder.join("how-to-record.md");
    crate::written::file(&page, INSTRUCTIONS)?;
    shell::say(&format!("wrote {}", page.display()));
    Ok(Outcome::Clean)
}

/// How the signals are played and recorded; one page.
const INSTRUCTIONS: &str = include_str!("../../templates/how-to-record.md");

fn listened(options: &TakeRead) -> anyhow::Result<Outcome> {
    let [board] = options.boards.as_slice() else { return several(options) };
    let board = of_board(board, options)?;
    let reference = heard(&options.reference)?;
    let number = |_: &str| None;
    let Some(rig) = &options.rig else {
        let judged: Vec<Judged> = takes::compare(&board, &reference)?.into_iter().map(unjudged).collect();
        return shown(options, &board, &reference, None, &judged, &number);
    };
    let rig = Rig { rig: rig.clone(), shop: options.shop.clone() };
    let mut design = load(&rig)?.design;
    stand_ins(&mut design, options);
    let names = options.state.clone().unwrap_or_default();
    let state = super::signal::chosen(&design, &names)?;
    let (input, config) = (design.signal_input(), design.signal_config());
    let sweep = Sweep::new(frequencies());
    let ways = ways(&design, options)?;
    let found = ways.iter().find_map(|(source, sink)| {
        let way = Question { input: &input, config: &config, source, sink };
        way.expected(&state.engaged, &sweep).map(|_| way)
    });
    let Some(way) = found else {
        bail!("in state {} no signal gets from {}", state.name, words(&ways));
    };
    let named = takes::Named { name: "", heard: &board, state: Some(&state) };
    let (judged, suspects) = way.judged(&[named], &reference, &[])?;
    let Some(mut one) = judged.into_iter().next() else { bail!("nothing is judged") };
    if let Some(first) = one.outputs.iter_mut().find(|one| !one.passes()) {
        first.suspects = suspects;
    }
    if options.keep {
        kept(options, &rig, &design, Some(&state.name))?;
    }
    let told = told(&way, &one);
    shown(options, &board, &reference, Some(told), &one.outputs, &|lead| design.lead_number(lead))
}

/// Keeps the recordings in the job, and fills the rows of its test sheet.
fn kept(options: &TakeRead, rig: &Rig, design: &Design, state: Option<&str>) -> anyhow::Result<()> {
    if options.source_z.is_some()
        || options.input_z.is_some()
        || options.sink.is_some()
        || options.source.is_some()
    {
        bail!(
            "rows of the test sheet are judged as the job has it: keep recordings without --source, --sink, --source-z and --input-z"
        );
    }
    let known = design::recorded_states(design);
    if let Some(state) = state.filter(|state| known.iter().all(|own| own.name != *state)) {
        bail!(
            "the test sheet has no state `{state}`; it has {}",
            known.iter().map(|own| own.name.as_str()).collect::<Vec<_>>().join(", ")
        );
    }
    let shop =
        super::test::shop_of(rig).context("there is no shop to keep it in; name its folder with --shop")?;
    let store = shell::open_shop(&shop)?;
    let bytes =
        |path: &Path| std::fs::read(path).with_context(|| format!("cannot read `{}`", path.display()));
    let name = |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let mut files = vec![(name(&options.reference), bytes(&options.reference)?, Some(workbench::STRAIGHT))];
    for path in &options.boards {
        files.push((name(path), bytes(path)?, state));
    }
    let all: Vec<workbench::KeptRecording<'_>> = files
        .iter()
        .map(|(name, bytes, state)| workbench::KeptRecording { name, bytes, state: *state })
        .collect();
    workbench::keep_recordings(&store, &super::stock::job_of(rig)?, design, &all, options.by.as_deref())?;
    Ok(())
}

/// The way and the state of a recording.
fn told(way: &Question<'_>, one: &takes::JudgedTake) -> takes::wire::Way {
    takes::wire::Way {
        source: way.source.to_owned(),
        sink: way.sink.to_owned(),
        sinks: way.outputs().iter().map(|way| way.sink.to_owned()).collect(),
        state: one.matched.state.name.clone(),
        engaged: one.matched.state.engaged.clone(),
        level_counts: one.level == Level::Counts,
    }
}

/// Recordings of several states: each matched to its state, and what explains all of them together.
fn several(options: &TakeRead) -> anyhow::Result<Outcome> {
    let Some(rig) = &options.rig else {
        bail!(
            "several recordings are of several states of a rig: name it with --rig, or read them one by one"
        );
    };
    if options.state.is_some() {
        bail!(
            "with several recordings each is of a state of its own: name the files after the states and leave --state out"
        );
    }
    let mut design = load(&Rig { rig: rig.clone(), shop: options.shop.clone() })?.design;
    stand_ins(&mut design, options);
    let (input, config) = (design.signal_input(), design.signal_config());
    let reference = heard(&options.reference)?;
    let boards: Vec<(String, Heard)> = options
        .boards
        .iter()
        .map(|path| {
            Ok((
                path.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
                of_board(path, options)?,
            ))
        })
        .collect::<anyhow::Result<_>>()?;
    let states = design::recorded_states(&design);
    let ways = ways(&design, options)?;
    let sweep = Sweep::new(frequencies());
    let way = ways.iter().find_map(|(source, sink)| {
        let way = Question { input: &input, config: &config, source, sink };
        states.iter().any(|state| way.expected(&state.engaged, &sweep).is_some()).then_some(way)
    });
    let Some(way) = way else { bail!("no signal gets from {}", words(&ways)) };
    let named: Vec<takes::Named<'_>> =
        boards.iter().map(|(name, heard)| takes::Named { name, heard, state: None }).collect();
    let (judged, suspects) = way.judged(&named, &reference, &states)?;
    if options.keep {
        kept(options, &Rig { rig: rig.clone(), shop: options.shop.clone() }, &design, None)?;
    }
    let number = |lead: &str| design.lead_number(lead);
    let several = takes::wire::Several {
        schema: takes::wire::SEVERAL_SCHEMA,
        takes: boards
            .iter()
            .zip(&judged)
            .map(|((name, board), one)| {
                let told = told(&way, one);
                let (matched_by, off_db, or_state) = match &one.matched.by {
                    takes::MatchedBy::Fit { off_db, or } => ("fit", Some(*off_db), or.clone()),
                    _ => ("name", None, Vec::new()),
                };
                takes::wire::Matched {
                    file: name.clone(),
                    matched_by,
                    off_db,
                    or_state,
                    read: takes::json(board, &reference, Some(told), &one.outputs, &number),
                }
            })
            .collect(),
        suspects: suspects.as_ref().map(|found| takes::suspects_json(found, &number)),
    };
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&several)? + "\n",
        OutcomeFormat::Text => super::take_text::told_several(&several),
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

/// A recording, read; a file that is none says so with its name.
fn heard(path: &Path) -> anyhow::Result<Heard> {
    let name = || path.display().to_string();
    let size = std::fs::metadata(path).with_context(|| format!("cannot read `{}`", path.display()))?.len();
    if LARGEST < size {
        bail!(
            "{}: the file has {} MB, at most {} are read: cut it to the test signals",
            name(),
            size / 1_000_000,
            LARGEST / 1_000_000
        );
    }
    let bytes = std::fs::read(path).with_context(|| format!("cannot read `{}`", path.display()))?;
    let recording = read(&bytes).with_context(name)?;
    drop(bytes);
    takes::hear(&recording).with_context(name)
}

/// A recording of the board. Where somebody said which amp or desk it is of, its only channel is of that one.
fn of_board(path: &Path, options: &TakeRead) -> anyhow::Result<Heard> {
    let mut heard = heard(path)?;
    if let (Some(_), [only]) = (&options.sink, heard.channels.as_mut_slice()) {
        only.number = 0;
    }
    Ok(heard)
}

fn unjudged(take: Measured) -> Judged {
    Judged { take, sink: None, expected: None, bands: Vec::new(), suspects: None }
}

/// The interface and the box stand in for the guitar and the amp: with what they have, where that is said.
fn stand_ins(design: &mut Design, options: &TakeRead) {
    let measured = Provenance::Measured;
    if let Some(ohms) = options.source_z {
        for source in &mut design.rig.sources {
            source.pickup.kind = Known::new(PickupKind::Active, measured);
            source.pickup.resistance = Known::new(ohms, measured);
        }
    }
    if let Some(ohms) = options.input_z {
        for sink in &mut design.rig.sinks {
            sink.z = Known::new(ohms, measured);
        }
    }
}

/// The ways that may have been recorded: the one that was named, or each in its order.
fn ways(design: &Design, options: &TakeRead) -> anyhow::Result<Vec<(String, String)>> {
    let circuit = signal::circuit(&design.signal_input(), &design.signal_config(), &[]);
    let names = |all: Vec<signal::model::Terminal>, one: &Option<String>, what: &str| {
        let all: Vec<String> = all.into_iter().map(|terminal| terminal.id).collect();
        match one {
            Some(name) if !all.contains(name) => {
                bail!("`{name}` is no {what} of this rig; there are {}", all.join(", "))
            }
            Some(name) => Ok(vec![name.clone()]),
            None if all.is_empty() => bail!("the rig has no {what}, so there is nothing to compare with"),
            None => Ok(all),
        }
    };
    let sources = names(circuit.sources, &options.source, "source")?;
    let sinks = names(circuit.sinks, &options.sink, "amp or desk")?;
    Ok(sources
        .iter()
        .flat_map(|source| sinks.iter().map(move |sink| (source.clone(), sink.clone())))
        .collect())
}

fn words(ways: &[(String, String)]) -> String {
    ways.iter().map(|(from, to)| format!("{from} to {to}")).collect::<Vec<_>>().join(", nor from ")
}

fn shown(
    options: &TakeRead,
    board: &Heard,
    reference: &Heard,
    way: Option<takes::wire::Way>,
    judged: &[Judged],
    number: &dyn Fn(&str) -> Option<String>,
) -> anyhow::Result<Outcome> {
    let read = takes::json(board, reference, way, judged, number);
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&read)? + "\n",
        OutcomeFormat::Text => super::take_text::told(&read),
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}
