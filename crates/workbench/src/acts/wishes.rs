//! Wishes of the brief: what can be judged of a requirement, added and taken away one at a time.

use quantity::{Grams, Length};
use rig::{Frequency, Rig, Spot, Wish, Word};

use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;

/// Adds a wish to a requirement.
pub(super) fn add(rig: &Rig, form: &Form) -> Made {
    let id = form.need("id")?;
    let wish = wish(rig, form)?;
    let mut all = rig.brief.requirements.clone();
    let wanted = all.iter_mut().find(|wanted| wanted.id == id);
    let wanted = wanted.ok_or_else(|| format!("there is no requirement `{id}`"))?;
    if wanted.wishes.contains(&wish) {
        return Err(format!("{id} wants that already"));
    }
    let name = format!("{id} wants {}", wish.words(rig));
    wanted.wishes.push(wish);
    named(name, [document::edit::requirements(&all)])
}

/// Takes a wish away, by its number among those of its requirement.
pub(super) fn away(rig: &Rig, form: &Form) -> Made {
    let (id, at) = (form.need("id")?, form.whole("at")?);
    let mut all = rig.brief.requirements.clone();
    let wanted = all.iter_mut().find(|wanted| wanted.id == id);
    let wanted = wanted.ok_or_else(|| format!("there is no requirement `{id}`"))?;
    let at = usize::try_from(at).ok().filter(|at| *at < wanted.wishes.len());
    let gone = wanted.wishes.remove(at.ok_or_else(|| format!("that wish of {id} is gone already"))?);
    let name = format!("{id} no longer wants {}", gone.words(rig));
    named(name, [document::edit::requirements(&all)])
}

/// The wish that a form says; what it names must be there.
fn wish(rig: &Rig, form: &Form) -> Result<Wish, String> {
    let kind = form.need("wish")?;
    let (kind, word) = kind.split_once('/').unwrap_or((kind, ""));
    let no_such = || format!("there is no wish `{kind}`");
    Ok(match kind {
        "order" => Wish::Order { devices: devices(rig, form, 2)?, run: None },
        "place" => Wish::Place { at: Spot::of(word).ok_or_else(no_such)?, devices: devices(rig, form, 1)? },
        "use" => Wish::Use { how: Frequency::of(word).ok_or_else(no_such)?, devices: devices(rig, form, 1)? },
        "beside" => {
            let two = devices(rig, form, 2)?.try_into();
            Wish::Beside { devices: two.map_err(|_| "name the two that stand beside each other")? }
        }
        "together" => Wish::Together { devices: devices(rig, form, 2)? },
        "apart" => {
            let by = length(form.need("measure")?).map_err(|why| format!("how far apart: {why}"))?;
            Wish::Apart { devices: devices(rig, form, 2)?, by }
        }
        "spare" => {
            let (width, depth) = size(form.need("measure")?)?;
            Wish::Spare { width, depth, deck: None }
        }
        "mass" => {
            let text = with_unit(form.need("measure")?, "kg");
            let most = text.parse::<Grams>().map_err(|error| format!("the mass: {error}"))?;
            Wish::Mass { most, cased: word == "cased" }
        }
        "plays" => Wish::Plays { sink: sink(rig, form)?, without: devices(rig, form, 1)?, from: None },
        "mono" => Wish::Mono { sink: sink(rig, form)? },
        _ => return Err(no_such()),
    })
}

/// The devices that are named, at least so many; a comma or a space stands between tags.
fn devices(rig: &Rig, form: &Form, least: usize) -> Result<Vec<String>, String> {
    let text = form.need("of")?;
    let mut tags: Vec<String> = Vec::new();
    for tag in text.split([',', ' ', ';']).filter(|tag| !tag.is_empty()) {
        if rig.device(tag).is_none() {
            return Err(format!("`{tag}` is not a device of this board"));
        }
        if tags.iter().any(|known| known == tag) {
            return Err(format!("{tag} is named twice"));
        }
        tags.push(tag.to_owned());
    }
    match (least, tags.len()) {
        (least, count) if least <= count => Ok(tags),
        (1, _) => Err("name one device or more, by their tags".to_owned()),
        _ => Err("name two devices or more, by their tags: A1, A2".to_owned()),
    }
}

fn sink(rig: &Rig, form: &Form) -> Result<String, String> {
    let id = form.need("sink")?;
    rig.sink(id).map(|sink| sink.id.clone()).ok_or_else(|| format!("`{id}` is no amp or desk of this job"))
}

fn length(text: &str) -> Result<Length, String> {
    with_unit(text, "mm").parse::<Length>().map_err(|error| error.to_string())
}

/// Width and depth: `90 × 150 mm`, `90 mm x 150 mm`.
fn size(text: &str) -> Result<(Length, Length), String> {
    let parts: Vec<&str> = text.split(['×', 'x', '*']).map(str::trim).collect();
    let [width, depth] = parts[..] else {
        return Err("a free place has a width and a depth: 90 × 150 mm".to_owned());
    };
    let unit = depth.trim_start_matches(|sign: char| sign.is_ascii_digit() || ".,/ ".contains(sign));
    let width = length(&with_unit(width, if unit.is_empty() { "mm" } else { unit }));
    let depth = length(depth);
    Ok((width.map_err(|why| format!("the width: {why}"))?, depth.map_err(|why| format!("the depth: {why}"))?))
}
