//! `boardwright test`: the rows of the test sheet, and what was found at them.

use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use design::{Design, Expected, TestPart, TestRecord, TestState, Tested};
use schemars::JsonSchema;
use serde::Serialize;
use store::Store;
use workbench::Given;

use crate::args::{OutcomeFormat, Rig, Test};
use crate::loaded::load;
use crate::shell::{self, Outcome};

/// Name and version of the form.
const SCHEMA: &str = "boardwright.test.1";

/// The test sheet with what was found.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Sheet<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// Every row, in the order of the sheet.
    rows: Vec<Row<'a>>,
    /// The signature; null where it is not signed as it stands.
    signed: Option<Signed<'a>>,
    /// The fewest switching states in which everything that can be switched is once on and once off.
    states: Exercise,
}

/// A row of the test sheet.
#[derive(Serialize, JsonSchema)]
struct Row<'a> {
    /// Its id, which stays.
    id: &'a str,
    /// The lead, outlet, device or state.
    subject: &'a str,
    /// What is done or looked at.
    what: &'a str,
    /// What should be found, in words.
    expected: String,
    /// What passes, in words; empty where whatever is found is written down.
    limit: String,
    /// What it is answered with: `ohms`, `picofarads`, `volts`, `milliamps`, `decibels`, `dbu`, `yes-no` or
    /// `words`.
    reads: &'static str,
    /// How it stands: `due`, `passed`, `failed`, `answered-for` or `noted`.
    state: &'static str,
    /// What was found, with its unit; null where nothing was.
    found: Option<&'a str>,
    /// By whom.
    by: Option<&'a str>,
    /// On which day.
    on: Option<&'a str>,
    /// At which revision.
    revision: Option<&'a str>,
    /// Who answers for what does not pass says this.
    answer: Option<&'a str>,
    /// What has changed since it was found, so that it is due again.
    changed: &'a [String],
}

/// Who signed.
#[derive(Serialize, JsonSchema)]
struct Signed<'a> {
    /// Who.
    by: &'a str,
    /// On which day.
    on: &'a str,
    /// At which revision.
    revision: &'a str,
}

/// States that exercise everything.
#[derive(Serialize, JsonSchema)]
struct Exercise {
    /// What is on in each; all else is off.
    engaged: Vec<Vec<String>>,
    /// Whether it is proven that no fewer do.
    is_fewest: bool,
    /// What cannot be both on and off by switching.
    fixed: Vec<String>,
    /// Numbers of the leads along which signal goes in every state: they are off only when they are unplugged.
    always: Vec<String>,
}

pub(crate) fn run(options: &Test) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let design = &loaded.design;
    let shop = shop_of(&options.rig);
    let job = super::stock::job_of(&options.rig)?;
    let writes = options.row.is_some() || options.sign;
    let open = || -> anyhow::Result<Store> {
        let shop = shop.as_ref().context("there is no shop to keep it in; name its folder with --shop")?;
        Ok(shell::open_shop(shop)?)
    };
    if options.history {
        let mut out = String::from("row\tfound\tby\tday\trevision\tanswer\n");
        for one in open()?.readings(&job)? {
            let texts =
                [&one.row, &one.said, one.by.as_ref().unwrap_or(&String::new()), &one.on, &one.revision]
                    .map(|text| text.replace(['\t', '\n'], " "))
                    .join("\t");
            out += &format!("{texts}\t{}\n", one.answer.unwrap_or_default());
        }
        shell::data(&out)?;
        return Ok(Outcome::Clean);
    }
    if !writes {
        let record = record_for(&options.rig, design)?;
        return shown(options, design, &record);
    }
    let store = open()?;
    if let Some(row) = &options.row {
        let said = match (&options.is, options.back) {
            (Some(said), false) => said.as_str(),
            (None, true) => "",
            _ => bail!("say what was found with --is, or take an answer back with --back"),
        };
        let given = Given {
            said,
            by: options.by.as_deref(),
            on: options.on.as_deref(),
            answer: options.because.as_deref(),
        };
        let record = workbench::keep(&store, &job, design, row, given)?;
        let one = record.row(row).context("the row is gone")?;
        if options.format == OutcomeFormat::Json {
            return shown(options, design, &record);
        }
        shell::data(&line(one))?;
        return Ok(if one.state == TestState::Failed { Outcome::Stop } else { Outcome::Clean });
    }
    let by = options.by.as_deref().context("whoever signs is named with --by")?;
    let record = workbench::sign(&store, &job, design, by, options.on.as_deref())?;
    shown(options, design, &record)
}

/// The shop of a job; one that stands alone is kept in the folder around it.
pub(crate) fn shop_of(rig: &Rig) -> Option<PathBuf> {
    super::stock::shop_of(rig).or_else(|| {
        let path = crate::loaded::document_path(rig).ok()?;
        path.parent()?.parent().map(Path::to_path_buf)
    })
}

/// The journal of the shop of a job, where there is one.
pub(crate) fn journal_for(rig: &Rig) -> anyhow::Result<Option<store::Store>> {
    shop_of(rig).map_or(Ok(None), |shop| shell::journal_of(&shop))
}

/// The test sheet of a job with what was found; empty where its shop has no journal.
pub(crate) fn record_for(rig: &Rig, design: &Design) -> anyhow::Result<TestRecord> {
    match journal_for(rig)? {
        Some(store) => Ok(workbench::record(&store, &super::stock::job_of(rig)?, design)?),
        None => Ok(TestRecord::new(design, &[])),
    }
}

/// Plots of what was recorded of a job's board.
pub(crate) fn plots_for(rig: &Rig, design: &Design) -> anyhow::Result<Vec<(String, drawing::Drawing)>> {
    match journal_for(rig)? {
        Some(store) => Ok(workbench::plots(&store, &super::stock::job_of(rig)?, design)?),
        None => Ok(Vec::new()),
    }
}

fn shown(options: &Test, design: &Design, record: &TestRecord) -> anyhow::Result<Outcome> {
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&sheet(design, record))? + "\n",
        OutcomeFormat::Text => told(record) + &unplugged(&design::exercise(design, false).always),
    };
    shell::data(&text)?;
    Ok(if record.can_be_signed() { Outcome::Clean } else { Outcome::Stop })
}

fn sheet<'a>(design: &Design, record: &'a TestRecord) -> Sheet<'a> {
    let states = design::exercise(design, false);
    Sheet {
        schema: SCHEMA,
        rows: record.rows.iter().map(row).collect(),
        signed: record.signed.as_ref().map(|one| Signed {
            by: one.by.as_deref().unwrap_or_default(),
            on: &one.on,
            revision: &one.revision,
        }),
        states: Exercise {
            engaged: states.states,
            is_fewest: states.is_fewest,
            fixed: states.fixed,
            always: states.always,
        },
    }
}

fn row(one: &Tested) -> Row<'_> {
    let found = one.found.as_ref();
    let changed: &[String] = if let TestState::Due(changed) = &one.state { changed } else { &[] };
    Row {
        id: &one.row.line.id,
        subject: &one.row.line.subject,
        what: &one.row.line.what,
        expected: expected(one),
        limit: one.row.limit_words(),
        reads: one.row.reads.word(),
        state: one.state.word(),
        found: found.map(|found| found.said.as_str()),
        by: found.and_then(|found| found.by.as_deref()),
        on: found.map(|found| found.on.as_str()),
        revision: found.map(|found| found.revision.as_str()),
        answer: found.and_then(|found| found.answer.as_deref()),
        changed,
    }
}

fn expected(one: &Tested) -> String {
    match &one.row.line.expected {
        Expected::Figure { value, unit, decimals, .. } => format!("{value:.decimals$} {unit}"),
        Expected::Words(words) => words.clone(),
        Expected::Unknown(unit) => format!("not known, write down {unit}"),
    }
}

/// A row in two lines at most.
fn line(one: &Tested) -> String {
    let limit = one.row.limit_words();
    let limit = if limit.is_empty() || limit == "yes" {
        String::new()
    } else if one.row.line.part == TestPart::Recordings {
        format!(", passes {limit}")
    } else {
        format!(", passes {limit} {}", one.row.reads.unit()).trim_end().replace("MΩ Ω", "MΩ")
    };
    let mark = match one.state {
        TestState::Due(_) => "due   ",
        TestState::Passed => "pass  ",
        TestState::Failed => "FAILS ",
        TestState::AnsweredFor => "stands",
        TestState::Noted => "noted ",
    };
    let mut out = format!(
        "{mark}  {:<20} {}, {}: {}{limit}\n",
        one.row.line.id,
        one.row.line.subject,
        one.row.line.what,
        expected(one)
    );
    if let Some(found) = &one.found {
        let by = found.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
        let at =
            if found.revision.is_empty() { String::new() } else { format!(", revision {}", found.revision) };
        let was = if matches!(one.state, TestState::Due(_)) { "was" } else { "found" };
        out += &format!("        {was} {}, {}{by}{at}\n", found.said, found.on);
        if let (TestState::AnsweredFor, Some(why)) = (&one.state, &found.answer) {
            out += &format!("        answered for: {why}\n");
        }
    }
    if let TestState::Due(changed) = &one.state {
        for what in changed.iter().take(3) {
            out += &format!("        since then {what}\n");
        }
        if 3 < changed.len() {
            out += &format!("        and {} more changes\n", changed.len() - 3);
        }
    }
    out
}

/// What no switch takes out of the way.
fn unplugged(always: &[String]) -> String {
    if always.is_empty() {
        return String::new();
    }
    format!(
        "signal goes along {} in every state: these leads are off only when they are unplugged\n",
        always.join(", ")
    )
}

fn told(record: &TestRecord) -> String {
    let mut out = String::new();
    let mut part = None;
    for one in &record.rows {
        let own = one.row.line.part;
        if part != Some(own) {
            out += &format!("{}{}\n", if part.is_some() { "\n" } else { "" }, own.title());
            part = Some(own);
        }
        out += &line(one);
    }
    let count = |is: fn(&TestState) -> bool| record.count(is);
    let all = record.rows.len();
    let passed = count(|state| matches!(state, TestState::Passed | TestState::Noted));
    let failed = count(|state| *state == TestState::Failed);
    let stands = count(|state| *state == TestState::AnsweredFor);
    let due = count(|state| matches!(state, TestState::Due(_)));
    out += &format!("\n{passed} of {all} rows pass, {failed} fail, {stands} answered for, {due} due\n");
    match (&record.signed, &record.last_signed) {
        (Some(signed), _) => {
            let at = if signed.revision.is_empty() {
                String::new()
            } else {
                format!(", revision {}", signed.revision)
            };
            out += &format!("signed by {}, {}{at}\n", signed.by.as_deref().unwrap_or_default(), signed.on);
        }
        (None, Some(signed)) => {
            out += &format!(
                "signed on {}, and results have changed since: not signed as it stands\n",
                signed.on
            );
        }
        (None, None) if record.can_be_signed() => out += "not signed: --sign --by NAME signs it\n",
        (None, None) => out += "not signed\n",
    }
    out
}
