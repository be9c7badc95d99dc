//! Which board: those of the catalogue on which the gear fits, the smallest first.

use document::Job;
use finding::{Change, Edit, Field, Finding};
use layout::{Cancel, Config, Input, NeverCancelled, NoProgress, Outcome};
use quantity::Length;
use rayon::prelude::*;
use rig::Board;

use crate::arrange::arrange_within;
use crate::judge::Verdict;

/// A look at each board makes one move in so many.
const LOOK: u64 = 8;
/// Room in front of every plug, as [`arrange`](crate::arrange()) begins with; none where the board is too narrow for it.
const ELBOWS: [i64; 2] = [12, 0];
/// Boards on which something passes that are enough.
const ENOUGH: usize = 3;

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
    /// The verdict on board and placement together.
    pub verdict: Verdict,
    /// What writes both into the document.
    pub edit: Edit,
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
    /// Kinds on which no placement was found that has the free room.
    pub too_small: Vec<String>,
    /// Kinds on which something was placed and the checks stop it, each with what stands in the way.
    pub stopped: Vec<(String, String)>,
    /// Kinds larger than those that pass, not looked at any further.
    pub larger: Vec<String>,
}

/// Looks at each board of the catalogue, and judges those on which the gear fits with the free room that the brief wants,
/// the smallest first, until enough of them pass.
pub fn boards(job: &Job, today: &[Finding], input: &Input, config: &Config, cancel: &dyn Cancel) -> Boards {
    let mut all: Vec<&Board> = input.boards.iter().filter(|board| board.kind.is_some()).collect();
    all.sort_by(|a, b| area_cm2(a).total_cmp(&area_cm2(b)).then_with(|| a.kind.cmp(&b.kind)));
    let plain = Config { relax: false, alternatives: 0, ..config.clone() };
    let look = Config { moves: config.moves.div_ceil(LOOK), threads: 1, ..plain.clone() };
    let looks: Vec<bool> = all.par_iter().map(|board| has_room(input, board, &look)).collect();
    let mut out = Boards::default();
    for (board, has_room) in all.into_iter().zip(looks) {
        let kind = board.kind.clone().unwrap_or_default();
        if !has_room {
            out.too_small.push(kind);
            continue;
        }
        if ENOUGH <= out.fitting.len() || cancel.is_cancelled() {
            out.larger.push(kind);
            continue;
        }
        let (edit, outcome, verdict) = match arranged(job, today, input, board, &plain) {
            Ok(found) => found,
            Err(why) => {
                out.stopped.push((kind, why));
                continue;
            }
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
            edit,
        });
    }
    let totals = out.fitting.iter().enumerate().map(|(place, fitting)| (fitting.outcome.total, place));
    out.best = totals.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place);
    out
}

/// Whether a placement on a board fits by the search and has the free room that the brief wants.
fn has_room(input: &Input, board: &Board, config: &Config) -> bool {
    let (changed, changes) = layout::on_board(input, board);
    if changes.is_none() {
        return false;
    }
    for elbow in ELBOWS {
        let config = Config { elbow: config.elbow.max(Length::from_mm(elbow)), ..config.clone() };
        let outcome = layout::solve(&changed, &config, &NoProgress, &NeverCancelled);
        if outcome.proof.is_some() || has_spare(&outcome) {
            return outcome.proof.is_none();
        }
    }
    false
}

fn has_spare(outcome: &Outcome) -> bool {
    outcome.feasible && outcome.unmet.iter().all(|unmet| unmet.kind != SPARE)
}

/// The placement on a board that the checks let pass and that has the free room, with what writes board and placement; else
/// what stands in the way.
fn arranged(
    job: &Job,
    today: &[Finding],
    input: &Input,
    board: &Board,
    config: &Config,
) -> Result<(Edit, Outcome, Verdict), String> {
    let cannot = || "it cannot be written".to_owned();
    let (changed, changes) = layout::on_board(input, board);
    let mut changes = changes.ok_or_else(cannot)?;
    // What stands on decks that are no more stands nowhere until it is placed.
    let placed = job.rig.devices.iter().filter(|device| device.place.is_some());
    let off = placed.filter(|device| changed.rig.device(&device.tag).is_none_or(|now| now.place.is_none()));
    changes.extend(off.map(|device| Change::remove(Field::device(&device.tag, "place"))));
    let exchanged = Edit::new("another board", changes);
    let text = document::edit::apply(job.text(), &exchanged).map_err(|error| error.to_string())?;
    let there = job.with_text(&text).map_err(|_| cannot())?;
    let here = Input { rig: there.rig.clone(), ..changed };
    let found = arrange_within(&there, today, &here, config, 0, (&NoProgress, &NeverCancelled));
    if !found.fits() {
        let bar = found.bars().first().map(|bar| format!("{}: {}", bar.rule, bar.message));
        let breach = found.outcome.breaches.first().map(layout::Breach::words);
        return Err(bar.or(breach).unwrap_or_else(cannot));
    }
    if !has_spare(&found.outcome) {
        return Err("no free room as the brief wants it".to_owned());
    }
    let kind = board.kind.as_deref().unwrap_or_default();
    let all = exchanged.changes.into_iter().chain(found.outcome.edit.changes.iter().cloned());
    let edit = Edit::new(format!("board {kind}, {}", found.outcome.edit.name), all);
    Ok((edit, found.outcome, found.verdict.ok_or_else(cannot)?))
}

/// The kind of wishes for free room.
const SPARE: &str = "spare";

fn area_cm2(board: &Board) -> f64 {
    let parts = board.decks.iter().flat_map(|deck| &deck.shape);
    parts.map(|at| at.width.as_mm() * at.depth.as_mm() / 100.0).sum()
}
