//! Minutes of the acts of the work order, which quotes count too. All of them are *common practice, no source*.

/// Taking in one device: photograph, serial, condition, knob settings, and what of it has to be measured.
pub(crate) const INTAKE: u32 = 10;
/// Measuring what is assumed, before anything else.
pub(crate) const MEASURE: u32 = 60;
/// Photographing every device.
pub(crate) const PHOTOGRAPH: u32 = 15;
/// Taking batteries out.
pub(crate) const BATTERIES: u32 = 5;
/// Checking the lengths of a board's leads by string.
pub(crate) const STRING: u32 = 45;

/// A lead, act by act: cut, sleeves on, soldered, metered.
pub(crate) const CUT: u32 = 1;
pub(crate) const SLEEVE: u32 = 1;
pub(crate) const SOLDER: u32 = 5;
pub(crate) const METER: u32 = 1;
/// One made lead, test and label included.
pub(crate) const LEAD: u32 = CUT + SLEEVE + SOLDER + METER;
/// What of a lead is left for when it lies through its hole: one end soldered, the whole metered.
pub(crate) const FINISH: u32 = 2 + METER;

/// A plate: its template measured, glued, and each centre punched beyond the first minutes.
pub(crate) const BAR: u32 = 1;
pub(crate) const GLUE: u32 = 5;
pub(crate) const PUNCH: u32 = 2;
pub(crate) const CENTRE: u32 = 1;
/// A hole drilled, deburred, and its jack fitted.
pub(crate) const DRILL: u32 = 5;
pub(crate) const DEBURR: u32 = 1;
pub(crate) const JACK: u32 = 3;
/// An end soldered behind a panel.
pub(crate) const WIRE: u32 = 4;
/// A mains lead on terminals, and the earth of its panel tested.
pub(crate) const TERMINALS: u32 = 20;
pub(crate) const EARTH: u32 = 10;

/// A panel, a strip or a brick fixed; a device; one on the floor; a deck put on the board.
pub(crate) const FIX: u32 = 10;
pub(crate) const DEVICE: u32 = 8;
pub(crate) const STAND: u32 = 2;
pub(crate) const DECK: u32 = 10;
/// A plug put in.
pub(crate) const PLUG: u32 = 1;
/// A mains lead laid, or passed through a gland.
pub(crate) const LAY: u32 = 5;
pub(crate) const PASS: u32 = 10;
/// An adaptor put in; its lead shortened; a socket kept free.
pub(crate) const ADAPTOR: u32 = 5;
pub(crate) const SHORTEN: u32 = 15;
pub(crate) const KEEP: u32 = 1;
/// An outlet set, or what it is to be set to found out; spare ones capped.
pub(crate) const SET: u32 = 2;
pub(crate) const FIND_OUT: u32 = 5;
pub(crate) const CAP: u32 = 3;
/// What nobody said feeds a supply put in.
pub(crate) const FEED: u32 = 2;

/// Mains looked at; switched on or off; outlets metered; the least for some loose ends, and for one that harms.
pub(crate) const MAINS: u32 = 20;
pub(crate) const SWITCH: u32 = 1;
pub(crate) const OUTLETS: u32 = 15;
pub(crate) const LOOSE_ENDS: u32 = 5;
pub(crate) const HARMFUL_END: u32 = 2;
/// Listening to a deck, and to half of one.
pub(crate) const LISTEN: u32 = 20;
pub(crate) const LISTEN_HALF: u32 = 10;

/// Tying what the next deck covers; all leads of a kind; both sides of a hinge; sticking labels.
pub(crate) const TIE_DECK: u32 = 10;
pub(crate) const TIE: u32 = 20;
pub(crate) const HINGE: u32 = 10;
pub(crate) const LABELS: u32 = 20;

/// The end: test sheet, shaking, picture, case, book, lesson.
pub(crate) const TEST: u32 = 90;
pub(crate) const SHAKE: u32 = 5;
pub(crate) const PHOTO: u32 = 10;
pub(crate) const CASE: u32 = 10;
pub(crate) const BOOK: u32 = 10;
pub(crate) const LESSON: u32 = 60;

/// Minutes of what a change takes on a board that is built. What is the same work as on a new board takes as long.
pub mod on_built {
    /// Take a device off or put one on.
    pub const DEVICE: u32 = super::DEVICE;
    /// Unplug and plug a lead, tie it anew.
    pub const PLUG: u32 = 2 * super::PLUG + 1;
    /// Make a lead, test and label included.
    pub const LEAD: u32 = super::LEAD;
    /// Set, meter and mark an outlet.
    pub const OUTLET: u32 = super::SET + 2;
    /// Mark out, drill and deburr a hole, or blank one.
    pub const HOLE: u32 = super::PUNCH + super::DRILL + super::DEBURR;
    /// Take a label off and put one on.
    pub const LABEL: u32 = 1;
    /// One line of the test sheet.
    pub const TEST: u32 = 2;
    /// Print and exchange one paper.
    pub const PAPER: u32 = 2;
    /// Take a device in.
    pub const INTAKE: u32 = super::INTAKE;
    /// Work the change out.
    pub const PLAN: u32 = 15;
}
