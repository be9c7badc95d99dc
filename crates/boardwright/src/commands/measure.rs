//! `boardwright measure`.

use std::fmt::Write;

use measure::{Config, Decides, first};
use schemars::JsonSchema;
use serde::Serialize;

use crate::args::{Measure, OutcomeFormat};
use crate::loaded::{Loaded, VERSION, load_stated};
use crate::shell::{self, Outcome};

/// Name and version of the form.
const SCHEMA: &str = "boardwright.measure.1";

/// What `boardwright measure --format json` prints.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// Version of the program.
    program: &'static str,
    /// Hash of every file that the job was read from.
    inputs_sha256: &'a str,
    /// How many values are assumed or unknown.
    unsure: usize,
    /// Those of them for which there is no plausible range: they were not tried.
    without_range: usize,
    /// How long it takes to measure all that decides, in seconds.
    seconds: u32,
    /// Values of plugs, jacks and cables that were tried with leads as they run, not laid anew.
    not_routed: usize,
    /// Pairs of values that were not tried together.
    not_paired: usize,
    /// What decides, what is worth most for a minute first.
    values: Vec<Value<'a>>,
}

/// A value that decides something.
#[derive(Serialize, JsonSchema)]
struct Value<'a> {
    /// Its address in the document.
    field: String,
    /// The same in words.
    words: String,
    /// The device it belongs to; null for a plug, a cable or the board.
    device: Option<&'a str>,
    /// What is assumed; null where nobody knows.
    assumed: Option<&'a str>,
    /// The lower end of what it may be, or the word that is taken now.
    from: &'a str,
    /// The upper end, or another word it may be.
    to: &'a str,
    /// What measures it.
    tool: &'a str,
    /// How long that takes.
    seconds: u32,
    /// Where to put the tool.
    place: &'a str,
    /// The worst that it changes: `stop`, `look`, `feed` or `cut`.
    effect: &'a str,
    /// From which figure on, or with which word.
    when: &'a str,
    /// What is said then, or no longer.
    says: &'a str,
    /// Whether it is said then; otherwise it is said now, and no longer then.
    comes: bool,
    /// How many findings, lengths and feeds it changes.
    changes: usize,
    /// The rules that say otherwise.
    rules: &'a [String],
    /// The other value without which it changes nothing.
    with: Option<String>,
}

pub(crate) fn run(options: &Measure) -> anyhow::Result<Outcome> {
    let loaded = load_stated(&options.rig)?;
    let config = if options.all { Config::ALL } else { Config::QUICK };
    let answer = first(&loaded.job.rig, &loaded.job.limits, config);
    let text = match options.format {
        OutcomeFormat::Text => text(&answer),
        OutcomeFormat::Json => serde_json::to_string_pretty(&wire(&loaded, &answer))? + "\n",
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

fn wire<'a>(loaded: &'a Loaded, answer: &'a measure::Answer) -> Answer<'a> {
    let value = |value: &'a Decides| Value {
        field: value.field.to_string(),
        words: value.field.words(),
        device: value.device.as_deref(),
        assumed: value.assumed.as_deref(),
        from: &value.range[0],
        to: &value.range[1],
        tool: value.tool.word(),
        seconds: value.seconds,
        place: &value.place,
        effect: value.effect.word(),
        when: &value.when,
        says: &value.says,
        comes: value.comes,
        changes: value.changes,
        rules: &value.rules,
        with: value.with.as_ref().map(ToString::to_string),
    };
    Answer {
        schema: SCHEMA,
        program: VERSION,
        inputs_sha256: &loaded.inputs,
        unsure: answer.unsure,
        without_range: answer.without_range,
        seconds: answer.decides.iter().map(|value| value.seconds).sum(),
        not_routed: answer.not_routed,
        not_paired: answer.not_paired,
        values: answer.decides.iter().map(value).collect(),
    }
}

fn text(answer: &measure::Answer) -> String {
    let mut out = format!("{}\n", answer.summary());
    for (number, value) in answer.decides.iter().enumerate() {
        let _ = writeln!(out, "{:>3}  {}: {}", number + 1, value.field.words(), value.range_words());
        let then = if value.comes { String::new() } else { "no longer: ".to_owned() };
        let _ = writeln!(out, "     {} {}: {then}{}", value.effect.word(), value.when, value.says);
        if let Some(with) = &value.with {
            let _ = writeln!(out, "     only together with {}", with.words());
        }
        let place = if value.place.is_empty() { String::new() } else { format!(": {}", value.place) };
        let _ = writeln!(out, "     {}, {} s{place}", value.tool.word(), value.seconds);
    }
    let by_tool = answer.by_tool();
    if !by_tool.is_empty() {
        let tools = by_tool
            .iter()
            .map(|(tool, count, seconds)| format!("{} {count} ({} min)", tool.word(), seconds.div_ceil(60)));
        let _ = writeln!(out, "{}", tools.collect::<Vec<_>>().join(", "));
    }
    if let Some(left_out) = answer.left_out() {
        let _ = writeln!(out, "not all was tried: {left_out}; `--all` tries it");
    }
    out
}
