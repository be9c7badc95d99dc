//! What would make it fit when nothing does, each found by trying it and asked of a judge.

mod board;
mod device;
mod plugs;

use finding::{Change, Edit};
use quantity::Length;

use crate::outcome::{Outcome, Placement, Relaxation};
use crate::packing::Hopeless;
use crate::solve::first_fits;
use crate::watch::Stop;
use crate::{Config, Input};

/// Moves for each thing tried, and for all of one kind together: what needs more would be found by luck only.
const MOVES: u64 = 100_000;
const MOVES_OF_A_KIND: u64 = 200_000;
/// More relaxations than this are not told.
const MOST: usize = 8;
/// Room kept free in front of each plug where what was found without is turned away, in millimetres: the arc of a thin
/// cable, then that of a thick one. *Common practice, no source.*
const ELBOWS: [i64; 3] = [0, 12, 20];

/// Stands in a name for whether it would do or may do.
const WOULD: &str = "{would}";

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

/// What would help, the least first: another plug, another side up, under the deck, a few millimetres, another board, one
/// device less.
pub(crate) fn relaxations(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    hopeless: Option<&Hopeless>,
    judge: &mut dyn Judge,
    stop: &dyn Stop,
) -> Vec<Relaxation> {
    let small = Config { moves: MOVES.min(config.moves.max(1)), until: None, relax: false, ..config.clone() };
    let mut tried = Tried { judge, stop, left: 0, out: Vec::new() };
    let mut wrong: Vec<String> = Vec::new();
    let proven = hopeless.into_iter().flat_map(|hopeless| hopeless.alone.iter().chain(&hopeless.together));
    for tag in proven.cloned().chain(in_trouble(input, outcome)) {
        if !wrong.contains(&tag) {
            wrong.push(tag);
        }
    }
    let barring = hopeless.map_or(&[][..], |hopeless| &hopeless.ends);
    let alone = hopeless.map_or(&[][..], |hopeless| &hopeless.alone);
    plugs::plugs(input, &small, &wrong, barring, tried.next_kind());
    device::turned(input, &small, tried.next_kind());
    device::under(input, &small, &wrong, tried.next_kind());
    board::room(input, &small, tried.next_kind());
    board::others(input, &small, tried.next_kind());
    device::off(input, &small, alone, &wrong, tried.next_kind());
    tried.out
}

/// What was tried with success so far.
struct Tried<'a> {
    judge: &'a mut dyn Judge,
    stop: &'a dyn Stop,
    /// Moves left for the present kind.
    left: u64,
    out: Vec<Relaxation>,
}

/// What a relaxation says of itself.
struct Told {
    kind: &'static str,
    name: String,
    by: Option<Length>,
    device: Option<String>,
    /// What is to be written besides the placement; `None` where it cannot be written.
    changes: Option<Vec<Change>>,
    /// Whether the builder may have it written.
    offered: bool,
}

impl Told {
    fn of(kind: &'static str, name: impl Into<String>) -> Self {
        let (name, changes) = (name.into(), Some(Vec::new()));
        Self { kind, name, by: None, device: None, changes, offered: true }
    }

    fn about(mut self, tag: &str) -> Self {
        self.device = Some(tag.to_owned());
        self
    }

    fn by(mut self, by: Length) -> Self {
        self.by = Some(by);
        self
    }

    fn writing(mut self, changes: Option<Vec<Change>>) -> Self {
        self.changes = changes;
        self
    }

    /// What writes it together with the placement of an edit.
    fn whole(&self, placement: Edit) -> Option<Edit> {
        let changes = self.changes.clone()?;
        if changes.is_empty() {
            return Some(placement);
        }
        let name = format!("{}, {}", self.name.replace(WOULD, ""), placement.name);
        Some(Edit::new(name, changes.into_iter().chain(placement.changes)))
    }

    /// Its line, by whether it is known to help.
    fn line(&self, judged: bool) -> String {
        self.name.replace(WOULD, if judged { " would do" } else { " may do" })
    }
}

impl Tried<'_> {
    fn next_kind(&mut self) -> &mut Self {
        self.left = MOVES_OF_A_KIND;
        self
    }

    /// A search for a first fit, within the moves that are left.
    fn first_fits(&mut self, input: &Input, config: &Config) -> Vec<(Vec<Placement>, Edit)> {
        if MOST <= self.out.len() || self.stop.wanted() || self.left == 0 {
            return Vec::new();
        }
        let config = Config { moves: config.moves.min(self.left), ..config.clone() };
        let (fits, moves) = first_fits(input, &config, self.stop);
        self.left = self.left.saturating_sub(moves);
        fits
    }

    /// Whether a changed input fits by the search alone.
    fn fits(&mut self, input: &Input, config: &Config) -> bool {
        !self.first_fits(input, config).is_empty()
    }

    /// Tries a changed input; what fits and passes is kept. Hands back whether something did.
    fn attempt(&mut self, input: &Input, config: &Config, told: &Told) -> bool {
        let found = self.found(input, config, told);
        let is_found = found.is_some();
        self.out.extend(found);
        is_found
    }

    fn found(&mut self, input: &Input, config: &Config, told: &Told) -> Option<Relaxation> {
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

/// The devices that the nearest placement has trouble with, those with most of it first.
fn in_trouble(input: &Input, outcome: &Outcome) -> Vec<String> {
    let mut counted: Vec<(usize, String)> = Vec::new();
    for device in &input.rig.devices {
        let names = |about: &String| {
            about.ends_with(&format!(" {}", device.tag))
                || about.contains(&format!(" {}.", device.tag))
                || *about == device.tag
        };
        let count = outcome.breaches.iter().filter(|breach| breach.about.iter().any(names)).count();
        if 0 < count {
            counted.push((count, device.tag.clone()));
        }
    }
    counted.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    counted.into_iter().map(|(_, tag)| tag).collect()
}
