//! What a page of the deck asks for: where things stand.

use finding::{Change, Field, Value};
use quantity::Length;
use rig::{Device, FLOOR, Rig};

use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;

fn device<'a>(rig: &'a Rig, form: &Form) -> Result<&'a Device, String> {
    let tag = form.need("tag")?;
    rig.device(tag).ok_or_else(|| format!("there is no device `{tag}`"))
}

/// Whole steps a thing moved: `54 mm right, 3 mm back`.
fn way(x: Length, y: Length) -> String {
    let mut words = Vec::new();
    for (by, plus, minus) in [(x, "right", "left"), (y, "back", "forward")] {
        if by != Length::ZERO {
            words.push(format!("{} {}", by.abs(), if Length::ZERO < by { plus } else { minus }));
        }
    }
    words.join(", ")
}

pub(super) fn shift(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    if place.locked {
        return Err(format!("{tag} is locked"));
    }
    let by = |key: &str| form.whole(key).map(Length::from_mm);
    let (dx, dy) = (by("dx")?, by("dy")?);
    if dx == Length::ZERO && dy == Length::ZERO {
        return Err(format!("{tag} did not move"));
    }
    let (x, y) = (place.x + dx, place.y + dy);
    let at = |key: &str, to: Length| Change::set(Field::device(&tag, "place").below(key), to);
    named(format!("move {tag} {}", way(dx, dy)), [at("x", x), at("y", y)])
}

pub(super) fn turn(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    if place.locked {
        return Err(format!("{tag} is locked"));
    }
    let quarters = (place.quarters + 1) % 4;
    // About its middle, on whole millimetres, so that it stays where the eye left it.
    let by = device.size.value.map_or(Length::ZERO, |size| {
        let half = if place.quarters % 2 == 0 { size.width - size.depth } else { size.depth - size.width };
        Length::from_mm(half.half().nm().div_euclid(1_000_000))
    });
    let (x, y) = (place.x + by, place.y - by);
    let degrees = 90 * i64::from(quarters);
    let at = |key: &str, to: Value| Change::set(Field::device(&tag, "place").below(key), to);
    named(
        format!("turn {tag} to {degrees}°"),
        [at("turn", degrees.into()), at("x", x.into()), at("y", y.into())],
    )
}

pub(super) fn toggle(rig: &Rig, form: &Form, key: &'static str) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    let on = if key == "locked" { place.locked } else { place.under };
    let name = match (key, on) {
        ("locked", false) => format!("lock {tag}"),
        ("locked", true) => format!("unlock {tag}"),
        (_, false) => format!("put {tag} under the deck"),
        (_, true) => format!("put {tag} on the deck"),
    };
    named(name, [Change::set_or_remove(Field::device(&tag, "place").below(key), (!on).then_some(true))])
}

pub(super) fn place(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let first = rig.board.decks.first().map(|deck| deck.name.clone()).unwrap_or_default();
    let deck = form.get("deck").filter(|deck| !deck.is_empty()).map_or(first.clone(), str::to_owned);
    if deck != FLOOR && rig.board.deck(&deck).is_none() {
        return Err(format!("the board has no deck `{deck}`"));
    }
    let written = |key: &str| -> Result<String, String> {
        // A bare number in a field that shows its unit beside it is meant in that unit.
        let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
        let text = with_unit(form.need(key)?, unit);
        text.parse::<Length>().map_err(|error| {
            format!("{key} from {}: {error}", if key == "x" { "the left" } else { "the front" })
        })?;
        Ok(text)
    };
    let (x, y) = (written("x")?, written("y")?);
    let has_deck = device.place.is_some();
    let at = |key: &str, to: &String| Change::set(Field::device(&tag, "place").below(key), to);
    let deck = (has_deck || deck != first).then(|| at("deck", &deck));
    named(format!("place {tag} at {x}, {y}"), deck.into_iter().chain([at("x", &x), at("y", &y)]))
}
