//! The table of rules itself.

use std::collections::BTreeSet;

use checks::{RULES, explain, near_rules, rules_markdown};
use rig::LIMITS;

use crate::build::found;
use crate::cases::{firing, silent};

#[test]
fn ids_are_unique_and_plain() {
    let ids: BTreeSet<&str> = RULES.iter().map(|rule| rule.id).collect();
    assert_eq!(ids.len(), RULES.len());
    for id in ids {
        assert!(id.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'), "{id}");
    }
}

#[test]
fn every_rule_has_a_whole_page() {
    for rule in RULES {
        let page = &rule.page;
        for text in [rule.title, rule.since, page.what, page.why, page.source, page.example, page.remedy] {
            assert!(!text.trim().is_empty(), "{}", rule.id);
        }
        for text in [page.what, page.why, page.example] {
            assert!(text.ends_with('.'), "{}: {text}", rule.id);
            assert!(!text.contains("  "), "{}: {text}", rule.id);
        }
        assert!(!page.remedy.ends_with('.'), "{}", rule.id);
        for pain in rule.pains {
            assert!((1..=60).contains(pain), "{}", rule.id);
        }
        for key in rule.limits {
            assert!(LIMITS.iter().any(|limit| limit.key == *key), "{}: {key}", rule.id);
        }
    }
}

#[test]
fn every_rule_has_a_case() {
    let cases = firing();
    let laid = crate::laid::cases();
    for rule in RULES {
        let fires = cases.iter().map(|case| case.rule).chain(laid.iter().map(|case| case.rule));
        assert!(fires.into_iter().any(|id| id == rule.id), "{} never fires", rule.id);
    }
    assert!(silent().iter().all(|(id, _)| checks::rule(id).is_some()));
}

#[test]
fn no_finding_is_worse_than_its_rule_says() {
    let laid = crate::laid::cases();
    for found in
        firing().into_iter().map(|case| found(case.rig)).chain(laid.iter().map(crate::laid::LaidCase::found))
    {
        for finding in found {
            let rule = checks::rule(finding.rule).expect("the case is whole");
            assert!(rule.severity <= finding.severity, "{}: {}", rule.id, finding.message);
            assert!(!finding.source.is_empty() && !finding.remedy.is_empty(), "{}", finding.rule);
            assert!(!finding.marks.is_empty(), "{}: {}", finding.rule, finding.message);
            assert!(
                !finding.message.ends_with('.') && !finding.message.contains('\n'),
                "{}",
                finding.message
            );
            let judged = finding.evidence.is_some() || finding.is_unchecked();
            let is_plain = ["not-placed", "no-feed", "supply-nature", "crossing-lead", "acceptance"]
                .contains(&finding.rule);
            assert!(judged || is_plain, "{}: {}", finding.rule, finding.message);
        }
    }
}

#[test]
fn the_worst_severity_of_each_rule_occurs() {
    let (cases, laid) = (firing(), crate::laid::cases());
    for rule in RULES {
        let plain = cases.iter().map(|case| (case.rule, case.severity));
        let all = plain.chain(laid.iter().map(|case| (case.rule, case.severity)));
        let worst = all.filter(|(id, _)| *id == rule.id).map(|(_, severity)| severity).min();
        assert_eq!(worst, Some(rule.severity), "{}", rule.id);
    }
}

#[test]
fn pages_can_be_read() {
    let page = explain("outlet-load").expect("the case is whole");
    assert!(page.starts_with("outlet-load: load of each outlet\n"));
    assert!(page.contains("outlet_load_look = 80 %"));
    assert_eq!(explain("outlet-laod"), None);
    assert_eq!(near_rules("outlet-laod").first(), Some(&"outlet-load"));
    assert!(near_rules("xyzzy").is_empty());
    let all = rules_markdown();
    for rule in RULES {
        assert!(all.contains(&format!("\n## {}\n", rule.id)));
    }
    assert!(all.contains("**Source.** *common practice, no source*"));
}
