//! Stages of the work order and their acts.

use ::build::{Fact, What};
use quantity::Length;
use rig::PortRef;

/// Something that must be at hand for an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AtHand {
    /// A tool, or what there is enough of.
    Thing(String),
    /// So much of a cable.
    Cable(String, Length),
    /// So many of something.
    Count(String, usize),
}

impl AtHand {
    /// In words: `calliper`, `patch-4, 0.43 m`, `4 × plug jack-flat`.
    pub fn words(&self) -> String {
        match self {
            Self::Thing(what) => what.clone(),
            Self::Cable(of, length) => format!("{of}, {:.2} m", length.as_mm() / 1000.0),
            Self::Count(of, count) => format!("{count} × {of}"),
        }
    }
}

/// What an act brings into the world.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Deed {
    /// A device stands or hangs where it belongs.
    Stand(String),
    /// A deck is on the board.
    Raise(String),
    /// A plug of a lead is in a port.
    Plug(String, PortRef),
}

/// What an act needs and gives, for the engine that orders them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Needs {
    pub(super) wants: Vec<Fact>,
    pub(super) gives: Vec<Fact>,
    pub(super) tool: &'static str,
    pub(super) place: Option<String>,
    pub(super) run: Option<String>,
}

/// One act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// An id that survives edits of other things; ticks hang on it.
    pub id: String,
    /// What is done, in one line.
    pub text: String,
    /// Minutes planned.
    pub minutes: u32,
    /// Whether work stops here until somebody has looked.
    pub hold: bool,
    /// The device it is about.
    pub device: Option<String>,
    /// The leads it is about.
    pub leads: Vec<String>,
    /// What must be at hand.
    pub at_hand: Vec<AtHand>,
    /// What it brings into the world.
    pub does: Vec<Deed>,
    /// The figures that it rests on, by name: when one of them changes, it is due again.
    pub figures: Vec<(String, String)>,
    pub(super) needs: Needs,
}

impl Step {
    pub(super) fn wants(&mut self, what: What, of: &str) -> &mut Self {
        self.needs.wants.push(Fact::new(what, of));
        self
    }

    pub(super) fn gives(&mut self, what: What, of: &str) -> &mut Self {
        self.needs.gives.push(Fact::new(what, of));
        self
    }

    pub(super) fn tool(&mut self, tool: &'static str) -> &mut Self {
        self.needs.tool = tool;
        self
    }

    /// Where it is done: two people are never at one place at once.
    pub(super) fn at(&mut self, place: &str) -> &mut Self {
        self.needs.place = Some(place.to_owned());
        self
    }

    /// Takes what must be at hand.
    pub(super) fn hand(&mut self, at_hand: Vec<AtHand>) -> &mut Self {
        self.at_hand = at_hand;
        self
    }

    /// It is about a device.
    pub(super) fn about(&mut self, tag: &str) -> &mut Self {
        self.device = Some(tag.to_owned());
        self
    }

    /// It is about leads.
    pub(super) fn of<'t>(&mut self, tags: impl IntoIterator<Item = &'t str>) -> &mut Self {
        self.leads = tags.into_iter().map(str::to_owned).collect();
        self
    }

    /// It sets a device down.
    pub(super) fn stands(&mut self, tag: &str) -> &mut Self {
        self.does.push(Deed::Stand(tag.to_owned()));
        self.about(tag).gives(What::Stands, tag).gives(What::Finished, PLUGGED)
    }

    /// It puts a plug in.
    pub(super) fn plugs(&mut self, lead: &str, port: &PortRef) -> &mut Self {
        self.does.push(Deed::Plug(lead.to_owned(), port.clone()));
        self.gives(What::In, &end_key(lead, port)).gives(What::Finished, PLUGGED)
    }
}

/// Of what it is given that something is in or stands: when all is, the board is dressed.
pub(super) const PLUGGED: &str = "plugs";

/// The name of a lead's end at a port.
pub(super) fn end_key(lead: &str, port: &PortRef) -> String {
    format!("{lead} at {port}")
}

/// Acts that belong together: one page at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// An id that survives edits.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// The acts, in order.
    pub steps: Vec<Step>,
    /// While mains is on: what it is on for.
    pub(super) run: Option<String>,
    /// Where its acts are done.
    pub(super) place: Option<String>,
}

impl Stage {
    /// The same, its acts done on the board or a part of it.
    pub(super) fn on(mut self, place: &str) -> Self {
        self.place = Some(place.to_owned());
        self
    }

    pub(super) fn new(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self { id: id.into(), title: title.into(), steps: Vec::new(), run: None, place: None }
    }

    pub(super) fn act(&mut self, id: impl Into<String>, minutes: u32, text: impl Into<String>) -> &mut Step {
        self.steps.push(Step {
            id: id.into(),
            text: text.into(),
            minutes,
            hold: false,
            device: None,
            leads: Vec::new(),
            at_hand: Vec::new(),
            does: Vec::new(),
            figures: Vec::new(),
            needs: Needs { run: self.run.clone(), place: self.place.clone(), ..Needs::default() },
        });
        let last = self.steps.len() - 1;
        &mut self.steps[last]
    }

    pub(super) fn hold(&mut self, id: impl Into<String>, minutes: u32, text: impl Into<String>) -> &mut Step {
        let step = self.act(id, minutes, text);
        step.hold = true;
        step
    }

    /// What must be at hand for all of it: each tool once, cables and pieces added up.
    pub fn at_hand(&self) -> Vec<AtHand> {
        let mut out: Vec<AtHand> = Vec::new();
        for one in self.steps.iter().flat_map(|step| &step.at_hand) {
            let known = out.iter_mut().find_map(|known| match (known, one) {
                (AtHand::Thing(known), AtHand::Thing(what)) if known == what => Some(()),
                (AtHand::Cable(known, sum), AtHand::Cable(of, length)) if known == of => {
                    *sum += *length;
                    Some(())
                }
                (AtHand::Count(known, sum), AtHand::Count(of, count)) if known == of => {
                    *sum += count;
                    Some(())
                }
                _ => None,
            });
            if known.is_none() {
                out.push(one.clone());
            }
        }
        out
    }

    /// Minutes planned for all of it.
    pub fn minutes(&self) -> u32 {
        self.steps.iter().map(|step| step.minutes).sum()
    }
}

/// Things of these names.
pub(super) fn names(all: &[&str]) -> Vec<AtHand> {
    all.iter().map(|name| AtHand::Thing((*name).to_owned())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_be_at_hand_is_added_up() {
        let mut stage = Stage::new("leads", "Leads");
        let cable = |mm: i64| AtHand::Cable("balanced-4".to_owned(), Length::from_mm(mm));
        let plugs = |count: usize| AtHand::Count("plug jack-trs-flat".to_owned(), count);
        stage.act("a", 1, "").at_hand = vec![cable(430), plugs(1), AtHand::Thing("tape".to_owned())];
        stage.act("b", 1, "").at_hand = vec![cable(590), plugs(1)];
        stage.act("c", 1, "").at_hand = vec![cable(590), plugs(1), AtHand::Thing("tape".to_owned())];
        let words: Vec<String> = stage.at_hand().iter().map(AtHand::words).collect();
        assert_eq!(words, ["balanced-4, 1.61 m", "3 × plug jack-trs-flat", "tape"]);
    }
}

/// What somebody found to be worth measuring, of all that nobody measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deciding {
    /// So many values decide something.
    pub values: usize,
    /// Measuring them takes so long.
    pub minutes: u32,
}
