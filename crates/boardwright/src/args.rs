//! What can be typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Designs and papers for pedalboard builders.
#[derive(Debug, Parser)]
#[command(name = "boardwright", version, about, max_term_width = 100)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Say what a careful colleague would say of a rig.
    Check(Check),
    /// Tell what a rule means: what, why, source, example, remedy.
    Explain(Explain),
    /// Answer for a finding, with a reason that stays in the document.
    Accept(Accept),
    /// Propose where each device sits: placements that fit, good ones first, or what would make it fit.
    Arrange(Arrange),
    /// Say which outlet feeds what: the best allocation, or why there is none.
    Feed(Feed),
    /// Say what the signal loses on its way, in every switching state.
    Signal(Signal),
    /// Say what to try next when something is dead, weak or hums, and how to play tonight nevertheless.
    Fault(FaultOptions),
    /// Say how each lead runs, how long it is cut, and from what.
    Leads(Leads),
    /// List the catalogue: devices, boards, plugs, cables, pickups, with size, jacks and supply.
    Kinds(Kinds),
    /// List the shop's reels and offcuts of cable, add one, or take the last booking back.
    Stock(StockOptions),
    /// Look a shop folder through, rebuild a damaged journal, back the shop up into one file, restore it.
    #[command(subcommand)]
    Shop(ShopCommand),
    /// Say which values nobody measured decide something: what to measure first, with which tool, and how long it takes.
    Measure(Measure),
    /// Show the numbers of all leads; write them into the document, or number all leads anew.
    Number(Number),
    /// Say what a job costs: parts, packs, minutes, tax, options; or a band before anything is drawn.
    Quote(QuoteOptions),
    /// Say what changes from one revision to another, what it costs, and which leads stay. The exit code is 1 where it brings new stops.
    Change(ChangeOptions),
    /// List what to order from each supplier over one job or all of a shop, or book in what came.
    Order(OrderOptions),
    /// Say the size of a device and where its jacks are, from pictures of it on a sheet of paper.
    Photo(PhotoOptions),
    /// Write test signals, and read what was recorded of them through the finished board.
    Take(Take),
    /// List the rows of the test sheet, keep what was found at one, or sign it. Ends with 1 while a row is due or fails.
    Test(Test),
    /// Print the papers.
    Papers(Papers),
    /// Write a single drawing or the resolved rig for other tools.
    Export(Export),
    /// Begin a new job, blank or from an example.
    New(New),
    /// Open the workbench in the browser.
    Bench(Bench),
    /// Print a generated document of this repository.
    #[command(hide = true)]
    Generate(Generate),
}

/// The job to read.
#[derive(Debug, Args)]
pub(crate) struct Rig {
    /// The job: a folder with `rig.toml`, or the file itself.
    pub(crate) rig: PathBuf,
    /// The shop: a folder with `shop.toml` and `catalogue/`. Left out, the nearest one above the job.
    #[arg(long, value_name = "DIR")]
    pub(crate) shop: Option<PathBuf>,
}

/// How findings are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// With the lines of the document.
    Text,
    /// One line each.
    Line,
    /// For other programs.
    Json,
}

/// Options of `check`.
#[derive(Debug, Args)]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// How findings are shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
    /// Show each finding that waits for a value; without it they are one line of the text, from four on.
    #[arg(long)]
    pub(crate) all: bool,
}

/// Options of `explain`.
#[derive(Debug, Args)]
pub(crate) struct Explain {
    /// The rule; left out, all rules are listed.
    pub(crate) rule: Option<String>,
}

/// Options of `accept`.
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("covers").required(true).args(["devices", "class", "whole_job"]))]
pub(crate) struct Accept {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// The rule of the finding.
    pub(crate) rule: String,
    /// The devices it covers, with commas between.
    #[arg(long, value_delimiter = ',')]
    pub(crate) devices: Vec<String>,
    /// Covers every device of this role, or every lead of this class.
    #[arg(long, value_parser = clap::builder::PossibleValuesParser::new(rig::Acceptance::CLASSES))]
    pub(crate) class: Option<String>,
    /// Covers whatever the rule finds in this job.
    #[arg(long)]
    pub(crate) whole_job: bool,
    /// Why you answer for it.
    #[arg(long)]
    pub(crate) reason: String,
    /// Who answers.
    #[arg(long)]
    pub(crate) by: Option<String>,
}

/// How an outcome is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum OutcomeFormat {
    /// For people.
    Text,
    /// For other programs.
    Json,
}

/// Options of `fault`.
#[derive(Debug, Args)]
pub(crate) struct FaultOptions {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// What is heard. Left out on a terminal: it is asked.
    #[arg(long, value_parser = clap::builder::PossibleValuesParser::new(faults::Symptom::ALL.map(|one| one.1)))]
    pub(crate) symptom: Option<String>,
    /// The amp or desk where it is heard. Left out: the first.
    #[arg(long, value_name = "SINK")]
    pub(crate) at: Option<String>,
    /// What is played. Left out: the first that is heard there.
    #[arg(long, value_name = "SOURCE")]
    pub(crate) from: Option<String>,
    /// The state of the switches. Left out: the first named one in which something is heard.
    #[arg(long)]
    pub(crate) state: Option<String>,
    /// The device without power, with `--symptom no-power`.
    #[arg(long, value_name = "TAG")]
    pub(crate) device: Option<String>,
    /// An answer that was given already, such as `into:D5.IN=yes`; once for each, in their order.
    #[arg(long, value_name = "TRIAL=yes|no|unsure")]
    pub(crate) answer: Vec<String>,
    /// What is not at hand.
    #[arg(long, value_delimiter = ',', value_parser = ::faults::Tool::ALL.map(|(_, word, _)| word))]
    pub(crate) without: Vec<String>,
    /// Write down that this was mended: a lead, a jack, a device, an outlet.
    #[arg(long, value_name = "PART", conflicts_with = "answer")]
    pub(crate) mended: Option<String>,
    /// With `--mended`: what was found.
    #[arg(long, requires = "mended")]
    pub(crate) found: Option<String>,
    /// With `--mended`: what was done.
    #[arg(long, requires = "mended")]
    pub(crate) did: Option<String>,
    /// With `--mended`: what was lent meanwhile, or where the device is.
    #[arg(long, requires = "mended")]
    pub(crate) lent: Option<String>,
    /// With `--mended`: by whom.
    #[arg(long, requires = "mended")]
    pub(crate) by: Option<String>,
    /// With `--mended`: the day, such as 2026-05-14; today where none is given.
    #[arg(long, value_name = "DAY", requires = "mended")]
    pub(crate) on: Option<String>,
    /// List what was mended or lent out.
    #[arg(long)]
    pub(crate) history: bool,
    /// How the outcome is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `arrange`.
#[derive(Debug, Args)]
#[expect(clippy::struct_excessive_bools, reason = "options that are given one by one")]
pub(crate) struct Arrange {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// About how many moves to make; more take longer and find better places.
    #[arg(long, value_name = "N", default_value_t = layout::Config::standard().moves, value_parser = clap::value_parser!(u64).range(1..))]
    pub(crate) moves: u64,
    /// The seed of all chance: the same seed gives the same answer.
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// How many other placements to propose; each is judged, which takes its time.
    #[arg(long, value_name = "K", default_value_t = 0)]
    pub(crate) alternatives: usize,
    /// Only straighten what stands: rows into one line, gaps even, nothing put elsewhere.
    #[arg(long)]
    pub(crate) straighten: bool,
    /// Placements that differ on purpose (tidy, compact, easy under the feet, shortest leads), each beside today's.
    #[arg(long, conflicts_with_all = ["straighten", "write", "alternatives"])]
    pub(crate) choices: bool,
    /// Draw the choices beside each other at one scale, into this file.
    #[arg(long, value_name = "FILE.svg", requires = "choices")]
    pub(crate) draw: Option<PathBuf>,
    /// Which boards of the catalogue the gear fits on, with the free room of the brief: the smallest first.
    #[arg(long, conflicts_with_all = ["choices", "straighten", "write", "alternatives"])]
    pub(crate) boards: bool,
    /// Write the placement into the document; comments stay.
    #[arg(long)]
    pub(crate) write: bool,
    /// How the outcome is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `feed`.
#[derive(Debug, Args)]
pub(crate) struct Feed {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// Write the allocation into the document; comments stay.
    #[arg(long)]
    pub(crate) write: bool,
    /// Take the way out of this number instead: what the check says of it, and with `--write` its edit.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) cure: Option<usize>,
    /// How the outcome is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `signal`.
#[derive(Debug, Args)]
pub(crate) struct Signal {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// Answer for this state: by its name, `everything bypassed`, `everything on`, or the devices that are on, all others off.
    #[arg(long, value_name = "TAG", value_delimiter = ',')]
    pub(crate) state: Option<Vec<String>>,
    /// How the outcome is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `kinds`.
#[derive(Debug, Args)]
pub(crate) struct Kinds {
    /// Only kinds that go by all of these words; of one kind every port with its place is listed, too: `small`, `overdrive`, `treadle`, `brick`, `plug`, `cable`, `board`.
    #[arg(value_name = "WORD")]
    pub(crate) words: Vec<String>,
    /// The shop whose catalogue is laid over ours. Left out, the nearest one above the current folder.
    #[arg(long, value_name = "DIR")]
    pub(crate) shop: Option<PathBuf>,
    /// How the list is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `number`.
#[derive(Debug, Args)]
pub(crate) struct Number {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// Number all leads anew, in the order of the document; says which printed labels that makes wrong.
    #[arg(long)]
    pub(crate) again: bool,
    /// Write it into the document. Without it nothing is changed.
    #[arg(long)]
    pub(crate) write: bool,
}

/// Options of `measure`.
#[derive(Debug, Args)]
pub(crate) struct Measure {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// Try everything: leads are laid anew for every plug, jack and cable, and all pairs are tried. Takes minutes on a
    /// large board.
    #[arg(long)]
    pub(crate) all: bool,
    /// How the list is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `stock`.
#[derive(Debug, Args)]
pub(crate) struct StockOptions {
    /// The shop folder.
    pub(crate) shop: PathBuf,
    /// Add a reel: its name, the catalogue id of its cable, and how long it is if that is known.
    #[arg(long, num_args = 2..=3, value_names = ["NAME", "CABLE", "LENGTH"], conflicts_with_all = ["undo", "redo"])]
    pub(crate) add: Option<Vec<String>>,
    /// What is added is an offcut.
    #[arg(long, requires = "add")]
    pub(crate) offcut: bool,
    /// Take the last change of the stock back.
    #[arg(long, conflicts_with = "redo")]
    pub(crate) undo: bool,
    /// Make the change that was taken back again.
    #[arg(long)]
    pub(crate) redo: bool,
}

/// What is done with a whole shop folder.
#[derive(Debug, Subcommand)]
pub(crate) enum ShopCommand {
    /// Say what is well in a shop folder and what is not; changes nothing. Ends with 1 where something is not well.
    Check {
        /// The shop folder.
        shop: PathBuf,
    },
    /// Rebuild a damaged journal from what can be read of it and from the documents; the damaged file is kept.
    Repair {
        /// The shop folder.
        shop: PathBuf,
    },
    /// Write the whole shop into one new file, also while a workbench runs.
    Backup {
        /// The shop folder.
        shop: PathBuf,
        /// The new file, best on another disk; nothing is written over.
        file: PathBuf,
    },
    /// Make a shop folder of a backup and look it through.
    Restore {
        /// The backup.
        file: PathBuf,
        /// The new folder; nothing is written over.
        folder: PathBuf,
    },
}

/// How a quote is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum QuoteFormat {
    /// For people.
    Text,
    /// For other programs.
    Json,
    /// The lines for a spreadsheet.
    Csv,
}

/// Options of `quote`.
#[derive(Debug, Args)]
pub(crate) struct QuoteOptions {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// A price band from the devices alone, before anything is drawn, by jobs of the shop that are like it.
    #[arg(long)]
    pub(crate) band: bool,
    /// With `--band`: so many devices instead of those in the document.
    #[arg(long, value_name = "N", requires = "band")]
    pub(crate) devices: Option<u32>,
    /// How the quote is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: QuoteFormat,
}

/// Options of `change`.
#[derive(Debug, Args)]
pub(crate) struct ChangeOptions {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// The revision before: a letter of the shop's journal, or another document. With `--if`, left out: the draft.
    #[arg(long, value_name = "REV", required_unless_present = "what_if")]
    pub(crate) from: Option<String>,
    /// A trial on the draft, which stays as it is: `swap TAG KIND`, `add KIND`, `add KIND after TAG`, `amp`, `tour COUNTRY`,
    /// `outlet VOLTS CURRENT`.
    #[arg(long = "if", value_name = "WHAT", conflicts_with = "to")]
    pub(crate) what_if: Option<String>,
    /// The revision after: a letter, another document, or `draft`.
    #[arg(long, value_name = "REV", default_value = "draft")]
    pub(crate) to: String,
    /// How it is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `order`.
#[derive(Debug, Args)]
pub(crate) struct OrderOptions {
    /// The shop folder.
    pub(crate) shop: PathBuf,
    /// Only these jobs; left out, all of the shop.
    #[arg(long, value_name = "JOB", value_delimiter = ',')]
    pub(crate) jobs: Vec<String>,
    /// Book packs in that came: the item's name and how many.
    #[arg(long, num_args = 2, value_names = ["ITEM", "PACKS"], conflicts_with_all = ["undo", "jobs"])]
    pub(crate) received: Option<Vec<String>>,
    /// Take the last change of the stock back.
    #[arg(long)]
    pub(crate) undo: bool,
    /// How the lists are shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: QuoteFormat,
}

/// Options of `leads`.
#[derive(Debug, Args)]
pub(crate) struct Leads {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// Book the cut plan: take what it cuts from the reels and offcuts of the shop.
    #[arg(long)]
    pub(crate) book: bool,
    /// How the outcome is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `test`.
#[derive(Debug, Args)]
pub(crate) struct Test {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// The row that was measured, by its id.
    #[arg(long, value_name = "ID", conflicts_with_all = ["sign", "history"])]
    pub(crate) row: Option<String>,
    /// What was found, with its unit: `47 pF`, `0.13 ohm`, `open`, `9.2 V`, `152 mA`, `yes`, `no`; `-9.2 V` where the meter
    /// shows a minus.
    #[arg(long, value_name = "FOUND", requires = "row", allow_hyphen_values = true)]
    pub(crate) is: Option<String>,
    /// Take back what was said of the row; the history keeps it.
    #[arg(long, requires = "row", conflicts_with = "is")]
    pub(crate) back: bool,
    /// Who measured, answers for it, or signs.
    #[arg(long, value_name = "NAME")]
    pub(crate) by: Option<String>,
    /// The day, as 2026-05-14; today where it is left out.
    #[arg(long, value_name = "DAY")]
    pub(crate) on: Option<String>,
    /// Why what does not pass may stand: whoever is named with --by answers for it.
    #[arg(long, value_name = "WHY", requires_all = ["is", "by"])]
    pub(crate) because: Option<String>,
    /// Sign the sheet as it stands; refused while a row is due, or fails and nobody answers for it.
    #[arg(long, requires = "by", conflicts_with = "history")]
    pub(crate) sign: bool,
    /// Print every answer ever kept, one line each, oldest first.
    #[arg(long)]
    pub(crate) history: bool,
    /// How the sheet is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Options of `photo`.
#[derive(Debug, Args)]
pub(crate) struct PhotoOptions {
    /// The picture from above: JPEG, PNG or WebP, with the whole sheet in it.
    #[arg(value_name = "TOP")]
    pub(crate) top: PathBuf,
    /// A picture of the left side, with the whole sheet in it; so are the others.
    #[arg(long, value_name = "PICTURE")]
    pub(crate) left: Option<PathBuf>,
    /// A picture of the right side.
    #[arg(long, value_name = "PICTURE")]
    pub(crate) right: Option<PathBuf>,
    /// A picture of the back.
    #[arg(long, value_name = "PICTURE")]
    pub(crate) back: Option<PathBuf>,
    /// A picture of the front.
    #[arg(long, value_name = "PICTURE")]
    pub(crate) front: Option<PathBuf>,
    /// The sheet.
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) paper: PaperSize,
    /// How high the device is, such as "46 mm", where no side picture shows it.
    #[arg(long, value_name = "LENGTH")]
    pub(crate) height: Option<quantity::Length>,
    /// How the sizes are shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// A sheet that a device is photographed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperSize {
    /// 210 × 297 mm.
    A4,
    /// 8½ × 11 in.
    Letter,
}

/// Options of `take`.
#[derive(Debug, Args)]
pub(crate) struct Take {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: TakeCommand,
}

/// What `take` does.
#[derive(Debug, Subcommand)]
pub(crate) enum TakeCommand {
    /// Write the test signals as WAV, with a page that tells how to play and record them.
    Signals(TakeSignals),
    /// Read a recording of the board beside one of the straight lead, and say what differs from what is expected.
    Read(TakeRead),
}

/// How samples are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Bits {
    /// 16 bit.
    #[value(name = "16")]
    Pcm16,
    /// 24 bit.
    #[value(name = "24")]
    Pcm24,
    /// 32 bit.
    #[value(name = "32")]
    Pcm32,
    /// Floating point of 32 bit.
    Float,
}

/// Options of `take signals`.
#[derive(Debug, Args)]
pub(crate) struct TakeSignals {
    /// The folder to write to.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Samples in a second, 44100 to 192000: the rate that player and recorder are set to.
    #[arg(long, value_name = "HERTZ", default_value_t = 48_000, value_parser = clap::value_parser!(u32).range(44_100..=192_000))]
    pub(crate) rate: u32,
    /// Bits of a sample.
    #[arg(long, value_enum, default_value = "24")]
    pub(crate) bits: Bits,
}

/// Options of `take read`.
#[derive(Debug, Args)]
pub(crate) struct TakeRead {
    /// The recording through the board, as WAV; or several, of one state each: a file is of the state that has its name, else of the
    /// one that it is nearest to.
    #[arg(required = true, value_name = "BOARD")]
    pub(crate) boards: Vec<PathBuf>,
    /// The recording of the straight lead, as WAV.
    #[arg(long, value_name = "FILE")]
    pub(crate) reference: PathBuf,
    /// The job whose board it is: a folder with `rig.toml`, or the file itself. Without it nothing is expected.
    #[arg(long, value_name = "JOB")]
    pub(crate) rig: Option<PathBuf>,
    /// The shop: a folder with `shop.toml` and `catalogue/`. Left out, the nearest one above the job.
    #[arg(long, value_name = "DIR", requires = "rig")]
    pub(crate) shop: Option<PathBuf>,
    /// The state that was recorded: by its name, `everything bypassed`, `everything on`, or the devices that were on, all others off. Left
    /// out, everything was off.
    #[arg(long, value_name = "TAG", value_delimiter = ',', requires = "rig")]
    pub(crate) state: Option<Vec<String>>,
    /// The source that the player stood in for; left out, the first from which signal arrives.
    #[arg(long, value_name = "NAME", requires = "rig")]
    pub(crate) source: Option<String>,
    /// The amp or desk that the interface stood in for; left out, the first where signal arrives.
    #[arg(long, value_name = "NAME", requires = "rig")]
    pub(crate) sink: Option<String>,
    /// Output impedance of the box that the signals came from; left out, it is taken to be like the pickup.
    #[arg(long, value_name = "OHMS", requires = "rig")]
    pub(crate) source_z: Option<quantity::Ohms>,
    /// Input impedance of the interface; left out, it is taken to be that of the amp or desk.
    #[arg(long, value_name = "OHMS", requires = "rig")]
    pub(crate) input_z: Option<quantity::Ohms>,
    /// Keep the recordings in the job's folder, and write what they say into the rows of its test sheet.
    #[arg(long, requires = "rig")]
    pub(crate) keep: bool,
    /// Who recorded, for the rows of the test sheet.
    #[arg(long, value_name = "NAME", requires = "keep")]
    pub(crate) by: Option<String>,
    /// How the answer is shown.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: OutcomeFormat,
}

/// Sizes of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperName {
    /// 297 × 210 mm, ISO 216.
    A4,
    /// 11 × 8½ in.
    Letter,
}

/// Options of `papers`.
#[derive(Debug, Args)]
pub(crate) struct Papers {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// The folder to write to.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// The paper to print on.
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) paper: PaperName,
    /// Only these papers and bindings, by name; without it, all of them.
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub(crate) only: Vec<String>,
    /// Print a change order against this revision: a letter of the journal, or another document.
    #[arg(long, value_name = "REV")]
    pub(crate) from: Option<String>,
    /// Write one archive, `papers.zip`, instead of single files; the manifest lies in it.
    #[arg(long)]
    pub(crate) zip: bool,
    /// Width of the tape that labels are printed on.
    #[arg(long, value_name = "LENGTH", default_value = "12 mm")]
    pub(crate) tape: quantity::Length,
}

/// What `export` writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ExportAs {
    /// A drawing.
    Svg,
    /// A drawing for other drawing programs (R12), in true millimetres.
    Dxf,
    /// A schedule as values.
    Csv,
    /// The circuit of one state for general simulators.
    Spice,
    /// The resolved rig, every default filled in.
    Json,
}

/// The drawings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum DrawingName {
    /// The plan of all decks or of one.
    Plan,
    /// The view from the right, with the lid.
    Side,
    /// The template of one deck, life-size.
    Template,
    /// The drilling drawing of a panel, life-size.
    Panel,
    /// A panel for a machine, life-size: layers CUT, DRILL, PILOT, ENGRAVE with the legends as strokes, and DIMENSION.
    Plate,
    /// A run as a strip.
    Path,
    /// A supply and what hangs on it.
    Power,
    /// The band of all switching states against the player's reference, on the way to one amp or desk.
    Band,
}

/// Options of `export`.
#[derive(Debug, Args)]
pub(crate) struct Export {
    #[command(flatten)]
    pub(crate) rig: Rig,
    /// What to write.
    #[arg(long = "as", value_enum, value_name = "KIND")]
    pub(crate) kind: ExportAs,
    /// Which drawing.
    #[arg(long, value_enum, default_value = "plan")]
    pub(crate) drawing: DrawingName,
    /// One deck only, for the plan and the template.
    #[arg(long)]
    pub(crate) deck: Option<String>,
    /// Which run, panel, supply, amp or desk, or for a circuit the source that drives it; left out, the first.
    #[arg(long, value_name = "NAME")]
    pub(crate) of: Option<String>,
    /// The panel seen from inside, mirrored.
    #[arg(long)]
    pub(crate) rear: bool,
    /// Which table, for CSV.
    #[arg(long, value_name = "NAME")]
    pub(crate) table: Option<String>,
    /// The state of a circuit: by its name, `everything bypassed`, `everything on`, or the devices that are on, all others off.
    #[arg(long, value_name = "TAG", value_delimiter = ',')]
    pub(crate) state: Vec<String>,
    /// Scale of the drawing, as 1:N.
    #[arg(long, default_value = "1:1", value_parser = scale)]
    pub(crate) scale: u32,
    /// The file to write; left out, standard output.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
}

fn scale(text: &str) -> Result<u32, String> {
    text.strip_prefix("1:")
        .and_then(|number| number.trim().parse().ok())
        .filter(|number| (1..=100).contains(number))
        .ok_or_else(|| "a scale is written 1:5, from 1:1 to 1:100".to_owned())
}

/// Options of `new`.
#[derive(Debug, Args)]
pub(crate) struct New {
    /// The folder to make.
    pub(crate) dir: PathBuf,
    /// Begin from this example instead of a blank job.
    #[arg(long, value_name = "EXAMPLE")]
    pub(crate) from: Option<String>,
    /// What the rig is called.
    #[arg(long)]
    pub(crate) title: Option<String>,
}

/// Options of `bench`.
#[derive(Debug, Args)]
pub(crate) struct Bench {
    /// The shop: a folder of jobs. Left out, your own among your documents, made when it is not there.
    pub(crate) shop: Option<PathBuf>,
    /// The port to listen on; 0 takes a free one.
    #[arg(long, default_value_t = 4680)]
    pub(crate) port: u16,
    /// Do not open the browser.
    #[arg(long)]
    pub(crate) no_open: bool,
    /// Listen on this address instead of this machine's own; needs a token.
    #[arg(long, value_name = "ADDR")]
    pub(crate) listen: Option<std::net::IpAddr>,
    /// The file with the token that every visitor must show: at least 16 letters and digits, read by you alone. Made when it
    /// is not there. Left out, the variable `BOARDWRIGHT_TOKEN` has the token.
    #[arg(long, value_name = "FILE")]
    pub(crate) token_file: Option<PathBuf>,
    /// Refused: everybody on this machine reads it in the list of programs.
    #[arg(long, hide = true)]
    pub(crate) token: Option<String>,
}

/// Options of `generate`.
#[derive(Debug, Args)]
pub(crate) struct Generate {
    /// Which document.
    pub(crate) name: String,
}
