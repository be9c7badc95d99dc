//! The wishes for places, judged anew from a rig by its footprints and boxes.

use quantity::Length;
use rig::geometry::{BoxClass, Bulk, RowEdge, Solid, free_place, further_out, solids, tape};
use rig::{Deck, Device, FLOOR, Frequency, Limits, Rect, Rig, Spot, Wish};

/// A wish that a placement does not surely meet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmet {
    /// The requirement that wants it.
    pub requirement: String,
    /// What is wished, in words.
    pub wish: String,
    /// The key that says it in a document.
    pub kind: &'static str,
    /// Whether it surely is not met; what rests on a size or a place that nobody knows may be.
    pub is_sure: bool,
}

impl Unmet {
    /// In one line: `R1 is not met: the tuner (A1) at the right end`.
    pub fn words(&self) -> String {
        let Self { requirement, wish, is_sure, .. } = self;
        if *is_sure {
            format!("{requirement} is not met: {wish}")
        } else {
            format!("{requirement} cannot be judged yet: {wish}")
        }
    }
}

/// Whether something is so, as far as is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Is {
    So,
    Open,
    Not,
}

impl Is {
    fn of(so: bool) -> Self {
        if so { Self::So } else { Self::Not }
    }

    /// The worst of all; so where there are none.
    fn each(all: impl Iterator<Item = Self>) -> Self {
        all.max().unwrap_or(Self::So)
    }
}

/// The wishes of a rig's brief that a placement can answer, and does not.
pub fn wishes(rig: &Rig, limits: &Limits) -> Vec<Unmet> {
    let named = rig.brief.requirements.iter();
    let wishes: Vec<(&str, &Wish)> =
        named.flat_map(|named| named.wishes.iter().map(|wish| (named.id.as_str(), wish))).collect();
    if wishes.is_empty() {
        return Vec::new();
    }
    let often = wishes.iter().filter_map(|(_, wish)| match wish {
        Wish::Use { how: Frequency::Often, devices } => Some(devices),
        _ => None,
    });
    let often: Vec<&Device> = often.flatten().filter_map(|tag| rig.device(tag)).collect();
    let judge = Judge { rig, limits, boxes: solids(rig, limits).boxes, often };
    let judged = wishes.into_iter().map(|(requirement, wish)| (requirement, wish, judge.of(wish)));
    let unmet = judged.filter(|(_, _, is)| *is != Is::So);
    unmet
        .map(|(requirement, wish, is)| Unmet {
            requirement: requirement.to_owned(),
            wish: wish.words(rig),
            kind: wish.kind(),
            is_sure: is == Is::Not,
        })
        .collect()
}

struct Judge<'a> {
    rig: &'a Rig,
    limits: &'a Limits,
    boxes: Vec<Solid>,
    often: Vec<&'a Device>,
}

impl Judge<'_> {
    fn of(&self, wish: &Wish) -> Is {
        match wish {
            Wish::Place { at, devices } => Is::each(devices.iter().map(|tag| self.stands(*at, tag, devices))),
            Wish::Use { how, devices } => Is::each(devices.iter().map(|tag| match how {
                Frequency::Often => self.stands(Spot::FrontRow, tag, &[]),
                Frequency::Sometimes => Is::So,
                Frequency::SetAndForget => self.is_out_of_the_way(tag),
            })),
            Wish::Beside { devices: [a, b] } => self.bulks([a, b], |[a, b]| self.are_beside(a, b)),
            Wish::Together { devices } => self.are_together(devices),
            Wish::Apart { devices, by } => {
                let pairs = devices.iter().enumerate();
                let pairs = pairs.flat_map(|(at, a)| devices[at + 1..].iter().map(move |b| [a, b]));
                let least = *by - tape(self.is_assumed(devices));
                Is::each(
                    pairs
                        .map(|pair| self.bulks(pair, |[a, b]| Is::of(least < Bulk::of(a).air(&Bulk::of(b))))),
                )
            }
            Wish::Spare { width, depth, deck } => {
                let mut decks = self.rig.board.decks.iter();
                let is_meant = |other: &&Deck| deck.as_ref().is_none_or(|name| other.name == *name);
                let foot = self.limits.foot_room;
                Is::of(decks.any(|deck| {
                    is_meant(&deck) && free_place(deck, &self.boxes, (*width, *depth), foot).is_some()
                }))
            }
            // No placement changes these.
            Wish::Order { .. } | Wish::Mass { .. } | Wish::Plays { .. } | Wish::Mono { .. } => Is::So,
        }
    }

    fn is_assumed(&self, tags: &[String]) -> bool {
        tags.iter().filter_map(|tag| self.rig.device(tag)).any(|device| device.size.is_assumed())
    }

    /// The deck under a device and its footprint there; otherwise what that means for a wish to stand on one.
    fn on_deck<'a>(&'a self, device: &'a Device) -> Result<(&'a Deck, Rect), Is> {
        let place = match &device.place {
            Some(place) if !device.outside && place.deck != FLOOR && !place.under => place,
            None if !device.outside => return Err(Is::Open),
            _ => return Err(Is::Not),
        };
        let deck = self.rig.board.deck(&place.deck).ok_or(Is::Open)?;
        Ok((deck, device.footprint().ok_or(Is::Open)?))
    }

    fn stands(&self, at: Spot, tag: &str, with: &[String]) -> Is {
        let Some(device) = self.rig.device(tag) else { return Is::So };
        if let (Spot::UnderDeck | Spot::UpperDeck, Some(place)) = (at, &device.place) {
            let above = self.rig.board.decks.iter().map(|deck| deck.z).min();
            let deck = self.rig.board.deck(&place.deck).filter(|_| !device.outside);
            let is_upper = deck.is_some_and(|deck| above < Some(deck.z)) && !place.under;
            return Is::of(if at == Spot::UnderDeck { place.under } else { is_upper });
        }
        let (deck, own) = match self.on_deck(device) {
            Ok(there) => there,
            Err(is) => return is,
        };
        let clear = |way: &dyn Fn(&Rect) -> Length, but: &[String]| {
            let others = self.foot_worked(deck).filter(|other| other.tag != tag && !but.contains(&other.tag));
            Is::each(others.map(|other| match other.footprint() {
                Some(at) => Is::of(way(&at) == Length::ZERO),
                None => Is::Open,
            }))
        };
        let in_row = |edge: RowEdge| {
            Is::of(edge.out_of_half(&deck.extent(), &own) == Length::ZERO)
                .max(clear(&|other| edge.in_the_way(&own, other), &[]))
        };
        match at {
            Spot::UnderDeck | Spot::UpperDeck => Is::Open,
            Spot::Flat => Is::of(!deck.risers.iter().any(|riser| riser.at.overlaps(&own))),
            Spot::LeftEnd | Spot::RightEnd => clear(&|other| further_out(at, &own, other), with),
            Spot::FrontRow => in_row(RowEdge::Front),
            Spot::BackRow => in_row(RowEdge::Back),
            Spot::ByFeel => in_row(RowEdge::Front).max(self.is_at_end(deck, tag, &own)),
        }
    }

    /// On one side of it stands nothing that is in the front row.
    fn is_at_end(&self, deck: &Deck, tag: &str, own: &Rect) -> Is {
        let mut sides = [Is::So; 2];
        for other in self.foot_worked(deck).filter(|other| other.tag != tag) {
            let Some(place) = &other.place else { continue };
            let side = &mut sides[usize::from(own.x < place.x)];
            *side = (*side).max(match self.stands(Spot::FrontRow, &other.tag, &[]) {
                Is::So => Is::Not,
                Is::Open => Is::Open,
                Is::Not => Is::So,
            });
        }
        sides[0].min(sides[1])
    }

    fn foot_worked<'a>(&'a self, deck: &'a Deck) -> impl Iterator<Item = &'a Device> {
        self.rig.devices.iter().filter(move |device| {
            let is_here = |place: &rig::Place| place.deck == deck.name && !place.under;
            !device.outside && device.is_foot_operated() && device.place.as_ref().is_some_and(is_here)
        })
    }

    fn is_out_of_the_way(&self, tag: &str) -> Is {
        let Some(device) = self.rig.device(tag) else { return Is::So };
        if device.is_beside_board() || device.place.as_ref().is_some_and(|place| place.under) {
            return Is::So;
        }
        let (deck, own) = match self.on_deck(device) {
            Ok(there) => there,
            Err(is) => return is,
        };
        let others = self.often.iter().filter(|other| other.tag != tag && !other.is_beside_board());
        let here = others.filter(|other| {
            other.place.as_ref().is_some_and(|place| place.deck == deck.name && !place.under)
        });
        Is::each(here.map(|other| match other.footprint() {
            Some(at) => Is::of(RowEdge::Front.in_the_way(&at, &own) == Length::ZERO),
            None => Is::Open,
        }))
    }

    /// Asks of two bodies; open where one is not known, and not so where one stands beside the board.
    fn bulks<'a>(&'a self, tags: [&'a String; 2], ask: impl Fn([&'a Solid; 2]) -> Is) -> Is {
        if tags.iter().any(|tag| self.rig.device(tag).is_some_and(|device| device.outside)) {
            return Is::Not;
        }
        match tags.map(|tag| self.body(tag)) {
            [Some(a), Some(b)] => ask([a, b]),
            _ => Is::Open,
        }
    }

    fn body(&self, tag: &str) -> Option<&Solid> {
        self.bodies().find(|solid| solid.owner.device() == Some(tag))
    }

    fn bodies(&self) -> impl Iterator<Item = &Solid> {
        self.boxes.iter().filter(|solid| solid.class == BoxClass::Body)
    }

    fn are_beside(&self, a: &Solid, b: &Solid) -> Is {
        let tags = [a, b].map(|solid| solid.owner.device().unwrap_or_default());
        let level = tags.map(|tag| {
            let place = self.rig.device(tag).and_then(|device| device.place.as_ref());
            place.map(|place| (&place.deck, place.under))
        });
        let (one, other) = (Bulk::of(a), Bulk::of(b));
        let most = self.limits.beside_gap + tape(self.is_assumed(&tags.map(str::to_owned)));
        let between = one.between(&other);
        let is_free = !self.bodies().any(|solid| {
            let is_third = solid.owner.device().is_some_and(|tag| !tags.contains(&tag));
            let body = Bulk::of(solid);
            is_third && body.is_level_with(&one) && body.plan().overlaps(&between)
        });
        let in_row = one.out_of_row(&other) == Length::ZERO;
        Is::of(level[0] == level[1] && in_row && between.width < most && is_free)
    }

    fn are_together(&self, tags: &[String]) -> Is {
        if tags.iter().any(|tag| self.rig.device(tag).is_some_and(|device| device.outside)) {
            return Is::Not;
        }
        let bodies: Vec<Bulk> = tags.iter().filter_map(|tag| self.body(tag)).map(Bulk::of).collect();
        if bodies.len() < tags.len() {
            return Is::Open;
        }
        let most = self.limits.together_gap + tape(self.is_assumed(tags));
        // Whoever is reached from the first by steps that are short enough.
        let mut reached = vec![0];
        let mut next = 0;
        while let Some(&from) = reached.get(next) {
            for at in 0..bodies.len() {
                if !reached.contains(&at) && bodies[from].air(&bodies[at]) < most {
                    reached.push(at);
                }
            }
            next += 1;
        }
        Is::of(reached.len() == bodies.len())
    }
}
