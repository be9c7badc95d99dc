//! The finding itself.

use std::fmt;

use crate::{Edit, Evidence, Field};

/// How bad a finding is. Sorted worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Do not build it like this.
    Stop,
    /// A careful colleague would look at it.
    Look,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word shown: `stop`, `look` or `note`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::Look => "look",
            Self::Note => "note",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A place in the document that a finding points at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// The value pointed at.
    pub field: Field,
    /// What is said of it; empty when the headline says it all.
    pub label: String,
}

impl Mark {
    /// Points at a field and says something of it.
    pub fn new(field: Field, label: impl Into<String>) -> Self {
        Self { field, label: label.into() }
    }
}

/// One case of a finding that tells several with one cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Touched {
    /// The case alone, as a headline that makes sense without the others.
    pub message: String,
    /// How bad this case is.
    pub severity: Severity,
    /// The devices of this case, sorted.
    pub devices: Vec<String>,
    /// The numbers of the leads of this case.
    pub leads: Vec<String>,
    /// Its figures.
    pub evidence: Option<Evidence>,
    /// Whether somebody answers for this case.
    pub answered: bool,
}

/// What an answer covers: the findings of its rule on these.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scope {
    /// What is found on these devices and no others.
    Devices(Vec<String>),
    /// What is found on any device of this role, or any lead of this class.
    Class(String),
    /// Whatever the rule finds in this job.
    WholeJob,
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Devices(devices) => f.write_str(&devices.join(", ")),
            Self::Class(class) if matches!(class.as_str(), "signal" | "control" | "dc" | "ac" | "mains") => {
                write!(f, "every {class} lead")
            }
            Self::Class(class) => write!(f, "every {class}"),
            Self::WholeJob => f.write_str("the whole job"),
        }
    }
}

/// That the builder answers for a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// The reason in the builder's words.
    pub reason: String,
    /// Who answers, when it is written.
    pub by: Option<String>,
    /// What the answer covers, which may be more than this finding.
    pub covers: Scope,
}

/// What makes two findings the same: rule and sorted devices.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Identity {
    /// The rule.
    pub rule: String,
    /// The devices, sorted.
    pub devices: Vec<String>,
}

/// What a check says. Made by a rule, shown by a renderer.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule that says it.
    pub rule: &'static str,
    /// How bad.
    pub severity: Severity,
    /// One lower-case line without a final stop that makes sense alone.
    pub message: String,
    /// The tags of the devices (or names of sources, sinks, runs) it is about, sorted.
    pub devices: Vec<String>,
    /// The numbers of the leads it is about.
    pub leads: Vec<String>,
    /// The places it points at, the main one first; none twice.
    pub marks: Vec<Mark>,
    /// The figures, unless it was not checked; those of the worst case where several are touched.
    pub evidence: Option<Evidence>,
    /// What one cause touches, the worst first; empty where the headline tells the only case.
    pub touched: Vec<Touched>,
    /// Where the limit comes from.
    pub source: String,
    /// The values it used that are assumed, not measured or printed.
    pub assumed: Vec<Field>,
    /// The values it lacks. Not empty means that this was *not checked*.
    pub lacks: Vec<Field>,
    /// What to do, in words.
    pub remedy: String,
    /// The edit that cures it, where one does.
    pub edit: Option<Edit>,
    /// The acceptance that answers for it.
    pub accepted: Option<Acceptance>,
}

impl Finding {
    /// A finding without figures; the builder methods below add them.
    pub fn new(rule: &'static str, severity: Severity, message: impl Into<String>) -> Self {
        Self {
            rule,
            severity,
            message: message.into(),
            devices: Vec::new(),
            leads: Vec::new(),
            marks: Vec::new(),
            evidence: None,
            touched: Vec::new(),
            source: String::new(),
            assumed: Vec::new(),
            lacks: Vec::new(),
            remedy: String::new(),
            edit: None,
            accepted: None,
        }
    }

    /// Names the devices it is about; kept sorted and single.
    #[must_use]
    pub fn about<S: Into<String>>(mut self, devices: impl IntoIterator<Item = S>) -> Self {
        self.devices.extend(devices.into_iter().map(Into::into));
        self.devices.sort();
        self.devices.dedup();
        self
    }

    /// Names the leads it is about, by their numbers; kept sorted and single.
    #[must_use]
    pub fn on_leads<S: Into<String>>(mut self, leads: impl IntoIterator<Item = S>) -> Self {
        self.leads.extend(leads.into_iter().map(Into::into));
        self.leads.sort();
        self.leads.dedup();
        self
    }

    /// Points at a place in the document, unless it does already.
    #[must_use]
    pub fn at(mut self, field: Field, label: impl Into<String>) -> Self {
        let mark = Mark::new(field, label);
        if !self.marks.contains(&mark) {
            self.marks.push(mark);
        }
        self
    }

    /// Adds the figures.
    #[must_use]
    pub fn with(mut self, evidence: Evidence) -> Self {
        self.evidence = Some(evidence);
        self
    }

    /// Names assumed values it rests on.
    #[must_use]
    pub fn assuming(mut self, fields: impl IntoIterator<Item = Field>) -> Self {
        self.assumed.extend(fields);
        self.assumed.sort();
        self.assumed.dedup();
        self
    }

    /// Says which values it lacks: the finding then means *not checked*.
    #[must_use]
    pub fn lacking(mut self, fields: impl IntoIterator<Item = Field>) -> Self {
        self.lacks.extend(fields);
        self.lacks.sort();
        self.lacks.dedup();
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn remedy(mut self, words: impl Into<String>) -> Self {
        self.remedy = words.into();
        self
    }

    /// Adds the edit that cures it.
    #[must_use]
    pub fn cured_by(mut self, edit: Edit) -> Self {
        self.edit = Some(edit);
        self
    }

    /// Whether the rule lacked a value, so that it was not checked.
    pub fn is_unchecked(&self) -> bool {
        !self.lacks.is_empty()
    }

    /// The cases it tells: those that one cause touches, or itself.
    pub fn cases(&self) -> Vec<Touched> {
        if !self.touched.is_empty() {
            return self.touched.clone();
        }
        vec![Touched {
            message: self.message.clone(),
            severity: self.severity,
            devices: self.devices.clone(),
            leads: self.leads.clone(),
            evidence: self.evidence.clone(),
            answered: self.accepted.is_some(),
        }]
    }

    /// Rule and devices: what acceptances refer to.
    pub fn identity(&self) -> Identity {
        Identity { rule: self.rule.to_owned(), devices: self.devices.clone() }
    }

    /// Whether it is a stop that nobody has answered for.
    pub fn is_open_stop(&self) -> bool {
        self.severity == Severity::Stop && self.accepted.is_none()
    }
}
