//! The fields of a form, as a page sends them, and the edit that is made of them.

use finding::{Change, Edit};

/// Pairs of name and value, in the order of the page. A name may come more than once.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Form(Vec<(String, String)>);

impl Form {
    /// A form with these fields.
    pub fn new(fields: Vec<(String, String)>) -> Self {
        Self(fields)
    }

    /// The first value under a name.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// Every value under a name.
    pub fn all(&self, name: &str) -> Vec<String> {
        self.0.iter().filter(|(key, _)| key == name).map(|(_, value)| value.clone()).collect()
    }

    /// The first value under a name, or what to say when there is none.
    pub(crate) fn need(&self, name: &str) -> Result<&str, String> {
        self.get(name).ok_or_else(|| format!("`{name}` is missing"))
    }

    /// A whole number of at most five figures.
    pub(crate) fn whole(&self, name: &str) -> Result<i64, String> {
        self.need(name)?
            .parse::<i64>()
            .ok()
            .filter(|number| number.abs() < 100_000)
            .ok_or_else(|| format!("`{name}` is not a whole number"))
    }
}

/// An edit, or why there is none.
pub(crate) type Made = Result<Edit, String>;

/// An edit of these changes.
#[expect(clippy::unnecessary_wraps, reason = "every edit ends with this call, and may be refused before")]
pub(crate) fn named(name: impl Into<String>, changes: impl IntoIterator<Item = Change>) -> Made {
    Ok(Edit::new(name, changes))
}

/// Values of a new device, key by key, with where they come from.
pub(crate) type Values = Vec<(String, String)>;
