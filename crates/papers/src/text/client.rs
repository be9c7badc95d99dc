//! Words of the papers for player, stage and file.

// Names of papers and who reads them.
pub(crate) const BRIEF: &str = "Brief and intake";
pub(crate) const APPROVAL: &str = "Approval";
pub(crate) const HANDOVER: &str = "Handover book";
pub(crate) const FAULT: &str = "Fault card";
pub(crate) const REVISION_RECORD: &str = "Revision record";
pub(crate) const FOR_CLIENT: &str = "player, workshop";
pub(crate) const FOR_CLIENT_BENCH: &str = "player, bench";
pub(crate) const FOR_PLAYER: &str = "player, whoever mends it";
pub(crate) const FOR_STAGE: &str = "stage, by torch";
pub(crate) const ASSUMED_NOTE: &str = "On every paper a dotted line under a figure, or the word “assumed” after it, means that it is only assumed. \
     Measure it before anything is cut or drilled by it.";
pub(crate) const CAUTION: &str = "Caution";

// Brief and intake.
pub(crate) const INTAKE: &str = "Intake";
pub(crate) const INTAKE_NOTE: &str = "Photograph each device from above with its knobs as they are, and its inner switches. Measure before \
     the player leaves: a wrong record costs a remade lead.";
pub(crate) const PLAYER: &str = "Player";
pub(crate) const DUE: &str = "Ready by";
pub(crate) const MUSIC: &str = "Music";
pub(crate) const BUDGET: &str = "Budget";
pub(crate) const VENUES: &str = "Venues";
pub(crate) const MAINS_HOME: &str = "Mains at home";
pub(crate) const CARRIED: &str = "Carried";
pub(crate) const COUNTRIES: &str = "Countries";
pub(crate) const MASS_LIMIT: &str = "Mass limit";
pub(crate) const SHOE: &str = "Shoe";
pub(crate) const SAID: &str = "Notes";
pub(crate) const NEVER_FAIL: &str = "Must never fail";
pub(crate) const REQUIREMENTS: &str = "Requirements";
pub(crate) const NO_REQUIREMENTS: &str = "No numbered requirements.";
pub(crate) const NUMBER_SHORT: &str = "no.";
pub(crate) const WANTED: &str = "requirement";
pub(crate) const OWNER: &str = "owner";
pub(crate) const SERIAL: &str = "serial number";
pub(crate) const ASSUMED_SHORT: &str = "assumed";
pub(crate) const OF_VALUES: &str = "of";
pub(crate) const CONDITION: &str = "condition";
pub(crate) const VALUE: &str = "value";
pub(crate) const TICK_PHOTO: &str = "photo";
pub(crate) const TICK_BATTERY: &str = "no cell";
pub(crate) const TICK_MEASURED: &str = "meas’d";
pub(crate) const HANDED_IN: &str = "Handed in by";
pub(crate) const TAKEN_IN: &str = "Taken in by";
pub(crate) const DATE_BLANK: &str = "Date";

/// How many people carry it, and whether it tours.
pub(crate) fn carriers(count: u32, touring: bool) -> String {
    let people = match count {
        0 => "carriers not said".to_owned(),
        1 => "by one person".to_owned(),
        count => format!("by {count} people"),
    };
    if touring { format!("{people}, on tour") } else { people }
}

// Approval.
pub(crate) const APPROVAL_TOLD: &str = "What you should know";
pub(crate) const APPROVAL_WORDS: &str = "I have seen plan, side view, mass and requirements on these pages. Build it like this. Later \
     changes are quoted separately.";
pub(crate) const WORST_TONE: &str = "Worst change of treble";
pub(crate) const NOT_COMPUTED: &str = "not computed here";
pub(crate) const OUTLETS_USED: &str = "Outlets used";
pub(crate) const GUITAR_LEAD: &str = "Guitar lead";
pub(crate) const PRICE: &str = "Price";
pub(crate) const TICK_MET: &str = "met";

/// A wish of a requirement that the design meets.
pub(crate) fn wish_met(wish: &str) -> String {
    format!("met: {wish}")
}

/// A wish that it does not meet, and why.
pub(crate) fn wish_not_met(wish: &str, why: &str) -> String {
    format!("not met: {wish}; {why}")
}

/// A wish that nobody can judge yet, and what is to be measured or found out first.
pub(crate) fn wish_not_judged(wish: &str, missing: &str) -> String {
    format!("not judged: {wish}; missing: {missing}")
}

pub(crate) const TOLD: &str = "Explained and understood";
pub(crate) const TELL_ASSUMED: &str =
    "Values marked assumed may turn out otherwise; lengths and gaps then change with them.";
pub(crate) const TELL_OPENED: &str = "Devices opened, feet and labels taken off: written on the intake sheet; feet and boxes go back with the board.";
pub(crate) const TELL_ORDER: &str =
    "Switch on: leads first, then the board, amps last. Off the other way round.";
pub(crate) const TELL_ADAPTORS: &str =
    "Adaptors you brought are used as they are; none is shortened without your consent.";
pub(crate) const TELL_MAINS_UNKNOWN: &str =
    "Mains region: not said yet. Do not plug it in abroad before it is.";
pub(crate) const TELL_TIGHTEN: &str =
    "Screws, jack nuts and fasteners want tightening after the first month, then once a year.";
pub(crate) const PLAYER_SIGNS: &str = "Player";
pub(crate) const WORKSHOP_SIGNS: &str = "Workshop";

/// The mains it is built for.
pub(crate) fn tell_mains(volts: &str, hertz: &str) -> String {
    format!("Built for mains of {volts}, {hertz}. Elsewhere only what each unit’s own plate allows.")
}

/// How many masses a sum lacks.
pub(crate) fn masses_unknown(count: usize) -> String {
    let masses = if count == 1 { "mass" } else { "masses" };
    format!("{count} {masses} not known yet")
}

/// A level with its sign.
pub(crate) fn decibels(db: f64) -> String {
    format!("{db:+.1} dB").replace('-', "−")
}

/// The state in which a change is worst, and where a volume pedal stands then.
pub(crate) fn tone_state(on: &[String], sink: &str, turned: Option<&str>, by_tone: bool) -> String {
    let state =
        if on.is_empty() { "everything bypassed".to_owned() } else { format!("engaged: {}", on.join(", ")) };
    let turned = turned.map(|turned| format!(", {turned}")).unwrap_or_default();
    let measure = if by_tone { "4 kHz relative to 1 kHz" } else { "at 4 kHz" };
    format!("{measure}, at {sink}, {state}{turned}")
}

/// How many findings could not be checked.
pub(crate) fn unchecked_count(count: usize) -> String {
    if count == 0 { String::new() } else { format!("{count} not checked: values are missing") }
}

pub(crate) const NOTHING_WEIGHED: &str = "nothing weighed yet";

/// Open findings by severity.
pub(crate) fn finding_counts(stop: usize, look: usize, note: usize) -> String {
    let counted = |count: usize, word: &str| format!("{count} {word}{}", if count == 1 { "" } else { "s" });
    [counted(stop, "stop"), counted(look, "look"), counted(note, "note")].join(", ")
}

/// How many findings somebody answers for.
pub(crate) fn answered_count(count: usize) -> String {
    if count == 0 { String::new() } else { format!("{count} answered for") }
}

// Handover.
pub(crate) const PLUG_IN: &str = "Plug it in";
pub(crate) const PLUG_IN_NOTE: &str = "amps muted";
pub(crate) const TAKE: &str = "take the lead of";
pub(crate) const PUT_INTO: &str = "put it into";
pub(crate) const NO_OUTSIDE_LEADS: &str = "No leads from outside are written down.";
/// Where a jack is.
pub(crate) fn on_panel(tag: &str) -> String {
    format!("on the panel, {tag}")
}

pub(crate) const MAINS_LEAD: &str = "mains lead, last of all";
pub(crate) const THEN_WALL: &str = "then the other end into the wall outlet";
pub(crate) const WALL_OUTLET: &str = "wall outlet";
pub(crate) const WHEN_IT_FAILS: &str = "When something fails on stage";

/// What to do when a source on the board fails.
pub(crate) fn instead_of(what: &str, jack: &str) -> String {
    format!("{what}: plug a guitar lead into {jack}; it takes over at once.")
}

pub(crate) const SWITCH_ON: &str = "Switch on, switch off";
pub(crate) const SWITCH_LEADS: &str = "All leads in, amps muted or down.";
pub(crate) const SWITCH_BOARD: &str = "Plug the board into the wall outlet.";
pub(crate) const SWITCH_LIGHTS: &str = "Wait until every light is steady.";
pub(crate) const SWITCH_PHANTOM: &str = "Desk: muted while leads and phantom power change.";
pub(crate) const SWITCH_AMPS: &str = "Amps last.";
pub(crate) const SWITCH_OFF: &str = "Off: amps first, board last.";
pub(crate) const WHAT_IS_ON: &str = "What is on the board";
pub(crate) const REMARK: &str = "remark";
pub(crate) const REPAIRS: &str = "Mended and lent";
pub(crate) const REPAIRS_NOTE: &str = "since it left the workshop; whoever mends it writes it down";
pub(crate) const DAY: &str = "day";
pub(crate) const PART: &str = "part";
pub(crate) const FOUND_DONE: &str = "found and done";
pub(crate) const BY_WHOM: &str = "by";
pub(crate) const PHOTOGRAPHS: &str = "Photographs";
pub(crate) const PHOTOGRAPHS_NOTE: &str = "from above, front down, each as large as there is room";
pub(crate) fn serial(number: &str) -> String {
    format!("serial {number}")
}
pub(crate) const HOW_IT_RUNS: &str = "How the signal goes";
pub(crate) const SUPPLIES: &str = "What feeds what";
pub(crate) const LEAD_LIST: &str = "Leads";
pub(crate) const LEAD_LIST_NOTE: &str =
    "every lead of the board carries its number at both ends; your own leads carry none";
pub(crate) const CARE: &str = "Care and papers";
pub(crate) const WHEN: &str = "when";
pub(crate) const CARE_LINES: &[(&str, &str)] = &[
    ("before a show", "plug every lead once by hand, play every state"),
    ("after a month", "jack nuts, screws, fasteners: tighten"),
    ("once a year", "clean contacts, test every lead, look under the deck for loose ties"),
    ("in the sun, in the van", "hot supplies age: keep air around them, no blanket over the board"),
    ("something new on it", "ask first: volts, polarity and milliamps differ from outlet to outlet"),
];
pub(crate) const WARRANTY: &str = "Warranty";
pub(crate) const CONTACT: &str = "Workshop, telephone";
pub(crate) const SETTINGS_PHOTOS: &str = "Photographs of settings";
pub(crate) const BACKUPS: &str = "Files of presets, with date";
pub(crate) const RIDER: &str = "For the stage plan";
pub(crate) const SIZE_TRAVEL: &str = "Size as it travels";
pub(crate) const WITHOUT_CASE: &str = "the board, without a case";
pub(crate) const CASE_NOT_MEASURED: &str = "the board alone: its case is not measured";
pub(crate) const MAINS_AT_HOME: &str = "Mains at home";
pub(crate) const ISSUED: &str = "Date of issue";
pub(crate) const IN_THIS_BOOK: &str = "In this book";
pub(crate) const MASS_TRAVEL: &str = "Mass as it travels";

/// Whose board it is.
pub(crate) fn for_player(player: &str) -> String {
    format!("for {player}")
}

/// Sides in millimetres: `760 × 480 × 200 mm`.
pub(crate) fn size(sides: &[String]) -> String {
    format!("{} mm", sides.join(" × "))
}

/// The lead of something outside.
pub(crate) fn lead_of(what: &str) -> String {
    what.to_owned()
}

/// One line for the stage plan.
pub(crate) fn rider(mains: &str, watts: f64, sinks: &str) -> String {
    let watts = if watts > 0.0 { format!(", supplies of {watts:.0} W") } else { String::new() };
    format!("1 × mains {mains}{watts}; feeds: {sinks}")
}

// Fault card.
/// What helps against hum where a balanced output with a lift switch may be.
pub(crate) const LIFT: &str = "lift switch of DI — never the mains earth";
/// The same where there is none.
pub(crate) const NEVER_LIFT: &str = "never lift the mains earth";
pub(crate) const FAULT_LINES: &[(&str, &[&str])] = &[
    ("No sound", &["volume and tuner mute", "guitar straight to amp", "supply lights"]),
    ("Crackle", &["wiggle each plug, working back from the amp", "other guitar lead", "spare lead across"]),
    ("Hum", &["all into one wall outlet", "unplug computer, chargers", LIFT]),
    ("One device dead", &["its light", "its DC plug", "around it with the spare lead"]),
    ("All dark", &["wall outlet", "mains switch and inlet", "supply hot: unplug and wait"]),
];
pub(crate) const EMERGENCY: &str = "Around the board";
pub(crate) const BYPASS_ANY: &str = "guitar lead straight into the amp";
pub(crate) const BACKWARDS: &str = "Find it by halves: plug the guitar in here, first line first";
pub(crate) const SOUND_NO_SOUND: &str = "sound / none";

/// Where to go on after a try: a figure is a line of this table, a letter one of the next.
pub(crate) fn halves(sound: &str, silence: &str) -> String {
    format!("sound: {sound}; none: {silence}")
}

/// Where silence is complained of, and with what on.
pub(crate) fn heard_at(sink: &str, state: &str) -> String {
    format!("No sound at {sink}; state: {state}")
}

/// A way to play tonight with what is lost by it.
pub(crate) fn tonight(act: &str, without: &[String]) -> String {
    if without.is_empty() { act.to_owned() } else { format!("{act}; without {}", without.join(", ")) }
}

pub(crate) const PULL_NOTHING: &str = "nothing";
pub(crate) const LEFT_AT_END: &str = "What the letters mean; most likely first";
pub(crate) const FAULT_IS_IN: &str = "the fault is in";
pub(crate) const CHANGE_FIRST: &str = "change first";
pub(crate) const TONIGHT: &str = "play tonight";

/// Loops that must be on, or nothing is heard of what is plugged into their returns.
pub(crate) fn loops_on(loops: &str) -> String {
    format!("switch on first: {loops}")
}

pub(crate) const PULL_OUT: &str = "pull";
pub(crate) const TRY_AT: &str = "guitar into";
pub(crate) const SPARES: &str = "Spares";
pub(crate) const SPARES_PLACE: &str = "Where in the bag";
pub(crate) const PHONE: &str = "Telephone";

/// The way around the board for one run.
pub(crate) fn bypass(source: &str, into: &str, sink: &str, out_of: &str) -> String {
    format!("{source}: lead out of {into} → {sink}, in place of the lead at {out_of}")
}

/// A spare lead.
pub(crate) fn spare(class: &str, mm: &str, like: &str, ends: &str) -> String {
    format!("{class} {mm} mm, {ends} (as {like})")
}

// Revision record.
pub(crate) const WHY: &str = "why";
pub(crate) const CHANGED: &str = "what changed";
pub(crate) const AGREED_BY: &str = "agreed by";
pub(crate) const CHANGES: &str = "This revision against the one before";
pub(crate) const CHANGES_NOTE: &str = "filled in from the comparison, or by hand";
pub(crate) const CHANGE_DEVICES: &str = "Devices";
pub(crate) const CHANGE_LEADS: &str = "Leads scrapped, reused, new";
pub(crate) const CHANGE_OUTLETS: &str = "Outlets";
pub(crate) const CHANGE_HOLES: &str = "Holes";
pub(crate) const CHANGE_HOURS: &str = "Hours, price";
pub(crate) const REISSUED: &str = "Papers issued with it";

// The pages of settings.
pub(crate) const SETTINGS: &str = "Settings";
pub(crate) const SETTINGS_NOTE: &str = "Draw the pointer into the circle: the first long tick is 0, the last is 10. Copy the page before it is full.";
pub(crate) const NOTHING_TO_SET: &str = "Nothing on this board has a knob.";
pub(crate) const AS_DELIVERED: &str = "As delivered";
pub(crate) const SOUND: &str = "Sound";
pub(crate) const SONG: &str = "song";
pub(crate) const WHEN_OFF: &str = "When off";
pub(crate) const FED_BY: &str = "Fed by";
pub(crate) const SERIAL_SHORT: &str = "Serial no.";
pub(crate) const CELL_INSIDE: &str = "Battery inside";
pub(crate) const BACK_UP_FILE: &str = "Back-up file";
pub(crate) const MIDI_OMNI: &str = "listens to every channel";
pub(crate) const MIDI_UNSAID: &str = "not written down: mark it";
pub(crate) const MIDI_OWN: &str = "black is this device";

/// The head of the channels.
pub(crate) fn midi_channel(note: &str) -> String {
    format!("MIDI channel: {note}")
}

/// A foot switch by its name.
pub(crate) fn foot(name: &str) -> String {
    format!("Switch {name}")
}

/// What is plugged into a jack for control.
pub(crate) fn at_jack(jack: &str) -> String {
    format!("At {jack}")
}

/// What a device does to the signal when it is off.
pub(crate) fn when_off(bypass: rig::Bypass) -> &'static str {
    match bypass {
        rig::Bypass::Hard => "straight through its switch",
        rig::Bypass::Relay => "straight through its relay",
        rig::Bypass::Buffered => "through its buffer: it needs power",
        rig::Bypass::AlwaysOn => "never off",
    }
}

// The pocket fold.
pub(crate) const POCKET: &str = "Pocket fold";
pub(crate) const FOR_POCKET: &str = "player, in the case";
pub(crate) const SWITCHES: &str = "What each switch does";
pub(crate) const SWITCHES_NOTE: &str = "left and right as you stand at the board";
pub(crate) const MORE_IN_BOOK: &str = "More in the handover book.";
pub(crate) const PHONE_BLANK: &str = "Telephone: ____________________";
pub(crate) const FOLD_HOW: &str = "Cut the thick line, fold along the others, this page outside.";
pub(crate) const NEVER_LIFT_SENTENCE: &str =
    "Never lift or cover the mains earth. Hum is hunted at the leads, not at the earth.";
pub(crate) const POCKET_NEW: &str =
    "Ask before anything new is plugged into a supply: volts and polarity differ from outlet to outlet.";
pub(crate) const POCKET_NOTES: &str = "Notes:";
pub(crate) const KEEP_IN_MIND: &str = "Keep in mind";

/// The number of the job and its revision.
pub(crate) fn number_and_revision(number: &str, revision: &str) -> String {
    format!("{number}, revision {revision}")
}

/// One lead from outside.
pub(crate) fn pocket_plug(number: usize, theirs: &str, jack: &str) -> String {
    format!("{number}. {theirs}: {jack}")
}

/// What feeds a device.
pub(crate) fn pocket_feed(tag: &str, from: &str, volts: &str) -> String {
    if volts.is_empty() { format!("{tag}: {from}") } else { format!("{tag}: {from}, {volts}") }
}

/// What it weighs.
pub(crate) fn pocket_mass(mass: &str) -> String {
    format!("As it travels: {mass}.")
}

// What each switch does.
/// Room to write a few words.
pub(crate) const BLANK: &str = "__________";
pub(crate) const ON_OFF: &str = "on, off";
pub(crate) const TREADLE: &str = "heel to toe";
pub(crate) const JACKS_FACE_ON: &str = "The jacks, face on";
pub(crate) const FACES_NOTE: &str = "the numbers are the order";
pub(crate) const PLUG_IN_TITLE: &str = "Plug in, switch on";
pub(crate) const TEST_RESULTS: &str = "Test results";
pub(crate) const TEST_RESULTS_NOTE: &str = "what was measured before the board left the workshop";
pub(crate) const TESTED: &str = "tested";
pub(crate) const ROWS: &str = "rows";

/// Several switches from left to right.
pub(crate) fn from_left(words: &str) -> String {
    format!("from left: {words}")
}

/// What is tried before anything is pulled.
pub(crate) const FAULT_FIRST: &[&str] = &[
    "No sound: volume and mute, then the guitar straight into the amp, then the lights of the supply.",
    "One device dead: its light, its DC plug, then around it with the spare lead.",
    "All dark: wall outlet, mains switch, inlet.",
];

/// The first try of a run.
pub(crate) fn halve_first(run: &str, lead: &str, jack: &str) -> String {
    format!("{run}: pull {lead}, guitar into {jack}. Sound: the fault lies before it. None: here or after.")
}

/// The spare leads.
pub(crate) fn pocket_spare(words: &str) -> String {
    format!("Spares: {words}")
}
