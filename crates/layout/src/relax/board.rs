//! A larger board: a few millimetres more, or another one that can be had.

use finding::{Change, Field, Value};
use quantity::Length;
use rig::geometry::standing;
use rig::{Board, Deck, Known, Rect, Rig, Role};

use super::tried::{Told, Tried, WOULD};
use crate::{Config, Input};

/// How much wider and deeper the board may have to be, in millimetres.
const WIDER: [i64; 9] = [1, 2, 3, 5, 8, 12, 20, 35, 60];

/// Where a board grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Growth {
    wide: bool,
    deep: bool,
    /// Whether risers at the back go back with its edge; else they grow deeper with it.
    before_risers: bool,
    words: &'static str,
}

const GROWTHS: [Growth; 4] = [
    Growth { wide: true, deep: false, before_risers: false, words: "wider" },
    Growth { wide: false, deep: true, before_risers: false, words: "deeper" },
    Growth { wide: false, deep: true, before_risers: true, words: "deeper before its riser" },
    Growth { wide: true, deep: true, before_risers: false, words: "wider and deeper" },
];

/// A few millimetres more board: the least in each direction, and in both where neither does alone.
pub(super) fn room(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    let has_risers = input.rig.board.decks.iter().any(|deck| !deck.risers.is_empty());
    let before = tried.out.len();
    for growth in GROWTHS.into_iter().filter(|growth| has_risers || !growth.before_risers) {
        if growth.wide && growth.deep && before < tried.out.len() {
            return;
        }
        let Some(least) = least(input, config, growth, tried) else { continue };
        // What is judged may want a little more than what only fits.
        for by in &WIDER[least..] {
            let (changed, told) = grown(input, Length::from_mm(*by), growth);
            if tried.attempt(&changed, config, &told) {
                break;
            }
        }
    }
}

/// The place in the list of the least growth on which everything fits by the search alone. The most comes first: where that
/// does not help, nothing less does; then the least is closed in on.
fn least(input: &Input, config: &Config, growth: Growth, tried: &mut Tried<'_>) -> Option<usize> {
    let mut fits = |at: usize| tried.fits(&grown(input, Length::from_mm(WIDER[at]), growth).0, config);
    let mut high = WIDER.len() - 1;
    if !fits(high) {
        return None;
    }
    let mut low = 0;
    while low < high {
        let at = usize::midpoint(low, high);
        if fits(at) {
            high = at;
        } else {
            low = at + 1;
        }
    }
    Some(high)
}

/// The input on a board that is larger by so much, and what that is called.
fn grown(input: &Input, by: Length, growth: Growth) -> (Input, Told) {
    let mut changed = input.clone();
    let rim = in_the_rim(&input.rig, growth);
    grow(&mut changed.rig.board, by, growth);
    let mut changes = written(&input.rig.board, &changed.rig.board);
    for device in &mut changed.rig.devices {
        let Some((_, along)) = rim.iter().find(|(tag, _)| *tag == device.tag) else { continue };
        let Some(place) = &mut device.place else { continue };
        let (key, at) = if *along == 0 { ("x", &mut place.x) } else { ("y", &mut place.y) };
        *at += by;
        changes.push(Change::set(Field::device(&device.tag, "place").below(key), *at));
    }
    let name = format!("a board {by} {}{WOULD}", growth.words);
    let mut told = Told::of("room", name).by(by).writing(Some(changes));
    // A board of the catalogue is as large as it is.
    told.offered = input.rig.board.kind.is_none();
    (changed, told)
}

/// The locked panels in the rims that move, with the axis along which they go.
fn in_the_rim(rig: &Rig, growth: Growth) -> Vec<(String, usize)> {
    let board = rig.board.extent();
    let panels = rig.devices.iter().filter(|device| device.role == Role::Panel);
    let locked = panels.filter(|device| device.place.as_ref().is_some_and(|place| place.locked));
    let mut out = Vec::new();
    for device in locked {
        let Some(at) = standing(rig, device).map(|standing| standing.at) else { continue };
        if growth.deep && at.back() == board.back() {
            out.push((device.tag.clone(), 1));
        } else if growth.wide && at.right() == board.right() {
            out.push((device.tag.clone(), 0));
        }
    }
    out
}

/// Moves the right and back edges of all decks outward, with the rails and risers that reach them.
fn grow(board: &mut Board, by: Length, growth: Growth) {
    let whole = board.extent();
    for deck in &mut board.decks {
        let (right, back) = (deck.extent().right(), deck.extent().back());
        // A deck that begins further back keeps its depth and stands at the back edge as before.
        let behind = growth.deep && whole.y < deck.y && deck.y + back == whole.back();
        if behind {
            deck.y += by;
        }
        let deep = growth.deep && !behind;
        let stretch = |rect: &mut Rect, shifts: bool| {
            if growth.wide && rect.right() == right {
                rect.width += by;
            }
            if deep && rect.back() == back {
                if shifts { rect.y += by } else { rect.depth += by }
            }
        };
        deck.shape.iter_mut().for_each(|rect| stretch(rect, false));
        deck.rails.iter_mut().for_each(|rail| stretch(&mut rail.at, false));
        deck.risers.iter_mut().for_each(|riser| stretch(&mut riser.at, growth.before_risers));
    }
}

fn field(deck: &Deck, key: &str) -> Field {
    Field::of("board", "deck", "").below(&deck.name).below(key)
}

/// What writes a grown board into the document.
fn written(before: &Board, after: &Board) -> Vec<Change> {
    let mut out = Vec::new();
    for (was, is) in before.decks.iter().zip(&after.decks) {
        if was.y != is.y {
            out.push(Change::set(field(is, "y"), is.y));
        }
        if was.shape != is.shape {
            out.push(match is.shape.as_slice() {
                [one] if one.x == Length::ZERO && one.y == Length::ZERO => Change::set(
                    field(is, "size"),
                    Value::table([("width", one.width.into()), ("depth", one.depth.into())]),
                ),
                parts => Change::set(field(is, "shape"), Value::Rows(parts.iter().map(cells).collect())),
            });
        }
        for (was, is_now) in was.risers.iter().zip(&is.risers).filter(|(was, is)| was.at != is.at) {
            let mut cells = cells(&is_now.at);
            cells.push(("height".to_owned(), was.height.into()));
            out.push(Change::set(field(is, "riser").below(&was.name), Value::Table(cells)));
        }
        for (was, is_now) in was.rails.iter().zip(&is.rails).filter(|(was, is)| was.at != is.at) {
            let mut cells = cells(&is_now.at);
            cells.push(("drop".to_owned(), was.drop.into()));
            out.push(Change::set(field(is, "rail").below(&was.name), Value::Table(cells)));
        }
    }
    out
}

fn cells(at: &Rect) -> Vec<(String, Value)> {
    [("x", at.x), ("y", at.y), ("width", at.width), ("depth", at.depth)]
        .into_iter()
        .map(|(key, length)| (key.to_owned(), length.into()))
        .collect()
}

/// The next larger boards of those to be had.
pub(super) fn others(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    let area = |board: &Board| {
        let squares = board.decks.iter().flat_map(|deck| &deck.shape);
        squares.map(|at| (at.width.nm() / 1_000_000).saturating_mul(at.depth.nm() / 1_000_000)).sum::<i64>()
    };
    let now = area(&input.rig.board);
    let mut larger: Vec<&Board> = input.boards.iter().filter(|board| now < area(board)).collect();
    larger.sort_by_key(|board| (area(board), board.kind.clone()));
    for board in larger {
        let (changed, told) = on_another(input, board);
        if tried.attempt(&changed, config, &told) {
            return;
        }
    }
}

/// The input on another board, with what writes that board into the document; `None` where it cannot be written.
pub fn on_board(input: &Input, board: &Board) -> (Input, Option<Vec<Change>>) {
    let (changed, told) = on_another(input, board);
    (changed, told.changes)
}

/// The input on another board, and what that is called. Lid and case are the job's own; whether the case still fits is for
/// the builder to say. A panel goes to the rim of the other board, locked or not.
fn on_another(input: &Input, board: &Board) -> (Input, Told) {
    let mut changed = input.clone().unplaced();
    changed.rig.board = Board { lid: input.rig.board.lid.clone(), ..board.clone() };
    let mut moved = Vec::new();
    for device in changed.rig.devices.iter_mut().filter(|device| device.role == Role::Panel) {
        if device.place.as_ref().is_some_and(|place| place.locked) {
            device.place = None;
            moved.push(device.tag.as_str());
        }
    }
    let title = board.kind.clone().unwrap_or_else(|| board.title.clone());
    let panels = match moved.as_slice() {
        [] => String::new(),
        tags => format!(", {} in its rim", tags.join(" and ")),
    };
    let name = format!("board {title}{panels}");
    (changed.clone(), Told::of("board", name).writing(exchanged(input, board)))
}

/// What writes another board into the document: its kind, and nothing of the decks of the one before.
fn exchanged(input: &Input, board: &Board) -> Option<Vec<Change>> {
    let now = &input.rig.board;
    let mut out = vec![Change::set(Field::new(["board", "kind"]), board.kind.as_deref()?)];
    let kind = now.kind.as_ref().and_then(|kind| input.boards.iter().find(|b| b.kind.as_ref() == Some(kind)));
    let is_plain = kind.is_some_and(|kind| shapes(kind) == shapes(now));
    if !is_plain {
        out.push(Change::remove(Field::new(["board", "deck"])));
    }
    Some(out)
}

/// A deck by its name: where it lies and how thick it is, what is clear below it, its outline with risers and rails.
type Shape<'a> = (&'a str, [Length; 4], Known<Length>, Vec<Rect>);

/// What of a board's decks a document may have overridden, as far as it has a bearing on places.
fn shapes(board: &Board) -> Vec<Shape<'_>> {
    let of = |deck: &'_ Deck| {
        let risers = deck.risers.iter().map(|riser| riser.at);
        let rails = deck.rails.iter().map(|rail| rail.at);
        deck.shape.iter().copied().chain(risers).chain(rails).collect()
    };
    let sizes = |deck: &'_ Deck| [deck.x, deck.y, deck.z, deck.thickness];
    board.decks.iter().map(|deck| (deck.name.as_str(), sizes(deck), deck.clear_below, of(deck))).collect()
}
