//! A document as a tree that has been checked against the format.

use quantity::Quantity;
use rig::{Known, Provenance, Word};

use crate::problem::At;

/// One value of a document.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    /// Where it stands.
    pub(crate) at: At,
    /// Where the value comes from, for values that carry it.
    pub(crate) from: Provenance,
    /// The value.
    pub(crate) body: Body,
}

/// The value itself.
#[derive(Debug, Clone)]
pub(crate) enum Body {
    Text(String),
    Switch(bool),
    Count(u32),
    Unknown,
    List(Vec<Node>),
    Table(Vec<(String, Node)>),
}

impl Node {
    pub(crate) fn get(&self, key: &str) -> Option<&Node> {
        match &self.body {
            Body::Table(entries) => entries.iter().find(|(name, _)| name == key).map(|(_, node)| node),
            _ => None,
        }
    }

    /// The table in a list that bears this id.
    pub(crate) fn row(&self, id: &str) -> Option<&Node> {
        let Body::List(rows) = &self.body else { return None };
        rows.iter().find(|row| row.get("id").and_then(Node::as_text) == Some(id))
    }

    /// The entries of a table; nothing of other values.
    pub(crate) fn entries(&self) -> &[(String, Node)] {
        match &self.body {
            Body::Table(entries) => entries,
            _ => &[],
        }
    }

    /// The entries of a named table below this one.
    pub(crate) fn named(&self, key: &str) -> &[(String, Node)] {
        self.get(key).map_or(&[], Node::entries)
    }

    /// The items of a list below this one.
    pub(crate) fn items(&self, key: &str) -> &[Node] {
        match self.get(key).map(|node| &node.body) {
            Some(Body::List(items)) => items,
            _ => &[],
        }
    }

    pub(crate) fn as_text(&self) -> Option<&str> {
        match &self.body {
            Body::Text(text) => Some(text),
            _ => None,
        }
    }

    pub(crate) fn text(&self, key: &str) -> Option<String> {
        self.get(key)?.as_text().map(str::to_owned)
    }

    /// The texts of a list below this one.
    pub(crate) fn texts(&self, key: &str) -> Vec<String> {
        self.items(key).iter().filter_map(|item| item.as_text().map(str::to_owned)).collect()
    }

    pub(crate) fn switch(&self, key: &str) -> bool {
        matches!(self.get(key).map(|node| &node.body), Some(Body::Switch(true)))
    }

    pub(crate) fn count(&self, key: &str) -> Option<u32> {
        self.get(key)?.as_count()
    }

    pub(crate) fn as_count(&self) -> Option<u32> {
        match self.body {
            Body::Count(count) => Some(count),
            _ => None,
        }
    }

    /// A quantity that carries no provenance.
    pub(crate) fn plain<Q: Quantity>(&self, key: &str) -> Option<Q> {
        self.get(key)?.as_text().and_then(|text| Q::parse(text).ok())
    }

    /// A quantity with its provenance.
    pub(crate) fn known<Q: Quantity>(&self, key: &str) -> Known<Q> {
        self.known_by(key, |node| node.as_text().and_then(|text| Q::parse(text).ok()))
    }

    /// `true` or `false` with its provenance.
    pub(crate) fn known_switch(&self, key: &str) -> Known<bool> {
        self.known_by(key, |node| match node.body {
            Body::Switch(on) => Some(on),
            _ => None,
        })
    }

    /// A whole number with its provenance.
    pub(crate) fn known_count(&self, key: &str) -> Known<u32> {
        self.known_by(key, |node| match node.body {
            Body::Count(count) => Some(count),
            _ => None,
        })
    }

    /// A word of a vocabulary.
    pub(crate) fn word<T: Word>(&self, key: &str) -> Option<T> {
        self.get(key)?.as_text().and_then(T::of)
    }

    /// A word of a vocabulary with its provenance.
    pub(crate) fn known_word<T: Word>(&self, key: &str) -> Known<T> {
        self.known_by(key, |node| node.as_text().and_then(T::of))
    }

    fn known_by<T>(&self, key: &str, read: impl Fn(&Node) -> Option<T>) -> Known<T> {
        match self.get(key) {
            Some(node) => match read(node) {
                Some(value) if node.from != Provenance::Unknown => Known::new(value, node.from),
                _ => Known::default(),
            },
            None => Known::default(),
        }
    }
}
