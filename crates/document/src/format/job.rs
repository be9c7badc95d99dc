//! The rig document itself, and the shop's settings.

use rig::Word as _;

use super::board::BOARD;
use super::catalogue::PICKUP_KEYS;
use super::device::{DEVICE, FASTEN};
use super::{GRAMS, HERTZ, LENGTH, OHMS, PORTION, SHARE, SUM, Shape, Table, VOLTS, given, key, must};

/// A rig document: one job.
pub static RIG: Table = Table {
    name: "rig document",
    doc: "One job: who it is for, what stands on the board, how signal runs, what feeds what.",
    keys: &[
        must("format", Shape::Count(999), "Number of the file format. Today's is 1."),
        must("job", Shape::Table(&JOB), "Title block."),
        key("brief", Shape::Table(&BRIEF), "What the client wants and where the rig will live."),
        key(
            "source",
            Shape::Named(&SOURCE),
            "What is plugged in: guitars, microphones. The name is used in runs.",
        ),
        key("sink", Shape::Named(&SINK), "What the signal ends in: amps, desks. The name is used in runs."),
        key("board", Shape::Table(&BOARD), "The carrier."),
        key(
            "leads",
            Shape::Table(&LEADS),
            "Cable and plugs of leads, unless a run, feed or lead says otherwise.",
        ),
        key(
            "device",
            Shape::Tables(&DEVICE, "tag"),
            "Everything with ports that is placed or stands outside.",
        ),
        key("run", Shape::Tables(&RUN, "name"), "A way that signal or control takes, stop by stop."),
        key("lead", Shape::Tables(&LEAD, ""), "What is special about one lead."),
        key(
            "mass",
            Shape::Values(&Shape::Measure(GRAMS)),
            "Masses of things not listed one by one, by name: leads, mains parts.",
        ),
        key("state", Shape::Tables(&STATE, "name"), "A switching state the player uses."),
        key(
            "switching",
            Shape::Tables(&SWITCHING, "name"),
            "What one switch works: devices that go on and off together, or of which one at a time is on.",
        ),
        key(
            "moment",
            Shape::Tables(&MOMENT, "name"),
            "A moment of a song where the player changes from one state to another.",
        ),
        key(
            "use",
            Shape::Tables(&USE, "name"),
            "A way the board is used: what is plugged in at the same time. Left out: everything may be.",
        ),
        key("accept", Shape::Tables(&ACCEPT, ""), "What the builder answers for, with the reason."),
        key("quote", Shape::Table(&QUOTE), "What the quote says beyond what follows from the rig."),
    ],
};

static QUOTE: Table = Table {
    name: "quote",
    doc: "Terms of this job's quote. Prices are the shop's, `prices.toml`.",
    keys: &[
        key("discount", Shape::Measure(SHARE), "A share of all lines that is taken off."),
        key("discount_sum", Shape::Measure(SUM), "A sum that is taken off instead, without tax."),
        key("discount_for", Shape::Text, "Why, as the client reads it."),
        key("margin", Shape::Measure(SHARE), "Another margin than the shop's."),
        key("valid", Shape::Text, "Until when it holds. Left out: the shop's days from the job's date."),
        key("ready", Shape::Text, "When the rig is ready, as the client reads it."),
        key("excluded", Shape::List(&Shape::Text), "What is not included beyond what the shop excludes."),
        key(
            "option",
            Shape::List(&Shape::Table(&OPTION)),
            "What the client may take or leave, each on its own.",
        ),
    ],
};

static OPTION: Table = Table {
    name: "option",
    doc: "Something the client may take or leave.",
    keys: &[
        must("title", Shape::Text, "What it is, as the client reads it."),
        key(
            "pieces",
            Shape::Values(&Shape::Count(10_000)),
            "Pieces it needs, by what an item of the price file serves: `{ \"flight-case\" = 1 }`.",
        ),
        key("lengths", Shape::Values(&Shape::Measure(LENGTH)), "Lengths it needs, likewise."),
        key("without", Shape::List(&Shape::Text), "Parts that fall away, likewise."),
        key("spare_leads", Shape::List(&Shape::Text), "Numbers of leads that are made a second time."),
        key("minutes", Shape::Count(100_000), "Minutes of work beyond that of its leads."),
        key("minutes_less", Shape::Count(100_000), "Minutes of work that fall away."),
    ],
};

static JOB: Table = Table {
    name: "job",
    doc: "Title block of every paper.",
    keys: &[
        must("title", Shape::Text, "What the rig is called."),
        key("number", Shape::Text, "The workshop's number for the job."),
        key("player", Shape::Text, "The client."),
        key("workshop", Shape::Text, "Who builds."),
        key("drawn_by", Shape::Text, "Who drew it."),
        key("date", Shape::Text, "Date of issue. Papers without one are drafts."),
        key("revision", Shape::Text, "Revision letter."),
        key("mains", Shape::Table(&MAINS), "The mains at home."),
    ],
};

static MAINS: Table = Table {
    name: "mains",
    doc: "A mains supply.",
    keys: &[
        must("volts", Shape::Measure(VOLTS), "Nominal voltage."),
        must("hertz", Shape::Measure(HERTZ), "Nominal frequency."),
    ],
};

static BRIEF: Table = Table {
    name: "brief",
    doc: "What the client wants and where the rig will live.",
    keys: &[
        key("music", Shape::Text, "The music, in the client's words."),
        key("venues", Shape::Text, "Where it is played."),
        key("carried", Shape::Words(&["hand", "car", "van", "air"]), "How it travels."),
        key("carriers", Shape::Count(9), "How many people lift it. Left out: 1."),
        key("touring", Shape::Switch, "Whether it tours; fastening is then judged harder."),
        key("mass_limit", Shape::Measure(GRAMS), "The most it may weigh with its case."),
        key("countries", Shape::List(&Shape::Text), "Countries on the tour list."),
        key("budget", Shape::Text, "The money the client named."),
        key("due", Shape::Text, "The date it must be ready."),
        given("shoe_width", Shape::Measure(LENGTH), "The player's shoe."),
        key("requirements", Shape::List(&Shape::Table(&REQUIREMENT)), "Numbered requirements."),
        key("note", Shape::Text, "Whatever else was said."),
    ],
};

static REQUIREMENT: Table = Table {
    name: "requirement",
    doc: "One numbered requirement.",
    keys: &[
        must("id", Shape::Text, "Its number, `R3`."),
        must("text", Shape::Text, "What is wanted."),
        key(
            "wants",
            Shape::List(&Shape::Table(&WISH)),
            "What of it can be judged: `check` and the approval sheet say of each whether it is met.",
        ),
    ],
};

static WISH: Table = Table {
    name: "wish",
    doc: "One thing that a requirement asks for and that can be judged. It says exactly one of `order`, `place`, `beside`, \
          `together`, `apart`, `spare`, `mass`, `plays`, `mono` and `use`; the other keys say more of that one. Devices \
          are named by their tags.",
    keys: &[
        key(
            "order",
            Shape::List(&Shape::Text),
            "Two devices or more that signal passes in this order, on every route that passes both of a pair.",
        ),
        key("run", Shape::Text, "With `order`: the run that it is judged on. Left out: every one."),
        key(
            "place",
            Shape::Words(rig::Spot::WORDS),
            "Where the devices of `of` stand on their deck. `right-end`, `left-end`: nothing that a foot works stands \
             further out. `front-row`: nothing that a foot works stands between it and the front edge, and it begins \
             in the front half; `back-row` likewise at the back. `under-deck`: it hangs under a deck. `upper-deck`: it \
             stands on a deck above the lowest. `flat`: it stands on no riser and hangs in no bracket. `by-feel`: a foot \
             finds it blind, at one end of the front row.",
        ),
        key("of", Shape::List(&Shape::Text), "With `place` or `use`: the devices."),
        key(
            "beside",
            Shape::List(&Shape::Text),
            "Two devices that stand side by side, with no other body between them; the gap is a limit of the shop.",
        ),
        key(
            "together",
            Shape::List(&Shape::Text),
            "Devices that stand near one another, as one group; the gap is a limit of the shop.",
        ),
        key("apart", Shape::List(&Shape::Text), "Devices whose bodies keep a gap of `by` from one another."),
        key("by", Shape::Measure(LENGTH), "With `apart`: the least gap."),
        key("spare", Shape::Table(&SPARE), "A free place of this size on a deck, for one device more."),
        key("deck", Shape::Text, "With `spare`: the deck. Left out: any."),
        key("mass", Shape::Measure(GRAMS), "The most that the board weighs."),
        key("cased", Shape::Switch, "With `mass`: whether its case counts. Left out: it does not."),
        key(
            "plays",
            Shape::Text,
            "A sink that still gets signal when the devices of `without` are out of action: a route to it passes none \
             of them. What sits in a loop of a switcher is passed by.",
        ),
        key("without", Shape::List(&Shape::Text), "With `plays`: the devices."),
        key(
            "from",
            Shape::Text,
            "With `plays`: the source, or the device that its run begins with. Left out: any.",
        ),
        key(
            "mono",
            Shape::Text,
            "A sink that may be the only one that is heard: nothing that another carries is missing there, and nothing \
             that is summed there is inverted against the rest or too quiet to be heard.",
        ),
        key(
            "use",
            Shape::Words(rig::Frequency::WORDS),
            "How often the devices of `of` are stepped on. `often` wants the front row; `set-and-forget` wants no place \
             in front of what is used often.",
        ),
    ],
};

static SPARE: Table = Table {
    name: "spare place",
    doc: "The size of a free place.",
    keys: &[
        must("width", Shape::Measure(LENGTH), "From left to right."),
        must("depth", Shape::Measure(LENGTH), "From front to back."),
    ],
};

static SOURCE: Table = Table {
    name: "source",
    doc: "Something that makes signal outside the board.",
    keys: &[
        key("title", Shape::Text, "What it is, for papers."),
        key("pickup", Shape::Text, "Its pickup, from the catalogue."),
        key("electrics", Shape::Table(&PICKUP), "Values that differ from the catalogue's."),
        given(
            "volume",
            Shape::Measure(PORTION),
            "How far its volume is up: the share of the pot's resistance below the wiper. Left out: full up.",
        ),
        given(
            "tone",
            Shape::Measure(PORTION),
            "How far its tone is up: the share of the pot's resistance before the capacitor. Left out: full up.",
        ),
        given("lead", Shape::Measure(LENGTH), "Length of the lead to the board."),
        key("cable", Shape::Text, "Catalogue id of that lead's cable."),
        key("plug", Shape::Text, "Catalogue id of the plug that lead brings to the board."),
        super::FROM,
    ],
};

static PICKUP: Table = Table { name: "electrics", doc: "A pickup's electrical values.", keys: PICKUP_KEYS };

static SINK: Table = Table {
    name: "sink",
    doc: "Something outside the board that the signal ends in.",
    keys: &[
        key("title", Shape::Text, "What it is, for papers."),
        key("kind", Shape::Text, "Catalogue id of the amp or desk input."),
        key(
            "amp",
            Shape::Switch,
            "Whether it is an amp, whose level counts, and no desk, whose gain is set by ear. Left out: an amp from 250 kΩ on.",
        ),
        given("z", Shape::Measure(OHMS), "Input impedance."),
        given("lead", Shape::Measure(LENGTH), "Length of the lead from the board."),
        key("cable", Shape::Text, "Catalogue id of that lead's cable."),
        key("plug", Shape::Text, "Catalogue id of the plug that lead brings to the board."),
        given("earthed", Shape::Switch, "Whether it is earthed through its mains lead."),
        given("phantom", Shape::Switch, "Whether it puts phantom power on its input."),
        super::FROM,
    ],
};

static LEADS: Table = Table {
    name: "leads",
    doc: "Cable and plugs by what a lead carries.",
    keys: &[
        key("signal", Shape::Table(&LEAD_DEFAULT), "Signal leads made here."),
        key("dc", Shape::Table(&LEAD_DEFAULT), "Low-voltage supply leads."),
        key("control", Shape::Table(&LEAD_DEFAULT), "Expression, switching and MIDI leads."),
        key("ac", Shape::Table(&LEAD_DEFAULT), "Low-voltage AC leads. Left out: as DC."),
        key("mains", Shape::Table(&LEAD_DEFAULT), "Mains leads."),
        key(
            "retired",
            Shape::List(&Shape::Text),
            "Numbers of leads that were issued and are gone. No other lead gets them: labels bear them still.",
        ),
    ],
};

static LEAD_DEFAULT: Table = Table {
    name: "leads entry",
    doc: "What leads of one class are made of.",
    keys: &[
        key("cable", Shape::Text, "Catalogue id of the cable."),
        key("plug", Shape::Text, "Catalogue id of the plugs, at both ends."),
    ],
};

static RUN: Table = Table {
    name: "run",
    doc: "A way that signal or control takes.",
    keys: &[
        must("name", Shape::Tag, "Its name."),
        key("carries", Shape::Words(rig::Carries::WORDS), "What passes along it. Left out: signal."),
        key(
            "for",
            Shape::Words(rig::Purpose::WORDS),
            "What a signal run is for, where it is not the sound played to: `dry-feed` is tapped off dry on purpose, to a \
             desk or a second amp; on a `listener` only a tuner or meter listens. Left out: judged by where it branches \
             off and ends.",
        ),
        must(
            "stops",
            Shape::List(&Shape::Text),
            "Sources, devices, ports and sinks in order. `A1` stands for its input and output, `A1.OUT` for one port: in the \
             middle of a run the signal then leaves by that port, and comes in by the usual one.",
        ),
        key("cable", Shape::Text, "Catalogue id of the cable of its leads."),
        key("plug", Shape::Text, "Catalogue id of the plugs of its leads."),
    ],
};

static LEAD: Table = Table {
    name: "lead",
    doc: "What is special about one lead, found by its ends: `from` and `to`, or `ends` for a lead with a joint.",
    keys: &[
        key("from", Shape::Text, "The port it comes from, `A1.OUT`, or a source."),
        key("to", Shape::Text, "The port it goes to, or a sink."),
        key(
            "ends",
            Shape::List(&Shape::Text),
            "Three ports or more: one lead with a joint. Pairs, splitters and inserts on one jack of a device are such leads by themselves; what a builder splits with a Y has a run for each branch, and one entry that names all its ends. Their order gives the legs their letters, A first; `-` stands for an end that is gone, so that the others keep theirs: two may be left. Of a jack with three contacts the first branch gets the tip, the second the ring.",
        ),
        key("tag", Shape::Tag, "Its number on labels. Written when it is first issued; then it never moves."),
        key("cable", Shape::Text, "Catalogue id of its cable."),
        key("from_plug", Shape::Text, "Catalogue id of the plug where it comes from."),
        key(
            "from_exit",
            Shape::Words(rig::Exit::WORDS),
            "Where the cable leaves that plug, on the device before turning.",
        ),
        key("to_plug", Shape::Text, "Catalogue id of the plug where it goes to."),
        key(
            "to_exit",
            Shape::Words(rig::Exit::WORDS),
            "Where the cable leaves that plug, on the device before turning.",
        ),
        key(
            "plugs",
            Shape::Values(&Shape::Text),
            "Catalogue ids of the plugs of a lead with a joint, by end: `{ \"A1.INS\" = \"jack-trs-flat\" }`.",
        ),
        key(
            "exits",
            Shape::Values(&Shape::Words(rig::Exit::WORDS)),
            "Where the cable leaves the plugs of a lead with a joint, by end: `{ \"A1.INS\" = \"toe\" }`.",
        ),
        key("crossed", Shape::Switch, "Whether tip and ring are crossed from end to end."),
        key("cut", Shape::Measure(LENGTH), "The length it was cut to, once it is made."),
        key(
            "legs",
            Shape::Values(&Shape::Measure(LENGTH)),
            "What the legs of a lead with a joint were cut to, by end, once it is made.",
        ),
        key(
            "fitted",
            Shape::Switch,
            "Whether it is plugged in or wired. Proposals then leave it as it is where they can.",
        ),
        key(
            "joint",
            Shape::Text,
            "Where its joint lies: `\"120 mm, 80 mm\"`, from the board's front left corner. Left out: the routing places it.",
        ),
        key(
            "ties",
            Shape::List(&Shape::Text),
            "Tie points it passes over, in order: `\"120 mm, 80 mm\"`, from the board's front left corner.",
        ),
        key(
            "service",
            Shape::Measure(LENGTH),
            "Extra cable that stays beside it, so that a device can be lifted out without unplugging.",
        ),
    ],
};

static STATE: Table = Table {
    name: "state",
    doc: "A switching state the player uses; devices not named are bypassed.",
    keys: &[
        must("name", Shape::Tag, "Its name."),
        must("engaged", Shape::List(&Shape::Text), "Tags of the engaged devices."),
    ],
};

static SWITCHING: Table = Table {
    name: "switching",
    doc: "One switch that works several devices or loops. Without it every device is taken to be switched by itself.",
    keys: &[
        must("name", Shape::Tag, "What the switch is called."),
        must(
            "way",
            Shape::Words(rig::SwitchingWay::WORDS),
            "`together`: all are on or all are off. `one-at-a-time`: at most one is on, as with presets and channels.",
        ),
        must(
            "devices",
            Shape::List(&Shape::Text),
            "Two or more tags, or `TAG.loop` for a loop of a switcher: `[\"A1\", \"A3.L1\"]`. A switcher is named by its loops. What is worked together stands in one such entry only.",
        ),
    ],
};

static MOMENT: Table = Table {
    name: "moment",
    doc: "A moment of a song where the player changes from one state to another.",
    keys: &[
        must("name", Shape::Tag, "Its name."),
        must("before", Shape::Text, "The state before."),
        must("after", Shape::Text, "The state after."),
    ],
};

static USE: Table = Table {
    name: "use",
    doc: "A way the board is used: one amp, two amps, a desk feed, a computer. Earth loops are looked for in each of them; \
          where none is said, with everything plugged in.",
    keys: &[
        must("name", Shape::Tag, "Its name."),
        must("ends", Shape::List(&Shape::Text), "The sinks that are plugged in then: `[\"amp\", \"desk\"]`."),
    ],
};

static ACCEPT: Table = Table {
    name: "accept",
    doc: "An answer: what a rule finds that the builder answers for, on named devices, on a class of them, or in the \
          whole job. It gives exactly one of `devices`, `class` and `whole_job`.",
    keys: &[
        must("rule", Shape::Text, "The rule."),
        key(
            "devices",
            Shape::List(&Shape::Text),
            "It covers what is found on these devices and no others, the ends of the signal, `board` and runs among \
             them; each must be named by a finding.",
        ),
        key(
            "class",
            Shape::Words(rig::Acceptance::CLASSES),
            "It covers what is found on any device of this role or any lead of this class.",
        ),
        key("whole_job", Shape::Switch, "It covers whatever the rule finds in this job."),
        must("reason", Shape::Text, "Why, in the builder's words."),
        key("by", Shape::Text, "Who answers."),
    ],
};

/// A shop's settings, `shop.toml`.
pub static SHOP: Table = Table {
    name: "shop settings",
    doc: "What one workshop does differently.",
    keys: &[
        key("name", Shape::Text, "The workshop's name."),
        key(
            "fasten",
            Shape::Table(&FASTEN),
            "What holds a device on its deck, unless it or its kind says otherwise.",
        ),
        key("limits", Shape::Values(&Shape::Text), "Thresholds that differ from the defaults."),
    ],
};

/// A shop's cable, `stock.toml`.
pub static STOCK: Table = Table {
    name: "stock",
    doc: "The cable and parts a shop has. A cut plan takes the offcuts first.",
    keys: &[
        key("reel", Shape::Tables(&HELD, "name"), "Reels. Without a length they count as endless."),
        key("offcut", Shape::Tables(&HELD, "name"), "What is left of reels."),
        key("cut", Shape::Tables(&CUT, ""), "Leads that are cut and booked: no plan cuts them again."),
        key("part", Shape::Tables(&PART, "name"), "Parts other than cable. Order lists use them first."),
    ],
};

static PART: Table = Table {
    name: "part",
    doc: "How much there is of one part: `pieces` or a `length`.",
    keys: &[
        must(
            "name",
            Shape::Text,
            "What the price file knows it by: a catalogue id, or a word such as `label`.",
        ),
        key("pieces", Shape::Count(1_000_000), "How many."),
        key("length", Shape::Measure(LENGTH), "How long, for strip that is bought by length."),
    ],
};

static CUT: Table = Table {
    name: "cut lead",
    doc: "One lead that is cut and booked. Take its table out when the lead is to be cut again.",
    keys: &[
        must("job", Shape::Text, "The folder of its job."),
        must("lead", Shape::Text, "Its number, `L07`, of a leg with its letter, `D03 B`."),
        key("cable", Shape::Text, "Catalogue id of its cable."),
        must("length", Shape::Measure(LENGTH), "How long it was cut."),
    ],
};

static HELD: Table = Table {
    name: "reel or offcut",
    doc: "One length of cable.",
    keys: &[
        must("name", Shape::Tag, "What is written on it."),
        must("cable", Shape::Text, "Catalogue id of its cable."),
        key("length", Shape::Measure(LENGTH), "How long it is. An offcut must say so."),
    ],
};
