//! The roles things play on a drawing, and the pen each role is drawn with.
//!
//! Weights and kinds of line follow ISO 128: heavy 0.7 mm, wide 0.5 mm, narrow 0.25 mm.

use finding::Severity;
use rig::LeadClass;

/// The role of a thing on a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Edge of the board or a deck, with the deck's surface.
    BoardEdge,
    /// Outline of a body in view.
    Outline,
    /// Narrow outline with the body's ground: tabs, rails, risers, things further away.
    Tab,
    /// Far outline in a side view.
    Far,
    /// A cut or raised part.
    Wash,
    /// A narrow line.
    Narrow,
    /// A hairline.
    Hair,
    /// Box of a plug, knobs.
    Plug,
    /// Room for a cable's bend, corridors: lighter than a plug.
    Bend,
    /// Edges hidden under a deck.
    Hidden,
    /// Outline of a thing without a place.
    NotPlaced,
    /// Axis of a treadle.
    Chain,
    /// A foot switch.
    Switch,
    /// A contact of a jack.
    Contact,
    /// A filled mark: arrowhead, triangle of a port, field of the check bar.
    Mark,
    /// Dimension and extension lines.
    Dimension,
    /// A lead.
    Lead(LeadClass),
    /// The gap a lead cuts into what lies beneath it.
    LeadHalo(LeadClass),
    /// The dot where a lead begins.
    LeadEnd(LeadClass),
    /// The border of an outlet's tag, in the class of its lead.
    OutletTag(LeadClass),
    /// The circle around a number.
    Balloon,
    /// Where two boxes clash.
    Clash,
    /// The shape of a severity.
    SeverityShape(Severity),
    /// The sign within a severity's shape.
    SeveritySign(Severity),
    /// Text in ink, or the word of a thing.
    Ink,
    /// Text for labels, kinds and units.
    Faint,
    /// The word of a severity.
    SeverityWord(Severity),
    /// The deck's ground beneath a text.
    PlateGround,
    /// The sheet's ground beneath a text.
    SheetGround,
    /// A deck cut through, in a side view.
    DeckCut,
    /// The lid.
    Lid,
    /// Frame of the sheet, view arrow.
    Wide,
    /// The edge of a hole that is drilled.
    Hole,
    /// The edge of a hole that is drilled first, under a larger one.
    Pilot,
    /// A stroke that is engraved.
    Engraved,
    /// The centre lines of a hole.
    Centre,
    /// Where a sheet is cut from its neighbour.
    Cut,
    /// A line of the grid of a plot.
    Grid,
    /// The room between the extremes of a plot.
    Envelope,
    /// A curve of a plot.
    Curve,
    /// The curve that others are held against.
    Reference,
    /// Beyond this line a value deserves a look.
    LookLimit,
    /// Beyond this line a value is a stop.
    StopLimit,
}

/// What drawings of plates are called: there the outline is cut.
pub(crate) const PLATE: &str = "panel";

impl Style {
    /// The layer of files for machines that it is drawn on. The outline of a plate is cut; that of a body on a plan is not.
    pub(crate) fn layer(self, is_plate: bool, is_circle: bool) -> String {
        match self {
            Self::Hole if is_circle => "DRILL",
            Self::Hole | Self::BoardEdge => "CUT",
            Self::Outline if is_plate => "CUT",
            Self::Pilot => "PILOT",
            Self::Engraved => "ENGRAVE",
            // What only helps to measure and to see.
            Self::Dimension | Self::Centre | Self::Hidden | Self::Ink | Self::Faint | Self::Mark => {
                "DIMENSION"
            }
            _ if is_plate => "DIMENSION",
            other => return other.word().to_ascii_uppercase(),
        }
        .to_owned()
    }
}

/// A colour of the palette, by what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Colour {
    Sheet,
    Plate,
    Wash,
    Ink,
    Ink2,
    Rule,
    Rule2,
    Band,
    Signal,
    Dc,
    Control,
    Ac,
    Mains,
    Stop,
    Look,
    LookFill,
    Note,
    OnStop,
    OnLook,
}

/// How a role is drawn. Lengths in millimetres of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pen {
    pub(crate) stroke: Option<Colour>,
    pub(crate) width: f64,
    pub(crate) dash: &'static [f64],
    pub(crate) fill: Option<Colour>,
    /// Whether width and dash are true sizes that follow the scale, as those of leads do.
    pub(crate) true_size: bool,
}

pub(crate) const HEAVY: f64 = 0.7;
pub(crate) const WIDE: f64 = 0.5;
pub(crate) const NARROW: f64 = 0.25;

const fn line(stroke: Colour, width: f64, dash: &'static [f64]) -> Pen {
    Pen { stroke: Some(stroke), width, dash, fill: None, true_size: false }
}

const fn filled(fill: Colour) -> Pen {
    Pen { stroke: None, width: 0.0, dash: &[], fill: Some(fill), true_size: false }
}

const fn both(stroke: Colour, width: f64, fill: Colour) -> Pen {
    Pen { stroke: Some(stroke), width, dash: &[], fill: Some(fill), true_size: false }
}

/// True widths of leads whose cable is not known, and their dashes, in millimetres of life.
pub(crate) fn lead_width(class: LeadClass) -> f64 {
    match class {
        LeadClass::Signal => 4.0,
        LeadClass::Dc => 2.6,
        LeadClass::Control => 3.4,
        LeadClass::Ac => 3.6,
        LeadClass::Mains => 5.0,
    }
}

pub(crate) fn lead_colour(class: LeadClass) -> Colour {
    match class {
        LeadClass::Signal => Colour::Signal,
        LeadClass::Dc => Colour::Dc,
        LeadClass::Control => Colour::Control,
        LeadClass::Ac => Colour::Ac,
        LeadClass::Mains => Colour::Mains,
    }
}

fn lead_dash(class: LeadClass) -> &'static [f64] {
    match class {
        LeadClass::Signal => &[],
        LeadClass::Dc => &[7.0, 3.5],
        LeadClass::Control => &[16.0, 4.0, 3.4, 4.0],
        LeadClass::Ac => &[3.5, 3.5],
        LeadClass::Mains => &[18.0, 4.0, 4.0, 4.0, 4.0, 4.0],
    }
}

fn severity_colour(severity: Severity) -> Colour {
    match severity {
        Severity::Stop => Colour::Stop,
        Severity::Look => Colour::Look,
        Severity::Note => Colour::Note,
    }
}

impl Style {
    /// The pen of this role.
    pub(crate) fn pen(self) -> Pen {
        use Colour::{Ink, Ink2, LookFill, OnLook, OnStop, Plate, Rule, Rule2, Sheet, Signal};
        // Dashes are given in screen pixels by the look; 1 px is 0.2646 mm.
        match self {
            Self::BoardEdge => both(Ink, HEAVY, Plate),
            Self::Outline => both(Ink, WIDE, Sheet),
            Self::Tab | Self::Balloon => both(Ink, NARROW, Sheet),
            Self::Far => both(Rule2, NARROW, Sheet),
            Self::Wash => both(Ink, NARROW, Colour::Wash),
            Self::Narrow | Self::Dimension => line(Ink, NARROW, &[]),
            Self::Hair => line(Rule2, 0.18, &[]),
            Self::Plug => line(Ink2, NARROW, &[0.926, 0.661]),
            Self::Bend => line(Rule2, 0.18, &[0.5, 0.5]),
            Self::Hidden => line(Ink2, NARROW, &[1.323, 0.794]),
            Self::NotPlaced => line(Ink2, NARROW, &[1.588, 0.794]),
            Self::Chain | Self::Cut => line(Ink, NARROW, &[3.704, 0.794, 0.661, 0.794]),
            Self::Switch => both(Ink, 0.35, Sheet),
            Self::Contact => line(Ink, 0.3, &[]),
            Self::Mark | Self::Ink => filled(Ink),
            Self::Faint => filled(Ink2),
            Self::Lead(class) => Pen {
                stroke: Some(lead_colour(class)),
                width: lead_width(class),
                dash: lead_dash(class),
                fill: None,
                true_size: true,
            },
            Self::LeadHalo(class) => Pen {
                stroke: Some(Plate),
                width: lead_width(class) + 4.0,
                dash: &[],
                fill: None,
                true_size: true,
            },
            Self::LeadEnd(class) => both(Plate, 0.18, lead_colour(class)),
            Self::OutletTag(class) => both(lead_colour(class), 0.26, Sheet),
            Self::Clash => line(Colour::Stop, 0.25, &[]),
            Self::SeverityShape(Severity::Stop) => filled(Colour::Stop),
            Self::SeverityShape(Severity::Look) => both(Colour::Look, 0.3, LookFill),
            Self::SeverityShape(Severity::Note) | Self::SeveritySign(Severity::Note) => {
                line(Colour::Note, 0.35, &[])
            }
            Self::SeveritySign(Severity::Stop) => line(OnStop, 0.5, &[]),
            Self::SeveritySign(Severity::Look) => line(OnLook, 0.35, &[]),
            Self::SeverityWord(severity) => filled(severity_colour(severity)),
            Self::PlateGround => filled(Plate),
            Self::SheetGround => filled(Sheet),
            Self::DeckCut => both(Ink, NARROW, Ink),
            Self::Lid | Self::Wide => line(Ink, WIDE, &[]),
            Self::Hole => line(Ink, 0.35, &[]),
            Self::Engraved => line(Ink, 0.25, &[]),
            Self::Pilot | Self::Centre => line(Ink, 0.18, &[]),
            Self::Grid => line(Rule, 0.18, &[]),
            Self::Envelope => filled(Colour::Band),
            Self::Curve => line(Signal, WIDE, &[]),
            Self::Reference => line(Ink, 0.35, &[3.0, 0.8, 0.7, 0.8]),
            Self::LookLimit => line(Colour::Look, NARROW, &[1.5, 0.8]),
            Self::StopLimit => line(Colour::Stop, NARROW, &[3.0, 0.8]),
        }
    }

    /// The role as a short word: the class of its elements on a page, the layer in a file.
    pub fn word(self) -> &'static str {
        match self {
            Self::BoardEdge => "board-edge",
            Self::Outline => "outline",
            Self::Tab => "tab",
            Self::Far => "far",
            Self::Wash => "wash",
            Self::Narrow => "narrow",
            Self::Hair => "hair",
            Self::Plug => "plug",
            Self::Bend => "bend",
            Self::Hidden => "hidden",
            Self::NotPlaced => "not-placed",
            Self::Chain => "chain",
            Self::Switch => "switch",
            Self::Contact => "contact",
            Self::Mark => "mark",
            Self::Dimension => "dimension",
            Self::Lead(LeadClass::Signal) => "lead-signal",
            Self::Lead(LeadClass::Dc) => "lead-dc",
            Self::Lead(LeadClass::Control) => "lead-control",
            Self::Lead(LeadClass::Ac) => "lead-ac",
            Self::Lead(LeadClass::Mains) => "lead-mains",
            Self::LeadHalo(_) => "lead-halo",
            Self::LeadEnd(_) => "lead-end",
            Self::OutletTag(_) => "outlet-tag",
            Self::Balloon => "balloon",
            Self::Clash => "clash",
            Self::SeverityShape(_) => "severity-shape",
            Self::SeveritySign(_) => "severity-sign",
            Self::Ink => "ink",
            Self::Faint => "faint",
            Self::SeverityWord(_) => "severity-word",
            Self::PlateGround | Self::SheetGround => "ground",
            Self::DeckCut => "deck-cut",
            Self::Lid => "lid",
            Self::Wide => "wide",
            Self::Hole => "hole",
            Self::Pilot => "pilot",
            Self::Engraved => "engraved",
            Self::Centre => "centre",
            Self::Cut => "cut",
            Self::Grid => "grid",
            Self::Envelope => "envelope",
            Self::Curve => "curve",
            Self::Reference => "reference",
            Self::LookLimit => "look-limit",
            Self::StopLimit => "stop-limit",
        }
    }
}

impl Colour {
    /// Its token on a page, its value on the light sheet, its value on white paper.
    pub(crate) fn values(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Sheet => ("sheet", "#FFFDF7", "#FFFFFF"),
            Self::Plate => ("plate", "#F5F1E7", "#FFFFFF"),
            Self::Wash => ("wash", "#EFE9DB", "#F3F0E8"),
            Self::Ink => ("ink", "#1D1B17", "#1D1B17"),
            Self::Ink2 => ("ink2", "#575146", "#575146"),
            Self::Rule => ("rule", "#D9D2C3", "#D9D2C3"),
            Self::Band => ("band", "#C6D3E3", "#C6D3E3"),
            Self::Rule2 => ("rule2", "#8B8172", "#8B8172"),
            Self::Signal => ("signal", "#004488", "#004488"),
            Self::Dc => ("dc", "#B85000", "#B85000"),
            Self::Control => ("control", "#008563", "#008563"),
            Self::Ac => ("ac", "#6B4BA3", "#6B4BA3"),
            Self::Mains => ("mains", "#BF6A9A", "#BF6A9A"),
            Self::Stop => ("stop", "#B0103A", "#B0103A"),
            Self::Look => ("look", "#7A4B00", "#7A4B00"),
            Self::LookFill => ("lookfill", "#F0A818", "#F0A818"),
            Self::Note => ("note", "#4A5560", "#4A5560"),
            Self::OnStop => ("onstop", "#FFFDF7", "#FFFFFF"),
            Self::OnLook => ("onlook", "#1D1B17", "#1D1B17"),
        }
    }
}
