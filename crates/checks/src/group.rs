//! One cause is told once, with all that it touches.
//!
//! Done here and nowhere else, so that text, lines, JSON, browser and papers show the same list.

use std::collections::BTreeSet;

use finding::{Field, Finding, Severity, Touched};

use crate::words::{list, some};

/// Several cases of one rule with one cause, told as one finding; one case stays as it is.
///
/// The worst case gives severity, figures, source and remedy. `headline` makes the line from all of them, the worst
/// first. An edit stays only where there is one case: it cannot cure them all.
pub(crate) fn together(
    mut cases: Vec<Finding>,
    headline: impl FnOnce(&[Finding]) -> String,
) -> Option<Finding> {
    // Equal cases stand in the order of their tags, wherever their devices stand in the document.
    cases.sort_by(|a, b| {
        (a.severity, share(a))
            .partial_cmp(&(b.severity, share(b)))
            .unwrap_or(a.severity.cmp(&b.severity))
            .then_with(|| rig::tag_order(&a.message, &b.message))
    });
    // Several runs may pass the same two things; what is said of them is said once.
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    cases.retain(|case| {
        let own = (case.message.clone(), case.devices.clone());
        let is_new = !said.contains(&own);
        said.push(own);
        is_new
    });
    if cases.len() < 2 {
        return cases.pop();
    }
    let message = headline(&cases);
    let mut cases = cases.into_iter();
    let mut whole = cases.next()?;
    whole.touched = whole.cases();
    for case in cases {
        absorb(&mut whole, case);
    }
    whole.message = message;
    whole.edit = None;
    Some(whole)
}

/// How much of its limit a case leaves: less is worse.
fn share(case: &Finding) -> f64 {
    use finding::{Bound, Evidence};
    match &case.evidence {
        Some(Evidence::Number { found, allowed: Bound::AtMost(limit) | Bound::AtLeast(limit) }) => {
            let margin = case.evidence.as_ref().and_then(Evidence::margin).map_or(0.0, |margin| margin.value);
            // Of a limit that is nothing no share can be left.
            if limit.value == 0.0 { margin } else { margin / limit.value.abs().max(found.value.abs()) }
        }
        _ => 0.0,
    }
}

/// Adds a case to a finding: what it touches, where it points, what it rests on. Nothing is said twice.
pub(crate) fn absorb(whole: &mut Finding, case: Finding) {
    // The same case on another run adds only where it points.
    let is_same = case.message == whole.message && case.devices == whole.devices && case.touched.is_empty();
    if whole.touched.is_empty() && !is_same {
        whole.touched = whole.cases();
    }
    for touched in case.cases().into_iter().filter(|_| !is_same) {
        if !whole.touched.iter().any(|known| known.message == touched.message) {
            whole.touched.push(touched);
        }
    }
    whole.devices.extend(case.devices);
    in_order(&mut whole.devices);
    whole.leads.extend(case.leads);
    in_order(&mut whole.leads);
    for mark in case.marks {
        let known = whole.marks.iter_mut().find(|known| known.field == mark.field);
        match known {
            None => whole.marks.push(mark),
            Some(known) if known.label.is_empty() => known.label = mark.label,
            Some(_) => {}
        }
    }
    whole.assumed.extend(case.assumed);
    whole.assumed.sort();
    whole.assumed.dedup();
    if whole.is_unchecked() {
        whole.lacks.extend(case.lacks);
        whole.lacks.sort();
        whole.lacks.dedup();
    }
    // One edit cannot cure two complaints.
    whole.edit = None;
}

/// Tags in their order, each once.
pub(crate) fn in_order(tags: &mut Vec<String>) {
    tags.sort_by(|a, b| rig::tag_order(a, b));
    tags.dedup();
}

/// The devices of all cases but these, in words, each once.
pub(crate) fn devices_but(cases: &[Finding], but: &[&str]) -> String {
    let mut names: Vec<String> = cases.iter().flat_map(|case| case.devices.clone()).collect();
    names.retain(|name| !but.contains(&name.as_str()));
    in_order(&mut names);
    some(&names, "others")
}

/// The leads of all cases, in words, each once.
pub(crate) fn leads_of(cases: &[Finding]) -> String {
    let mut names: Vec<String> = cases.iter().flat_map(|case| case.leads.clone()).collect();
    in_order(&mut names);
    some(&names, "others")
}

/// The figure found in the first case, which is the worst.
pub(crate) fn worst_figure(cases: &[Finding]) -> String {
    match cases.first().and_then(|case| case.evidence.as_ref()) {
        Some(finding::Evidence::Number { found, .. }) => found.to_string(),
        Some(finding::Evidence::Words { found, .. }) => found.clone(),
        None => String::new(),
    }
}

/// A case between two things, either of which may be its cause.
pub(crate) struct Pair {
    /// The one that is taken to be the cause where nothing else tells.
    pub(crate) first: String,
    /// The other.
    pub(crate) second: String,
    /// What is said of the two.
    pub(crate) case: Finding,
}

/// Pairs that share one side, with that side.
pub(crate) struct Hub {
    /// What all of them have in common.
    pub(crate) name: String,
    /// Whether it stood first in its pairs.
    pub(crate) is_first: bool,
    /// The other sides, in the order of the cases.
    pub(crate) others: Vec<String>,
    /// The cases.
    pub(crate) cases: Vec<Finding>,
}

/// Pairs grouped by what most of them have in common: the fewest causes, found by taking the commonest first.
pub(crate) fn hubs(mut pairs: Vec<Pair>) -> Vec<Hub> {
    let mut out = Vec::new();
    while !pairs.is_empty() {
        let mut best: Option<(usize, String, bool)> = None;
        for pair in &pairs {
            for (name, is_first) in [(&pair.first, true), (&pair.second, false)] {
                let count = pairs.iter().filter(|other| side(other, is_first) == name).count();
                if best.as_ref().is_none_or(|(most, known, _)| better(count, name, *most, known)) {
                    best = Some((count, name.clone(), is_first));
                }
            }
        }
        let Some((_, name, is_first)) = best else { break };
        let (own, rest): (Vec<Pair>, Vec<Pair>) =
            pairs.into_iter().partition(|pair| *side(pair, is_first) == name);
        pairs = rest;
        let mut others: Vec<String> = Vec::new();
        for pair in &own {
            let other = side(pair, !is_first);
            if !others.contains(other) {
                others.push(other.clone());
            }
        }
        out.push(Hub { name, is_first, others, cases: own.into_iter().map(|pair| pair.case).collect() });
    }
    out
}

/// As [`hubs`], for pairs of like things, whose order means nothing.
pub(crate) fn hubs_alike(mut pairs: Vec<Pair>) -> Vec<Hub> {
    let mut out = Vec::new();
    while !pairs.is_empty() {
        let touches = |pair: &Pair, name: &str| pair.first == name || pair.second == name;
        let mut best: Option<(usize, String)> = None;
        for pair in &pairs {
            for name in [&pair.first, &pair.second] {
                let count = pairs.iter().filter(|other| touches(other, name)).count();
                if best.as_ref().is_none_or(|(most, known)| better(count, name, *most, known)) {
                    best = Some((count, name.clone()));
                }
            }
        }
        let Some((_, name)) = best else { break };
        let (own, rest): (Vec<Pair>, Vec<Pair>) = pairs.into_iter().partition(|pair| touches(pair, &name));
        pairs = rest;
        let mut others: Vec<String> = Vec::new();
        for pair in &own {
            let other = if pair.first == name { &pair.second } else { &pair.first };
            if !others.contains(other) {
                others.push(other.clone());
            }
        }
        out.push(Hub {
            name,
            is_first: true,
            others,
            cases: own.into_iter().map(|pair| pair.case).collect(),
        });
    }
    out
}

/// Whether one name is the better cause: it explains more pairs; of equals, the first by tag.
fn better(count: usize, name: &str, most: usize, known: &str) -> bool {
    most < count || (most == count && rig::tag_order(name, known).is_lt())
}

fn side(pair: &Pair, first: bool) -> &String {
    if first { &pair.first } else { &pair.second }
}

impl Hub {
    /// The one finding; `headline` makes its line from the name, the others in words, and the cases, worst first.
    pub(crate) fn told(self, headline: impl FnOnce(&str, &str, &[Finding]) -> String) -> Option<Finding> {
        let (name, others) = (self.name, some(&self.others, "others"));
        together(self.cases, |cases| headline(&name, &others, cases))
    }
}

/// Cases grouped by a key, in order of first appearance.
pub(crate) fn by_key<K: PartialEq>(cases: Vec<(K, Finding)>) -> Vec<(K, Vec<Finding>)> {
    let mut out: Vec<(K, Vec<Finding>)> = Vec::new();
    for (key, case) in cases {
        match out.iter_mut().find(|(known, _)| *known == key) {
            Some((_, list)) => list.push(case),
            None => out.push((key, vec![case])),
        }
    }
    out
}

/// Rules that rest on the values another rule asks for already: where that one lacks them all, it speaks for these.
const SPEAKERS: &[(&str, &[&str])] = &[
    ("clearance", &["lid-height", "clear-height", "service-port", "lead-short", "case-foam"]),
    ("outlet-load", &["brick-load", "brick-heat", "shared-outlet", "start-surge", "supply-drop"]),
    ("junction-loss", &["parallel-load", "piezo-input", "volume-value", "treble-loss", "chain-loss"]),
    ("treble-loss", &["chain-loss"]),
    ("mass", &["baggage-mass"]),
];

/// What a rule looks at, where its title tells what it finds.
fn subject(rule: &str) -> Option<&'static str> {
    Some(match rule {
        "clearance" => "clearance of plugs and bodies",
        "supply-barrel" | "plug-fit" => "fit of the plugs",
        "port-unconnected" => "connection",
        "no-feed" => "feed",
        "phantom" => "phantom power",
        "piezo-input" => "input after the piezo",
        "bare-pickup" => "sight of the bare pickup",
        "not-placed" => "room",
        _ => return None,
    })
}

/// What each rule could not check, as one finding per rule that lists the values to measure.
///
/// A rule whose values are all asked for by the rule that speaks for it is named there and not again.
pub(crate) fn unchecked(findings: Vec<Finding>, title: impl Fn(&str) -> &'static str) -> Vec<Finding> {
    let (open, mut out): (Vec<Finding>, Vec<Finding>) = findings.into_iter().partition(Finding::is_unchecked);
    let mut one_each: Vec<Finding> = Vec::new();
    for (rule, cases) in by_key(open.into_iter().map(|case| (case.rule, case)).collect()) {
        one_each.extend(together(cases, |cases| {
            let mut names: Vec<String> = cases.iter().flat_map(|case| case.devices.clone()).collect();
            in_order(&mut names);
            let fields: BTreeSet<&Field> = cases.iter().flat_map(|case| &case.lacks).collect();
            let fields: Vec<Field> = fields.into_iter().cloned().collect();
            not_checked(
                &format!("{} at {}", subject(rule).unwrap_or_else(|| title(rule)), some(&names, "more")),
                &fields,
            )
        }));
    }
    let lacks: Vec<(&str, Vec<Field>)> = one_each.iter().map(|one| (one.rule, one.lacks.clone())).collect();
    let speaker = |one: &Finding| {
        let speakers =
            SPEAKERS.iter().filter(|(_, rules)| rules.contains(&one.rule)).map(|(speaker, _)| *speaker);
        speakers.into_iter().find(|speaker| {
            lacks
                .iter()
                .any(|(rule, known)| rule == speaker && one.lacks.iter().all(|field| known.contains(field)))
        })
    };
    let said: Vec<(&str, &str)> = one_each.iter().filter_map(|one| Some((speaker(one)?, one.rule))).collect();
    one_each.retain(|one| !said.iter().any(|(_, rule)| *rule == one.rule));
    for one in &mut one_each {
        // Who speaks for a speaker speaks for its rules as well.
        let mut rules: Vec<&str> = Vec::new();
        let mut next = vec![one.rule];
        while let Some(speaker) = next.pop() {
            for (_, rule) in said.iter().filter(|(by, _)| *by == speaker) {
                if !rules.contains(rule) {
                    rules.push(rule);
                    next.push(rule);
                }
            }
        }
        if rules.is_empty() {
            continue;
        }
        if one.touched.is_empty() {
            one.touched = one.cases();
        }
        one.touched.extend(rules.into_iter().map(|rule| Touched {
            message: format!("{rule} rests on the same and is not checked either"),
            severity: Severity::Look,
            devices: one.devices.clone(),
            leads: Vec::new(),
            evidence: None,
            answered: false,
        }));
    }
    out.extend(one_each);
    out
}

/// `not checked: the load of outlet SUP.1; measure: draw of A1`.
pub(crate) fn not_checked(what: &str, lacks: &[Field]) -> String {
    const NAMED: usize = 4;
    let verb = if lacks.iter().any(Field::is_measured) { "measure" } else { "find out" };
    let mut values: Vec<String> = lacks.iter().map(Field::words).collect();
    values.dedup();
    if NAMED < values.len() {
        let more = values.len() - (NAMED - 1);
        values.truncate(NAMED - 1);
        values.push(format!("{more} more values"));
    }
    format!("not checked: {what}; {verb}: {}", list(&values))
}
