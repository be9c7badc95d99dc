//! Stages of the work order and their acts.

use quantity::Length;

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
}

impl Stage {
    pub(super) fn new(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self { id: id.into(), title: title.into(), steps: Vec::new() }
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
