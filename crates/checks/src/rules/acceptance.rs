//! Acceptances that no longer hold.

use finding::Severity;

use super::CUSTOM;
use crate::{Page, Rule};

/// The rule. It looks at what the other rules found, so the work is done once they have all spoken.
pub(crate) static RULE: Rule = Rule {
    id: "acceptance",
    title: "acceptances that match nothing or name a stranger",
    severity: Severity::Look,
    since: "0.1",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Every acceptance must name a rule that exists, devices of this rig, a reason, and a finding that is really there.",
        why: "An acceptance that outlives its finding would hide the next one on the same devices.",
        source: CUSTOM,
        example: "A4 was accepted as hanging over the edge; it has since been moved back, and the acceptance is left over.",
        remedy: "take the acceptance away, or correct the rule and the devices it names",
    },
    check: |_| Vec::new(),
};
