//! What became of the leads from one design to another: what can stay, what is made anew.

use quantity::Length;

use rig::geometry::EndKind;

use crate::{Design, LeadEndAt, Making};

/// What became of a lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeadFate {
    /// It is made again: another length, cable or plug.
    Remake,
    /// It was not there.
    New,
    /// It is there no more.
    Gone,
    /// It can stay as it is.
    Same,
}

impl LeadFate {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Remake => "remake",
            Self::New => "new",
            Self::Gone => "gone",
            Self::Same => "same",
        }
    }
}

/// A lead then and now.
#[derive(Debug, Clone, PartialEq)]
pub struct Since {
    /// Its number, today's where it has one.
    pub tag: String,
    /// Its two ends.
    pub ends: (String, String),
    /// The length it was cut to.
    pub then: Option<Length>,
    /// The length it is cut to.
    pub now: Option<Length>,
    /// What became of it.
    pub fate: LeadFate,
}

/// One lead as it is made.
#[derive(Debug, Clone, PartialEq)]
struct Make {
    tag: String,
    ends: (String, String),
    cut: Option<Length>,
    /// Cable and plugs.
    of: Vec<Option<String>>,
}

/// What became of the leads that are made here. A lead is known by its two ends, not by its number; those that change
/// stand first.
pub fn since(then: &Design, now: &Design) -> Vec<Since> {
    compare(makes(then), &makes(now))
}

fn makes(design: &Design) -> Vec<Make> {
    let made = design.leads.iter().filter(|lead| lead.making == Making::Made);
    made.map(|lead| {
        let plug = |end: &LeadEndAt| end.plug.plug.as_ref().map(|plug| plug.id.clone());
        Make {
            tag: lead.tag.clone(),
            ends: (lead.words_of(EndKind::From), lead.words_of(EndKind::To)),
            cut: lead.cut.value,
            of: std::iter::once(lead.cable.as_ref().map(|cable| cable.id.clone()))
                .chain(lead.ends.iter().map(plug))
                .collect(),
        }
    })
    .collect()
}

fn compare(then: Vec<Make>, now: &[Make]) -> Vec<Since> {
    let mut out: Vec<Since> = now
        .iter()
        .map(|make| {
            let before = then.iter().find(|before| before.ends == make.ends);
            let fate = match before {
                None => LeadFate::New,
                Some(before) if before.cut == make.cut && before.of == make.of => LeadFate::Same,
                Some(_) => LeadFate::Remake,
            };
            let then = before.and_then(|before| before.cut);
            Since { tag: make.tag.clone(), ends: make.ends.clone(), then, now: make.cut, fate }
        })
        .collect();
    out.extend(then.into_iter().filter(|before| now.iter().all(|make| make.ends != before.ends)).map(
        |before| Since {
            tag: before.tag,
            ends: before.ends,
            then: before.cut,
            now: None,
            fate: LeadFate::Gone,
        },
    ));
    out.sort_by(|a, b| (a.fate, &a.tag).cmp(&(b.fate, &b.tag)));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn make(tag: &str, from: &str, cut: i64) -> Make {
        Make {
            tag: tag.into(),
            ends: (from.into(), "X.IN".into()),
            cut: Some(Length::from_mm(cut)),
            of: vec![None, None, None],
        }
    }

    #[test]
    fn leads_are_told_apart_by_their_ends_and_not_by_their_numbers() {
        let then = vec![make("L01", "A", 100), make("L02", "B", 200), make("L03", "C", 300)];
        let now = vec![make("L01", "B", 205), make("L02", "C", 300), make("L03", "D", 400)];
        let told: Vec<(String, LeadFate)> =
            compare(then, &now).into_iter().map(|lead| (lead.ends.0, lead.fate)).collect();
        let of = |from: &str, fate| (from.to_owned(), fate);
        assert_eq!(
            told,
            [
                of("B", LeadFate::Remake),
                of("D", LeadFate::New),
                of("A", LeadFate::Gone),
                of("C", LeadFate::Same)
            ]
        );
    }
}
