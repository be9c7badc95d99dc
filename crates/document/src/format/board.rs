//! Board, decks, lid and case.

use rig::Word as _;

use super::{GRAMS, LENGTH, POSITION, Shape, Table, given, key, must};

/// The board of a rig document. A catalogue board has the same keys.
pub(super) static BOARD: Table = Table {
    name: "board",
    doc: "The carrier. `kind` brings a catalogue board; keys written here override it.",
    keys: &[
        key("kind", Shape::Text, "Catalogue id."),
        key("title", Shape::Text, "What it is, for papers."),
        key("search", Shape::List(&Shape::Text), "Words it is also found under."),
        key(
            "direction",
            Shape::Words(rig::Direction::WORDS),
            "Which way signal runs as the player sees it. Left out: right to left.",
        ),
        given("mass", Shape::Measure(GRAMS), "Its own mass."),
        key(
            "feet",
            Shape::List(&Shape::Table(&FOOT)),
            "Where its feet stand, from the board's front left corner.",
        ),
        key(
            "deck",
            Shape::Named(&DECK),
            "Its levels. The first is the main deck, whose surface is height 0.",
        ),
        key("lid", Shape::Table(&LID), "The lid."),
        key("case", Shape::Table(&CASE), "The case it travels in."),
        super::FROM,
    ],
};

static FOOT: Table = Table {
    name: "foot",
    doc: "A foot of the board.",
    keys: &[
        must("x", Shape::Measure(POSITION), "From the left."),
        must("y", Shape::Measure(POSITION), "From the front."),
    ],
};

static DECK: Table = Table {
    name: "deck",
    doc: "One level of the board.",
    keys: &[
        key("size", Shape::Table(&PLAN_SIZE), "Width and depth of a plain rectangle."),
        key("shape", Shape::List(&Shape::Table(&RECT)), "Outline made of several rectangles."),
        key(
            "x",
            Shape::Measure(POSITION),
            "Where its front left corner stands on the board. Left out: 0 mm.",
        ),
        key(
            "y",
            Shape::Measure(POSITION),
            "Where its front left corner stands on the board. Left out: 0 mm.",
        ),
        key(
            "level",
            Shape::Measure(POSITION),
            "Height of its surface above the main deck's. Left out: 0 mm.",
        ),
        key("thickness", Shape::Measure(LENGTH), "Thickness of the sheet or frame. Left out: 0 mm."),
        given("clear_below", Shape::Measure(LENGTH), "Clear height beneath it."),
        key(
            "rail",
            Shape::Named(&RAIL),
            "Rails of a frame. Things may hang through the gaps, never through a rail.",
        ),
        key("riser", Shape::Named(&RISER), "Raised places on it."),
        key("passage", Shape::Named(&PASSAGE), "Holes that leads pass through."),
        key("hinge", Shape::Table(&HINGE), "The axis it lifts on."),
    ],
};

static PLAN_SIZE: Table = Table {
    name: "size",
    doc: "Width and depth.",
    keys: &[
        must("width", Shape::Measure(LENGTH), "Left to right."),
        must("depth", Shape::Measure(LENGTH), "Front to back."),
    ],
};

static RECT: Table = Table {
    name: "rectangle",
    doc: "A rectangle on a deck, from the deck's front left corner.",
    keys: &[
        must("x", Shape::Measure(POSITION), "Left edge."),
        must("y", Shape::Measure(POSITION), "Front edge."),
        must("width", Shape::Measure(LENGTH), "Left to right."),
        must("depth", Shape::Measure(LENGTH), "Front to back."),
    ],
};

static RAIL: Table = Table {
    name: "rail",
    doc: "A rail of a frame.",
    keys: &[
        must("x", Shape::Measure(POSITION), "Left edge."),
        must("y", Shape::Measure(POSITION), "Front edge."),
        must("width", Shape::Measure(LENGTH), "Left to right."),
        must("depth", Shape::Measure(LENGTH), "Front to back."),
        key("drop", Shape::Measure(LENGTH), "How far it reaches below the deck's underside. Left out: 0 mm."),
    ],
};

static RISER: Table = Table {
    name: "riser",
    doc: "A raised place on a deck. What stands wholly on it stands at its height.",
    keys: &[
        must("x", Shape::Measure(POSITION), "Left edge."),
        must("y", Shape::Measure(POSITION), "Front edge."),
        must("width", Shape::Measure(LENGTH), "Left to right."),
        must("depth", Shape::Measure(LENGTH), "Front to back."),
        must("height", Shape::Measure(LENGTH), "Above the deck."),
    ],
};

static PASSAGE: Table = Table {
    name: "passage",
    doc: "A hole that leads pass through.",
    keys: &[
        must("x", Shape::Measure(POSITION), "Left edge."),
        must("y", Shape::Measure(POSITION), "Front edge."),
        must("width", Shape::Measure(LENGTH), "Left to right."),
        must("depth", Shape::Measure(LENGTH), "Front to back."),
        given("grommet", Shape::Switch, "Whether its edge is lined."),
    ],
};

static HINGE: Table = Table {
    name: "hinge",
    doc: "The axis a deck lifts on.",
    keys: &[
        must("edge", Shape::Words(rig::Face::WORDS), "The edge it turns on."),
        key("swing", Shape::Count(180), "How far it opens, in degrees. Left out: 90."),
    ],
};

static LID: Table = Table {
    name: "lid",
    doc: "The lid of board or case.",
    keys: &[
        given(
            "inside_height",
            Shape::Measure(LENGTH),
            "From the main deck's surface to the inside of the lid.",
        ),
        super::FROM,
    ],
};

static CASE: Table = Table {
    name: "case",
    doc: "The case the board travels in.",
    keys: &[
        key("title", Shape::Text, "What it is, for papers."),
        given("mass", Shape::Measure(GRAMS), "Its mass."),
        given("inside_width", Shape::Measure(LENGTH), "Room between the foam, left to right."),
        given("inside_depth", Shape::Measure(LENGTH), "Room between the foam, front to back."),
        given("outside_width", Shape::Measure(LENGTH), "Outside, for carriers."),
        given("outside_depth", Shape::Measure(LENGTH), "Outside, for carriers."),
        given("outside_height", Shape::Measure(LENGTH), "Outside, for carriers."),
        super::FROM,
    ],
};
