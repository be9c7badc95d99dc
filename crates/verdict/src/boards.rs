//! Which board: those of the catalogue on which the gear fits, the smallest first.

use document::Job;
use finding::{Edit, Finding};
use layout::{Cancel, Config, Input, NoProgress, Outcome};
use quantity::Length;
use rayon::prelude::*;
use rig::Board;

use crate::judge::{Verdict, judge};

/// A look at each board makes one move in so many.
const LOOK: u64 = 8;
/// Room in front of every plug, as [`arrange`](crate::arrange()) begins with; none where the board is too narrow for it.
const ELBOWS: [i64; 2] = [12, 0];
/// Boards that are judged as whole documents, at most, and how many of those that pass are enough.
const JUDGED: usize = 8;
const ENOUGH: usize = 4;

/// A board on which the gear fits.
#[derive(Debug, Clone)]
pub struct Fitting {
    /// Its kind in the catalogue.
    pub kind: String,
    /// What it is.
    pub title: String,
    /// Its extent from above.
    pub width: Length,
    /// Its extent from above.
    pub depth: Length,
    /// The area of its decks, in square centimetres.
    pub area_cm2: f64,
    /// The placement on it, measured by the usual weights.
    pub outcome: Outcome,
    /// The verdict on board and placement together; its edit writes both.
    pub verdict: Verdict,
    /// Whether it is the board that the document names.
    pub is_todays: bool,
}

/// The boards on which the gear fits.
#[derive(Debug, Clone, Default)]
pub struct Boards {
    /// Those that the checks let pass, the smallest first.
    pub fitting: Vec<Fitting>,
    /// The place among them of the one with the best placement.
    pub best: Option<usize>,
    /// The kinds on which nothing fits, and those that were larger than was looked at, by their kinds.
    pub too_small: Vec<String>,
    /// Kinds on which something was placed, and the checks stop it.
    pub stopped: Vec<String>,
    /// Kinds larger than those that pass, not looked at any further.
    pub larger: Vec<String>,
}

/// Looks at each board of the catalogue, and judges those on which the gear fits with the free room that the brief wants,
/// the smallest first, until enough of them pass.
pub fn boards(job: &Job, today: &[Finding], input: &Input, config: &Config, cancel: &dyn Cancel) -> Boards {
    let mut all: Vec<&Board> = input.boards.iter().filter(|board| board.kind.is_some()).collect();
    all.sort_by(|a, b| area_cm2(a).total_cmp(&area_cm2(b)).then_with(|| a.kind.cmp(&b.kind)));
    let look = Config {
        moves: config.moves.div_ceil(LOOK),
        relax: false,
        alternatives: 0,
        threads: 1,
        ..config.clone()
    };
    let looks: Vec<Option<(Edit, Outcome)>> =
        all.par_iter().map(|board| placed(input, board, &look)).collect();
    let mut out = Boards::default();
    let mut judged = 0;
    for (board, look) in all.into_iter().zip(looks) {
        let kind = board.kind.clone().unwrap_or_default();
        let Some((edit, outcome)) = look else {
            out.too_small.push(kind);
            continue;
        };
        if ENOUGH <= out.fitting.len() || JUDGED <= judged || cancel.is_cancelled() {
            out.larger.push(kind);
            continue;
        }
        judged += 1;
        let Some(verdict) = judge(job, today, &edit).ok().filter(Verdict::fits) else {
            out.stopped.push(kind);
            continue;
        };
        let extent = board.extent();
        out.fitting.push(Fitting {
            title: board.title.clone(),
            width: extent.width,
            depth: extent.depth,
            area_cm2: area_cm2(board),
            is_todays: job.rig.board.kind.as_ref() == Some(&kind),
            kind,
            outcome,
            verdict,
        });
    }
    let totals = out.fitting.iter().enumerate().map(|(place, fitting)| (fitting.outcome.total, place));
    out.best = totals.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place);
    out
}

/// A placement on another board that fits by the search and has the free room that the brief wants, with what writes both.
fn placed(input: &Input, board: &Board, config: &Config) -> Option<(Edit, Outcome)> {
    let (changed, changes) = layout::on_board(input, board);
    let changes = changes?;
    let never = &layout::NeverCancelled;
    for elbow in ELBOWS {
        let config = Config { elbow: config.elbow.max(Length::from_mm(elbow)), ..config.clone() };
        let outcome = layout::solve(&changed, &config, &NoProgress, never);
        if outcome.proof.is_some() {
            return None;
        }
        if outcome.feasible && outcome.unmet.iter().all(|unmet| unmet.kind != SPARE) {
            let kind = board.kind.as_deref().unwrap_or_default();
            let all = changes.into_iter().chain(outcome.edit.changes.iter().cloned());
            return Some((Edit::new(format!("board {kind}, {}", outcome.edit.name), all), outcome));
        }
    }
    None
}

/// The kind of wishes for free room.
const SPARE: &str = "spare";

fn area_cm2(board: &Board) -> f64 {
    let parts = board.decks.iter().flat_map(|deck| &deck.shape);
    parts.map(|at| at.width.as_mm() * at.depth.as_mm() / 100.0).sum()
}
