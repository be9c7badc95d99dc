//! Plugs, ends and labels of all leads agree, whoever counts them.

use design::{Amount, BillGroup, LabelKind, Making, bill, labels};

/// All examples, routed.
fn examples() -> Vec<(String, design::Design)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut all: Vec<_> = std::fs::read_dir(folder)
        .expect("the examples")
        .map(|entry| entry.expect("an example").path())
        .filter(|path| path.join("rig.toml").is_file())
        .collect();
    all.sort();
    all.into_iter()
        .map(|path| {
            let job =
                document::read(&path, None).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, design::derive(job.rig, job.limits))
        })
        .collect()
}

/// Plugs of the bill are the ends of the schedule that have one, and every end of a lead that is ours has its label.
pub(crate) fn counts_agree(name: &str, design: &design::Design) {
    let made = design.leads.iter().filter(|lead| lead.making == Making::Made);
    let ends: usize = made.flat_map(|lead| &lead.ends).filter(|end| end.has_plug()).count();
    let plugs: i64 = bill(design)
        .iter()
        .filter(|line| line.group == BillGroup::Plugs)
        .map(|line| match line.needed {
            Amount::Pieces(count) => count,
            Amount::Length(_) => 0,
        })
        .sum();
    assert_eq!(plugs, i64::try_from(ends).expect("a count"), "{name}: plugs of the bill");
    let marked = design.leads.iter().filter(|lead| lead.making != Making::Theirs);
    let wanted: usize = marked.map(|lead| lead.ends.len()).sum();
    let stuck = labels(design).into_iter().filter(|label| label.kind == LabelKind::LeadEnd).count();
    assert_eq!(stuck, wanted, "{name}: labels at ends");
}

#[test]
fn plugs_of_the_bill_are_the_ends_of_the_schedule_and_the_labels() {
    let mut joined = 0;
    for (name, design) in examples() {
        counts_agree(&name, &design);
        // No port takes two plugs of ours from the same side, unless that is planted.
        let said = checks::check(&design);
        let planted = said.iter().any(|found| found.rule == "port-doubly-fed");
        let mut taken = std::collections::BTreeSet::new();
        for end in design
            .leads
            .iter()
            .flat_map(|lead| &lead.ends)
            .filter(|end| end.has_plug() && !end.port.port.is_empty())
        {
            let first = taken.insert((end.port.clone(), end.inner));
            assert!(first || planted, "{name}: {} has two plugs", end.port);
        }
        joined += design.leads.iter().filter(|lead| lead.is_joined()).count();
    }
    assert!(8 <= joined, "the examples have pairs and splitters: {joined}");
}
