//! Words of the papers for bench and workshop.

use design::{BillGroup, Plate, TestPart};

// Names of papers.
pub(crate) const PATH: &str = "Signal path";
pub(crate) const LAYOUT: &str = "Layout";
pub(crate) const TEMPLATE: &str = "Template 1 : 1, in tiles";
pub(crate) const TEMPLATE_SHEET: &str = "Template 1 : 1, one sheet";
pub(crate) const POWER: &str = "Power map and DC leads";
pub(crate) const LEADS: &str = "Lead schedule and cut list";
pub(crate) const LABELS: &str = "Labels";
pub(crate) const LABELS_WRAP: &str = "Labels to wrap around";
pub(crate) const PANEL: &str = "Panel and drilling template";
pub(crate) const BILL: &str = "Bill of materials";
pub(crate) const ORDER: &str = "Work order";
pub(crate) const TESTS: &str = "Test sheet";
pub(crate) const FINDINGS: &str = "Findings";

// Who reads them.
pub(crate) const FOR_BENCH: &str = "bench";
pub(crate) const FOR_BENCH_STAGE: &str = "bench, stage";
pub(crate) const FOR_WORKSHOP: &str = "workshop";

// Columns that several tables have.
pub(crate) const ORDER_NUMBER: &str = "no.";
pub(crate) const LEAD: &str = "lead";
pub(crate) const CLASS: &str = "class";
pub(crate) const FROM: &str = "from";
pub(crate) const TO: &str = "to";
pub(crate) const EXIT: &str = "exit";
pub(crate) const PLUG: &str = "plug";
pub(crate) const CABLE: &str = "cable";
pub(crate) const CUT: &str = "cut";
pub(crate) const OPEN: &str = "open";
pub(crate) const WHAT: &str = "what";
pub(crate) const DEVICE: &str = "device";
pub(crate) const OUTLET: &str = "outlet";
pub(crate) const MEASURED: &str = "measured";
pub(crate) const SIGN: &str = "polarity";
pub(crate) const TAG: &str = "tag";
pub(crate) const JACK: &str = "jack";
pub(crate) const MASS: &str = "mass";
pub(crate) const COMES_FROM: &str = "source";
pub(crate) const TICK_PLUGGED: &str = "in";
pub(crate) const ASSUMED_LETTER: &str = " assumed";

/// An exit, after a plug.
pub(crate) fn exit(word: &str) -> String {
    format!("exit {word}")
}

// Leads.
pub(crate) const LEAD_SHEET: &str = "Lead sheet";
pub(crate) const LEAD_SHEET_NOTE: &str = "By batch; the number counts the order of plugging. Below a port: the way the cable \
     leaves its plug, seen on the device before it is turned. A dotted length rests on something open or assumed: lay a string \
     before cutting. Twist: hold the lead straight, look along it from the first end, turn the second plug clockwise by so \
     much (picture: first plug up). Contacts go tip to tip, sleeve to sleeve, centre to centre, unless a sketch below says \
     otherwise.";
pub(crate) const IN_ORDER: &str = "no.";
pub(crate) const TWIST: &str = "twist";
pub(crate) const NOT_MADE_HERE: &str = "Not made here";

/// A loop of cable that stays beside a lead.
pub(crate) fn service_loop(mm: &str) -> String {
    format!("{mm} of it a loop")
}

/// From which offcut or reel, and where on it.
pub(crate) fn cut_from(source: &str, at_mm: i64) -> String {
    format!("{source}, at {at_mm}")
}

pub(crate) const SECOND_TURNED: &str = "twist between plugs";

/// Leads that no plan cuts again.
pub(crate) fn cut_already(leads: &str) -> String {
    format!("Cut and booked already: {leads}.")
}

/// How an adaptor lies in its socket.
pub(crate) fn lies(lies: rig::Lie) -> &'static str {
    match lies {
        rig::Lie::Upright => "adaptor upright",
        rig::Lie::OnItsSide => "adaptor on its side",
        rig::Lie::UpsideDown => "adaptor upside down",
    }
}

/// What keeps an adaptor in its socket.
pub(crate) fn held(held: rig::Held) -> &'static str {
    match held {
        rig::Held::Loose => "held by its prongs alone",
        rig::Held::Strap => "held by a strap",
        rig::Held::Cradle => "held in a cradle",
        rig::Held::Clamp => "clamped",
    }
}

/// An adaptor's lead that is cut shorter, and who agreed to it.
pub(crate) fn shortened(mm: &str, consent: &str) -> String {
    format!("lead shortened to {mm} mm, agreed: {consent}; supply unplugged first")
}

/// A shorter lead that nobody agreed to.
pub(crate) fn not_shortened(mm: &str) -> String {
    format!("NOT CUT: nobody agreed to the {mm} mm that are written down; the lead stays whole")
}

pub(crate) const COILED: &str = "lead stays whole, the rest coiled away from coils";
pub(crate) const JOINTS: &str = "Leads with a joint, and crossed leads";
pub(crate) const JOINTS_NOTE: &str = "Plates are the ends, with their legs and cut lengths; lines are wires from contact \
     to contact. A joint: legs laid over one another for 15 mm, twisted, soldered, each wire in its own sleeve, one lined \
     sleeve over all; tied on both sides, at least 25 mm from any plug. Meter every wire before it is plugged.";

/// The head of a sketch of a lead with a joint.
pub(crate) fn joint(tag: &str, shape: &str, ends: usize, at: Option<&str>) -> String {
    if ends < 3 {
        return format!("{tag}: crossed");
    }
    format!("{tag}: {shape}, {ends} ends, {}", at.unwrap_or("one joint"))
}

pub(crate) const LOOMS: &str = "Looms";
pub(crate) const LOOMS_NOTE: &str = "Each loom straight, as it is tied: figures along the foot are millimetres along the \
     trunk, those beside the ports the tail to each plug’s cable exit, on the way and before slack.";
pub(crate) const LOOM: &str = "loom";
pub(crate) const SOURCE: &str = "from";
pub(crate) const BEGINS: &str = "begins";
pub(crate) const PIECE: &str = "piece";
pub(crate) const REEL: &str = "reel";
pub(crate) const OFFCUT: &str = "offcut";
pub(crate) const NO_SOURCE: &str = "no cable in stock is long enough";

/// The head of a cable's cuts.
pub(crate) fn cuts_note(pieces: usize, fresh_m: &str, waste_mm: i64, proven: bool) -> String {
    let proof = if proven { "no plan takes less" } else { "best found" };
    let plural = if pieces == 1 { "piece" } else { "pieces" };
    format!("{pieces} {plural}, {fresh_m} m off the reel, {waste_mm} mm scrap; {proof}")
}

/// The head of a loom.
pub(crate) fn loom(number: usize, class: &str, leads: usize, trunk_mm: &str) -> String {
    format!("Loom {number}: {leads} {class} leads, trunk {trunk_mm} mm")
}
/// Head of what is measured and written down, where the unit says what.
pub(crate) const OHMS: &str = "found";
pub(crate) const SLEEVES: &str = "sleeves";
pub(crate) const EXIT_FREE: &str = "any";
pub(crate) const TICK_CUT: &str = "cut";
pub(crate) const TICK_MADE: &str = "made";
pub(crate) const TICK_TESTED: &str = "tested";
pub(crate) const OPEN_CABLE: &str = "cable not decided";
pub(crate) const NO_LEADS_TO_MAKE: &str = "No leads to make.";
/// In place of a cut plan where all is cut.
pub(crate) const NOTHING_TO_CUT: &str = "Nothing is left to be cut.";
pub(crate) const NO_LEADS: &str = "No leads.";

/// What an angle between two plugs means, in few words.
pub(crate) fn turned(degrees: u32) -> &'static str {
    match degrees {
        0 => "same way",
        90 => "¼ turn",
        180 => "opposite",
        _ => "¾ turn",
    }
}

/// The same plug at both ends.
pub(crate) fn both_ends(plug: &str) -> String {
    format!("{plug}, both ends")
}

/// The head of a batch.
pub(crate) fn batch(number: usize, cable: &str, ends: &str) -> String {
    format!("Batch {number}: {cable}; {ends}")
}

/// How much is stripped for a plug.
pub(crate) const AT_EACH_PLUG: &str = "at each plug";
pub(crate) fn at_plug(plug: &str) -> String {
    format!("for the {plug}")
}
pub(crate) fn strip(at: &str, jacket: &str, core: &str, mark: &str) -> String {
    format!("; {at} strip {jacket} mm of the jacket, {core} mm of each core{mark}")
}

/// What computed lengths rest on: what each of these is followed by names.
pub(crate) const CUT_RESTS_ON: [&str; 10] = [
    "size of",
    "place of",
    "where the jacks are on",
    "depth of plugs, and the cable they use up",
    "thickness of cables",
    "plugs or exits still open of leads",
    "bracket of",
    "size of the adaptor of",
    "room below deck",
    "what stands behind the jacks of",
];

/// Where computed lengths come from; what they rest on follows.
pub(crate) const CUTS_REST_ON: &str = "Cut lengths are computed from the drawing unless a lead is marked made. They rest on \
    values nobody has measured yet. Measure these, or try a piece of string, before a row is cut:";

/// How many leads a batch has, and how long they are together.
pub(crate) fn batch_note(count: usize, metres: &str, unknown: usize, inside: &str) -> String {
    let leads = if count == 1 { "lead" } else { "leads" };
    let lacks = if unknown == 0 { String::new() } else { format!(", {unknown} of unknown length") };
    format!("{count} {leads}, {metres} m{inside}{lacks}")
}

// Power.
pub(crate) const NO_BRICKS: &str = "No supply with low-voltage outlets.";
pub(crate) const SOCKETS: &str = "Sockets of the strips";
pub(crate) const SOCKETS_NOTE: &str = "covered: a plug of its pattern has no room; leave it empty";
pub(crate) const SOCKET: &str = "Socket";
pub(crate) const PATTERN: &str = "Pattern";
pub(crate) const PITCH: &str = "To the next";
pub(crate) const STANDS: &str = "Free, used or covered";
pub(crate) const LOADS: &str = "Supplies as a whole";
pub(crate) const LOADS_NOTE: &str = "unused outlets are capped and labelled spare";
pub(crate) const BRICK: &str = "supply";
pub(crate) const TAKEN: &str = "taken";
pub(crate) const GIVES: &str = "gives";
pub(crate) const DC_LEADS: &str = "DC leads";
pub(crate) const DC_NOTE: &str = "Meter every end, volts and polarity, before it is plugged. Set the outlet first, photograph the \
     selector, tape it over.";
pub(crate) const SET: &str = "set";
pub(crate) const ARRIVES: &str = "arrives";
pub(crate) const PLUG_AT_DEVICE: &str = "plug at device";
pub(crate) const SIGN_FOUND: &str = "polarity found";
pub(crate) const DRAWS: &str = "draws";
pub(crate) const SIGN_AC: &str = "AC";
pub(crate) const SIGN_NEGATIVE: &str = "c−";
pub(crate) const SIGN_POSITIVE: &str = "c+";
pub(crate) const SIGN_UNKNOWN: &str = "c?";
pub(crate) const SERIES: &str = "series pair";
pub(crate) const PARALLEL: &str = "parallel pair";
pub(crate) const ADAPTOR: &str = "own adaptor";
pub(crate) const CROSSING: &str = "crossing lead";
pub(crate) const NEVER: &str = "Never";
pub(crate) const TAG_BOTH_ENDS: &str = "Tag both ends of these leads";
pub(crate) const TAGS: &str = "tag every end";
pub(crate) const UNFED: &str = "No feed yet";
pub(crate) const ISOLATED: &str = "outlets";
/// What a supply lead is called that has no number.
pub(crate) const ITS_LEAD: &str = "its lead";
/// What a pair gives where its volts are not known.
pub(crate) const BOTH_VOLTS: &str = "the volts of both outlets together";

pub(crate) fn never_series(lead: &str, volts: &str, outlets: &str, device: &str) -> String {
    format!(
        "The plug of {lead} at {device} carries {volts}, from {outlets} in series: put it into {device} and into no other \
         device, which it may destroy. Both its ends at the supply are in, or neither; nothing else goes on these outlets."
    )
}

pub(crate) fn never_high(outlets: &str, volts: &str, devices: &str) -> String {
    format!(
        "{outlets} gives {volts}: {devices} only. More than 9 V may destroy a device that is made for 9 V."
    )
}

pub(crate) fn never_ac(lead: &str, device: &str) -> String {
    format!(
        "{lead} carries AC for {device}: put it into no other device, which it would destroy, and put no DC lead into \
         {device}."
    )
}

pub(crate) fn never_other_ac(device: &str) -> String {
    format!(
        "{device} runs on its own AC adaptor alone. Its plug destroys other devices; a DC lead does not run {device}."
    )
}

pub(crate) fn never_other_adaptor(device: &str) -> String {
    format!(
        "{device} runs on its own adaptor alone: another that fits may have other volts or the other polarity, and \
         destroy it."
    )
}

pub(crate) fn never_positive(lead: &str, device: &str) -> String {
    format!(
        "{lead} is centre positive, for {device} alone. The other leads are centre negative: they may destroy {device}, \
         and {lead} may destroy any other device."
    )
}

pub(crate) fn never_crossed(lead: &str, device: &str) -> String {
    format!("{lead} swaps the polarity for {device}: put it into no other device, which it may destroy.")
}

pub(crate) fn never_shared(device: &str) -> String {
    format!("{device} has positive ground: it shares its outlet with nothing, which would short both.")
}

pub(crate) fn never_more(device: &str, volts: &str) -> String {
    format!("{device} takes {volts} and no more: a 9 V lead destroys it.")
}

/// What the tags of a lead say.
pub(crate) fn tagged(lead: &str, from: &str, to: &str, words: &str) -> String {
    format!("{lead}, {from} to {to}: “{words}”")
}

/// A device without a feed.
pub(crate) fn unfed(tag: &str, title: &str, volts: &str, current: &str) -> String {
    format!("{tag} {title}: needs {volts}, {current}")
}

/// What a device runs on, where something else arrives.
pub(crate) fn runs_on(volts: &str) -> String {
    format!("STOP: runs on {volts}")
}

/// Which outlets are isolated.
pub(crate) fn isolation(each: &str, joined: &str, unknown: &str) -> String {
    [(each, "isolated"), (joined, "joined"), (unknown, "isolation unknown")]
        .into_iter()
        .filter(|(names, _)| !names.is_empty())
        .map(|(names, words)| format!("{names} {words}"))
        .collect::<Vec<_>>()
        .join("; ")
}

/// A sum of which parts are not known.
pub(crate) fn at_least(watts: f64) -> String {
    format!("≥ {watts:.1}")
}

/// A bank of a brick.
pub(crate) fn bank(name: &str) -> String {
    format!("bank {name}")
}

// Path.
pub(crate) const PATH_NOTE: &str = "Finger on a line, plug it, tick, next. Letters under a box: its port names; below: bypass and \
     impedances (underlined with dots: assumed).";
pub(crate) const NO_RUNS: &str = "No runs.";
pub(crate) const STATES: &str = "Switching states";
pub(crate) const STATES_NOTE: &str = "devices in the order of the signal";
pub(crate) const STATE: &str = "state";
pub(crate) const ENGAGED: &str = "on";
pub(crate) const ON: &str = "on";
pub(crate) const OFF: &str = "·";
pub(crate) const ALWAYS_ON: &str = "always";
pub(crate) const NO_STATES: &str = "No named states.";
pub(crate) const EVERYTHING_OFF: &str = "everything bypassed";
pub(crate) const SINK: &str = "to";
pub(crate) const STATE_FIGURES: &str = "in dB against the reference";
/// The figures of a state: a short head, and what it is.
pub(crate) const FIGURES: [(&str, &str); 3] =
    [("4 kHz", "change at 4 kHz"), ("treble", "treble relative to 1 kHz"), ("level", "level at 1 kHz")];
pub(crate) const SIGNAL_NOTES: &str = "Computed with";
pub(crate) const ASKED: &str = "What is asked of each way";
pub(crate) const ASKED_NOTE: &str = "The longest leads keep every limit in every switching state, devices that need the bare pickup bypassed. One more device is one of usual figures, by the worst state that it leaves.";
pub(crate) const QUESTION: &str = "question";
pub(crate) const ANSWER: &str = "answer";
pub(crate) const BANDS: &str = "All switching states against the player’s reference";
pub(crate) const BAND_NOTE: &str = "Reference: the source straight into the amp by the player’s usual lead. Dashed: \
     look and stop.";
/// What a band is that is not exact.
pub(crate) fn band_doubt(doubt: &str) -> String {
    format!("The band is {doubt}.")
}

/// What a turned volume pedal makes of the treble, where that is more than what the chart shows.
pub(crate) fn band_turned(place: &str, change: &str) -> String {
    format!(
        "Curves are with volume pedals as they stand; with {place} the treble changes by {change} at worst."
    )
}

pub(crate) const BAND_ASSUMED: &str = "Rests on assumed values.";

/// From where to where.
pub(crate) fn way(source: &str, sink: &str) -> String {
    format!("{source} → {sink}")
}

/// What is engaged.
pub(crate) fn on_words(tags: &[String]) -> String {
    match tags.len() {
        0 => EVERYTHING_OFF.to_owned(),
        1..=12 => format!("{} engaged", tags.join(", ")),
        more => format!("{}, … {more} devices engaged", tags[..8].join(", ")),
    }
}

/// What the band leaves bypassed.
pub(crate) fn left_off(tags: &str) -> String {
    format!(
        "Without {tags}, which loads the pickup on purpose: no worst figure counts it, only its own states show it."
    )
}

/// A level in decibels without its unit.
pub(crate) fn level(db: f64) -> String {
    format!("{db:+.1}").replace('-', "−")
}
pub(crate) const INSERTS: &str = "Inserts, four cases";
pub(crate) const INSERTS_NOTE: &str = "test all four";
pub(crate) const INSERT: &str = "insert";
pub(crate) const NORMAL: &str = "normal";
pub(crate) const NORMAL_FULL: &str = "full";
pub(crate) const NORMAL_HALF: &str = "half";
pub(crate) const NORMAL_OPEN: &str = "none";
pub(crate) const HERE: &str = "in this rig";
pub(crate) const BREAKS: &str = "Jacks that cut another source off";
pub(crate) const NOTHING_PLUGGED: &str = "nothing plugged";
pub(crate) const LEAD_PLUGGED: &str = "a lead plugged";
pub(crate) const ENDS: &str = "Both ends of the chain";
pub(crate) const END: &str = "end";
pub(crate) const LEAD_LENGTH: &str = "its lead";
pub(crate) const PHANTOM: &str = "phantom power";
pub(crate) const PHANTOM_ON: &str = "yes: mute before plugging";

/// The head of a run.
pub(crate) fn run(name: &str, carries: &str) -> String {
    if name.to_lowercase().contains(carries) { name.to_owned() } else { format!("{name} ({carries})") }
}

/// What plays while a jack is empty.
pub(crate) fn plays(what: &str) -> String {
    format!("{what} plays")
}

/// What happens when a lead is plugged.
pub(crate) fn cut_off(what: &str) -> String {
    format!("the lead plays, {what} is cut off")
}

// Labels.
pub(crate) const LABEL_ROLL_NOTE: &str =
    "Print at 100 %, measure the bar. Both ends of a lead side by side: cut between, stick both at once.";
pub(crate) const LABEL_WRAP_NOTE: &str =
    "Print at 100 %, measure the bar. The printed part goes once around the cable, the clear part over it.";
pub(crate) const NO_LABELS: &str = "Nothing to label.";
pub(crate) const LABEL_FOR: &str = "for";
pub(crate) const LABEL_KIND: &str = "kind";
pub(crate) const LABEL_FIRST: &str = "line 1";
pub(crate) const LABEL_SECOND: &str = "line 2";
pub(crate) const LABEL_THIRD: &str = "line 3";
pub(crate) const LABEL_FOURTH: &str = "line 4";
pub(crate) const LABEL_LEAD_END: &str = "end of lead";
pub(crate) const LABEL_JACK: &str = "jack of panel";

/// The head of labels for a tape.
pub(crate) fn label_roll(mm: f64) -> String {
    format!("Tape, {mm:.0} mm wide")
}

/// The head of labels that go around a cable.
pub(crate) fn label_wrap(mm: f64) -> String {
    format!("Sheets of wrap-around labels, {mm:.0} mm along the cable")
}

// Template.
pub(crate) const NO_DECK: &str = "No deck.";

pub(crate) const TILES_NOTE: &str =
    "Print at 100 %, measure the bar. Tape A1 first, front left; then rings over rings, row by row.";

/// The head of the map of a deck's tiles.
pub(crate) fn tiles_of(deck: &str) -> String {
    format!("Template 1 : 1, deck {deck}: how its tiles lie")
}

/// A tile's name.
pub(crate) fn tile_name(name: &str) -> String {
    format!("Tile {name}")
}

/// What stands beneath a tile's name.
pub(crate) fn tile(deck: &str, datum: bool) -> String {
    if datum { format!("deck {deck}; datum here") } else { format!("deck {deck}, rings over rings") }
}

/// A deck.
pub(crate) fn deck(name: &str) -> String {
    format!("Deck {name}: print at 100 %, measure the bar")
}

// Panel.
pub(crate) const PANEL_NOTE: &str = "Print at 100 % and measure the bar before anything is glued. Glue FRONT to the outside. Dashed: room a \
     jack takes behind the plate.";
pub(crate) const NO_PANEL: &str = "This board has no panel.";
pub(crate) const PANEL_SCHEDULE: &str = "Schedule";
pub(crate) const CUT_OUT: &str = "⌀ or w × h";
pub(crate) const HOLE: &str = "hole";
pub(crate) const CONNECTOR: &str = "connector";
pub(crate) const PILOT: &str = "pilot";
pub(crate) const EDGE: &str = "to edge";
pub(crate) const WEB: &str = "web";
pub(crate) const BEHIND_PLATE: &str = "behind";
pub(crate) const SLEEVE: &str = "sleeve";
pub(crate) const INSULATED: &str = "insulated";
pub(crate) const BONDED: &str = "bonded";
pub(crate) const TICK_DRILLED: &str = "done";

/// A plate of a panel.
pub(crate) fn plate(panel: &str, side: &str) -> String {
    format!("Panel {panel}, {side} side, 1 : 1")
}

/// The size of a plate and its datum.
pub(crate) fn plate_size(plate: &Plate) -> String {
    let mm = |length: rig::Known<quantity::Length>| {
        length.value.map_or_else(|| super::UNKNOWN.to_owned(), |length| length.figure_mm(1))
    };
    format!(
        "plate {} × {} × {} mm; x and y from the lower left corner seen from the FRONT",
        mm(plate.width),
        mm(plate.height),
        mm(plate.thickness)
    )
}

// Bill.
pub(crate) const BILL_NOTE: &str = "Counts follow from the model. Dotted: rests on estimated lengths. Waste: a tenth of the cable, one plug more for \
     each ten begun (common practice, no source).";
pub(crate) const ITEM: &str = "item";
pub(crate) const NEEDED: &str = "needed";
pub(crate) const WASTE: &str = "waste";
pub(crate) const TO_BUY: &str = "to order";
pub(crate) const SERVES: &str = "serves";
pub(crate) const CLIENT: &str = "player";
pub(crate) const SHOP: &str = "workshop";
pub(crate) const MASS_BALANCE: &str = "Mass and balance";
pub(crate) const MASS_UNKNOWN: &str = "Mass not known";
pub(crate) const BALANCE: &str = "Centre of mass";
pub(crate) const BALANCE_WITHOUT: &str = "without";

/// The head of a group of the bill.
pub(crate) fn bill_group(group: BillGroup) -> &'static str {
    match group {
        BillGroup::Board => "Board and case",
        BillGroup::Devices => "Devices",
        BillGroup::Power => "Supplies",
        BillGroup::Panel => "Panel",
        BillGroup::Cable => "Cable",
        BillGroup::Plugs => "Plugs",
        BillGroup::Leads => "Ready-made leads and adaptors",
        BillGroup::Small => "Small parts",
    }
}

/// The mass of something named.
pub(crate) fn mass_of(name: &str) -> String {
    format!("Mass of {name}")
}

/// Where the centre of mass lies.
pub(crate) fn centre_of_mass(x: &str, x_share: f64, y: &str, y_share: f64) -> String {
    format!("{x} mm from the left ({x_share:.0} %), {y} mm from the front ({y_share:.0} %)")
}

/// A piece of a drawing that is wider than a sheet.
pub(crate) fn piece_of(head: &str, number: usize, count: usize) -> String {
    format!("{head}, piece {number} of {count} from the left: cut at the chain line, lay over ring on ring")
}

/// The screws beside a hole.
pub(crate) fn screws(count: usize, mm: &str) -> String {
    format!("{count} × ⌀ {mm}")
}

// Work order.
pub(crate) const AT_HAND: &str = "At hand";
pub(crate) const TICK_DONE: &str = "done";
pub(crate) const ACT: &str = "act";
pub(crate) const PLANNED: &str = "planned";
pub(crate) const USED_INITIALS: &str = "used, initials";
pub(crate) const STEP_ID: &str = "id";
pub(crate) const HOLD: &str = "hold";

/// The head of a stage.
pub(crate) fn stage(number: usize, count: usize, title: &str) -> String {
    format!("Stage {number} of {count}: {title}")
}

/// Minutes planned for a stage, and what is left when it is done.
pub(crate) fn minutes(minutes: u32, left: u32) -> String {
    if left == 0 {
        return format!("{minutes} min planned; then all is done");
    }
    format!("{minutes} min planned; {} left after it", hours(left))
}

/// What is planned for everything.
pub(crate) fn minutes_in_all(minutes: u32) -> String {
    format!("Planned in all: {minutes} min, {}.", hours(minutes))
}

/// Minutes as hours are read from a clock: `3 h 05 min`.
fn hours(minutes: u32) -> String {
    if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    }
}

pub(crate) const MINUTES_NOTE: &str = "Minutes are common practice, no source. Work that rests on a HOLD stops until it is signed. A and B: whose act \
                                       it is when two share the work.";

/// The work shared between two, and what however many cannot shorten.
pub(crate) fn shared(building: &design::Building) -> String {
    format!(
        "Two people: {}, between them {} with nothing to do. Whoever helps, it takes {} at least: so long is the longest row of \
         acts that wait for one another, {} of them.",
        hours(building.two),
        hours(building.waits.iter().sum()),
        hours(building.critical_minutes),
        building.critical.len()
    )
}

/// Over ends that no order reaches.
pub(crate) const UNREACHED: &str = "Cannot be reached in any order: look first";

/// An end that no order reaches.
pub(crate) fn unreached(one: &design::Unreached) -> String {
    format!("{}: {} in the way", one.end, one.things.join(", "))
}

/// Whose act it is, of two.
pub(crate) const PERSON: [&str; 2] = ["A", "B"];

/// What stands on every page that is built from, while so many stops are open.
pub(crate) fn not_for_building(stops: usize) -> String {
    format!("NOT FOR BUILDING: {}", stops_open(stops))
}

/// The same on what goes with the board.
pub(crate) fn not_for_handover(stops: usize) -> String {
    format!("NOT TO BE HANDED OVER: {}", stops_open(stops))
}

fn stops_open(stops: usize) -> String {
    if stops == 1 { "1 stop is open".to_owned() } else { format!("{stops} stops are open") }
}

/// What is to be done about them before any work.
pub(crate) const CLOSE_STOPS: &str =
    "Nothing is cut before each is closed, or answered by name; they stand in the findings";

/// An act at which work stops.
pub(crate) fn hold(act: &str) -> String {
    format!("HOLD: {act}")
}

// Test sheet.
pub(crate) const METER_USED: &str = "Meter";
pub(crate) const CAPACITANCE_METER: &str = "For pF";
pub(crate) const TESTED_WITH: &str = "Guitar, amp";
pub(crate) const TESTED_BY: &str = "Tested by";
pub(crate) const SIGNATURE: &str = "Signature";
pub(crate) const SUBJECT: &str = "lead, port, state";
pub(crate) const EXPECTED: &str = "expected";
pub(crate) const PASSES: &str = "passes";
pub(crate) const END_TO_END: &str = "end to end";
pub(crate) const BETWEEN_CONDUCTORS: &str = "between conductors";
pub(crate) const CORE_TO_SCREEN: &str = "core to screen";
/// In place of a figure that nobody knows.
pub(crate) const WRITE_DOWN: &str = "write down";
pub(crate) const FIND_OUT_FIRST: &str = "find out first";
pub(crate) const TICK_OK: &str = "pass";

pub(crate) const RECORDED: &str = "Recordings";
pub(crate) const RECORDED_NOTE: &str =
    "the finished board against a straight lead, beside what its circuit makes one expect";
// What was found at the rows of the test sheet.
pub(crate) const PASSES_SHORT: &str = "pass";
pub(crate) const FAILS: &str = "FAILS";
pub(crate) const NOTED: &str = "noted";
pub(crate) const ANSWERED_SHORT: &str = "stands";

pub(crate) fn signed_at(revision: &str) -> String {
    if revision.is_empty() { "signed".to_owned() } else { format!("signed at revision {revision}") }
}

pub(crate) fn found_words(said: &str) -> String {
    format!("found: {said}")
}

pub(crate) fn answered_for(by: Option<&str>, why: &str) -> String {
    match by {
        Some(by) => format!("{by} answers for it: {why}"),
        None => format!("answered for: {why}"),
    }
}

pub(crate) fn of_rows_pass(settled: usize, all: usize) -> String {
    format!("{settled} of {all} pass so far")
}

/// How far the test is.
pub(crate) fn tested(record: &design::TestRecord) -> String {
    let all = record.rows.len();
    let count = |state: design::TestState| record.count(|own| *own == state);
    let due = record.count(|own| matches!(own, design::TestState::Due(_)));
    let mut parts = vec![format!(
        "{} of {all} rows pass",
        count(design::TestState::Passed) + count(design::TestState::Noted)
    )];
    for (count, one, more) in [
        (count(design::TestState::Failed), "fails", "fail"),
        (count(design::TestState::AnsweredFor), "is answered for", "are answered for"),
        (due, "is due", "are due"),
    ] {
        match count {
            0 => {}
            1 => parts.push(format!("1 {one}")),
            count => parts.push(format!("{count} {more}")),
        }
    }
    let signed = match (&record.signed, &record.last_signed) {
        (Some(_), _) => "",
        (None, Some(_)) => ". It was signed, and results have changed since: it is not signed as it is",
        (None, None) => ". Not signed",
    };
    format!("{}{signed}.", parts.join(", "))
}

/// The head of a part of the test sheet.
pub(crate) fn test_part(part: TestPart) -> (&'static str, &'static str) {
    let note = match part {
        TestPart::Leads => {
            "before they are plugged; wiggle 3 s per end, pull 20 N. Passes: each conductor ≤ 0.2 Ω + what its cable adds, \
             core to screen ± 10 %"
        }
        TestPart::Outlets => "nothing plugged",
        TestPart::Ends => "before the device is plugged",
        TestPart::Draw => "measured against printed: ask when more than a fifth apart",
        TestPart::Inserts => "four cases each; silence where something is expected is no pass",
        TestPart::States => "with the player’s guitar, into an amp",
        TestPart::Outputs => "both amps and the desk alike, unless the player wants it otherwise",
        TestPart::Recordings => {
            "the finished board against a straight lead; furthest band, its limit beside it"
        }
        TestPart::Brief => "each shown to the player",
        TestPart::Control | TestPart::Whole => "",
    };
    (part.title(), note)
}

// Findings.
pub(crate) const NO_FINDINGS: &str = "No findings.";
pub(crate) const FINDING: &str = "finding";
pub(crate) const ALLOWED: &str = "allowed";
pub(crate) const MARGIN: &str = "margin";
pub(crate) const RULE: &str = "rule";
pub(crate) const SEVERITY: &str = "";
pub(crate) const ANSWERED: &str = "Answered for";
pub(crate) const NOT_CHECKED: &str = "Not checked. Find out:";
pub(crate) const RESTS_ON: &str = "Rests on assumed";
pub(crate) const REMEDY: &str = "What to do:";

/// That somebody answers for a finding, and what the answer covers.
pub(crate) fn answered(reason: &str, by: Option<&str>, covers: &str) -> String {
    match by {
        Some(by) => format!("Answered for by {by} on {covers}: {reason}"),
        None => format!("Answered for on {covers}: {reason}"),
    }
}

/// How many are left out of a list because it has no end.
pub(crate) fn and_more(count: usize) -> String {
    format!("and {count} more")
}

// Earth loops on the signal path.
pub(crate) const EARTH_LOOPS: &str = "Earth loops";
pub(crate) const EARTH_LOOPS_NOTE: &str = "the protective earth stays as it is";
pub(crate) const USE: &str = "use";
pub(crate) const EARTHED: &str = "earthed ends";
pub(crate) const BY_LEADS: &str = "meet by";
pub(crate) const OPENED_BY: &str = "opened at the least cost by";
pub(crate) const EARTHS_BONDED: &str = "insulate the panel’s jacks: the two are bonded";
