//! One thing tried: searched for a first fit, asked of a judge, and told.

use finding::{Change, Edit};
use quantity::Length;

use crate::outcome::{Placement, Relaxation};
use crate::watch::Cancel;
use crate::{Config, Input};

/// The search for first fits: the placements found with their edits, and the moves it took.
pub(crate) type FirstFits = fn(&Input, &Config, &dyn Cancel) -> (Vec<(Vec<Placement>, Edit)>, u64);

/// Moves for each thing tried, and for all of one kind together: what needs more would be found by luck only.
pub(super) const MOVES: u64 = 100_000;
const MOVES_OF_A_KIND: u64 = 200_000;
/// More relaxations than this are not told.
const MOST: usize = 8;
/// Room kept free in front of each plug where what was found without is turned away, in millimetres: the arc of a thin
/// cable, then that of a thick one. *Common practice, no source.*
const ELBOWS: [i64; 3] = [0, 12, 20];

/// Stands in a name for whether it would do or may do.
pub(super) const WOULD: &str = "{would}";

/// What a judge says of an edit.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// Nothing stands in the way of what it leaves; with the edit as it is to be written.
    Passes(Edit),
    /// Something does.
    Fails,
    /// It cannot be written, so that nobody can say.
    CannotBeWritten,
    /// Nobody was asked.
    NotAsked,
}

/// Judges the document that an edit leaves, by more than the search knows.
pub trait Judge {
    /// What is to be said of an edit.
    fn ask(&mut self, edit: &Edit) -> Answer;
}

/// Asks nobody.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Nobody;

impl Judge for Nobody {
    fn ask(&mut self, _: &Edit) -> Answer {
        Answer::NotAsked
    }
}

/// What was tried with success so far.
pub(super) struct Tried<'a> {
    pub(super) search: FirstFits,
    pub(super) judge: &'a mut dyn Judge,
    pub(super) cancel: &'a dyn Cancel,
    /// Moves left for the present kind.
    pub(super) left: u64,
    pub(super) out: Vec<Relaxation>,
}

/// What a relaxation says of itself.
pub(super) struct Told {
    pub(super) kind: &'static str,
    pub(super) name: String,
    pub(super) by: Option<Length>,
    pub(super) device: Option<String>,
    /// What is to be written besides the placement; `None` where it cannot be written.
    pub(super) changes: Option<Vec<Change>>,
    /// Whether the builder may have it written.
    pub(super) offered: bool,
}

impl Told {
    pub(super) fn of(kind: &'static str, name: impl Into<String>) -> Self {
        let (name, changes) = (name.into(), Some(Vec::new()));
        Self { kind, name, by: None, device: None, changes, offered: true }
    }

    pub(super) fn about(mut self, tag: &str) -> Self {
        self.device = Some(tag.to_owned());
        self
    }

    pub(super) fn by(mut self, by: Length) -> Self {
        self.by = Some(by);
        self
    }

    pub(super) fn writing(mut self, changes: Option<Vec<Change>>) -> Self {
        self.changes = changes;
        self
    }

    /// What writes it together with the placement of an edit.
    pub(super) fn whole(&self, placement: Edit) -> Option<Edit> {
        let changes = self.changes.clone()?;
        if changes.is_empty() {
            return Some(placement);
        }
        let name = format!("{}, {}", self.name.replace(WOULD, ""), placement.name);
        Some(Edit::new(name, changes.into_iter().chain(placement.changes)))
    }

    /// Its line, by whether it is known to help.
    pub(super) fn line(&self, judged: bool) -> String {
        self.name.replace(WOULD, if judged { " would do" } else { " may do" })
    }
}

impl Tried<'_> {
    pub(super) fn next_kind(&mut self) -> &mut Self {
        self.left = MOVES_OF_A_KIND;
        self
    }

    /// A search for a first fit, within the moves that are left.
    pub(super) fn first_fits(&mut self, input: &Input, config: &Config) -> Vec<(Vec<Placement>, Edit)> {
        if MOST <= self.out.len() || self.cancel.is_cancelled() || self.left == 0 {
            return Vec::new();
        }
        let config = Config { moves: config.moves.min(self.left), ..config.clone() };
        let (fits, moves) = (self.search)(input, &config, self.cancel);
        self.left = self.left.saturating_sub(moves);
        fits
    }

    /// Whether a changed input fits by the search alone.
    pub(super) fn fits(&mut self, input: &Input, config: &Config) -> bool {
        !self.first_fits(input, config).is_empty()
    }

    /// Tries a changed input; what fits and passes is kept. Hands back whether something did.
    pub(super) fn attempt(&mut self, input: &Input, config: &Config, told: &Told) -> bool {
        let found = self.found(input, config, told);
        let is_found = found.is_some();
        self.out.extend(found);
        is_found
    }

    pub(super) fn found(&mut self, input: &Input, config: &Config, told: &Told) -> Option<Relaxation> {
        for elbow in ELBOWS.map(|elbow| config.elbow.max(Length::from_mm(elbow))) {
            let fits = self.first_fits(input, &Config { elbow, ..config.clone() });
            if fits.is_empty() {
                return None;
            }
            for (placements, edit) in fits {
                let whole = told.whole(edit);
                let answer = whole.as_ref().map_or(Answer::CannotBeWritten, |whole| self.judge.ask(whole));
                let (judged, edit) = match answer {
                    Answer::Passes(edit) => (true, Some(edit)),
                    Answer::NotAsked => (false, whole),
                    Answer::CannotBeWritten => (false, None),
                    Answer::Fails => continue,
                };
                let edit = edit.filter(|_| told.offered);
                let (kind, by, device) = (told.kind, told.by, told.device.clone());
                return Some(Relaxation {
                    name: told.line(judged),
                    kind,
                    judged,
                    by,
                    device,
                    edit,
                    placements,
                });
            }
        }
        None
    }
}
