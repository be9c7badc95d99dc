//! Checks a parsed document against the format and gives the tree.

use std::collections::BTreeSet;
use std::ops::Range;

use rig::Provenance;
use toml_edit::{Item, TableLike, Value};

use super::node::{Body, Node};
use crate::format::{CATALOGUE, Key, Sense, Shape, Table};
use crate::problem::{At, Problem, nearest, shown};

/// The longest text a file may have. A rig of hundreds of devices has a tenth of it.
pub(crate) const FILE_LIMIT: usize = 2_000_000;

/// Parses and checks one file. The tree is as complete as the problems allow.
pub(crate) fn walk(file: usize, text: &str, spec: &'static Table) -> (Node, Vec<Problem>) {
    let root = |body| Node { at: At::new(file, 0..0), from: Provenance::Assumed, body };
    if FILE_LIMIT < text.len() {
        let message = format!("the file has {} bytes; at most {FILE_LIMIT} are allowed", text.len());
        return (root(Body::Table(Vec::new())), vec![Problem::new(At::new(file, 0..0), message)]);
    }
    let document = match toml_edit::Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let span = error.span().unwrap_or(0..0);
            let first = error.message().lines().next().unwrap_or("cannot be read").to_owned();
            let problem = Problem::new(At::new(file, span), format!("this is not TOML: {first}"));
            return (root(Body::Table(Vec::new())), vec![problem]);
        }
    };
    let mut walker = Walker { file, problems: Vec::new() };
    let node = walker.table(document.as_table(), 0..0, spec, Provenance::Assumed);
    walker.problems.sort_by_key(|problem| (problem.at.start, problem.at.end));
    (node, walker.problems)
}

struct Walker {
    file: usize,
    problems: Vec<Problem>,
}

impl Walker {
    fn at(&self, span: Range<usize>) -> At {
        At::new(self.file, span)
    }

    fn say(&mut self, span: Range<usize>, message: impl Into<String>) {
        let at = self.at(span);
        self.problems.push(Problem::new(at, message));
    }

    fn help(&mut self, span: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        let at = self.at(span);
        self.problems.push(Problem::new(at, message).help(help));
    }

    fn table(
        &mut self,
        table: &dyn TableLike,
        span: Range<usize>,
        spec: &'static Table,
        inherited: Provenance,
    ) -> Node {
        let from = self.provenance(table, spec, inherited);
        let mut entries = Vec::new();
        for (name, item) in table.iter() {
            let key_span = table.key(name).and_then(toml_edit::Key::span).unwrap_or_else(|| span.clone());
            let Some(key) = spec.key(name) else {
                self.unknown_key(name, key_span, spec);
                continue;
            };
            if key.name == "from"
                && spec.key("from").is_some_and(|k| std::ptr::eq(k, key))
                && is_provenance(key)
            {
                continue;
            }
            let item_span = item.span().unwrap_or_else(|| key_span.clone());
            if let Some(node) = self.value(item, item_span, key, spec, from) {
                entries.push((name.to_owned(), node));
            }
        }
        for key in spec.keys.iter().filter(|key| key.required && table.get(key.name).is_none()) {
            self.help(
                span.clone(),
                format!("`{}` is missing in {}", key.name, spec.name),
                format!("{} Write {}", key.doc, example(key)),
            );
        }
        Node { at: self.at(span), from, body: Body::Table(entries) }
    }

    fn provenance(
        &mut self,
        table: &dyn TableLike,
        spec: &'static Table,
        inherited: Provenance,
    ) -> Provenance {
        let Some(key) = spec.key("from").filter(|key| is_provenance(key)) else { return inherited };
        let Some(item) = table.get("from") else { return inherited };
        let span = item.span().unwrap_or(0..0);
        match item.as_str().and_then(provenance_of) {
            Some(from) => from,
            None => {
                self.wrong(span, key, spec, item, "one of `measured`, `printed`, `assumed`, `unknown`");
                inherited
            }
        }
    }

    fn unknown_key(&mut self, name: &str, span: Range<usize>, spec: &'static Table) {
        let allowed: Vec<&str> = spec.keys.iter().map(|key| key.name).collect();
        let message = format!("`{}` is not a key of {}", shown(name), spec.name);
        let help = match nearest(name, allowed.iter().copied()) {
            Some(near) => format!("did you mean `{near}`? Allowed are {}", allowed.join(", ")),
            None => format!("allowed are {}", allowed.join(", ")),
        };
        self.help(span, message, help);
    }

    fn wrong(&mut self, span: Range<usize>, key: &Key, spec: &Table, item: &Item, allowed: &str) {
        let message = format!("`{}` of {} is {}; allowed is {allowed}", key.name, spec.name, found(item));
        self.say(span, message);
    }

    fn value(
        &mut self,
        item: &Item,
        span: Range<usize>,
        key: &'static Key,
        spec: &'static Table,
        from: Provenance,
    ) -> Option<Node> {
        if key.given {
            if let Some(table) = item.as_table_like()
                && !matches!(key.shape, Shape::Table(_) | Shape::Named(_))
            {
                return self.given(table, span, key, spec, from);
            }
            if item.as_str() == Some("unknown") {
                return Some(Node { at: self.at(span), from: Provenance::Unknown, body: Body::Unknown });
            }
        }
        let body = self.shape(item, span.clone(), &key.shape, key, spec, from)?;
        Some(Node { at: self.at(span), from, body })
    }

    /// `{ is = "431 g", from = "measured" }`.
    fn given(
        &mut self,
        table: &dyn TableLike,
        span: Range<usize>,
        key: &'static Key,
        spec: &'static Table,
        inherited: Provenance,
    ) -> Option<Node> {
        let mut from = inherited;
        let mut value = None;
        for (name, item) in table.iter() {
            let item_span = item.span().unwrap_or_else(|| span.clone());
            match name {
                "is" => value = Some((item, item_span)),
                "from" => match item.as_str().and_then(provenance_of) {
                    Some(found) => from = found,
                    None => self.say(
                        item_span,
                        format!("where `{}` comes from is {}; allowed is one of `measured`, `photo`, `printed`, `assumed`, `unknown`", key.name, found(item)),
                    ),
                },
                // When it was measured, or by whom: kept for the record, read by people.
                "date" | "note" if item.as_str().is_some() => {}
                _ => {
                    let key_span = table.key(name).and_then(toml_edit::Key::span).unwrap_or(item_span);
                    self.help(
                        key_span,
                        format!("`{}` is not a key of a value with its origin", shown(name)),
                        "allowed are is, from, date, note",
                    );
                }
            }
        }
        let Some((item, item_span)) = value else {
            if from == Provenance::Unknown {
                return Some(Node { at: self.at(span), from, body: Body::Unknown });
            }
            self.help(
                span,
                format!("`is` is missing in `{}` of {}", key.name, spec.name),
                format!("write `{{ is = {}, from = \"measured\" }}`", example_value(&key.shape)),
            );
            return None;
        };
        if item.as_str() == Some("unknown") {
            return Some(Node { at: self.at(item_span), from: Provenance::Unknown, body: Body::Unknown });
        }
        let body = self.shape(item, item_span.clone(), &key.shape, key, spec, from)?;
        Some(Node { at: self.at(item_span), from, body })
    }

    fn shape(
        &mut self,
        item: &Item,
        span: Range<usize>,
        shape: &'static Shape,
        key: &'static Key,
        spec: &'static Table,
        from: Provenance,
    ) -> Option<Body> {
        match shape {
            Shape::Text => match item.as_str() {
                Some(text) => Some(Body::Text(text.to_owned())),
                None => {
                    self.wrong(span, key, spec, item, "text in quotes");
                    None
                }
            },
            Shape::Tag => match item.as_str() {
                Some(text) if is_tag(text) => Some(Body::Text(text.to_owned())),
                _ => {
                    let allowed = "a short name in quotes: not empty, without dots, control characters or space at its ends";
                    self.wrong(span, key, spec, item, allowed);
                    None
                }
            },
            Shape::Switch => match item.as_bool() {
                Some(on) => Some(Body::Switch(on)),
                None => {
                    self.wrong(span, key, spec, item, "`true` or `false`");
                    None
                }
            },
            Shape::Count(most) => {
                match item.as_integer().and_then(|n| u32::try_from(n).ok()).filter(|n| n <= most) {
                    Some(count) => Some(Body::Count(count)),
                    None => {
                        self.wrong(span, key, spec, item, &format!("a whole number from 0 to {most}"));
                        None
                    }
                }
            }
            Shape::Turn => match item.as_integer() {
                Some(degrees @ (0 | 90 | 180 | 270)) => u32::try_from(degrees).ok().map(Body::Count),
                _ => {
                    self.wrong(span, key, spec, item, "0, 90, 180 or 270");
                    None
                }
            },
            Shape::Words(words) => match item.as_str() {
                Some(text) if words.contains(&text) => Some(Body::Text(text.to_owned())),
                text => {
                    let allowed = words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ");
                    let message = format!(
                        "`{}` of {} is {}; allowed is one of {allowed}",
                        key.name,
                        spec.name,
                        found(item)
                    );
                    match text.and_then(|text| nearest(text, words.iter().copied())) {
                        Some(near) => self.help(span, message, format!("did you mean `{near}`?")),
                        None => self.say(span, message),
                    }
                    None
                }
            },
            Shape::Measure(measure) => {
                let Some(text) = item.as_str() else {
                    let help = match item.as_integer() {
                        Some(number) => format!(
                            "write it in quotes with its unit ({}), such as \"{number} {}\"",
                            measure.units,
                            first_unit(measure.units)
                        ),
                        None => format!(
                            "write it in quotes with its unit, such as \"{}\"",
                            first_example(measure.example)
                        ),
                    };
                    let message = format!(
                        "`{}` of {} is {}; a {} needs its unit",
                        key.name,
                        spec.name,
                        found(item),
                        measure.name
                    );
                    self.help(span, message, help);
                    return None;
                };
                let mut forbid = |what: &str| {
                    let is = format!("`{}` of {} is `{}`", key.name, spec.name, shown(text));
                    self.say(span.clone(), format!("{is}; it may not be {what}"));
                    None
                };
                match (measure.check)(text) {
                    Ok(Sense::Negative) => forbid("below zero"),
                    Ok(Sense::Nothing) => forbid("zero"),
                    Ok(Sense::Beyond) => forbid("above 100 %"),
                    Ok(Sense::Zero | Sense::Positive) => Some(Body::Text(text.to_owned())),
                    Err(error) => {
                        self.say(span, format!("`{}` of {}: {error}", key.name, spec.name));
                        None
                    }
                }
            }
            Shape::List(inner) => {
                if let Some(tables) = item.as_array_of_tables() {
                    let Shape::Table(of) = **inner else {
                        self.wrong(span, key, spec, item, "a list in brackets");
                        return None;
                    };
                    let items = tables
                        .iter()
                        .map(|table| {
                            self.table(table, table.span().unwrap_or_else(|| span.clone()), of, from)
                        })
                        .collect();
                    return Some(Body::List(items));
                }
                let Some(array) = item.as_array() else {
                    self.wrong(span, key, spec, item, "a list in brackets");
                    return None;
                };
                let mut items = Vec::new();
                for value in array {
                    let value_span = value.span().unwrap_or_else(|| span.clone());
                    let item = Item::Value(value.clone());
                    if let Some(body) = self.spanned(&item, value, value_span.clone(), inner, key, spec, from)
                    {
                        items.push(Node { at: self.at(value_span), from, body });
                    }
                }
                Some(Body::List(items))
            }
            Shape::Table(of) => match item.as_table_like() {
                Some(table) => {
                    let node = self.table(table, span, of, from);
                    Some(node.body)
                }
                None => {
                    self.wrong(span, key, spec, item, &format!("a table with {}", keys(of)));
                    None
                }
            },
            Shape::Named(of) => match item.as_table_like() {
                Some(table) => Some(Body::Table(self.named(table, &span, of, key, spec, from))),
                None => {
                    self.wrong(
                        span,
                        key,
                        spec,
                        item,
                        &format!("tables with a name each: `[{}.NAME]`", key.name),
                    );
                    None
                }
            },
            Shape::Values(inner) => match item.as_table_like() {
                Some(table) => {
                    let mut entries = Vec::new();
                    for (name, item) in table.iter() {
                        let item_span = item.span().unwrap_or_else(|| span.clone());
                        if item.as_str() == Some("unknown") {
                            let node = Node {
                                at: self.at(item_span),
                                from: Provenance::Unknown,
                                body: Body::Unknown,
                            };
                            entries.push((name.to_owned(), node));
                        } else if let Some(body) = self.shape(item, item_span.clone(), inner, key, spec, from)
                        {
                            entries.push((name.to_owned(), Node { at: self.at(item_span), from, body }));
                        }
                    }
                    Some(Body::Table(entries))
                }
                None => {
                    self.wrong(
                        span,
                        key,
                        spec,
                        item,
                        &format!("a table of values with a name each: `[{}]`", key.name),
                    );
                    None
                }
            },
            Shape::Tables(of, id) => self.tables(item, &span, of, id, key, spec, from),
        }
    }

    /// A value of an array: the item made of it has lost nothing but its own place.
    #[expect(clippy::too_many_arguments, reason = "hands on what it was handed")]
    fn spanned(
        &mut self,
        item: &Item,
        value: &Value,
        span: Range<usize>,
        shape: &'static Shape,
        key: &'static Key,
        spec: &'static Table,
        from: Provenance,
    ) -> Option<Body> {
        match (shape, value) {
            (Shape::Table(of), Value::InlineTable(table)) => Some(self.table(table, span, of, from).body),
            _ => self.shape(item, span, shape, key, spec, from),
        }
    }

    fn named(
        &mut self,
        table: &dyn TableLike,
        span: &Range<usize>,
        of: &'static Table,
        key: &'static Key,
        spec: &'static Table,
        from: Provenance,
    ) -> Vec<(String, Node)> {
        // Catalogue ids speak of sizes (`jack-6.35-ts`); a port or deck name is met as `A1.OUT`.
        let may_have_points = std::ptr::eq(spec, &raw const CATALOGUE);
        let mut entries = Vec::new();
        for (name, item) in table.iter() {
            let key_span = table.key(name).and_then(toml_edit::Key::span).unwrap_or_else(|| span.clone());
            if !(is_tag(name) || may_have_points && is_tag(&name.replace('.', "-"))) {
                self.say(
                    key_span.clone(),
                    format!("`{}` cannot be the name of a {}: allowed is a short name without dots or control characters", shown(name), of.name),
                );
            }
            match item.as_table_like() {
                Some(inner) => {
                    let item_span = item.span().unwrap_or(key_span);
                    entries.push((name.to_owned(), self.table(inner, item_span, of, from)));
                }
                None => {
                    let message = format!(
                        "`{}` in `{}` is {}; allowed is a table with {}",
                        shown(name),
                        key.name,
                        found(item),
                        keys(of)
                    );
                    self.say(key_span, message);
                }
            }
        }
        entries
    }

    #[expect(clippy::too_many_arguments, reason = "hands on what it was handed")]
    fn tables(
        &mut self,
        item: &Item,
        span: &Range<usize>,
        of: &'static Table,
        id: &'static str,
        key: &'static Key,
        spec: &'static Table,
        from: Provenance,
    ) -> Option<Body> {
        let mut rows: Vec<(&dyn TableLike, Range<usize>)> = Vec::new();
        if let Some(tables) = item.as_array_of_tables() {
            rows.extend(
                tables
                    .iter()
                    .map(|table| (table as &dyn TableLike, table.span().unwrap_or_else(|| span.clone()))),
            );
        } else if let Some(array) = item.as_array().filter(|array| array.iter().all(Value::is_inline_table)) {
            rows.extend(array.iter().filter_map(|value| {
                let table = value.as_inline_table()?;
                Some((table as &dyn TableLike, value.span().unwrap_or_else(|| span.clone())))
            }));
        } else {
            self.wrong(span.clone(), key, spec, item, &format!("a list of tables: `[[{}]]`", key.name));
            return None;
        }
        let mut seen = BTreeSet::new();
        let mut items = Vec::new();
        for (table, row_span) in rows {
            if !id.is_empty() {
                match table.get(id).and_then(Item::as_str) {
                    Some(name) if !seen.insert(name.to_owned()) => {
                        let name_span =
                            table.get(id).and_then(Item::span).unwrap_or_else(|| row_span.clone());
                        self.say(
                            name_span,
                            format!(
                                "the {id} `{}` is used twice; every {} has its own",
                                shown(name),
                                of.name
                            ),
                        );
                        continue;
                    }
                    None if of.key(id).is_some_and(|key| !key.required) && table.get(id).is_none() => {
                        self.help(
                            row_span.clone(),
                            format!("`{id}` is missing in {}", of.name),
                            format!("write `{id} = \"A1\"`"),
                        );
                    }
                    _ => {}
                }
            }
            items.push(self.table(table, row_span, of, from));
        }
        Some(Body::List(items))
    }
}

fn is_provenance(key: &Key) -> bool {
    matches!(key.shape, Shape::Words(words) if words == crate::format::PROVENANCE)
}

pub(crate) fn provenance_of(word: &str) -> Option<Provenance> {
    match word {
        "measured" => Some(Provenance::Measured),
        "photo" => Some(Provenance::Photo),
        "printed" => Some(Provenance::Printed),
        "assumed" => Some(Provenance::Assumed),
        "unknown" => Some(Provenance::Unknown),
        _ => None,
    }
}

fn is_tag(text: &str) -> bool {
    !text.is_empty() && text.trim() == text && !text.contains('.') && !text.chars().any(char::is_control)
}

/// What stands in the document, in words.
fn found(item: &Item) -> String {
    match item {
        Item::Value(Value::String(text)) if text.value().is_empty() => "empty text".to_owned(),
        Item::Value(Value::String(text)) => format!("`{}`", shown(text.value())),
        Item::Value(Value::Integer(number)) => format!("the bare number `{}`", number.value()),
        Item::Value(Value::Float(number)) => format!("the bare number `{}`", number.value()),
        Item::Value(Value::Boolean(on)) => format!("`{}`", on.value()),
        Item::Value(Value::Datetime(_)) => "a date without quotes".to_owned(),
        Item::Value(Value::Array(_)) => "a list".to_owned(),
        Item::Value(Value::InlineTable(_)) | Item::Table(_) => "a table".to_owned(),
        Item::ArrayOfTables(_) => "a list of tables".to_owned(),
        Item::None => "nothing".to_owned(),
    }
}

fn keys(table: &Table) -> String {
    table.keys.iter().map(|key| key.name).collect::<Vec<_>>().join(", ")
}

fn first_unit(units: &str) -> &str {
    units.split([',', ' ']).next().unwrap_or(units)
}

fn first_example(example: &str) -> &str {
    example.split(" or ").next().unwrap_or(example)
}

/// How a key is written, with something plausible behind it.
pub(crate) fn example(key: &Key) -> String {
    let value = example_value(&key.shape);
    format!("`{} = {value}`", key.name)
}

fn example_value(shape: &Shape) -> String {
    match shape {
        Shape::Text | Shape::Tag => "\"…\"".to_owned(),
        Shape::Switch => "true".to_owned(),
        Shape::Count(_) => "1".to_owned(),
        Shape::Turn => "90".to_owned(),
        Shape::Words(words) => format!("\"{}\"", words.first().unwrap_or(&"…")),
        Shape::Measure(measure) => format!("\"{}\"", first_example(measure.example)),
        Shape::List(inner) => format!("[{}]", example_value(inner)),
        Shape::Table(table) => format!(
            "{{ {} }}",
            table
                .keys
                .iter()
                .filter(|key| key.required)
                .map(|key| format!("{} = {}", key.name, example_value(&key.shape)))
                .collect::<Vec<_>>()
                .join(", ")
        ),
        Shape::Named(_) | Shape::Values(_) => "{ … }".to_owned(),
        Shape::Tables(..) => "[[…]]".to_owned(),
    }
}
