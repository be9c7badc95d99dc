//! Stages of the work order and their acts.

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
    pub at_hand: Vec<String>,
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

    pub(super) fn hold(&mut self, id: impl Into<String>, minutes: u32, text: impl Into<String>) {
        self.act(id, minutes, text).hold = true;
    }

    /// Minutes planned for all of it.
    pub fn minutes(&self) -> u32 {
        self.steps.iter().map(|step| step.minutes).sum()
    }
}

/// Names as a list of their own.
pub(super) fn names(all: &[&str]) -> Vec<String> {
    all.iter().map(|name| (*name).to_owned()).collect()
}
