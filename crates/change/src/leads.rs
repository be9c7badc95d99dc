//! What becomes of each lead.

use std::collections::BTreeSet;

use design::{Clocking, Design, Lead, Making, clocking, wiring};
use quantity::Length;
use rig::LeadClass;

use crate::lies;

/// Stands for a cable or plug that nobody has chosen.
const NOT_DECIDED: &str = "not decided";

/// One end of a lead as it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadEnd {
    /// The port it goes to.
    pub port: String,
    /// Catalogue id of its plug; `None` where there is none or none is chosen.
    pub plug: Option<String>,
    /// How it is held there.
    pub fitting: &'static str,
}

/// A lead as the bench makes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// Its number.
    pub tag: String,
    /// What it carries.
    pub class: LeadClass,
    /// Where it comes from: made here, bought, captive, the player's.
    pub making: Making,
    /// Catalogue id of its cable.
    pub cable: Option<String>,
    /// Its ends.
    pub ends: Vec<LeadEnd>,
    /// Length of each piece of cable: one, or one for each leg.
    pub cuts: Vec<Option<Length>>,
    /// Angle between its two plugs, where it is fixed by soldering.
    pub turned: Option<u32>,
    /// Its wires by contact, where it is not simply through.
    pub wires: Vec<String>,
}

/// What becomes of a lead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Became {
    /// It is not long enough, or of another cable or plug: it is made again.
    Remade {
        /// Why, in words.
        why: String,
    },
    /// It was not there.
    New,
    /// It is there no more.
    Gone {
        /// What is left of its cable as an offcut; `None` where that is too short to keep.
        offcut: Option<Length>,
    },
    /// It loses legs or gets more; what is left of it stays as it is made.
    Altered {
        /// What is taken off and what is put on, in words.
        how: String,
    },
    /// Nobody can say from the drawing whether it serves as it is made: no way is found for it, or how its plugs are turned is
    /// not decided.
    Unclear {
        /// Why, in words.
        why: String,
    },
    /// One of its ends or what it lies along has moved: it is laid anew, and is long enough.
    Reaches {
        /// What it has to spare over way and plugs.
        spare: Length,
    },
    /// It stays as it lies: its ends are where they were and nothing new stands in its way. The drawing shows it otherwise.
    Redrawn {
        /// What it has to spare over the way that is drawn now; `None` where that is not known or not enough.
        spare: Option<Length>,
    },
    /// It stays as it is.
    Stays,
}

impl Became {
    /// The word for it.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Remade { .. } => "remade",
            Self::Altered { .. } => "altered",
            Self::New => "new",
            Self::Gone { .. } => "gone",
            Self::Unclear { .. } => "unclear",
            Self::Reaches { .. } => "reaches",
            Self::Redrawn { .. } => "redrawn",
            Self::Stays => "stays",
        }
    }

    fn order(&self) -> u8 {
        match self {
            Self::Reaches { .. } => 0,
            Self::Altered { .. } => 1,
            Self::Remade { .. } => 2,
            Self::New => 3,
            Self::Gone { .. } => 4,
            Self::Unclear { .. } => 5,
            Self::Redrawn { .. } => 6,
            Self::Stays => 7,
        }
    }
}

/// One lead, before and after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadChange {
    /// What the document knows it by: its ends.
    pub name: String,
    /// What it was known by, where that was otherwise.
    pub was: Option<String>,
    /// As it is.
    pub before: Option<Made>,
    /// As it is afterwards; a lead that stays or reaches keeps its pieces.
    pub after: Option<Made>,
    /// What becomes of it.
    pub became: Became,
    /// Whether it gets another number.
    pub renumbered: bool,
}

impl LeadChange {
    /// Its number, the later where it has one.
    pub fn tag(&self) -> &str {
        self.after.as_ref().or(self.before.as_ref()).map_or("", |made| made.tag.as_str())
    }

    /// The number that it had, where it gets another.
    pub fn old_tag(&self) -> Option<&str> {
        self.before.as_ref().filter(|_| self.renumbered).map(|made| made.tag.as_str())
    }

    /// What becomes of it, in words with lengths as a tape reads them, never longer than they are; nothing where it stays under
    /// its number.
    pub fn words(&self) -> String {
        let tape = |length: Length| format!("{:.0} mm", length.as_mm().floor());
        let cut = |made: &Option<Made>| {
            let cuts = made.iter().flat_map(|made| &made.cuts);
            let cuts: Vec<String> = cuts.map(|cut| cut.map_or("length not known".to_owned(), tape)).collect();
            cuts.join(" + ")
        };
        let words = match &self.became {
            Became::Stays if !self.renumbered => String::new(),
            Became::Stays => "as it is".to_owned(),
            Became::Redrawn { .. } => "stays as it lies; the drawing shows it otherwise".to_owned(),
            Became::Unclear { why } => why.clone(),
            Became::Reaches { spare } => format!("{} to spare", tape(*spare)),
            Became::Remade { why } => format!("{why}; {} -> {}", cut(&self.before), cut(&self.after)),
            Became::Altered { how } => how.clone(),
            Became::New => cut(&self.after),
            Became::Gone { offcut: Some(offcut) } => format!("an offcut of {}", tape(*offcut)),
            Became::Gone { offcut: None } => "too short to keep".to_owned(),
        };
        match self.old_tag() {
            Some(tag) => format!("{words}; was {tag}, new labels"),
            None => words,
        }
    }

    /// What is made of it at the bench: all of it, of one that is altered the legs that are put on. `None` where nothing is.
    pub fn pieces(&self) -> Option<Made> {
        let after = self.after.as_ref()?;
        match self.became {
            Became::Remade { .. } | Became::New => Some(after.clone()),
            Became::Altered { .. } => {
                let before = self.before.as_ref()?;
                let new = |end: &LeadEnd| before.ends.iter().all(|other| other.port != end.port);
                let pairs = after.ends.iter().zip(&after.cuts).filter(|(end, _)| new(end));
                let (ends, cuts) = pairs.map(|(end, cut)| (end.clone(), *cut)).unzip();
                Some(Made { ends, cuts, ..after.clone() })
            }
            Became::Gone { .. }
            | Became::Unclear { .. }
            | Became::Reaches { .. }
            | Became::Redrawn { .. }
            | Became::Stays => None,
        }
    }
}

/// Which lead of before a lead is: the one with the same ends, not the one with the same number; a lead that lost ends or got
/// more is known by the number that was issued to it, and by what it has kept.
fn same<'a>(before: &'a Design, after: &Design, lead: &Lead) -> Option<&'a Lead> {
    let by_number = |old: &&Lead| {
        let kept = lead.ends.iter().filter(|end| old.ends_at(&end.port)).count();
        let stays = after.leads.iter().any(|other| other.name == old.name);
        old.issued && lead.issued && old.tag == lead.tag && 2 <= kept && !stays
    };
    before.leads.iter().find(|old| old.name == lead.name).or_else(|| before.leads.iter().find(by_number))
}

/// Every lead of both.
pub(crate) fn leads(before: &Design, after: &Design) -> Vec<LeadChange> {
    let mut out: Vec<LeadChange> = Vec::new();
    let mut kept: BTreeSet<&str> = BTreeSet::new();
    for lead in &after.leads {
        let now = made(after, lead, false);
        let Some(old) = same(before, after, lead) else {
            let (name, after) = (lead.name.clone(), Some(made(after, lead, true)));
            let became = Became::New;
            out.push(LeadChange { name, was: None, before: None, after, became, renumbered: false });
            continue;
        };
        kept.insert(old.name.as_str());
        let then = made(before, old, false);
        let became = became((before, old, &then), (after, lead, &now));
        let renumbered = then.tag != now.tag;
        let after = match became {
            Became::Stays | Became::Reaches { .. } | Became::Redrawn { .. } | Became::Unclear { .. } => {
                Made { cuts: then.cuts.clone(), ..now }
            }
            Became::Altered { .. } => now,
            _ => made(after, lead, true),
        };
        let was = Some(&old.name).filter(|name| **name != lead.name).cloned();
        let (name, before, after) = (lead.name.clone(), Some(then), Some(after));
        out.push(LeadChange { name, was, before, after, became, renumbered });
    }
    for old in before.leads.iter().filter(|old| !kept.contains(old.name.as_str())) {
        let then = made(before, old, false);
        let longest = then.cuts.iter().copied().max().flatten();
        let keep = Length::from_mm(design::KEEP_MM);
        let offcut = longest.filter(|length| keep <= *length && old.making == Making::Made);
        let became = Became::Gone { offcut };
        let name = old.name.clone();
        out.push(LeadChange { name, was: None, before: Some(then), after: None, became, renumbered: false });
    }
    out.sort_by(|a, b| (a.became.order(), a.tag()).cmp(&(b.became.order(), b.tag())));
    out
}

/// A lead as it is made; `anew` to the length it needs, whatever the document says it was cut to.
fn made(design: &Design, lead: &Lead, anew: bool) -> Made {
    let cut = |cut: Option<Length>, needed: Option<Length>| if anew && lead.made { needed } else { cut };
    let cuts = if lead.is_joined() {
        lead.legs.iter().map(|leg| cut(leg.cut.value, leg.needed.value)).collect()
    } else {
        vec![cut(lead.cut.value, lead.needed.value)]
    };
    Made {
        tag: lead.tag.clone(),
        class: lead.class,
        making: lead.making,
        cable: lead.cable.as_ref().map(|cable| cable.id.clone()),
        ends: lead
            .ends
            .iter()
            .map(|end| LeadEnd {
                port: end.port.to_string(),
                plug: end.plug.plug.as_ref().filter(|_| end.has_plug()).map(|plug| plug.id.clone()),
                fitting: end.fitting.word(),
            })
            .collect(),
        cuts,
        turned: match clocking(&design.rig, lead) {
            Clocking::Turned(degrees) => Some(degrees),
            Clocking::Free | Clocking::Open => None,
        },
        wires: wiring(&design.rig, lead)
            .iter()
            .map(|wire| {
                let end = |(at, contact): (usize, design::Contact)| {
                    format!("{} {}", lead.ends[at].port, contact.word())
                };
                format!("{} to {}", end(wire.from), end(wire.to))
            })
            .collect(),
    }
}

fn became(
    (before, old, then): (&Design, &Lead, &Made),
    (after, new, now): (&Design, &Lead, &Made),
) -> Became {
    if let Some(how) = altered(old, then, new, now) {
        return Became::Altered { how };
    }
    if let Some(why) = other((old, then), (new, now)) {
        return Became::Remade { why };
    }
    // How the plugs were turned when it was soldered cannot be told from a drawing that leaves an exit or a place open.
    if now.making == Making::Made && then.turned.is_some() != now.turned.is_some() {
        let angle =
            |turned: Option<u32>| turned.map_or("not decided".to_owned(), |angle| format!("{angle}°"));
        let why = format!("twist between plugs was {}, now {}", angle(then.turned), angle(now.turned));
        return Became::Unclear { why };
    }
    let same_cut = then.cuts == now.cuts;
    let same_way = old.least == new.least && old.needed == new.needed;
    // What is not cut here is as long as it is; what no way is known of is compared as it stands.
    if same_cut && (same_way || now.making != Making::Made || new.least.value.is_none()) {
        return Became::Stays;
    }
    if lies::as_before((before, old), (after, new)) {
        return Became::Redrawn { spare: spare(then, new).filter(|spare| Length::ZERO <= *spare) };
    }
    if lies::has_no_way(after, new) {
        return Became::Unclear { why: "no way is found for it".to_owned() };
    }
    match spare(then, new) {
        Some(spare) if spare < Length::ZERO => {
            Became::Remade { why: format!("{} mm short", (-spare.as_mm()).ceil()) }
        }
        Some(spare) => Became::Reaches { spare },
        None if same_cut => Became::Stays,
        None => Became::Remade { why: "its length was not known".to_owned() },
    }
}

/// What is taken off a lead with a joint and what is put on, where the legs that it keeps can stay as they are made.
fn altered(old: &Lead, then: &Made, new: &Lead, now: &Made) -> Option<String> {
    let ends = |lead: &Lead| lead.ends.iter().map(|end| end.port.clone()).collect::<BTreeSet<_>>();
    if !old.is_joined() || !new.is_joined() || ends(old) == ends(new) {
        return None;
    }
    let legs_of = |made: &Made, of: &Made| Made {
        ends: made
            .ends
            .iter()
            .filter(|end| of.ends.iter().any(|other| other.port == end.port))
            .cloned()
            .collect(),
        // What flows along which wire follows from the ends.
        wires: Vec::new(),
        ..made.clone()
    };
    if other((old, &legs_of(then, now)), (new, &legs_of(now, then))).is_some() {
        return None;
    }
    let short = new.ends.iter().enumerate().any(|(leg, end)| {
        let there = old.ends.iter().position(|other| other.port == end.port);
        let cut = there.and_then(|at| then.cuts.get(at).copied().flatten());
        let least = new.legs.get(leg).and_then(|leg| leg.least.value);
        cut.zip(least).is_some_and(|(cut, least)| cut < least)
    });
    if short {
        return None;
    }
    let legs = |of: &Lead, against: &Lead, what: &str| {
        let gone = of.ends.iter().filter(|end| !against.ends_at(&end.port));
        gone.map(|end| format!("leg {} to {} {what}", end.letter, end.port)).collect::<Vec<_>>()
    };
    Some([legs(old, new, "comes off"), legs(new, old, "is put on")].concat().join(", "))
}

/// What the pieces that are there have over the new ways: the leg with least decides.
fn spare(then: &Made, new: &Lead) -> Option<Length> {
    if new.is_joined() {
        let legs = then.cuts.iter().zip(&new.legs).map(|(cut, leg)| Some((*cut)? - leg.least.value?));
        return legs.collect::<Option<Vec<Length>>>()?.into_iter().min();
    }
    Some((*then.cuts.first()?)? - new.least.value?)
}

/// What the catalogue calls the cable of a lead.
fn cable(lead: &Lead) -> &str {
    lead.cable.as_ref().map_or(NOT_DECIDED, |cable| &cable.title)
}

/// What the catalogue calls the plug at an end of a lead.
fn plug<'a>(lead: &'a Lead, end: &LeadEnd) -> &'a str {
    let at = lead.ends.iter().find(|at| at.port.to_string() == end.port);
    let kind = at.and_then(|at| at.plug.plug.as_ref().filter(|_| at.has_plug()));
    kind.map_or(NOT_DECIDED, |kind| &kind.title)
}

/// What of two leads between the same ports is not alike, beside number and length.
fn other((old, then): (&Lead, &Made), (new, now): (&Lead, &Made)) -> Option<String> {
    if then.making != now.making {
        return Some(format!("{} instead of {}", new.source_words(), old.source_words()));
    }
    if then.cable != now.cable {
        return Some(format!("cable: {} instead of {}", cable(new), cable(old)));
    }
    let there = |end: &LeadEnd| now.ends.iter().find(|other| other.port == end.port);
    for (a, b) in then.ends.iter().filter_map(|end| Some((end, there(end)?))) {
        if a.plug != b.plug {
            return Some(format!("plug at {}: {} instead of {}", b.port, plug(new, b), plug(old, a)));
        }
        if a.fitting != b.fitting {
            return Some(format!("{} at {}, was {}", b.fitting, b.port, a.fitting));
        }
    }
    if then.ends.len() != now.ends.len() {
        return Some(format!("{} ends instead of {}", now.ends.len(), then.ends.len()));
    }
    if then.class != now.class {
        return Some(format!("carries {} instead of {}", now.class.word(), then.class.word()));
    }
    if then.wires != now.wires {
        return Some("wired otherwise".to_owned());
    }
    match (then.turned, now.turned) {
        (Some(a), Some(b)) if a != b => Some(format!("twist between plugs {b}° instead of {a}°")),
        _ => None,
    }
}
