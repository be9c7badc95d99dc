//! Devices beside one another, together, or apart: gaps between bodies.

use design::Design;
use finding::{Evidence, Field};
use quantity::Length;
use rig::geometry::{BoxClass, Bulk, Solid};

use super::unmet::{Found, Unmet};
use crate::asked::Asked;
use crate::compare::{Basis, longer, shorter};
use crate::space::{assumed_of, body_of};
use crate::words::{against, list, shown};

/// The body of a device; `None` where its place or size is not known, which is then asked for.
fn body<'a>(design: &'a Design, tag: &'a str, asked: &mut Asked) -> Result<Option<&'a Solid>, Unmet> {
    let Some(device) = design.rig.device(tag) else { return Ok(None) };
    if device.outside {
        return Err(Unmet::words(format!("{tag} stands beside the board"), "beside", "on the board"));
    }
    let found = body_of(design, tag);
    match found {
        Some(body) => asked.assumed.extend(assumed_of(design, body)),
        None if device.place.is_none() => asked.lack(Field::device(tag, "place")),
        None => asked.lack(Field::device(tag, "size")),
    }
    Ok(found)
}

fn bodies<'a>(
    design: &'a Design,
    tags: &'a [String],
    asked: &mut Asked,
) -> Result<Vec<(&'a str, &'a Solid)>, Unmet> {
    let mut out = Vec::new();
    for tag in tags {
        out.extend(body(design, tag, asked)?.map(|body| (tag.as_str(), body)));
    }
    Ok(out)
}

fn gap(a: &Solid, b: &Solid) -> Length {
    Bulk::of(a).air(&Bulk::of(b))
}

/// Two bodies side by side on one level, no further apart than the limit, with nothing between them.
pub(super) fn beside(design: &Design, [a, b]: &[String; 2], asked: &mut Asked) -> Found {
    let (Some(one), Some(other)) = (body(design, a, asked)?, body(design, b, asked)?) else { return Ok(()) };
    let level = |tag: &str| {
        let place = design.rig.device(tag).and_then(|device| device.place.as_ref());
        place.map(|place| (place.deck.as_str(), place.under))
    };
    if level(a) != level(b) {
        return Err(Unmet::words(format!("{a} and {b} are not on one level"), "two levels", "one level"));
    }
    let (one, other) = (Bulk::of(one), Bulk::of(other));
    if Length::ZERO < one.out_of_row(&other) {
        return Err(Unmet::words(
            format!("{a} and {b} are not in one row"),
            "one behind the other",
            "side by side",
        ));
    }
    let between = one.between(&other);
    let apart = between.width;
    let most = design.limits.beside_gap;
    if longer(apart, most, Basis::of(&asked.assumed)) {
        let (found, limit) = against(apart, most);
        let why = format!("{found} lie between them, {limit} at most");
        return Err(Unmet::new(why, Evidence::at_most(apart, most)));
    }
    let is_between = |body: &Bulk| body.is_level_with(&one) && body.plan().overlaps(&between);
    let mut there: Vec<&str> = (design.solids.boxes.iter())
        .filter(|solid| solid.class == BoxClass::Body && is_between(&Bulk::of(solid)))
        .filter_map(|solid| solid.owner.device())
        .filter(|tag| tag != a && tag != b)
        .collect();
    there.sort_by(|a, b| rig::tag_order(a, b));
    match there.first() {
        Some(tag) => {
            Err(Unmet::words(format!("{tag} stands between them"), tag.to_string(), "nothing between"))
        }
        None => Ok(()),
    }
}

/// Bodies that make one group: each is within the limit of another of them.
pub(super) fn together(design: &Design, tags: &[String], asked: &mut Asked) -> Found {
    let bodies = bodies(design, tags, asked)?;
    // What is not known may stand between two others and join them.
    if bodies.len() < tags.len() {
        return Ok(());
    }
    let most = design.limits.together_gap;
    let is_near = |gap: Length, asked: &Asked| !longer(gap, most, Basis::of(&asked.assumed));
    let mut group = vec![0];
    let mut rest: Vec<usize> = (1..bodies.len()).collect();
    loop {
        let nearest = rest
            .iter()
            .flat_map(|at| group.iter().map(|from| (gap(bodies[*at].1, bodies[*from].1), *at, *from)))
            .min();
        let Some((apart, at, from)) = nearest else { return Ok(()) };
        if !is_near(apart, asked) {
            let (found, limit) = against(apart, most);
            let mut pair = [bodies[at].0, bodies[from].0];
            pair.sort_by(|a, b| rig::tag_order(a, b));
            let why = format!("{found} lie between {}, {limit} at most", list(&pair));
            return Err(Unmet::new(why, Evidence::at_most(apart, most)));
        }
        rest.retain(|other| *other != at);
        group.push(at);
    }
}

/// Every two bodies keep a gap.
pub(super) fn apart(design: &Design, tags: &[String], by: Length, asked: &mut Asked) -> Found {
    let bodies = bodies(design, tags, asked)?;
    let pairs = bodies
        .iter()
        .enumerate()
        .flat_map(|(at, one)| bodies[at + 1..].iter().map(move |other| (one, other)));
    let nearest =
        pairs.map(|(one, other)| (gap(one.1, other.1), one.0, other.0)).min_by_key(|(gap, ..)| *gap);
    match nearest {
        Some((found, a, b)) if shorter(found, by, Basis::of(&asked.assumed)) => {
            let why = format!("{a} and {b} are {} apart", shown(found));
            Err(Unmet::new(why, Evidence::at_least(found, by)))
        }
        _ => Ok(()),
    }
}
