//! What must come before what, and why.

use std::collections::BTreeMap;

use crate::{Act, Fact, Mode, Reach, What, World};

/// Why one act comes before another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The later one needs what the earlier one makes true.
    Needs(Fact),
    /// A plug goes in where its device stands.
    Stands,
    /// A plug goes in before something is in the way of it, or of the hand alone.
    Way {
        /// The end.
        end: String,
        /// What will be in the way.
        thing: String,
        /// Whether only the hand would not get there.
        hand: bool,
    },
    /// A lead lies before what stands above it.
    Under {
        /// The end that goes in first.
        end: String,
        /// What will stand above.
        thing: String,
    },
    /// A plug goes in while its device is in the hand: something is in its way where the device will stand.
    InHand {
        /// The end.
        end: String,
        /// What is in the way.
        thing: String,
    },
}

impl Why {
    /// Whether it follows from where things are, and for which end and thing.
    pub fn of_place(&self) -> Option<(&str, &str)> {
        match self {
            Self::Way { end, thing, .. } | Self::Under { end, thing } | Self::InHand { end, thing } => {
                Some((end, thing))
            }
            Self::Needs(_) | Self::Stands => None,
        }
    }
}

/// One act comes before another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Link {
    /// The earlier, by its place among the acts.
    pub before: usize,
    /// The later.
    pub after: usize,
    /// Why.
    pub why: Why,
}

/// Every link of some acts.
pub(crate) fn links(acts: &[Act], world: &World, reaches: &[Reach]) -> Vec<Link> {
    let mut givers: BTreeMap<&Fact, Vec<usize>> = BTreeMap::new();
    for (at, act) in acts.iter().enumerate() {
        for fact in &act.gives {
            givers.entry(fact).or_default().push(at);
        }
    }
    let by = |fact: &Fact| givers.get(fact).map_or(&[][..], Vec::as_slice);
    let mut out: Vec<Link> = Vec::new();
    let mut push = |before: usize, after: usize, why: Why| {
        if before != after {
            out.push(Link { before, after, why });
        }
    };
    for (at, act) in acts.iter().enumerate() {
        for fact in &act.wants {
            for giver in by(fact) {
                push(*giver, at, Why::Needs(fact.clone()));
            }
        }
    }
    for (end, reach) in world.ends.iter().zip(reaches) {
        let name = |fact: Option<&Fact>| {
            let named = reach.blockers.iter().find(|blocker| blocker.from.as_ref() == fact);
            named.or(reach.blockers.first())
        };
        let thing = &world.things[end.thing];
        let own = thing.stands.as_ref().map_or(&[][..], by);
        for plug in by(&Fact::new(What::In, &end.key)) {
            for stands in own {
                if reach.mode == Mode::InHand {
                    let thing = reach.blockers.first().map(|by| by.tag.clone()).unwrap_or_default();
                    push(*plug, *stands, Why::InHand { end: end.key.clone(), thing });
                } else {
                    push(*stands, *plug, Why::Stands);
                }
            }
            let Mode::Before(fact) = &reach.mode else { continue };
            let (thing, hand) = name(Some(fact)).map(|by| (by.tag.clone(), by.hand)).unwrap_or_default();
            for blocks in by(fact) {
                let (end, thing) = (end.key.clone(), thing.clone());
                let why =
                    if reach.lies_under { Why::Under { end, thing } } else { Why::Way { end, thing, hand } };
                push(*plug, *blocks, why);
            }
        }
    }
    out.sort();
    out.dedup();
    out
}
