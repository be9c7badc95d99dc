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

/// That the builder answers for a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// The reason in the builder's words.
    pub reason: String,
    /// Who answers, when it is written.
    pub by: Option<String>,
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
    /// The places it points at, the main one first.
    pub marks: Vec<Mark>,
    /// The figures, unless it cannot judge.
    pub evidence: Option<Evidence>,
    /// Where the limit comes from.
    pub source: String,
    /// The values it used that are assumed, not measured or printed.
    pub assumed: Vec<Field>,
    /// The values it lacks. Not empty means that the rule *cannot judge*.
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
            marks: Vec::new(),
            evidence: None,
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

    /// Points at a place in the document.
    #[must_use]
    pub fn at(mut self, field: Field, label: impl Into<String>) -> Self {
        self.marks.push(Mark::new(field, label));
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

    /// Says which values it lacks: the finding then means *cannot judge*.
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

    /// Whether the rule lacked a value and so could not judge.
    pub fn cannot_judge(&self) -> bool {
        !self.lacks.is_empty()
    }

    /// Rule and devices: what acceptances refer to.
    pub fn identity(&self) -> Identity {
        Identity { rule: self.rule.to_owned(), devices: self.devices.clone() }
    }

    /// Whether it still stands open at this severity.
    pub fn is_open_stop(&self) -> bool {
        self.severity == Severity::Stop && self.accepted.is_none()
    }
}
