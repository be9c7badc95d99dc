//! The judge of placements: the boxes of `rig::geometry` on the arranged rig, and nothing of the search.

mod breach;
mod made;
mod rows;
mod wishes;

pub(crate) use breach::tape;
pub use breach::{Breach, Room};
pub use made::remade;
pub use rows::{Rows, rows};
pub use wishes::{Unmet, wishes};

use quantity::Length;
use rig::geometry::{BoxClass, Owner, Solid, clashes, conflicts, lead_ends, solids, standing, switch_point};
use rig::{Device, FLOOR, Limits, PortRef, Rect, Rig, Role};

/// What is wrong with an arranged rig. `before` is the rig it was made from: what was locked must not have moved.
pub fn verify(before: &Rig, after: &Rig, limits: &Limits) -> Vec<Breach> {
    let boxes = solids(after, limits).boxes;
    let mut out = Vec::new();
    for conflict in conflicts(&boxes, limits) {
        let (a, b) = (&boxes[conflict.of], &boxes[conflict.from]);
        // A barred service corridor is for looking at.
        let looked_at = [a.class, b.class].contains(&BoxClass::Service);
        if !looked_at && clashes(after, &a.owner, &b.owner, conflict.found) {
            let about = vec![words(a), words(b)];
            out.push(Breach::of("conflict", about, Room { found: conflict.found, wanted: conflict.wanted }));
        }
    }
    on_deck(after, limits, &boxes, &mut out);
    switches(after, limits, &mut out);
    feet(after, limits, &boxes, &mut out);
    for device in before.devices.iter().filter(|device| !device.outside) {
        let moved = after.device(&device.tag).and_then(|after| after.place.as_ref());
        let stays = device.place.as_ref().filter(|place| place.locked || place.deck == FLOOR);
        let what = match (stays, moved) {
            (Some(place), now) if now != Some(place) => "locked",
            (None, None) if device.size.value.is_some() => "not-placed",
            _ => continue,
        };
        out.push(Breach::of(what, vec![device.tag.clone()], None));
    }
    out.sort();
    out
}

fn words(solid: &Solid) -> String {
    match &solid.owner {
        Owner::Board { deck, part } if solid.class != BoxClass::Sheet => {
            format!("{} {part} of deck {deck}", solid.class.word())
        }
        Owner::Board { .. } => solid.owner.to_string(),
        _ => format!("{} of {}", solid.class.word(), solid.owner),
    }
}

fn is_on_board(device: &Device) -> bool {
    !device.outside && device.place.as_ref().is_some_and(|place| place.deck != FLOOR)
}

/// Outline, deck, lid and clear height.
fn on_deck(rig: &Rig, limits: &Limits, boxes: &[Solid], out: &mut Vec<Breach>) {
    let outline: Vec<Rect> = rig.board.decks.iter().flat_map(rig::Deck::shape_on_board).collect();
    let outward: Vec<PortRef> = lead_ends(rig)
        .into_iter()
        .filter(|end| !end.inner)
        .filter(|end| {
            end.other.port.is_empty()
                || rig.device(&end.other.device).is_some_and(|other| !is_on_board(other))
        })
        .map(|end| end.port)
        .collect();
    for device in rig.devices.iter().filter(|device| is_on_board(device)) {
        let is_out =
            |solid: &&Solid| matches!(&solid.owner, Owner::Port { port, .. } if outward.contains(port));
        let mine: Vec<&Solid> = boxes
            .iter()
            .filter(|solid| {
                solid.owner.device() == Some(device.tag.as_str()) && solid.class != BoxClass::Service
            })
            .collect();
        for solid in mine.iter().filter(|solid| device.role != Role::Panel || !is_out(solid)) {
            let limit = limits.board_edge_stop;
            let (grown, allowed): (Rect, Vec<Rect>) = if Length::ZERO <= limit {
                (wider(&plan(solid), limit), outline.clone())
            } else {
                (plan(solid), outline.iter().map(|part| wider(part, -limit)).collect())
            };
            if !is_covered(&grown, &allowed) {
                let found = within(&plan(solid), &outline).filter(|found| *found < limit);
                let room = found.map(|found| Room { found, wanted: limit });
                out.push(Breach::of("edge", vec![words(solid)], room));
            }
        }
        let (Some(at), Some(place)) = (standing(rig, device), device.place.as_ref()) else { continue };
        let Some(deck) = rig.board.deck(&place.deck) else { continue };
        if !is_covered(&at.at, &deck.shape_on_board()) {
            let found = within(&at.at, &deck.shape_on_board()).filter(|found| *found < Length::ZERO);
            let room = found.map(|found| Room { found, wanted: Length::ZERO });
            out.push(Breach::of("deck", vec![device.tag.clone(), format!("deck {}", deck.name)], room));
        }
        let inside = rig.board.lid.as_ref().and_then(|lid| lid.inside_height.value);
        let top = mine.iter().filter(|solid| !is_out(solid)).map(|solid| solid.high[2]).max();
        if let (Some(inside), Some(top)) = (inside, top)
            && inside - top < limits.lid_foam_stop
        {
            let about = vec![device.tag.clone()];
            out.push(Breach::of("lid", about, Room { found: inside - top, wanted: limits.lid_foam_stop }));
        }
        if let (true, Some(clear), Some(low)) =
            (place.under, deck.clear_below.value, mine.iter().map(|solid| solid.low[2]).min())
        {
            let found = low - (deck.z - deck.thickness - clear);
            if found < limits.clear_height_stop {
                let about = vec![device.tag.clone()];
                out.push(Breach::of("clear-height", about, Room { found, wanted: limits.clear_height_stop }));
            }
        }
    }
}

fn switches(rig: &Rig, limits: &Limits, out: &mut Vec<Breach>) {
    let stop = i128::from(limits.switch_distance_stop.nm());
    let mut points: Vec<(&str, (Length, Length))> = Vec::new();
    for device in rig.devices.iter().filter(|device| !device.outside) {
        if device.place.as_ref().is_some_and(|place| !place.under) {
            let at = (0..device.switches.len()).filter_map(|index| switch_point(rig, device, index));
            points.extend(at.map(|at| (device.tag.as_str(), at)));
        }
    }
    for (index, (a, p)) in points.iter().enumerate() {
        for (b, q) in points[index + 1..].iter().filter(|(b, _)| a != b) {
            let (x, y) = (i128::from((p.0 - q.0).nm()), i128::from((p.1 - q.1).nm()));
            if x * x + y * y < stop * stop {
                let about = vec![format!("switch of {a}"), format!("switch of {b}")];
                let found = Length::from_mm_rounded(libm::hypot((p.0 - q.0).as_mm(), (p.1 - q.1).as_mm()));
                out.push(Breach::of("switches", about, Room { found, wanted: limits.switch_distance_stop }));
            }
        }
    }
}

/// How far the toe reaches beyond a switch (common practice, no source).
const TOE: Length = Length::from_mm(25);

/// Decks over what a foot works, without the foot's room between.
fn feet(rig: &Rig, limits: &Limits, boxes: &[Solid], out: &mut Vec<Breach>) {
    let half = rig.brief.shoe_width.value.unwrap_or(limits.shoe_width).half();
    for device in rig.devices.iter().filter(|device| is_on_board(device) && device.is_foot_operated()) {
        let (Some(place), Some(at)) = (&device.place, standing(rig, device)) else { continue };
        if place.under {
            continue;
        }
        let mut worked: Vec<Rect> = Vec::new();
        for (x, y) in (0..device.switches.len()).filter_map(|index| switch_point(rig, device, index)) {
            worked.push(Rect { x: x - half, y: y - half, width: half * 2, depth: half + TOE });
        }
        if device.treadle.is_some() {
            worked.push(at.at);
        }
        let own = boxes.iter().filter(|solid| solid.owner == Owner::Device(device.tag.clone()));
        let Some(top) = own.map(|solid| solid.high[2]).max() else { continue };
        let shares = |a: &Rect, b: &Rect| {
            let wide = a.right().min(b.right()) - a.x.max(b.x);
            let deep = a.back().min(b.back()) - a.y.max(b.y);
            Length::ZERO < wide && Length::ZERO < deep
        };
        for deck in rig.board.decks.iter().filter(|deck| deck.name != place.deck) {
            let underside = deck.z - deck.thickness;
            let found = underside - top;
            let over = deck.shape_on_board().iter().any(|part| worked.iter().any(|foot| shares(part, foot)));
            if over && at.base < underside && found < limits.foot_room {
                let about = vec![device.tag.clone(), format!("deck {}", deck.name)];
                out.push(Breach::of("foot-room", about, Room { found, wanted: limits.foot_room }));
            }
        }
    }
}

fn plan(solid: &Solid) -> Rect {
    let (width, depth) = (solid.high[0] - solid.low[0], solid.high[1] - solid.low[1]);
    Rect { x: solid.low[0], y: solid.low[1], width, depth }
}

fn wider(rect: &Rect, by: Length) -> Rect {
    Rect { x: rect.x - by, y: rect.y - by, width: rect.width + by * 2, depth: rect.depth + by * 2 }
}

/// How far `rect` lies within the rectangles together, negative where it stands over their edge: by so much it can grow on
/// all sides, or must shrink, to be just covered. `None` where it has to shrink to nothing.
fn within(rect: &Rect, parts: &[Rect]) -> Option<Length> {
    let edges = |part: &Rect| {
        let across = [part.x, part.right()].map(|at| [rect.x - at, at - rect.right()]);
        let along = [part.y, part.back()].map(|at| [rect.y - at, at - rect.back()]);
        [across, along].into_iter().flatten().flatten()
    };
    let is_left = |by: &Length| Length::ZERO < rect.width + *by * 2 && Length::ZERO < rect.depth + *by * 2;
    let by = parts.iter().flat_map(edges).filter(is_left);
    by.filter(|by| is_covered(&wider(rect, *by), parts)).max()
}

/// Whether the rectangles together cover `rect`: every field of the grid of all their edges lies in one of them.
fn is_covered(rect: &Rect, parts: &[Rect]) -> bool {
    let cuts = |low: Length, high: Length, edges: Vec<Length>| {
        let mut cuts: Vec<Length> = edges.into_iter().filter(|at| low < *at && *at < high).collect();
        cuts.extend([low, high]);
        cuts.sort();
        cuts.dedup();
        cuts
    };
    let across = cuts(rect.x, rect.right(), parts.iter().flat_map(|part| [part.x, part.right()]).collect());
    let along = cuts(rect.y, rect.back(), parts.iter().flat_map(|part| [part.y, part.back()]).collect());
    across.windows(2).all(|x| {
        along.windows(2).all(|y| {
            parts
                .iter()
                .any(|part| part.x <= x[0] && x[1] <= part.right() && part.y <= y[0] && y[1] <= part.back())
        })
    })
}
