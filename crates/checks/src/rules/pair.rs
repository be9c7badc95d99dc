//! Two outlets joined for more volts or more current.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{FeedKind, Isolation, Nature, Outlet, PortRef};

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::supply::{Fed, fed};
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "pair";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "outlets joined in series or in parallel",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[8],
    limits: &[],
    page: Page {
        what: "A pair wants two different outlets for direct current, both isolated, set alike, of one polarity, with the \
               maker's leave, and nothing else on either.",
        why: "Joining two outlets that share a negative shorts one of them.",
        source: CUSTOM,
        example: "A4 wants 18 V from SUP.1 and SUP.2 in series, but both belong to one bank with a common negative.",
        remedy: "pair two isolated outlets that are alike, or take an outlet with the voltage or current itself",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    fed(&design.rig)
        .iter()
        .filter(|fed| matches!(fed.feed.kind, FeedKind::SeriesPair | FeedKind::ParallelPair))
        .filter_map(|fed| judge(design, fed))
        .collect()
}

fn judge(design: &Design, fed: &Fed<'_>) -> Option<Finding> {
    let tag = &fed.device.tag;
    let mut asked = Asked::default();
    let words = fed.outlets_words();
    let stop = |why: String, found: &str, allowed: &str| {
        Some(
            Finding::new(
                ID,
                Severity::Stop,
                format!(
                    "{tag} cannot be fed by {words} as a {}: {why}",
                    fed.feed.kind.word().replace('-', " ")
                ),
            )
            .about(fed.devices())
            .at(Field::device(tag, "feed"), "")
            .with(Evidence::words(found, allowed)),
        )
    };
    let [(first, a), (second, b)] = fed.outlets.as_slice() else {
        let count = fed.outlets.len().to_string();
        return stop("a pair is two outlets".to_owned(), &count, "2");
    };
    if first == second {
        return stop("it is one outlet twice".to_owned(), "1", "2");
    }
    let both: [(&PortRef, &Outlet); 2] = [(first, a), (second, b)];
    for (at, outlet) in both {
        if asked.value(outlet.nature, outlet_field(at, "type")).is_some_and(|nature| nature != Nature::Dc) {
            return stop(format!("{at} gives no direct current"), "ac", "dc");
        }
        if asked.value(outlet.isolation, outlet_field(at, "isolation")) == Some(Isolation::Joined) {
            return stop(format!("{at} is not isolated"), "joined", "isolated");
        }
        let (leave, key) = match fed.feed.kind {
            FeedKind::SeriesPair => (outlet.series, "series"),
            _ => (outlet.parallel, "parallel"),
        };
        if asked.value(leave, outlet_field(at, key)) == Some(false) {
            return stop(format!("the maker does not allow it for {at}"), "not allowed", "allowed");
        }
        let load = design.outlets.iter().find(|load| load.outlet == *at)?;
        let others: Vec<&String> = load.devices.iter().filter(|other| *other != tag).collect();
        if !others.is_empty() {
            return stop(format!("{at} also feeds {}", list(&others)), "shared", "alone");
        }
    }
    let given = |at: &PortRef, outlet: &Outlet| design.rig.outlet_sign(at).unwrap_or(outlet.sign);
    let volts = [a, b].map(|outlet| outlet.set.value);
    for (at, outlet) in both {
        asked.value(outlet.set, outlet_field(at, "set"));
        asked.value(given(at, outlet), outlet_field(at, "sign"));
    }
    if let [Some(x), Some(y)] = volts
        && x != y
    {
        return stop("they are not set alike".to_owned(), &format!("{x} and {y}"), "one voltage");
    }
    if let (Some(x), Some(y)) = (given(first, a).value, given(second, b).value)
        && x != y
    {
        return stop(
            "their polarities differ".to_owned(),
            &format!("{} and {}", x.word(), y.word()),
            "one polarity",
        );
    }
    asked.cannot_judge(ID, &format!("whether {words} may be joined for {tag}"), fed.devices())
}
