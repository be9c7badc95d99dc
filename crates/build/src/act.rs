//! Acts, and what is true once they are done.

/// What can be true of something on the bench or the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// The builder may begin: measured, agreed, signed.
    Approved,
    /// An act of the preparation is done.
    Prepared,
    /// A lead is cut.
    Cut,
    /// Its sleeves and shells are on.
    Sleeved,
    /// Its plugs are soldered.
    Soldered,
    /// It lies through a hole that its finished plug does not pass.
    Threaded,
    /// It is metered, and can be plugged in.
    Metered,
    /// A plate is marked out.
    Marked,
    /// Its holes are drilled.
    Drilled,
    /// Both sides of them are deburred.
    Deburred,
    /// Its jacks are in.
    Fitted,
    /// Something is soldered or screwed behind a panel.
    Wired,
    /// The earth of a panel is tested.
    Earthed,
    /// A device stands where it belongs.
    Stands,
    /// A mains lead is laid.
    Laid,
    /// An outlet is set.
    Set,
    /// A plug is in.
    In,
    /// Mains is looked at and tested.
    Mains,
    /// The outlets of a supply are metered.
    Outlets,
    /// The loose end of a supply lead is metered.
    LooseEnd,
    /// What stands so far is listened to.
    Heard,
    /// Leads are tied.
    Tied,
    /// A deck is on the board.
    Raised,
    /// An act that finishes the board is done.
    Finished,
}

/// Something that is true from some act on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fact {
    /// What is true.
    pub what: What,
    /// Of what: a tag, a lead, an end.
    pub of: String,
}

impl Fact {
    /// A fact.
    pub fn new(what: What, of: impl Into<String>) -> Self {
        Self { what, of: of.into() }
    }
}

/// One act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Act {
    /// Its name, which no other act has.
    pub id: String,
    /// The stage that a builder would put it in.
    pub stage: usize,
    /// Minutes planned.
    pub minutes: u32,
    /// Whether work that rests on it stops until somebody has looked.
    pub hold: bool,
    /// What is in the hand for it. Acts with the same follow each other where they may.
    pub tool: String,
    /// Where it is done: two people are never at one place at once. `None` on the bench, where there is room for both.
    pub place: Option<String>,
    /// Acts of one run follow each other with nothing between: from mains on to mains off. Nobody else touches the board.
    pub run: Option<usize>,
    /// What it needs.
    pub wants: Vec<Fact>,
    /// What is true once it is done.
    pub gives: Vec<Fact>,
}

impl Act {
    /// An act on the bench that needs nothing.
    pub fn new(id: impl Into<String>, stage: usize, minutes: u32) -> Self {
        Self {
            id: id.into(),
            stage,
            minutes,
            hold: false,
            tool: String::new(),
            place: None,
            run: None,
            wants: Vec::new(),
            gives: Vec::new(),
        }
    }
}
