//! Lists that are written anew: their layout stays, and so does what people wrote between their items.

use std::collections::VecDeque;

use toml_edit::{Array, RawString, Value as Toml};

use super::remove::prefix_of;

/// What follows a comment whose text is gone from the list, before the text: `# the near one (stood with S.1)`.
const STOOD_WITH: &str = " (stood with ";

/// The comments of a text that an edit made whose item went from its list, as they stand there now.
pub fn displaced(before: &str, after: &str) -> Vec<String> {
    let marked = |text: &str| -> Vec<String> {
        let lines = text.lines().map(str::trim);
        lines.filter(|line| line.starts_with('#') && line.contains(STOOD_WITH)).map(str::to_owned).collect()
    };
    let mut known = marked(before);
    let is_new = |line: &String| match known.iter().position(|old| old == line) {
        Some(place) => {
            known.swap_remove(place);
            false
        }
        None => true,
    };
    marked(after).into_iter().filter(is_new).collect()
}

/// A list with these items. The places in the list that was there keep their line breaks, and comments stay with the text that they
/// stand with; one whose text or place is gone moves to the end of the list.
pub(super) fn refill(old: Option<&Array>, items: Vec<Toml>, may_break: bool) -> Array {
    let mut new = Array::new();
    let Some(old) =
        old.filter(|old| !old.is_empty() || old.trailing().as_str().is_some_and(|t| t.contains('#')))
    else {
        let on_lines = may_break && 1 < items.len();
        for mut item in items {
            if on_lines {
                item.decor_mut().set_prefix("\n  ");
                new.push_formatted(item);
            } else {
                new.push(item);
            }
        }
        if on_lines {
            new.set_trailing_comma(true);
            new.set_trailing("\n");
        }
        return new;
    };
    if let (Some(was), Some(now)) = (texts(old.iter()), texts(items.iter()))
        && was != now
        && remarked(old)
    {
        return Remarks::of(old, &was).around(&now, old);
    }
    new.set_trailing_comma(old.trailing_comma());
    let broken = old.iter().any(|value| prefix_of(value).contains('\n'));
    // The last line of the space before the last item: its break and its indentation.
    let common = old.iter().last().map(prefix_of).unwrap_or_default();
    let common = common.rfind('\n').map_or(String::new(), |at| common[at..].to_owned());
    let count = items.len();
    for (index, mut value) in items.into_iter().enumerate() {
        match old.get(index) {
            Some(slot) => *value.decor_mut() = slot.decor().clone(),
            None if broken => value.decor_mut().set_prefix(common.clone()),
            None if index == 0 => {}
            None => value.decor_mut().set_prefix(" "),
        }
        new.push_formatted(value);
    }
    let mut trailing = String::new();
    for gone in old.iter().skip(count) {
        let comment = prefix_of(gone);
        if comment.contains('#') {
            trailing.push_str(comment.trim_end());
        }
    }
    trailing.push_str(old.trailing().as_str().unwrap_or(""));
    new.set_trailing(trailing);
    new
}

/// The items of a list of texts; `None` where some are no texts.
fn texts<'a>(items: impl Iterator<Item = &'a Toml>) -> Option<Vec<String>> {
    items.map(|item| item.as_str().map(str::to_owned)).collect()
}

fn suffix_of(value: &Toml) -> &str {
    value.decor().suffix().and_then(RawString::as_str).unwrap_or_default()
}

/// Whether a comment stands anywhere in a list.
fn remarked(list: &Array) -> bool {
    let between = |value: &Toml| prefix_of(value).contains('#') || suffix_of(value).contains('#');
    list.iter().any(between) || list.trailing().as_str().is_some_and(|text| text.contains('#'))
}

/// The comments that stand with an item: above it, and behind it on its line.
#[derive(Default)]
struct Remark {
    text: String,
    above: Vec<String>,
    beside: Vec<String>,
}

/// All comments of a list.
struct Remarks {
    /// Behind the bracket.
    head: Option<String>,
    with: VecDeque<Remark>,
    /// Below the last item.
    tail: Vec<String>,
    /// The line break and the space before an item, and before the bracket at the end.
    breaks: [String; 2],
}

impl Remarks {
    fn of(list: &Array, texts: &[String]) -> Self {
        let trailing = list.trailing().as_str().unwrap_or_default();
        let last_break = |text: &str| text.rfind('\n').map(|at| text[at..].to_owned());
        let inner = list.iter().filter_map(|value| last_break(&prefix_of(value))).last();
        let mut out = Self {
            head: None,
            with: texts.iter().map(|text| Remark { text: text.clone(), ..Remark::default() }).collect(),
            tail: Vec::new(),
            breaks: [
                inner.unwrap_or_else(|| "\n  ".to_owned()),
                last_break(trailing).unwrap_or_else(|| "\n".to_owned()),
            ],
        };
        for (index, value) in list.iter().enumerate() {
            out.between(index, &prefix_of(value));
            // Before the comma it is still about the item itself.
            let before_comma = suffix_of(value).lines().map(str::trim).filter(|line| line.starts_with('#'));
            out.with[index].beside.extend(before_comma.map(str::to_owned));
        }
        out.between(list.len(), trailing);
        out
    }

    /// Takes in what stands before the item of this place: what is on the line of the one before belongs to that.
    fn between(&mut self, index: usize, text: &str) {
        for (line, comment) in text.split('\n').map(str::trim).enumerate() {
            if !comment.starts_with('#') {
                continue;
            }
            let comment = comment.to_owned();
            match (line, index.checked_sub(1).and_then(|before| self.with.get_mut(before))) {
                (0, Some(before)) => before.beside.push(comment),
                (0, None) => self.head = Some(comment),
                _ => match self.with.get_mut(index) {
                    Some(next) => next.above.push(comment),
                    None => self.tail.push(comment),
                },
            }
        }
    }

    /// The list of these texts, each with the comments that stood with it.
    fn around(mut self, texts: &[String], old: &Array) -> Array {
        let [inner, end] = self.breaks.clone();
        let mut list = Array::new();
        let mut before: String = self.head.take().map(|head| format!(" {head}")).unwrap_or_default();
        for text in texts {
            let own = self.with.iter().position(|remark| remark.text == *text);
            let own = own.and_then(|place| self.with.remove(place)).unwrap_or_default();
            for comment in own.above {
                before.push_str(&inner);
                before.push_str(&comment);
            }
            before.push_str(&inner);
            let mut item = Toml::from(text.as_str());
            item.decor_mut().set_prefix(std::mem::take(&mut before));
            list.push_formatted(item);
            for (place, comment) in own.beside.iter().enumerate() {
                before.push_str(if place == 0 { " " } else { &inner });
                before.push_str(comment);
            }
        }
        let gone = self.with.iter().flat_map(|remark| {
            let all = remark.above.iter().chain(&remark.beside);
            all.map(|comment| format!("{comment}{STOOD_WITH}{})", remark.text))
        });
        for comment in gone.chain(self.tail) {
            before.push_str(&inner);
            before.push_str(&comment);
        }
        before.push_str(&end);
        // Behind a comment a comma may stand no more; without one the list ends as it did.
        list.set_trailing_comma(!texts.is_empty() && (old.trailing_comma() || before.contains('#')));
        list.set_trailing(before);
        list
    }
}
