//! Answers that no longer hold.

use finding::Severity;

use super::CUSTOM;
use crate::{Page, Rule};

/// The rule. It looks at what the other rules found, so the work is done once they have all spoken.
pub(crate) static RULE: Rule = Rule {
    id: "acceptance",
    title: "answers that match nothing or name a device that is not in this rig",
    severity: Severity::Look,
    since: "0.1",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Every answer must name a rule that exists, devices of this rig, a class or the whole job, a reason, and \
               something that is really found. A finding is answered for when all that it touches is covered.",
        why: "An answer that outlives its finding would hide the next one on the same devices.",
        source: CUSTOM,
        example: "A4 was answered for as hanging over the edge; it has since been moved back, and the answer is left over.",
        remedy: "remove the answer, or correct the rule and what it covers",
    },
    check: |_| Vec::new(),
};
