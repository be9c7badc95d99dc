//! Edits of any value the format knows: lists, rows, and things with a name of their own.

use document::format::{Key, Shape, Table};
use finding::{Cells, Change, Field, Value};
use quantity::Length;
use rig::{Face, Rig};

use crate::act::{Form, Made, named};
use crate::format_at::{entered, key_at};
use crate::pages::value::unpacked;

pub(super) fn edit(rig: &Rig, form: &Form) -> Made {
    match form.need("act")? {
        "list" => list(form),
        "rows" => rows(form),
        "named" => with_name(form),
        "row" => row(form),
        "row-away" => {
            let (list, id) = (form.need("list")?, form.need("id")?);
            named(format!("remove {list} {id}"), [Change::remove(Field::of(list, id, ""))])
        }
        "hole" => hole(rig, form),
        other => Err(format!("there is no edit `{other}`")),
    }
}

/// The items of a text with commas between.
fn items(text: &str) -> Vec<String> {
    text.split([',', '\n']).map(str::trim).filter(|item| !item.is_empty()).map(str::to_owned).collect()
}

/// A list of texts.
fn list(form: &Form) -> Made {
    let field = unpacked(form.need("field")?);
    let all = items(form.get("value").unwrap_or(""));
    let name = format!("{field}: {}", all.join(", "));
    named(name, [Change::set_or_remove(field, Some(all).filter(|all| !all.is_empty()))])
}

/// A list of tables, written whole: the cells of each column come in the order of the rows.
fn rows(form: &Form) -> Made {
    let field = unpacked(form.need("field")?);
    let Some(Shape::List(Shape::Table(table))) = key_at(&field).map(|key| &key.shape) else {
        return Err(format!("`{field}` is not a list of rows"));
    };
    let unit = form.get("unit").unwrap_or("mm");
    let columns: Vec<(&Key, Vec<String>, Vec<String>)> = table
        .keys
        .iter()
        .map(|key| (key, form.all(&format!("cell.{}", key.name)), form.all(&format!("from.{}", key.name))))
        .collect();
    let count = columns.iter().map(|(_, cells, _)| cells.len()).max().unwrap_or(0);
    let mut lines: Vec<Cells> = Vec::new();
    for index in 0..count {
        let mut cells = Cells::new();
        for (key, values, froms) in &columns {
            let value = values.get(index).map_or("", |value| value.trim());
            if value.is_empty() {
                continue;
            }
            let value = entered(key, value, unit);
            let value = match froms.get(index).filter(|from| key.given && !from.is_empty()) {
                Some(from) => Value::given(value, from),
                None => Value::from(value),
            };
            cells.push((key.name.to_owned(), value));
        }
        if !cells.is_empty() {
            lines.push(cells);
        }
    }
    let name = format!("{field}: {} rows", lines.len());
    let rows = Some(lines).filter(|lines| !lines.is_empty()).map(Value::Rows);
    named(name, [Change::set_or_remove(field, rows)])
}

/// What says a value of one kind or another at an address: a text, a list, a quantity.
fn put(field: Field, value: &str, unit: &str) -> Result<Change, String> {
    let key = key_at(&field).ok_or_else(|| format!("`{field}` is not a value of a rig document"))?;
    Ok(match &key.shape {
        Shape::List(Shape::Text) => Change::set(field, items(value)),
        _ => Change::set(field, entered(key, value, unit)),
    })
}

/// Keys with their values, without the empty ones.
fn pairs(form: &Form) -> Vec<(String, String)> {
    form.all("key")
        .into_iter()
        .zip(form.all("value"))
        .map(|(key, value)| (key, value.trim().to_owned()))
        .filter(|(_, value)| !value.is_empty())
        .collect()
}

fn name_of(form: &Form) -> Result<String, String> {
    let name = form.need("name")?.trim();
    if name.is_empty() || name.contains('.') || name.chars().any(char::is_control) {
        return Err("a name is not empty and has no dot".to_owned());
    }
    Ok(name.to_owned())
}

fn deeper(field: &Field, keys: &str) -> Field {
    keys.split('.').filter(|key| !key.is_empty()).fold(field.clone(), |field, key| field.below(key))
}

/// A new thing with a name of its own: a deck, a rail, a port, a mass.
fn with_name(form: &Form) -> Made {
    let group = unpacked(form.need("field")?);
    let name = name_of(form)?;
    let values = pairs(form);
    if values.is_empty() {
        return Err(format!("nothing was said of `{name}`"));
    }
    let unit = form.get("unit").unwrap_or("mm");
    let what = group.parts().last().cloned().unwrap_or_default();
    let field = group.below(&name);
    let changes: Vec<Change> =
        values.iter().map(|(key, value)| put(deeper(&field, key), value, unit)).collect::<Result<_, _>>()?;
    named(format!("add {what} {name}"), changes)
}

/// A new row of a list that is known by names: a state, a moment.
fn row(form: &Form) -> Made {
    let list = form.need("list")?;
    let name = name_of(form)?;
    let values = pairs(form);
    let mut changes = vec![Change::add(Field::of(list, &name, ""))];
    for (key, value) in &values {
        changes.push(put(Field::of(list, &name, key), value, "mm")?);
    }
    // A state with nothing engaged is a state too.
    if list == "state" && !values.iter().any(|(key, _)| key == "engaged") {
        changes.push(Change::set(Field::of(list, &name, "engaged"), Vec::new()));
    }
    named(format!("add {list} {name}"), changes)
}

/// A hole of a panel, moved as seen from the FRONT.
fn hole(rig: &Rig, form: &Form) -> Made {
    let tag = form.need("tag")?.to_owned();
    let name = form.need("port")?.to_owned();
    let port = rig
        .device(&tag)
        .and_then(|device| device.port(&name))
        .ok_or_else(|| format!("there is no jack `{tag}.{name}`"))?;
    let by = |key: &str| form.whole(key).map(Length::from_mm);
    let (dx, dy) = (by("dx")?, by("dy")?);
    let (Some(offset), Some(height), Some(face)) = (port.offset.value, port.height.value, port.face.value)
    else {
        return Err(format!("where {tag}.{name} stands is unknown; type it first"));
    };
    // Offsets count as the player sees them; from outside, back and left sides read the other way.
    let offset = if matches!(face, Face::Back | Face::Left) { offset - dx } else { offset + dx };
    let height = height + dy;
    let place = Field::device(&tag, "port").below(&name);
    named(
        format!("move the hole of {tag}.{name}"),
        [Change::set(place.below("offset"), offset), Change::set(place.below("height"), height)],
    )
}

/// The keys a new thing of a table is asked for: those it must have, else what is most often said of it.
pub(crate) fn first_keys(table: &'static Table) -> Vec<(String, &'static Key)> {
    let wanted: &[&str] = match table.name {
        "deck" => &["size.width", "size.depth", "level"],
        "port" => &["role", "connector", "face", "offset", "height"],
        "outlet" => &["type", "connector", "face", "offset", "height"],
        "source" => &["pickup", "title", "lead"],
        "sink" => &["kind", "title", "lead"],
        _ => &[],
    };
    let find = |path: &str| -> Option<(String, &'static Key)> {
        let mut table = table;
        let mut key = None;
        for part in path.split('.') {
            let found = table.key(part)?;
            key = Some(found);
            if let Shape::Table(inner) = &found.shape {
                table = inner;
            }
        }
        Some((path.to_owned(), key?))
    };
    let listed: Vec<_> = wanted.iter().filter_map(|path| find(path)).collect();
    if !listed.is_empty() {
        return listed;
    }
    let musts: Vec<_> =
        table.keys.iter().filter(|key| key.required).map(|key| (key.name.to_owned(), key)).collect();
    if musts.is_empty() {
        table
            .keys
            .iter()
            .filter(|key| matches!(key.shape, Shape::Text | Shape::Words(_) | Shape::Measure(_)))
            .take(3)
            .map(|key| (key.name.to_owned(), key))
            .collect()
    } else {
        musts
    }
}
