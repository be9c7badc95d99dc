//! Devices, their ports, needs, feeds and outlets.

use rig::{PortRole, Word as _};

use super::{
    AREA, CURRENT, DECIBELS, EFFICIENCY, FARADS, FROM, GRAMS, Key, LENGTH, OHMS, PORTION, POSITION, SECONDS,
    Shape, TURNS, Table, VOLTS, WATTS, WINDOW, given, key, must,
};

/// A device of a rig document. A catalogue device has the same keys, less `tag`, `place` and `feed`.
pub static DEVICE: Table = Table {
    name: "device",
    doc: "Anything with ports that is placed or stands outside. `kind` brings a catalogue device; keys written here override it one by one.",
    keys: &[
        key("tag", Shape::Tag, "Short name on labels. Every device of a rig document must have one."),
        key("title", Shape::Text, "What it is, for papers."),
        key("kind", Shape::Text, "Catalogue id."),
        key("search", Shape::List(&Shape::Text), "Words a catalogue device is also found under."),
        key("role", Shape::Words(rig::Role::WORDS), "What it is to the builder. Left out: pedal."),
        key(
            "owner",
            Shape::Text,
            "Whose it is: `workshop` or the name of the workshop for what it supplies, any other name for what the player brings. Left out: pedals are the player’s, supplies and panels the workshop’s.",
        ),
        key("serial", Shape::Text, "Serial number."),
        key("note", Shape::Text, "A remark, printed."),
        key("outside", Shape::Switch, "Whether it stands outside the board and takes no room on it."),
        key("size", Shape::Table(&SIZE), "Body without knobs and plugs."),
        key("corner", Shape::Measure(LENGTH), "Corner radius; drawn, never computed with."),
        given("knobs", Shape::Measure(LENGTH), "What knobs and switches add on top of the body."),
        given(
            "treadle",
            Shape::Measure(LENGTH),
            "What a treadle adds at its full opening. A device with this key is a treadle.",
        ),
        given("bracket", Shape::Measure(LENGTH), "The bracket above it when it hangs under a deck."),
        given("mass", Shape::Measure(GRAMS), "Its mass."),
        key(
            "switch",
            Shape::Named(&SWITCH),
            "Foot switches, from the body's front left corner before turning.",
        ),
        key(
            "controls",
            Shape::Values(&Shape::Text),
            "Knobs and small switches by what is printed beside them, and where each stands as delivered: `{ drive = \"4\", tone = \"noon\", mode = \"\" }`. A number is on the dial from 0 to 10; nothing where nobody has written it down. They stand on the page of settings in the client's binding; `{}` says that there are none.",
        ),
        key("port", Shape::Named(&PORT), "Jacks and inlets."),
        key(
            "sockets",
            Shape::Table(&SOCKETS),
            "A row of mains sockets of a strip, all alike, written shortly. They are ports S1, S2 and so on; what stands under `port.S2` goes before.",
        ),
        key("insert", Shape::Named(&INSERT), "Pairs of jacks where the path can be opened."),
        key("loop", Shape::Named(&LOOP), "Loops that a switcher puts in and out."),
        key("signal", Shape::Table(&SIGNAL), "What it does to signal."),
        key("midi", Shape::Table(&MIDI), "What it listens to by MIDI."),
        key("power", Shape::Table(&POWER), "What it needs to run."),
        key("feed", Shape::Table(&FEED), "How it gets its power."),
        key("outlet", Shape::Named(&OUTLET), "Outlets of a brick. Each is also one of its ports."),
        key("bank", Shape::Named(&BANK), "Groups of outlets with a common limit."),
        given("total", Shape::Measure(WATTS), "All a brick gives at once."),
        given(
            "efficiency",
            Shape::Measure(EFFICIENCY),
            "What share of what it takes a brick gives on; the rest is heat.",
        ),
        key("fasten", Shape::Table(&FASTEN), "What holds it on its deck."),
        key("place", Shape::Table(&PLACE), "Where it stands. Left out: not placed yet."),
        FROM,
    ],
};

static SIZE: Table = Table {
    name: "size",
    doc: "Width, depth and height of a body.",
    keys: &[
        given("width", Shape::Measure(LENGTH), "Left to right."),
        given("depth", Shape::Measure(LENGTH), "Front to back."),
        given("height", Shape::Measure(LENGTH), "Base to top, without knobs."),
        FROM,
    ],
};

/// The key that takes away what a kind brings.
const ABSENT: Key = key(
    "absent",
    Shape::Switch,
    "`true` takes away what the kind brings: this device does not have it. What still refers to it is a problem.",
);

static SWITCH: Table = Table {
    name: "switch",
    doc: "A foot switch.",
    keys: &[
        key("x", Shape::Measure(POSITION), "From the left edge. Must stand here or in the kind."),
        key("y", Shape::Measure(POSITION), "From the front edge. Must stand here or in the kind."),
        key(
            "does",
            Shape::Text,
            "What a foot does with it, as the player reads it: `on, off`, `tap tempo`, `mute`.",
        ),
        ABSENT,
    ],
};

/// A port.
pub static PORT: Table = Table {
    name: "port",
    doc: "A named jack or inlet.",
    keys: &[
        key(
            "legend",
            Shape::Text,
            "What is printed beside it: `FX SEND`. Free text; runs and leads go on naming the jack by its name. Left out: its name.",
        ),
        given(
            "role",
            Shape::Words(ROLES),
            "What it is for. What comes in at `in` goes out at `out` and to every `send`; what comes back at `return` goes out at `out`, mixed with it, and never to a send. So a `send` and a `return` by themselves are a loop beside the sound, as a blend box has one. `insert` or `loop` says that what comes back replaces what went out.",
        ),
        key("connector", Shape::Text, "Catalogue id of what fits it."),
        given("face", Shape::Words(rig::Face::WORDS), "The side it is on, before turning."),
        given(
            "offset",
            Shape::Measure(POSITION),
            "Its centre: from the front edge on left and right, from the left edge on front and back.",
        ),
        given("height", Shape::Measure(LENGTH), "Its centre above the base."),
        given("z", Shape::Measure(OHMS), "Input or output impedance."),
        given(
            "z_bypassed",
            Shape::Measure(OHMS),
            "The same while a buffered device is bypassed. Left out: as when it is engaged.",
        ),
        given(
            "capacitance",
            Shape::Measure(FARADS),
            "Capacitance from an input to earth, without leads. Left out: only the device's stray.",
        ),
        given(
            "coupling",
            Shape::Measure(FARADS),
            "Capacitor in series with an input or output. Left out: none.",
        ),
        key("service", Shape::Switch, "Whether it must stay reachable though nothing is plugged."),
        given("level", Shape::Measure(VOLTS), "Nominal level, of outputs and sends."),
        given(
            "wiper",
            Shape::Words(rig::Wiper::WORDS),
            "Expression: the contact with the wiper, of a pedal where it is, of an input where it is wanted.",
        ),
        given("track", Shape::Measure(OHMS), "Expression: the pot of a pedal, or the pot an input wants."),
        given(
            "midi_jack",
            Shape::Words(rig::MidiJack::WORDS),
            "How MIDI lies on a 3.5 mm jack. Type A: tip to pin 5, ring to pin 4.",
        ),
        given("insulated", Shape::Switch, "Whether its sleeve is insulated from the case."),
        given(
            "lifted",
            Shape::Switch,
            "Whether its screen is lifted: by a switch, a transformer or an optical link of this port alone.",
        ),
        given("phantom_safe", Shape::Switch, "Whether it stands phantom power."),
        given("behind", Shape::Measure(LENGTH), "Depth behind a panel's wall."),
        key(
            "inside",
            Shape::Words(rig::Fitting::WORDS),
            "How a lead meets it behind the wall. Left out: soldered, mains on terminals.",
        ),
        key("may_stay_empty", Shape::Switch, "Whether it may stay empty without a remark."),
        ABSENT,
        FROM,
    ],
};

/// The row of sockets of a strip.
static SOCKETS: Table = Table {
    name: "sockets",
    doc: "A row of mains sockets, all alike, at equal distances on one side. Sockets in two rows, or turned ones, are written as ports.",
    keys: &[
        must("pattern", Shape::Text, "Catalogue id of the socket: `socket-f`, `iec-c13-outlet`."),
        must("count", Shape::Count(24), "How many there are."),
        given("face", Shape::Words(rig::Face::WORDS), "The side they are on, before turning."),
        given(
            "first",
            Shape::Measure(POSITION),
            "The centre of the first: from the front edge on left and right, from the left edge on front and back.",
        ),
        given("pitch", Shape::Measure(LENGTH), "From the centre of each to that of the next."),
        given("height", Shape::Measure(LENGTH), "Their centres above the base."),
        FROM,
    ],
};

static INSERT: Table = Table {
    name: "insert",
    doc: "Two jacks, or one jack of three contacts, where the path can be opened. On one jack `send` and `return` name the same port, and a run leaves and arrives there. Behind a panel’s wall such a jack has two leads, one soldered to each contact; the lead with the joint is the one that a guest plugs in from outside.",
    keys: &[
        key("send", Shape::Text, "The port that sends. Must stand here or in the kind."),
        key("return", Shape::Text, "The port that returns. Must stand here or in the kind."),
        given("normal", Shape::Words(rig::Normal::WORDS), "What closes it when nothing is plugged."),
        given(
            "wiring",
            Shape::Words(rig::InsertWiring::WORDS),
            "On one jack: the contact that sends. The other returns, the sleeve is common.",
        ),
        given(
            "return_z",
            Shape::Measure(OHMS),
            "On one jack: input impedance of the contact that returns. The `z` of the port is that of the contact that sends.",
        ),
        ABSENT,
    ],
};

static LOOP: Table = Table {
    name: "loop",
    doc: "A loop that a switcher puts in and out.",
    keys: &[
        key("send", Shape::Text, "The port that sends. Must stand here or in the kind."),
        key("return", Shape::Text, "The port that returns. Must stand here or in the kind."),
        ABSENT,
    ],
};

static SIGNAL: Table = Table {
    name: "signal",
    doc: "What a device does to signal.",
    keys: &[
        given(
            "bypass",
            Shape::Words(rig::Bypass::WORDS),
            "What it does to the signal when it is bypassed. Hard is what players call true bypass.",
        ),
        key(
            "passive",
            Shape::Switch,
            "Whether it has no active stage between input and output. The `z` of its way out is the resistor between each way in and it: of a box that sums, the resistor of each leg.",
        ),
        given("bare_pickup", Shape::Switch, "Whether it must see the guitar's coil with no buffer between."),
        given("inverts", Shape::Switch, "Whether it inverts when engaged."),
        given("latency", Shape::Measure(SECONDS), "Delay of its direct sound."),
        given("gain", Shape::Measure(DECIBELS), "The largest gain it can be set to."),
        given("max_input", Shape::Measure(VOLTS), "The largest peak it takes before clipping."),
        key(
            "at",
            Shape::List(&Shape::Table(&AT_VOLTS)),
            "What differs with the voltage that feeds it: `[{ volts = \"9 V\", max_input = \"3 V\" }, { volts = \"18 V\", max_input = \"7 V\" }]`. The entry counts whose volts are those of its supply, within 10 % (common practice, no source); where none does, `gain` and `max_input` above.",
        ),
        given(
            "noise",
            Shape::Measure(VOLTS),
            "Its own noise: volts rms, A-weighted from 20 Hz to 20 kHz, at its output when it is engaged with the gain at its largest and the input shorted. Left out: not counted.",
        ),
        given("coil", Shape::Switch, "Whether it holds a coil that picks up magnetic fields."),
        given("aerial", Shape::Switch, "Whether it has an aerial."),
        given("tails", Shape::Switch, "Whether repeats ring on after it is switched off."),
        given("transformer", Shape::Switch, "Whether a transformer isolates its outputs from its inputs."),
        given(
            "turns",
            Shape::Measure(TURNS),
            "The turns of a passive transformer, primary to secondary: `12:1` steps down, `1:10` up. An input without `z` is then loaded by what hangs on its outputs, as the turns reflect it.",
        ),
        given("bleed", Shape::Measure(OHMS), "The resistors that keep its switched contacts at rest."),
        given(
            "travel",
            Shape::Measure(PORTION),
            "How far a passive volume stands open: the share of its resistance below the wiper. Left out: all of it.",
        ),
        FROM,
    ],
};

static AT_VOLTS: Table = Table {
    name: "at",
    doc: "What a device does at one supply voltage. A value that is left out is that of the device.",
    keys: &[
        must("volts", Shape::Measure(VOLTS), "The voltage that feeds it."),
        given("gain", Shape::Measure(DECIBELS), "The largest gain it can be set to there."),
        given("max_input", Shape::Measure(VOLTS), "The largest peak it takes there before clipping."),
    ],
};

static MIDI: Table = Table {
    name: "midi",
    doc: "What a device listens to by MIDI.",
    keys: &[
        given("channel", Shape::Count(16), "Its channel, 1 to 16."),
        given("omni", Shape::Switch, "Whether it listens to every channel."),
        given("bytes", Shape::Count(10_000), "Bytes that one change of sound sends to it."),
        given("gap", Shape::Measure(SECONDS), "The least time it wants between two messages."),
        FROM,
    ],
};

static POWER: Table = Table {
    name: "power",
    doc: "What a device needs to run.",
    keys: &[
        given("type", Shape::Words(rig::Nature::WORDS), "Direct, alternating, mains or nothing."),
        given("volts", Shape::Measure(WINDOW), "The voltages it runs on: `9 V` or `9 V to 18 V`."),
        given("current", Shape::Measure(CURRENT), "What it draws when working."),
        given("surge", Shape::Measure(CURRENT), "What it draws at start-up."),
        given("sign", Shape::Words(rig::Sign::WORDS), "Which contact of the barrel is negative."),
        given("class", Shape::Words(rig::Class::WORDS), "What it does to a supply it shares."),
        given("positive_ground", Shape::Switch, "Whether its positive is joined to the screen."),
        given(
            "earthed",
            Shape::Switch,
            "Whether its case stands on the protective earth; of a brick, the negative of its joined outlets. Left out: it does not.",
        ),
        given(
            "hertz",
            Shape::Words(rig::MainsHertz::WORDS),
            "The frequency of the mains that it is made for, as printed on it.",
        ),
        given(
            "selector",
            Shape::Measure(VOLTS),
            "The mains that its selector is set to: `230 V`. Left out: it has none.",
        ),
        FROM,
    ],
};

static FEED: Table = Table {
    name: "feed",
    doc: "How a device gets its power.",
    keys: &[
        key(
            "type",
            Shape::Words(rig::FeedKind::WORDS),
            "One outlet, two joined, or its own adaptor. Left out: single.",
        ),
        must(
            "outlets",
            Shape::List(&Shape::Text),
            "The outlets as brick and outlet: `[\"SUP.5\"]`. Several devices may name one outlet: then they share it.",
        ),
        key("crossing", Shape::Switch, "Whether the lead swaps the polarity."),
        key(
            "barrel_adaptor",
            Shape::Text,
            "Catalogue id of the plug that an adaptor on the lead ends in: the one that goes into the device.",
        ),
        key("adaptor", Shape::Table(&ADAPTOR), "What is known of its own adaptor."),
        key(
            "clamped",
            Shape::Switch,
            "Whether its own adaptor is clamped in the strip; `held` in `adaptor` says by what, and then counts.",
        ),
        key("locked", Shape::Switch, "Whether power allocation may not change it."),
        key("plug", Shape::Text, "Catalogue id of the plug at the device."),
        key(
            "exit",
            Shape::Words(rig::Exit::WORDS),
            "Where the cable leaves that plug, on the device before turning.",
        ),
        key("outlet_plug", Shape::Text, "Catalogue id of the plug at the outlet."),
        key(
            "outlet_exit",
            Shape::Words(rig::Exit::WORDS),
            "Where the cable leaves that plug, on the brick before turning.",
        ),
    ],
};

static ADAPTOR: Table = Table {
    name: "adaptor",
    doc: "The adaptor that a device brings. Measured as it stands upright before you, prongs to the back. In its socket the prongs stay where they are and the body turns about them: `on-its-side` is a quarter turn clockwise, `upside-down` a half turn.",
    keys: &[
        key("size", Shape::Table(&SIZE), "Its body without the prongs."),
        key(
            "prongs",
            Shape::Text,
            "Catalogue id of the mains plug that its prongs make: `plug-f`, `plug-c`. Left out: taken to suit its socket.",
        ),
        given(
            "prongs_left",
            Shape::Measure(LENGTH),
            "The middle of its prongs from the left edge of its body. Left out: half its width.",
        ),
        given(
            "prongs_up",
            Shape::Measure(LENGTH),
            "The middle of its prongs above the base of its body. Left out: half its height.",
        ),
        given("lies", Shape::Words(rig::Lie::WORDS), "How it lies in its socket."),
        given("mass", Shape::Measure(GRAMS), "Its mass."),
        given("lead", Shape::Measure(LENGTH), "The length of the lead that is fixed to it."),
        key(
            "shortened",
            Shape::Measure(LENGTH),
            "What that lead is shortened to. Left out: it stays whole; what is left over is coiled.",
        ),
        key("consent", Shape::Text, "Who agreed to that, and when. Nothing is shortened without."),
        given("held", Shape::Words(rig::Held::WORDS), "What keeps it in its socket."),
        FROM,
    ],
};

/// An outlet.
pub static OUTLET: Table = Table {
    name: "outlet",
    doc: "One outlet of a brick.",
    keys: &[
        given(
            "type",
            Shape::Words(&[rig::Nature::Dc.word(), rig::Nature::Ac.word()]),
            "Direct or alternating.",
        ),
        key("setting", Shape::List(&Shape::Table(&SETTING)), "The voltages it can be set to."),
        given(
            "set",
            Shape::Measure(VOLTS),
            "The voltage it is set to in this rig. An outlet with one setting has that one.",
        ),
        given("sign", Shape::Words(rig::Sign::WORDS), "Its polarity."),
        given(
            "isolation",
            Shape::Words(rig::Isolation::WORDS),
            "Whether no galvanic path leads from its negative to another outlet's.",
        ),
        key("bank", Shape::Text, "The bank it belongs to."),
        given("parallel", Shape::Switch, "Whether the maker allows pairing for more current."),
        given("series", Shape::Switch, "Whether the maker allows pairing for more voltage."),
        key("connector", Shape::Text, "Catalogue id of what fits it."),
        given("face", Shape::Words(rig::Face::WORDS), "The side it is on, before turning."),
        given("offset", Shape::Measure(POSITION), "Its centre along that side."),
        given("height", Shape::Measure(LENGTH), "Its centre above the base."),
        ABSENT,
        FROM,
    ],
};

static SETTING: Table = Table {
    name: "setting",
    doc: "A voltage and what the outlet gives there.",
    keys: &[
        must("volts", Shape::Measure(VOLTS), "The voltage."),
        given("current", Shape::Measure(CURRENT), "The current at that voltage."),
    ],
};

static BANK: Table = Table {
    name: "bank",
    doc: "A group of outlets with a common limit.",
    keys: &[given("current", Shape::Measure(CURRENT), "What they give together."), FROM],
};

/// What holds a device on its deck.
pub static FASTEN: Table = Table {
    name: "fasten",
    doc: "What holds a device on its deck. A kind may say it, and `[fasten]` in the shop settings for every device that says nothing else.",
    keys: &[
        given(
            "type",
            Shape::Words(rig::FastenKind::WORDS),
            "Hook-and-loop strip, mushroom-head pads, screws, or a clamp or bracket.",
        ),
        given("count", Shape::Count(99), "How many strips, pads, screws or clamps."),
        given("length", Shape::Measure(LENGTH), "Length of each strip or pad."),
        given("width", Shape::Measure(LENGTH), "Width of each strip or pad."),
        given(
            "area",
            Shape::Measure(AREA),
            "Area of all strips or pads together. Left out: count × length × width.",
        ),
        given(
            "hooks",
            Shape::Words(rig::HookSide::WORDS),
            "Where the hooks are; the loops are on the other. Pads have one pattern on both.",
        ),
        FROM,
    ],
};

static PLACE: Table = Table {
    name: "place",
    doc: "Where a device stands.",
    keys: &[
        key("deck", Shape::Text, "The deck, or `floor`. Left out: the first deck."),
        must(
            "x",
            Shape::Measure(POSITION),
            "Left edge of the turned body, from the deck's front left corner.",
        ),
        must("y", Shape::Measure(POSITION), "Front edge of the turned body."),
        key("turn", Shape::Turn, "Counter-clockwise: 0, 90, 180 or 270 degrees. Left out: 0."),
        key("under", Shape::Switch, "Whether it hangs under the deck, upright in its bracket."),
        key("locked", Shape::Switch, "Whether layout may not move it."),
    ],
};

/// What a port may be for: an outlet is written under `outlet`.
const ROLES: &[&str] = &[
    PortRole::In.word(),
    PortRole::Out.word(),
    PortRole::Send.word(),
    PortRole::Return.word(),
    PortRole::Through.word(),
    PortRole::Power.word(),
    PortRole::Mains.word(),
    PortRole::Expression.word(),
    PortRole::Control.word(),
    PortRole::MidiIn.word(),
    PortRole::MidiOut.word(),
    PortRole::MidiThru.word(),
    PortRole::Usb.word(),
];
