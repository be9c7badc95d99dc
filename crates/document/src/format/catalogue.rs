//! Catalogue files: kinds of devices, boards, plugs, connectors, cables, pickups and inputs.

use rig::Word as _;

use super::board::BOARD;
use super::device::DEVICE;
use super::{FARADS, FROM, HENRIES, Key, LENGTH, OHMS, Shape, Table, VOLTS, given, key, must};

/// A catalogue file.
pub static CATALOGUE: Table = Table {
    name: "catalogue file",
    doc: "Generic kinds. A workshop's file with the same id overrides ours key by key.",
    keys: &[
        key("device", Shape::Named(&DEVICE), "Devices: enclosures, classes of pedal, supplies, panels."),
        key("board", Shape::Named(&BOARD), "Boards and frames."),
        key("plug", Shape::Named(&PLUG), "Plugs."),
        key("connector", Shape::Named(&CONNECTOR), "Jacks and inlets of devices."),
        key("cable", Shape::Named(&CABLE), "Cable on the reel."),
        key("pickup", Shape::Named(&PICKUP), "Pickups and other sources."),
        key("input", Shape::Named(&INPUT), "Inputs of amps and desks."),
    ],
};

static PLUG: Table = Table {
    name: "plug",
    doc: "A plug. Sizes are beyond the jack's nut.",
    keys: &[
        must("title", Shape::Text, "What it is, for papers."),
        key("search", Shape::List(&Shape::Text), "Words it is also found under."),
        must(
            "angle",
            Shape::Words(rig::PlugAngle::WORDS),
            "Whether cable leaves along the jack's axis or across it.",
        ),
        must("fits", Shape::List(&Shape::Text), "Catalogue ids of the connectors it fits."),
        key("loose_in", Shape::List(&Shape::Text), "Connectors it goes into but sits loosely in."),
        key("contacts", Shape::Count(64), "How many contacts it has."),
        key(
            "unearthed_in",
            Shape::List(&Shape::Text),
            "Mains: connectors among those it fits where it gets no protective earth.",
        ),
        given("depth", Shape::Measure(LENGTH), "How far it stands out."),
        given("width", Shape::Measure(LENGTH), "Its width and height across the axis."),
        given("tail", Shape::Measure(LENGTH), "Angled: from the axis to the end of the sleeve."),
        given("tail_width", Shape::Measure(LENGTH), "Angled: width of the sleeve."),
        given("bend", Shape::Measure(LENGTH), "Room the cable needs to bend after it."),
        given("allowance", Shape::Measure(LENGTH), "Cable used up inside it."),
        given("strip", Shape::Measure(LENGTH), "How much of the cable's jacket comes off for it."),
        given("strip_core", Shape::Measure(LENGTH), "How much of each core's insulation comes off for it."),
        given("capacitance", Shape::Measure(FARADS), "Capacitance it adds."),
        FROM,
    ],
};

static CONNECTOR: Table = Table {
    name: "connector",
    doc: "A jack or inlet of a device.",
    keys: &[
        must("title", Shape::Text, "What it is, for papers."),
        key("search", Shape::List(&Shape::Text), "Words it is also found under."),
        must("family", Shape::Words(rig::ConnectorFamily::WORDS), "The family it belongs to."),
        must("contacts", Shape::Count(64), "How many contacts it has."),
        given("nut", Shape::Measure(LENGTH), "How far nut and washer stand out before the plug begins."),
        given("hole", Shape::Measure(LENGTH), "The hole it needs in a wall: its diameter, or its width."),
        given(
            "hole_height",
            Shape::Measure(LENGTH),
            "The height of a hole that is not round but a rectangle. Left out: it is round.",
        ),
        given(
            "room",
            Shape::Measure(LENGTH),
            "Width that its flange, or the spanner on its nut, needs on the wall.",
        ),
        key(
            "usual_plug",
            Shape::Text,
            "Mains: catalogue id of the plug that usually goes into it. It makes the connector a socket; a socket is free while this plug has room.",
        ),
        FROM,
    ],
};

static CABLE: Table = Table {
    name: "cable",
    doc: "Cable on the reel.",
    keys: &[
        must("title", Shape::Text, "What it is, for papers."),
        key("search", Shape::List(&Shape::Text), "Words it is also found under."),
        given("diameter", Shape::Measure(LENGTH), "Outer diameter."),
        key("cores", Shape::Count(64), "How many cores it has, its screen not counted."),
        key(
            "carries",
            Shape::List(&Shape::Words(rig::LeadClass::KEYS)),
            "What it is made for. Left out: what goes along it is not judged.",
        ),
        given("capacitance_per_metre", Shape::Measure(FARADS), "Core to screen, one metre."),
        given("resistance_per_metre", Shape::Measure(OHMS), "Core, one metre."),
        FROM,
    ],
};

/// The keys of a pickup, also of a source's own values.
pub(super) const PICKUP_KEYS: &[Key] = &[
    key("title", Shape::Text, "What it is, for papers."),
    key("search", Shape::List(&Shape::Text), "Words it is also found under."),
    given(
        "type",
        Shape::Words(rig::PickupKind::WORDS),
        "Passive coil, passive piezo, or a low-impedance output.",
    ),
    given("inductance", Shape::Measure(HENRIES), "Inductance of the coil."),
    given(
        "resistance",
        Shape::Measure(OHMS),
        "Resistance of the coil; of an active source its output impedance.",
    ),
    given("capacitance", Shape::Measure(FARADS), "Its own capacitance."),
    given("volume_pot", Shape::Measure(OHMS), "Volume pot, full value."),
    given("tone_pot", Shape::Measure(OHMS), "Tone pot, full value."),
    given("tone_capacitor", Shape::Measure(FARADS), "Tone capacitor."),
    given("peak", Shape::Measure(VOLTS), "Highest peak it gives."),
    FROM,
];

static PICKUP: Table = Table { name: "pickup", doc: "A pickup or other source.", keys: PICKUP_KEYS };

static INPUT: Table = Table {
    name: "input",
    doc: "An input of an amp or desk.",
    keys: &[
        must("title", Shape::Text, "What it is, for papers."),
        key("search", Shape::List(&Shape::Text), "Words it is also found under."),
        given("z", Shape::Measure(OHMS), "Input impedance."),
        given("earthed", Shape::Switch, "Whether it is earthed through its mains lead."),
        key(
            "amp",
            Shape::Switch,
            "Whether it is an amp, whose level counts, and no desk, whose gain is set by ear. Left out: an amp from 250 kΩ on.",
        ),
        given("phantom", Shape::Switch, "Whether it puts phantom power on its input."),
        FROM,
    ],
};
