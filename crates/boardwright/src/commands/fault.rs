//! `boardwright fault`.

use std::fmt::Write;
use std::io::{BufRead, IsTerminal};

use design::{Design, heard_sinks};
use faults::{Answer, CURED, Complaint, Config, Given, Input, Symptom, Tool, Walk, percent, tonight};
use schemars::JsonSchema;
use serde::Serialize;

use crate::args::{FaultOptions, OutcomeFormat};
use crate::loaded::load_stated;
use crate::shell::{self, Outcome};

/// So many of what is left are named.
const NAMED: usize = 8;

pub(crate) fn run(options: &FaultOptions) -> anyhow::Result<Outcome> {
    let loaded = load_stated(&options.rig)?;
    if options.mended.is_some() || options.history {
        return mended(options, &loaded.design);
    }
    let person = std::io::stdin().is_terminal()
        && std::io::stdout().is_terminal()
        && options.format == OutcomeFormat::Text;
    let symptom = match options.symptom.as_deref() {
        Some(word) => Symptom::of(word).ok_or_else(|| anyhow::anyhow!("there is no symptom `{word}`"))?,
        None if person => match ask_symptom()? {
            Some(symptom) => symptom,
            None => return Ok(Outcome::Clean),
        },
        None => anyhow::bail!("say what is heard: --symptom {}", words(Symptom::ALL.iter().map(|one| one.1))),
    };
    let (input, complaint) = complaint(&loaded.design, options, symptom)?;
    let mut given = answers(options)?;
    let config = Config {
        without: options.without.iter().filter_map(|tool| Tool::of(tool)).collect(),
        ..Config::default()
    };
    loop {
        let walk = Walk::new(&input, &complaint, &config, &given);
        if let Some(unknown) = walk.unknown().first() {
            anyhow::bail!("there is nothing to try here that is called `{unknown}`");
        }
        if options.format == OutcomeFormat::Json {
            let answer = answer(&input, &complaint, &walk, &given);
            shell::data(&(serde_json::to_string_pretty(&answer)? + "\n"))?;
            return Ok(Outcome::Clean);
        }
        shell::data(&text(&input, &complaint, &walk, given.len()))?;
        if !person || !step(&walk, &input, &mut given)? {
            return Ok(Outcome::Clean);
        }
    }
}

const NOTHING_MENDED: &str = "nothing is written down of this board\n";

/// Writes a repair down where one is said, and lists what was mended.
fn mended(options: &FaultOptions, design: &Design) -> anyhow::Result<Outcome> {
    let shop = super::test::shop_of(&options.rig).ok_or_else(|| {
        anyhow::anyhow!("the job is in no shop: what is mended is kept in the journal of one")
    })?;
    // To look writes nothing, not even an empty journal.
    if options.mended.is_none() && !store::has_journal(&shop) {
        shell::data(NOTHING_MENDED)?;
        return Ok(Outcome::Clean);
    }
    let (store, job) = (shell::open_shop(&shop)?, super::stock::job_of(&options.rig)?);
    if let Some(part) = &options.mended {
        let said = workbench::SaidOfRepair {
            part,
            symptom: options.symptom.as_deref(),
            found: options.found.as_deref(),
            did: options.did.as_deref(),
            lent: options.lent.as_deref(),
            by: options.by.as_deref(),
            on: options.on.as_deref(),
        };
        workbench::mend(&store, &job, design, said)?;
    }
    let all = store.repairs(&job)?;
    if all.is_empty() {
        shell::data(NOTHING_MENDED)?;
    }
    for repair in &all {
        let by = repair.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
        shell::data(&format!("{}  {}: {}{by}\n", repair.on, repair.part, workbench::repair_words(repair)))?;
    }
    Ok(Outcome::Clean)
}

/// Asks a person at the terminal what is heard.
fn ask_symptom() -> anyhow::Result<Option<Symptom>> {
    let mut out = String::from("What is heard?\n");
    for (number, (_, _, title)) in Symptom::ALL.iter().enumerate() {
        let _ = writeln!(out, "  {} {title}", number + 1);
    }
    shell::data(&out)?;
    let Some(line) = line()? else { return Ok(None) };
    let place = line.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let known = place.and_then(|place| Symptom::ALL.get(place)).map(|one| one.0);
    Ok(known.or_else(|| Symptom::of(&line)))
}

fn line() -> anyhow::Result<Option<String>> {
    let mut line = String::new();
    let read = std::io::stdin().lock().read_line(&mut line)?;
    Ok((0 < read).then(|| line.trim().to_lowercase()))
}

/// One answer of a person at the terminal; false when there is no more.
fn step(walk: &Walk, input: &Input, given: &mut Vec<Given>) -> anyhow::Result<bool> {
    let trial = match (walk.next(), walk.found().first()) {
        (Some(next), _) => next.trial.id.clone(),
        (None, Some(found)) => format!("{CURED}{}", input.parts[found.part].id),
        (None, None) => return Ok(false),
    };
    loop {
        shell::data("yes, no, ? (not sure), undo, quit: ")?;
        let Some(line) = line()? else { return Ok(false) };
        let answer = match line.as_str() {
            "y" | "yes" => Answer::Yes,
            "n" | "no" => Answer::No,
            "?" | "unsure" => Answer::NotSure,
            "u" | "undo" => {
                given.pop();
                return Ok(true);
            }
            "q" | "quit" => return Ok(false),
            _ => continue,
        };
        let is_cured = answer == Answer::Yes && trial.starts_with(CURED);
        given.push(Given { trial, answer });
        return Ok(!is_cured);
    }
}

/// The board in the state that is complained of, and the complaint.
fn complaint(
    design: &Design,
    options: &FaultOptions,
    symptom: Symptom,
) -> anyhow::Result<(Input, Complaint)> {
    let states = design.fault_states();
    if let Some(state) = options.state.as_ref().filter(|state| !states.contains(state)) {
        anyhow::bail!("there is no state `{state}`: {}", words(states.iter().map(String::as_str)));
    }
    let mut first = design.fault_input(options.state.as_deref(), options.at.as_deref());
    first.history = super::mended::history(super::test::journal_for(&options.rig)?.as_ref())?;
    let heard = heard_sinks(&first, &design.rig);
    let names = |ends: &[faults::End]| words(ends.iter().map(|end| end.id.as_str()));
    let sink = match &options.at {
        Some(id) => first
            .sinks
            .iter()
            .position(|end| end.id == *id)
            .ok_or_else(|| anyhow::anyhow!("nothing is heard at `{id}`: {}", names(&first.sinks)))?,
        None => heard.first().copied().unwrap_or(0),
    };
    let source = match &options.from {
        Some(id) => first
            .sources
            .iter()
            .position(|end| end.id == *id)
            .ok_or_else(|| anyhow::anyhow!("nothing is played at `{id}`: {}", names(&first.sources)))?,
        None => faults::source_of(&first, sink).unwrap_or(0),
    };
    if symptom == Symptom::NoPower {
        if first.powered.is_empty() {
            anyhow::bail!(
                "no device of this board has a feed yet, so that nothing says what powers it; `boardwright feed` finds one"
            );
        }
        let tags = || words(first.powered.iter().map(|powered| powered.device.as_str()));
        match &options.device {
            None => anyhow::bail!("say which device is without power: --device {}", tags()),
            Some(tag) if first.powered.iter().all(|powered| powered.device != *tag) => {
                anyhow::bail!("nothing powers `{tag}`: {}", tags())
            }
            Some(_) => {}
        }
    }
    if symptom == Symptom::OneSide && heard.len() < 2 {
        anyhow::bail!("this board has one side only");
    }
    Ok((first, Complaint { symptom, sink, source, device: options.device.clone() }))
}

fn answers(options: &FaultOptions) -> anyhow::Result<Vec<Given>> {
    options
        .answer
        .iter()
        .map(|text| {
            let (trial, word) = text
                .split_once('=')
                .ok_or_else(|| anyhow::anyhow!("an answer is written as TRIAL=yes, not `{text}`"))?;
            let answer = Answer::of(word)
                .ok_or_else(|| anyhow::anyhow!("an answer is `yes`, `no` or `unsure`, not `{word}`"))?;
            Ok(Given { trial: trial.to_owned(), answer })
        })
        .collect()
}

fn words<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.collect::<Vec<_>>().join(", ")
}

fn text(input: &Input, complaint: &Complaint, walk: &Walk, asked: usize) -> String {
    let mut out = String::new();
    let all = walk.suspects();
    let left = walk.left();
    let at = input.sinks.get(complaint.sink).map_or("", |end| end.id.as_str());
    let of = complaint.device.clone().unwrap_or_else(|| at.to_owned());
    let _ = writeln!(
        out,
        "{} ({of}; state: {}): {} of {} left",
        complaint.symptom.title(),
        input.state,
        left.len(),
        all.len()
    );
    if all.is_empty() {
        out.push_str("nothing on this board can show that there\n");
        return out;
    }
    let named =
        left.iter().take(NAMED).map(|one| format!("{} {}", input.parts[one.part].id, percent(one.share)));
    let more = if NAMED < left.len() { " …" } else { "" };
    let _ = writeln!(out, "  likeliest: {}{more}", named.collect::<Vec<_>>().join(", "));
    match walk.next() {
        Some(next) => {
            let _ = writeln!(out, "  question {}, about {} more  [{}]", asked + 1, next.more, next.trial.id);
            let tool = next.trial.tool.map(|tool| format!(", with {}", tool.word())).unwrap_or_default();
            let _ = writeln!(out, "  {} {}", next.trial.act, next.trial.question);
            if let Some(first) = &next.trial.first {
                let _ = writeln!(out, "    first: {first}");
            }
            let _ = writeln!(
                out,
                "    {:.1} min{tool}; yes {}, then {} left; no {}, then {} left",
                next.trial.minutes,
                percent(next.yes),
                next.left_if_yes,
                percent(1.0 - next.yes),
                next.left_if_no
            );
        }
        None => {
            let found = walk.found();
            let parts: Vec<&str> = found.iter().map(|one| input.parts[one.part].title.as_str()).collect();
            let _ = writeln!(out, "  found: {}", parts.join("; or "));
            if let Some(first) = found.first() {
                let id = &input.parts[first.part].id;
                let _ = writeln!(out, "  change it. Cured?  [{CURED}{id}]");
            }
        }
    }
    for way in tonight(input, complaint, walk) {
        let without = if way.without.is_empty() {
            "nothing is lost".to_owned()
        } else {
            format!("without {}", way.without.join(", "))
        };
        let _ = writeln!(out, "  play tonight: {}; {without}; {:.0} min", way.act, way.minutes.max(1.0));
    }
    out
}

/// Name and version of the form of a fault.
const SCHEMA: &str = "boardwright.fault.1";

/// What `boardwright fault --format json` prints: what is left, what to try next, and how to play tonight.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FaultAnswer {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// What is complained of.
    symptom: &'static str,
    /// Where it is heard.
    at: Option<String>,
    /// The device without power, where it is that.
    device: Option<String>,
    /// The state of the switches.
    state: String,
    /// What was answered so far, as it is given by `--answer`.
    answers: Vec<String>,
    /// Every suspect, most likely first.
    suspects: Vec<SuspectWire>,
    /// What to try next; null when the fault is found or nothing tells more.
    next: Option<NextWire>,
    /// What is found: parts that nothing here tells apart; empty while there is something to try.
    found: Vec<String>,
    /// Ways to play tonight.
    play_tonight: Vec<AroundWire>,
}

/// One suspect.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Suspect")]
struct SuspectWire {
    /// What it is known by on labels.
    id: String,
    /// What it is.
    kind: &'static str,
    /// What a person calls it.
    title: String,
    /// How likely it is, 0 to 1.
    share: f64,
    /// Whether no answer but one that may have been wrong speaks against it.
    left: bool,
}

/// What to try next.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Next")]
struct NextWire {
    /// Its name, for `--answer`.
    trial: String,
    /// What to do.
    act: String,
    /// What to look or listen for.
    question: String,
    /// What must be done first.
    first: Option<String>,
    /// How long it takes, in minutes.
    minutes: f64,
    /// What must be at hand.
    tool: Option<&'static str>,
    /// How likely a yes is, 0 to 1.
    yes_share: f64,
    /// How many suspects a yes leaves.
    left_if_yes: usize,
    /// How many suspects a no leaves.
    left_if_no: usize,
    /// What the answer tells, in bits.
    bits: f64,
}

/// A way to play tonight.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Around")]
struct AroundWire {
    /// What to do.
    act: String,
    /// The devices that are then not heard.
    without: Vec<String>,
    /// How long it takes, in minutes.
    minutes: f64,
    /// Whether it needs a spare lead.
    needs_spare_lead: bool,
}

fn answer(input: &Input, complaint: &Complaint, walk: &Walk, given: &[Given]) -> FaultAnswer {
    FaultAnswer {
        schema: SCHEMA,
        symptom: complaint.symptom.word(),
        at: input.sinks.get(complaint.sink).map(|end| end.id.clone()),
        device: complaint.device.clone(),
        state: input.state.clone(),
        answers: given.iter().map(Given::written).collect(),
        suspects: walk
            .suspects()
            .iter()
            .map(|one| {
                let part = &input.parts[one.part];
                SuspectWire {
                    id: part.id.clone(),
                    kind: part.kind.word(),
                    title: part.title.clone(),
                    share: one.share,
                    left: one.is_left,
                }
            })
            .collect(),
        next: walk.next().map(|next| NextWire {
            trial: next.trial.id.clone(),
            act: next.trial.act.clone(),
            question: next.trial.question.clone(),
            first: next.trial.first.clone(),
            minutes: next.trial.minutes,
            tool: next.trial.tool.map(faults::Tool::word),
            yes_share: next.yes,
            left_if_yes: next.left_if_yes,
            left_if_no: next.left_if_no,
            bits: next.bits,
        }),
        found: walk.found().iter().map(|one| input.parts[one.part].id.clone()).collect(),
        play_tonight: tonight(input, complaint, walk)
            .into_iter()
            .map(|way| AroundWire {
                act: way.act,
                without: way.without,
                minutes: way.minutes,
                needs_spare_lead: way.needs_spare,
            })
            .collect(),
    }
}
