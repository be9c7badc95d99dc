//! The pages of the rules, as text and as one Markdown file.

use std::fmt::Write as _;

use rig::LIMITS;

use crate::rules::CUSTOM;
use crate::{RULES, Rule, rule};

/// The page of one rule as text, or `None` when there is no such rule; [`near_rules`] then says which
/// may be meant.
pub fn explain(id: &str) -> Option<String> {
    rule(id).map(page)
}

/// The rules whose names are nearest to a wrong one, nearest first; at most three.
pub fn near_rules(id: &str) -> Vec<&'static str> {
    ranked(id).into_iter().take(3).collect()
}

/// The rule whose name is nearest to a wrong one, if any is near.
pub(crate) fn nearest(id: &str) -> Option<&'static str> {
    ranked(id).into_iter().next()
}

/// Rules with a name like this one, nearest first.
fn ranked(id: &str) -> Vec<&'static str> {
    // Below this likeness a hint misleads more than it helps.
    const LIKE: f64 = 0.7;
    let id = id.to_lowercase();
    let mut near: Vec<(f64, &'static str)> = RULES
        .iter()
        .map(|rule| (strsim::jaro_winkler(&id, rule.id), rule.id))
        .filter(|(likeness, _)| LIKE < *likeness)
        .collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    near.into_iter().map(|(_, id)| id).collect()
}

fn page(rule: &Rule) -> String {
    let mut out = String::new();
    let p = &rule.page;
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{}: {}\n", rule.id, rule.title);
    let _ = writeln!(out, "At worst it says {}. Since {}.\n", rule.severity, rule.since);
    for (head, text) in [
        ("What", p.what),
        ("Why", p.why),
        ("Source", source_of(rule)),
        ("Example", p.example),
        ("What to do", p.remedy),
    ] {
        let _ = writeln!(out, "{head}\n  {text}\n");
    }
    if !rule.limits.is_empty() {
        let _ = writeln!(out, "Limits");
        for key in rule.limits {
            let _ = writeln!(out, "  {key} = {}: {}\n    {}", value_of(key), meaning_of(key), published(key));
        }
    }
    out
}

/// All pages as one Markdown file, for `docs/rules.md`.
pub fn rules_markdown() -> String {
    let mut out = String::from(
        "# Rules\n\nMade from the table of rules; do not edit. A rule that lacks values says \
         *not checked*, once for all devices, and names what to measure. One cause is told once, with all that it \
         touches. A look is told when its limit is passed by as much as a tape or a meter can tell; a stop is exact.\n\n| rule | looks for | at worst |\n|---|---|---|\n",
    );
    for rule in RULES {
        let _ = writeln!(out, "| [{0}](#{0}) | {1} | {2} |", rule.id, rule.title, rule.severity);
    }
    for rule in RULES {
        let p = &rule.page;
        let source = source_of(rule);
        let source = if source == CUSTOM { format!("*{source}*") } else { source.to_owned() };
        let _ = writeln!(
            out,
            "\n## {}\n\n{}. At worst: {}. Since {}.",
            rule.id, rule.title, rule.severity, rule.since
        );
        let _ = writeln!(out, "\n**What.** {}", p.what);
        let _ = writeln!(out, "\n**Why.** {}", p.why);
        let _ = writeln!(out, "\n**Source.** {source}");
        let _ = writeln!(out, "\n**Example.** {}", p.example);
        let _ = writeln!(out, "\n**What to do.** {}", p.remedy);
        if !rule.limits.is_empty() {
            let _ = writeln!(out, "\n**Limits.**\n");
            for key in rule.limits {
                let (value, meaning) = (value_of(key), meaning_of(key));
                let _ = writeln!(out, "- `{key}` = {value}: {meaning}; *{}*", published(key));
            }
        }
        if !rule.pains.is_empty() {
            let pains: Vec<String> = rule.pains.iter().map(u8::to_string).collect();
            let _ = writeln!(out, "\n**Pains.** {}", pains.join(", "));
        }
    }
    out
}

/// Where a rule comes from. Common practice is not the last word where something is published of what it limits.
fn source_of(rule: &Rule) -> &'static str {
    let is_published = |key: &&'static str| published(key) != CUSTOM;
    match rule.page.source {
        CUSTOM if rule.limits.iter().any(is_published) => {
            "common practice; what is published stands with its limits"
        }
        source => source,
    }
}

/// What is published of a limit and how ours stands to it, or that there is nothing.
fn published(key: &str) -> &'static str {
    LIMITS.iter().find(|limit| limit.key == key).map_or(CUSTOM, |limit| limit.source)
}

fn value_of(key: &str) -> String {
    rig::Limits::default().get(key).map(|value| value.to_string()).unwrap_or_default()
}

fn meaning_of(key: &str) -> &'static str {
    LIMITS.iter().find(|limit| limit.key == key).map_or("", |limit| limit.what)
}
