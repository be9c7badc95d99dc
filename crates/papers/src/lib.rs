//! The printed set: every paper a list of pages, the data they show, and the drawings on them, as PDF.
//!
//! [`PAPERS`] lists the papers there are; [`papers()`] makes them all in one go, in three bindings, and
//! the tables as files of values. Text from a document reaches a template as a value and never as source.
//! Fonts are embedded, nothing is read from the machine, and the same input gives the same bytes.
//!
//! A new paper is a module that builds its `part`, its words in `text`, and a line in [`PAPERS`]; title
//! block, tables, figures and page numbers come from `templates/`. What is computed is computed in `design`.

mod approval;
mod bill;
mod block;
mod brief;
mod cautions;
mod cover;
mod csv;
mod error;
mod fault;
mod findings;
mod handover;
mod labels;
mod layout;
mod leads;
mod measuring;
mod money;
mod order;
mod panel;
mod part;
mod path;
mod photographs;
mod pocket;
mod power;
mod revision;
mod settings;
mod sheet;
mod template;
mod test_sheet;
mod text;
mod words;
mod world;

use design::Design;
use finding::{Finding, Judged};

use block::Block;
use part::{Group, Part};
use sheet::Lie;

pub use error::PaperError;
pub use money::{ChangeOrder, Priced};
pub use path::band;
pub use photographs::Photograph;
pub use sheet::PaperSize;

/// What the papers are made from.
#[derive(Debug, Clone, Copy)]
pub struct PapersInput<'a> {
    /// The design.
    pub design: &'a Design,
    /// What the checks say of it.
    pub findings: &'a [Finding],
    /// What the requirements of the brief wish, met or not, when somebody has judged it.
    pub wishes: &'a [Judged],
    /// The size of the sheets.
    pub paper: PaperSize,
    /// The worst change of tone, when somebody has computed it.
    pub tone: Option<&'a ToneChange>,
    /// What the signal does on each of its ways in all switching states, when somebody has computed it.
    pub ways: &'a [SignalWay],
    /// What was taken for granted about the signal, and what could not be done, in words.
    pub signal_notes: &'a [String],
    /// Earlier revisions and this one, oldest first, as far as they are written down.
    pub revisions: &'a [RevisionNote],
    /// What was found on the bench, when somebody has kept it.
    pub record: Option<&'a design::TestRecord>,
    /// Plots of what was recorded of the finished board, each with its words.
    pub plots: &'a [(String, drawing::Drawing)],
    /// Reels and offcuts of the shop; where there is none of a cable, an endless reel stands in.
    pub shelf: &'a design::Shelf,
    /// The quote, when somebody has priced the job.
    pub priced: Option<Priced<'a>>,
    /// A change from an earlier revision, when one is to be signed.
    pub change: Option<ChangeOrder<'a>>,
    /// What to measure first, when somebody has looked for it: then there is a sheet of it, and the work order has its minutes.
    pub measuring: Option<&'a measure::Answer>,
    /// What was mended or lent out since the handover, by day.
    pub repairs: &'a [RepairNote],
    /// What the shop has mended over all its jobs: it moves the odds of the fault card.
    pub mended: &'a [faults::Repair],
    /// Photographs of devices that the shop keeps.
    pub photographs: &'a [Photograph],
    /// Width of the label tape in millimetres.
    pub tape_mm: f64,
    /// The version of the program, for the foot of each page.
    pub program_version: &'a str,
    /// A hash of what was read (document, catalogue, settings), for the foot of each page.
    pub input_hash: &'a str,
}

/// No cable on the list, and no lead cut.
const NO_SHELF: &design::Shelf = &design::Shelf { cable: Vec::new(), cut: Vec::new() };

impl<'a> PapersInput<'a> {
    /// Papers of this size for a design, with nothing added.
    pub fn new(design: &'a Design, findings: &'a [Finding], paper: PaperSize) -> Self {
        Self {
            design,
            findings,
            wishes: &[],
            paper,
            tone: None,
            ways: &[],
            signal_notes: &[],
            revisions: &[],
            record: None,
            plots: &[],
            shelf: NO_SHELF,
            priced: None,
            change: None,
            measuring: None,
            repairs: &[],
            mended: &[],
            photographs: &[],
            tape_mm: TAPE_MM,
            program_version: "",
            input_hash: "",
        }
    }

    /// Why nothing is to be built from these papers yet, while something stops the board.
    pub(crate) fn halt(&self) -> Option<String> {
        let open = self.findings.iter().filter(|finding| finding.is_open_stop()).count();
        (0 < open).then(|| text::not_for_building(open))
    }

    /// The same for what goes with the board.
    pub(crate) fn halt_handover(&self) -> Option<String> {
        let open = self.findings.iter().filter(|finding| finding.is_open_stop()).count();
        (0 < open).then(|| text::not_for_handover(open))
    }

    /// What this revision replaces, in words.
    pub(crate) fn supersedes(&self) -> String {
        let now = self.design.rig.job.revision.as_deref().unwrap_or_default().trim();
        let before = self.revisions.iter().rev().find(|note| note.letter != now);
        match before {
            Some(note) => note.letter.clone(),
            None if now.is_empty() => text::DASH.to_owned(),
            None if now == "A" => text::NOTHING.to_owned(),
            None => text::all_before(now),
        }
    }
}

/// A repair or a loan, as the client's book shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RepairNote {
    /// The day.
    pub on: String,
    /// What was at fault: `L07`, `D5`.
    pub part: String,
    /// What was found and done, and what was lent, in words.
    pub words: String,
    /// By whom.
    pub by: Option<String>,
}

/// Width of the tape that labels are printed on when nobody says otherwise. *Common practice, no source.*
pub const TAPE_MM: f64 = 12.0;

/// How the treble changes in the worst switching state over all ways, against the guitar straight into the amp.
#[derive(Debug, Clone, PartialEq)]
pub struct ToneChange {
    /// In decibels, with its sign.
    pub change_db: f64,
    /// The devices that are on in that state.
    pub state: Vec<String>,
    /// Where it is heard.
    pub sink: String,
    /// Where a volume pedal stands at that, in words, where it is not as the document has it.
    pub turned: Option<String>,
    /// Whether it is the change at 4 kHz less that at 1 kHz, as where level is taken off on purpose.
    pub by_tone: bool,
    /// Whether it rests on values that are only assumed, or unknown and stood in for.
    pub assumed: bool,
}

/// What the signal does on its way from one source to one sink. All levels are decibels against the source.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SignalWay {
    /// What it comes from, in words.
    pub source: String,
    /// Where it goes, in words.
    pub sink: String,
    /// The frequencies of all curves, in hertz, rising.
    pub frequencies: Vec<f64>,
    /// The player's reference: the source straight into an amp by his usual lead.
    pub reference_db: Vec<f64>,
    /// Highest level over all states at each frequency.
    pub upper_db: Vec<f64>,
    /// Lowest level.
    pub lower_db: Vec<f64>,
    /// The level in the state with the worst of what limits of treble are held against: the change at 4 kHz, or of tone;
    /// empty where there is no one such state.
    pub worst_db: Vec<f64>,
    /// What is on in that state.
    pub worst_state: Vec<String>,
    /// The change at 4 kHz in that state, with its sign.
    pub change_at_4k_db: Option<f64>,
    /// The largest change of treble with a volume pedal turned, where that is more: its place in words, and decibels.
    pub turned: Option<(String, f64)>,
    /// Devices that load the source on purpose, so that the band is of states without them.
    pub left_off: Vec<String>,
    /// Changes at 4 kHz larger than these deserve a look, and are a stop, in decibels.
    pub limits_db: [f64; 2],
    /// Named states, the first with everything off.
    pub states: Vec<StateLevels>,
    /// What the band is where it is not that of all states: bounds, or the extremes of those that were visited, in words.
    pub doubt: Option<String>,
    /// Whether it rests on values that are only assumed, or unknown and stood in for.
    pub assumed: bool,
    /// What is asked of it, each question with its answer.
    pub asked: Vec<(String, String)>,
}

/// What one state does to the level, against the reference. Unknown where nothing arrives.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StateLevels {
    /// The name of the state.
    pub name: String,
    /// Everything that is on in it, loops that are in as `TAG.loop`.
    pub on: Vec<String>,
    /// Change at 4 kHz in decibels.
    pub change_at_4k_db: Option<f64>,
    /// Change at 4 kHz less that at 1 kHz, in decibels.
    pub tone_change_db: Option<f64>,
    /// Loss at 1 kHz in decibels; positive is quieter.
    pub insertion_loss_1k_db: Option<f64>,
}

/// One revision as the record shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RevisionNote {
    /// Its letter.
    pub letter: String,
    /// When it was made.
    pub date: String,
    /// Why.
    pub why: String,
    /// Who agreed.
    pub by: Option<String>,
}

/// A finished paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Its name in the set, fit for a file name: `layout`.
    pub name: &'static str,
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

/// A table as a file of values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableFile {
    /// Its name in the set, fit for a file name: `cut-list`.
    pub name: &'static str,
    /// The paper it belongs to.
    pub paper: &'static str,
    /// The values: UTF-8, RFC 4180.
    pub csv: String,
}

/// Everything that [`papers()`] makes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PaperSet {
    /// The bindings first, then every paper in the order of [`PAPERS`].
    pub papers: Vec<Paper>,
    /// Tables as files.
    pub tables: Vec<TableFile>,
}

/// Papers bound together for those who work with them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Binding {
    /// What the board is built and tested from.
    Bench,
    /// What was asked, agreed, bought and found.
    Office,
    /// What goes with the board.
    Client,
}

impl Binding {
    /// All of them, in the order in which they are needed.
    pub const ALL: [Self; 3] = [Self::Bench, Self::Office, Self::Client];

    /// Its name among the papers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bench => "bench",
            Self::Office => "office",
            Self::Client => "client",
        }
    }

    /// What it is called.
    pub fn title(self) -> &'static str {
        match self {
            Self::Bench => text::BENCH_BINDING,
            Self::Office => text::OFFICE_BINDING,
            Self::Client => text::CLIENT_BINDING,
        }
    }

    /// The binding of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|binding| binding.name() == name)
    }

    /// The name of its first part.
    const fn contents(self) -> &'static str {
        match self {
            Self::Bench => "contents-bench",
            Self::Office => "contents-office",
            Self::Client => "contents-client",
        }
    }

    /// What its pages count.
    fn page(self) -> &'static str {
        match self {
            Self::Bench => text::BENCH_PAGE,
            Self::Office => text::OFFICE_PAGE,
            Self::Client => text::CLIENT_PAGE,
        }
    }
}

/// One kind of paper: its name and what it is for.
#[derive(Debug, Clone, Copy)]
pub struct PaperKind {
    /// Its name in the set.
    pub name: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// Who reads it.
    pub reader: &'static str,
    /// What it is bound with; nothing for what stays loose.
    pub bound: Option<Binding>,
    make: fn(&PapersInput<'_>) -> Part,
}

macro_rules! papers {
    ($($name:literal, $title:ident, $reader:ident, $bound:ident, $make:path;)*) => {
        /// Every paper there is, in the order in which they are bound.
        pub const PAPERS: &[PaperKind] = &[
            $(PaperKind {
                name: $name,
                title: text::$title,
                reader: text::$reader,
                bound: Some(Binding::$bound),
                make: $make,
            },)*
            PaperKind {
                name: "template-sheet",
                title: text::TEMPLATE_SHEET,
                reader: text::FOR_BENCH,
                bound: None,
                make: template::one_sheet,
            },
            PaperKind {
                name: "labels-wrap",
                title: text::LABELS_WRAP,
                reader: text::FOR_BENCH,
                bound: None,
                make: labels::wrapped,
            },
        ];
    };
}

papers! {
    "path", PATH, FOR_BENCH_STAGE, Bench, path::path;
    "layout", LAYOUT, FOR_CLIENT_BENCH, Bench, layout::layout;
    "template", TEMPLATE, FOR_BENCH, Bench, template::template;
    "power", POWER, FOR_BENCH_STAGE, Bench, power::power;
    "leads", LEADS, FOR_BENCH, Bench, leads::leads;
    "labels", LABELS, FOR_BENCH, Bench, labels::labels;
    "panel", PANEL, FOR_BENCH, Bench, panel::panel;
    "order", ORDER, FOR_BENCH, Bench, order::order;
    "tests", TESTS, FOR_BENCH, Bench, test_sheet::tests;
    "brief", BRIEF, FOR_CLIENT, Office, brief::brief;
    "approval", APPROVAL, FOR_CLIENT, Office, approval::approval;
    "bill", BILL, FOR_WORKSHOP, Office, bill::bill;
    "revision", REVISION_RECORD, FOR_WORKSHOP, Office, revision::revision;
    "findings", FINDINGS, FOR_WORKSHOP, Office, findings::findings;
    "handover", HANDOVER, FOR_PLAYER, Client, handover::handover;
    "settings", SETTINGS, FOR_PLAYER, Client, settings::settings;
    "fault", FAULT, FOR_STAGE, Client, fault::fault;
    "pocket", POCKET, FOR_POCKET, Client, pocket::pocket;
}

/// Papers about money. They are made where the job is priced, or where a change is to be signed, and never bound: a
/// stranger who mends the board has no use for them.
pub const MONEY_PAPERS: &[PaperKind] = &[
    PaperKind {
        name: "quote",
        title: text::QUOTE,
        reader: text::FOR_CLIENT,
        bound: None,
        make: money::quote,
    },
    PaperKind {
        name: "invoice",
        title: text::INVOICE,
        reader: text::FOR_CLIENT,
        bound: None,
        make: money::invoice,
    },
    PaperKind {
        name: "change-order",
        title: text::CHANGE_ORDER,
        reader: text::FOR_CLIENT,
        bound: None,
        make: money::change_order,
    },
];

/// Papers of the intake, made where somebody has looked for what to measure, and never bound: they are filled in and typed in.
pub const INTAKE_PAPERS: &[PaperKind] = &[PaperKind {
    name: "measuring",
    title: text::MEASURING,
    reader: text::FOR_WORKSHOP,
    bound: None,
    make: measuring::measuring,
}];

/// Whether people build from a paper.
pub(crate) fn is_built_from(name: &str) -> bool {
    let bench = |kind: &&PaperKind| kind.bound == Some(Binding::Bench) || kind.bound.is_none();
    name == Binding::Bench.contents() || PAPERS.iter().filter(bench).any(|kind| kind.name == name)
}

/// Whether a paper goes with the board.
pub(crate) fn is_handed_over(name: &str) -> bool {
    name == Binding::Client.contents()
        || PAPERS.iter().any(|kind| kind.bound == Some(Binding::Client) && kind.name == name)
}

/// The papers about money that can be made of this input.
fn of_money<'a>(input: &'a PapersInput<'_>) -> impl Iterator<Item = &'static PaperKind> + 'a {
    MONEY_PAPERS.iter().filter(|kind| match kind.name {
        "change-order" => input.change.is_some(),
        // What is not priced in full is quoted as a lower bound, and never invoiced.
        "invoice" => input.priced.is_some_and(|priced| !priced.quote.is_at_least()),
        _ => input.priced.is_some(),
    })
}

/// The papers of the intake that can be made of this input.
fn of_intake(input: &PapersInput<'_>) -> impl Iterator<Item = &'static PaperKind> {
    let is_there = input.measuring.is_some();
    INTAKE_PAPERS.iter().filter(move |_| is_there)
}

/// Every table of the set as a file of values, without setting a page.
pub fn tables(input: &PapersInput<'_>) -> Vec<TableFile> {
    let all = PAPERS.iter().chain(of_money(input)).chain(of_intake(input));
    all.flat_map(|kind| tables_of(kind, &(kind.make)(input))).collect()
}

fn tables_of(kind: &PaperKind, part: &Part) -> Vec<TableFile> {
    part.tables().into_iter().map(|(name, csv)| TableFile { name, paper: kind.name, csv }).collect()
}

/// Makes the papers and bindings of these names, all where none is named.
///
/// A page carries its number in its binding where that is made.
pub fn papers(input: &PapersInput<'_>, only: &[&str]) -> Result<PaperSet, PaperError> {
    let is_named = |name: &str| only.is_empty() || only.contains(&name);
    let mut set = PaperSet::default();
    let mut loose: Vec<Part> = Vec::new();
    let mut groups: Vec<Group> = Binding::ALL
        .map(|binding| Group { binding, parts: Vec::new(), whole: is_named(binding.name()) })
        .into();
    for kind in PAPERS.iter().chain(of_money(input)).chain(of_intake(input)) {
        let group = kind.bound.and_then(|bound| groups.iter_mut().find(|group| group.binding == bound));
        let is_bound = group.as_ref().is_some_and(|group| group.whole);
        if !is_named(kind.name) && !is_bound {
            continue;
        }
        // A board without a panel has no paper about one.
        if kind.name == "panel" && !only.contains(&kind.name) && design::plates(input.design).is_empty() {
            continue;
        }
        let mut part = (kind.make)(input);
        part.own = is_named(kind.name);
        set.tables.extend(tables_of(kind, &part));
        match group {
            Some(group) => group.parts.push(part),
            None => loose.push(part),
        }
    }
    for group in groups.iter_mut().filter(|group| group.whole) {
        let contents = contents(input, group);
        group.parts.insert(0, contents);
    }
    // Each binding is a document of its own, so that it has bookmarks and a structure; they are set beside each other.
    let jobs: Vec<Group> = groups
        .into_iter()
        .filter(|group| !group.parts.is_empty())
        .chain(loose.into_iter().map(Group::loose))
        .collect();
    for printed in world::in_turns(&jobs, |group| part::print(group, input))?.into_iter().flatten() {
        set.papers.push(Paper { name: printed.name, pdf: printed.pdf, pages: printed.pages });
    }
    // Bindings first, in one job or not.
    set.papers.sort_by_key(|paper| Binding::named(paper.name).is_none());
    Ok(set)
}

/// The first page of a binding.
fn contents(input: &PapersInput<'_>, group: &Group) -> Part {
    let rows: Vec<[&'static str; 3]> = PAPERS
        .iter()
        .filter(|kind| group.parts.iter().any(|part| part.name == kind.name))
        .map(|kind| [kind.name, kind.title, kind.reader])
        .collect();
    let binding = group.binding;
    if binding == Binding::Client {
        let wide = sheet::Sheet::of(input.paper, Lie::Portrait).room().0 - 1.5;
        let blocks = cover::cover(input.design, wide, binding.contents(), rows);
        let part = Part::blocks(input, binding.contents(), binding.title(), "", Lie::Portrait, blocks);
        return Part { own: false, ..part };
    }
    let mut blocks = vec![Block::Title(binding.title()), Block::Contents(binding.contents(), rows)];
    blocks.extend(cautions::boxed(input.design));
    blocks.push(Block::Faint(text::ASSUMED_NOTE.to_owned()));
    let part = Part::blocks(input, binding.contents(), binding.title(), "", Lie::Portrait, blocks);
    Part { own: false, ..part }
}
