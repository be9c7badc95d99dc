//! Every finding: the open ones worst first, then those that somebody answers for.

use finding::{Evidence, Finding};

use crate::block::{Block, Table, cell, share, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, text};

/// Fields named in one line.
const FIELDS: usize = 6;

/// Cases of one cause told one by one.
const CASES: usize = 8;

/// The paper.
pub(crate) fn findings(input: &PapersInput<'_>) -> Part {
    let mut order: Vec<&Finding> = input.findings.iter().collect();
    order.sort_by_key(|finding| (finding.accepted.is_some(), finding.severity));
    let mut table = Table::new(
        "findings",
        11.0,
        vec![
            wide(text::SEVERITY, 21.0),
            share(text::FINDING, 1.0),
            wide(text::FOUND, 30.0),
            wide(text::ALLOWED, 32.0),
            wide(text::MARGIN, 25.0),
            wide(text::RULE, 34.0),
        ],
    );
    table.none = text::NO_FINDINGS;
    let mut answered = false;
    let open = order.iter().any(|finding| finding.accepted.is_none());
    for finding in order {
        if finding.accepted.is_some() && !answered {
            answered = true;
            if open {
                table.group(text::ANSWERED, "");
            }
        }
        table.row(row(finding));
    }
    let blocks = vec![Block::Title(text::FINDINGS), Block::Table(table)];
    Part::blocks(input, "findings", text::FINDINGS, "-FIN", Lie::Landscape, blocks)
}

fn row(finding: &Finding) -> Vec<crate::block::Cell> {
    let (found, allowed) = match &finding.evidence {
        Some(Evidence::Number { found, allowed }) => (found.to_string(), allowed.to_string()),
        Some(Evidence::Words { found, allowed }) => (found.clone(), allowed.clone()),
        None => (String::new(), String::new()),
    };
    let margin = finding.evidence.as_ref().and_then(Evidence::margin);
    let over = margin.as_ref().is_some_and(|margin| margin.value < 0.0);
    let mut message = cell(finding.message.clone()).bold();
    for case in finding.touched.iter().take(CASES) {
        message = message.line(case.message.clone());
    }
    if CASES < finding.touched.len() {
        message = message.line(text::and_more(finding.touched.len() - CASES));
    }
    // A short list stands in the headline already.
    if finding.lacks.iter().any(|field| !finding.message.contains(&field.words())) {
        message = message.line(format!("{} {}", text::NOT_CHECKED, fields(&finding.lacks)));
    }
    if !finding.remedy.is_empty() {
        message = message.line(format!("{} {}", text::REMEDY, finding.remedy));
    }
    if let Some(accepted) = &finding.accepted {
        message = message.line(text::answered(
            &accepted.reason,
            accepted.by.as_deref(),
            &accepted.covers.to_string(),
        ));
    }
    if !finding.assumed.is_empty() {
        message = message.line(format!("{} {}", text::RESTS_ON, fields(&finding.assumed)));
    }
    let margin = cell(margin.as_ref().map(ToString::to_string).unwrap_or_default());
    vec![
        cell(text::severity(finding.severity)).marked(finding.severity.word(), finding.accepted.is_some()),
        message,
        cell(found).assumed(!finding.assumed.is_empty()),
        cell(allowed),
        if over { margin.bold() } else { margin },
        cell(finding.rule).faint(),
    ]
}

fn fields(fields: &[finding::Field]) -> String {
    let mut words: Vec<String> = fields.iter().take(FIELDS).map(finding::Field::words).collect();
    if fields.len() > FIELDS {
        words.push(text::and_more(fields.len() - FIELDS));
    }
    words.join(", ")
}
