//! The address of a value in a rig document.

use std::fmt;

/// The address of a value in the rig document: `device`, tag, then the keys below it.
///
/// Lists of tables are addressed by their written id (a device by its tag, a run by its name), never by
/// position, so that an address survives edits. Shown with points between the parts.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Field(Vec<String>);

impl Field {
    /// The address made of these parts.
    pub fn new<S: Into<String>>(parts: impl IntoIterator<Item = S>) -> Self {
        Self(parts.into_iter().map(Into::into).collect())
    }

    /// A value of a device: `Field::device("A3", "power.current")`.
    pub fn device(tag: &str, keys: &str) -> Self {
        Self::of("device", tag, keys)
    }

    /// A value of a run.
    pub fn run(name: &str, keys: &str) -> Self {
        Self::of("run", name, keys)
    }

    /// A value of the named thing in the list `list`; `keys` are separated by points and may be empty.
    pub fn of(list: &str, id: &str, keys: &str) -> Self {
        let mut parts = vec![list.to_owned(), id.to_owned()];
        parts.extend(keys.split('.').filter(|key| !key.is_empty()).map(str::to_owned));
        Self(parts)
    }

    /// A value of the lead that is known by `id`, its ends as the document writes them: `A1.OUT > A2.IN`, or
    /// `S.1 + S.2 + A1.DC` with a joint. The id is one part of the address, points and all.
    pub fn lead(id: &str, key: &str) -> Self {
        Self::new(["lead", id, key].into_iter().filter(|part| !part.is_empty()))
    }

    /// A value below this one.
    #[must_use]
    pub fn below(&self, key: &str) -> Self {
        let mut parts = self.0.clone();
        parts.push(key.to_owned());
        Self(parts)
    }

    /// The address one level up, or `None` at the top.
    pub fn parent(&self) -> Option<Self> {
        (self.0.len() > 1).then(|| Self(self.0[..self.0.len() - 1].to_vec()))
    }

    /// The parts, outermost first.
    pub fn parts(&self) -> &[String] {
        &self.0
    }
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.join("."))
    }
}
