//! What the engine is given, and the figures it goes by.

/// What joins two pieces of metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JoinKind {
    /// The screen of a signal lead.
    Screen,
    /// The screen or common of a control lead.
    Control,
    /// The screen of a USB lead.
    Usb,
    /// The negative of a supply lead.
    Negative,
    /// Metal on metal: a panel's wall, outlets of one bank. It cannot be opened.
    Bond,
}

/// What opens a join.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CureKind {
    /// The screen is lifted at one end of a balanced lead.
    Lift,
    /// An outlet of its own, isolated from the others.
    IsolatedOutlet,
    /// A transformer in the lead.
    Transformer,
    /// An isolator for USB.
    UsbIsolator,
    /// A relay or an optical link in a control lead.
    ControlIsolator,
}

impl CureKind {
    /// What it is called, as something to do.
    pub fn words(self) -> &'static str {
        match self {
            Self::Lift => "lift the screen at one end",
            Self::IsolatedOutlet => "give it an isolated outlet of its own",
            Self::Transformer => "put a transformer there",
            Self::UsbIsolator => "put a USB isolator there",
            Self::ControlIsolator => "put a relay or an optical link there",
        }
    }
}

/// Something that joins two pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// What it is known by: the number of its lead.
    pub id: String,
    /// What it is.
    pub kind: JoinKind,
    /// One piece.
    pub a: usize,
    /// The other.
    pub b: usize,
    /// Whether the lead is balanced, so that it works with its screen lifted at one end.
    pub balanced: bool,
    /// The way it runs, in millimetres, from the first piece to the second; empty where nobody knows.
    pub route: Vec<[f64; 3]>,
    /// How long it is outside the board, in metres; 0 on it.
    pub outside_m: f64,
}

impl Join {
    /// A join on the board of which no more is known.
    pub fn new(id: &str, kind: JoinKind, a: usize, b: usize) -> Self {
        Self { id: id.to_owned(), kind, a, b, balanced: false, route: Vec::new(), outside_m: 0.0 }
    }
}

/// An end of the rig that stands on the protective earth: an amp, a desk, a computer, an earthed brick.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    /// Its name.
    pub id: String,
    /// The piece of metal that it is.
    pub piece: usize,
    /// Whether it is on the protective earth; `None` where nobody knows.
    pub earthed: Option<bool>,
}

impl End {
    /// An end that is on the protective earth.
    pub fn earthed(id: &str, piece: usize) -> Self {
        Self { id: id.to_owned(), piece, earthed: Some(true) }
    }
}

/// A way the board is used: which ends are plugged in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// Its name: `two amps`.
    pub name: String,
    /// The ends, by place.
    pub ends: Vec<usize>,
}

/// A board with its screens.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Input {
    /// Pieces of metal, by name.
    pub pieces: Vec<String>,
    /// What joins them.
    pub joins: Vec<Join>,
    /// What stands on the protective earth.
    pub ends: Vec<End>,
    /// The ways it is used.
    pub uses: Vec<Use>,
}

/// The figures it goes by.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// What a lifted screen costs, against the others: nothing is bought.
    pub lift: u64,
    /// What an isolated outlet costs.
    pub isolated_outlet: u64,
    /// What a transformer costs.
    pub transformer: u64,
    /// What an isolator for USB costs.
    pub usb_isolator: u64,
    /// What an isolator for a control lead costs.
    pub control_isolator: u64,
    /// The magnetic field around, in tesla.
    pub tesla: f64,
    /// The frequency of the mains in hertz.
    pub hertz: f64,
    /// How far a lead outside the board lies from the mains leads that close the loop, in metres.
    pub apart_m: f64,
}

impl Default for Config {
    /// Costs, field and distance: common practice, no source. 0.1 µT is a room with wiring in its walls, a metre the way
    /// between a signal lead and the next mains lead on a stage.
    fn default() -> Self {
        Self {
            lift: 1,
            isolated_outlet: 4,
            transformer: 6,
            usb_isolator: 5,
            control_isolator: 5,
            tesla: 0.1e-6,
            hertz: 50.0,
            apart_m: 1.0,
        }
    }
}

impl Config {
    /// The cheapest cure of a join with its cost; `None` where it cannot be opened.
    pub(crate) fn cure(&self, join: &Join) -> Option<(CureKind, u64)> {
        match join.kind {
            // Where the screen carries the signal back, a lifted one makes silence or worse hum.
            JoinKind::Screen if join.balanced && self.lift <= self.transformer => {
                Some((CureKind::Lift, self.lift))
            }
            JoinKind::Screen => Some((CureKind::Transformer, self.transformer)),
            JoinKind::Control => Some((CureKind::ControlIsolator, self.control_isolator)),
            JoinKind::Usb => Some((CureKind::UsbIsolator, self.usb_isolator)),
            JoinKind::Negative => Some((CureKind::IsolatedOutlet, self.isolated_outlet)),
            JoinKind::Bond => None,
        }
    }
}
