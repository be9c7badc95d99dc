//! What became of the leads since a revision that was frozen: what can stay, what is made anew.

use design::{Design, Making, making};
use quantity::Length;

use crate::bench::{Bench, Read};
use crate::laid::{Routes, lay};

/// What became of a lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Became {
    Remake,
    New,
    Gone,
    Same,
}

impl Became {
    pub(crate) fn word(self) -> &'static str {
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
pub(crate) struct Lead {
    /// Its number, today's where it has one.
    pub(crate) tag: String,
    /// Its two ends.
    pub(crate) ends: (String, String),
    pub(crate) then: Option<Length>,
    pub(crate) now: Option<Length>,
    pub(crate) became: Became,
}

/// The comparison with one revision.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Since {
    pub(crate) letter: String,
    pub(crate) leads: Vec<Lead>,
}

/// One lead as it is made.
#[derive(Debug, PartialEq)]
struct Make {
    tag: String,
    ends: (String, String),
    cut: Option<Length>,
    /// Cable and plugs.
    of: [Option<String>; 3],
}

fn makes(design: &Design, routes: &Routes) -> Vec<Make> {
    let made = design.leads.iter().filter(|lead| making(&design.rig, lead) == Making::Made);
    made.map(|lead| {
        let plug = |end: &design::LeadEndAt| end.plug.plug.as_ref().map(|plug| plug.id.clone());
        Make {
            tag: lead.tag.clone(),
            ends: (lead.from.port.to_string(), lead.to.port.to_string()),
            cut: routes.way(&lead.tag).map(|way| crate::pages::value::from_mm(way.laid.cut_mm)),
            of: [lead.cable.as_ref().map(|cable| cable.id.clone()), plug(&lead.from), plug(&lead.to)],
        }
    })
    .collect()
}

fn compare(then: Vec<Make>, now: &[Make]) -> Vec<Lead> {
    let mut out: Vec<Lead> = now
        .iter()
        .map(|make| {
            let before = then.iter().find(|before| before.ends == make.ends);
            let became = match before {
                None => Became::New,
                Some(before) if before.cut == make.cut && before.of == make.of => Became::Same,
                Some(_) => Became::Remake,
            };
            let then = before.and_then(|before| before.cut);
            Lead { tag: make.tag.clone(), ends: make.ends.clone(), then, now: make.cut, became }
        })
        .collect();
    out.extend(then.into_iter().filter(|before| now.iter().all(|make| make.ends != before.ends)).map(
        |before| Lead {
            tag: before.tag,
            ends: before.ends,
            then: before.cut,
            now: None,
            became: Became::Gone,
        },
    ));
    out.sort_by(|a, b| (a.became, &a.tag).cmp(&(b.became, &b.tag)));
    out
}

/// The comparison with the last revision that was frozen; `None` where there is none, or it cannot be read today.
pub(crate) fn since(bench: &Bench, job: &str, read: &Read) -> Option<Since> {
    let letter = bench.store.revisions(job).ok()?.pop()?.letter;
    let frozen = bench.store.revision(job, &letter).ok()?;
    let then = bench.read(job, &frozen.text).ok()?;
    let leads = compare(makes(&then.design, &lay(&then.design)), &makes(&read.design, read.routes()));
    Some(Since { letter, leads })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn make(tag: &str, from: &str, cut: i64) -> Make {
        Make {
            tag: tag.into(),
            ends: (from.into(), "X.IN".into()),
            cut: Some(Length::from_mm(cut)),
            of: [None, None, None],
        }
    }

    #[test]
    fn leads_are_told_apart_by_their_ends_and_not_by_their_numbers() {
        let then = vec![make("L01", "A", 100), make("L02", "B", 200), make("L03", "C", 300)];
        let now = vec![make("L01", "B", 205), make("L02", "C", 300), make("L03", "D", 400)];
        let told: Vec<(String, Became)> =
            compare(then, &now).into_iter().map(|lead| (lead.ends.0, lead.became)).collect();
        let of = |from: &str, became| (from.to_owned(), became);
        assert_eq!(
            told,
            [of("B", Became::Remake), of("D", Became::New), of("A", Became::Gone), of("C", Became::Same)]
        );
    }
}
