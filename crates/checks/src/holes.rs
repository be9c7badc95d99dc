//! Holes that decks lack, as words and as an edit.

use design::Design;
use finding::{Change, Edit, Field, Value};
use leads::ProposedHole;
use quantity::Length;
use rig::Deck;

use crate::words::shown;

/// A hole in a deck, in whole millimetres of the deck's own frame.
pub(crate) struct Hole<'a> {
    pub(crate) proposed: ProposedHole,
    pub(crate) deck: &'a Deck,
    x: Length,
    y: Length,
    width: Length,
    depth: Length,
}

/// The holes that would help leads on their way, one for a deck at most.
pub(crate) fn holes(design: &Design) -> Vec<Hole<'_>> {
    let routes = design.routes();
    let proposed = leads::proposed_holes(&routes.input, &routes.outcome).into_iter();
    let mm = |mm: f64| Length::from_mm_rounded(mm.round());
    let found = proposed.filter_map(|proposed| {
        let (low, high) = (proposed.low, proposed.high);
        let deck = design.rig.board.decks.iter().find(|deck| {
            let is_level = (deck.z.as_mm() - high[2]).abs() < 0.01;
            is_level
                && deck.shape_on_board().iter().any(|rect| {
                    let (x, y) = (mm(f64::midpoint(low[0], high[0])), mm(f64::midpoint(low[1], high[1])));
                    rect.x <= x && x <= rect.right() && rect.y <= y && y <= rect.back()
                })
        })?;
        let (x, y) = (mm(low[0]) - deck.x, mm(low[1]) - deck.y);
        let (width, depth) = (mm(high[0] - low[0]), mm(high[1] - low[1]));
        Some(Hole { proposed, deck, x, y, width, depth })
    });
    found.collect()
}

impl Hole<'_> {
    /// Size and place: `a passage of 30 × 25 mm at 480 mm from left, 118 mm from front in deck main`.
    pub(crate) fn words(&self) -> String {
        format!(
            "a passage of {:.0} × {} in deck {}, {} from its left and {} from its front",
            self.width.as_mm(),
            shown(self.depth),
            self.deck.name,
            shown(self.x),
            shown(self.y)
        )
    }

    /// The field of the new passage.
    pub(crate) fn field(&self) -> Field {
        let names: Vec<&str> = self.deck.passages.iter().map(|passage| passage.name.as_str()).collect();
        let mut name = "new".to_owned();
        let mut count = 1;
        while names.contains(&name.as_str()) {
            count += 1;
            name = format!("new{count}");
        }
        Field::of("board", "deck", "").below(&self.deck.name).below("passage").below(&name)
    }

    /// The edit that cuts it.
    pub(crate) fn edit(&self) -> Edit {
        let table = Value::table([
            ("x", Value::from(self.x)),
            ("y", self.y.into()),
            ("width", self.width.into()),
            ("depth", self.depth.into()),
            ("grommet", true.into()),
        ]);
        Edit::new(format!("cut {}", self.words()), [Change::set(self.field(), table)])
    }
}
