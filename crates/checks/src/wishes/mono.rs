//! A sink that may be the only one that is heard.
//!
//! Judged by what the rules `mono-feed`, `polarity` and `branch-level` rest on, at this sink, and by nothing else.

use design::Design;
use signal::Branches;

use super::unmet::{Found, Unmet};
use crate::asked::Asked;
use crate::branches::{branches_in_words, levels_apart, missing_at, quiet_in_words};
use crate::way::ways;
use crate::words::list;

/// Nothing is missing at the sink, and nothing that is summed there cancels or drowns.
pub(super) fn judge(design: &Design, sink: &str, asked: &mut Asked) -> Found {
    let all = ways(&design.rig);
    if !all.iter().any(|way| way.end() == sink) {
        let why = format!("no signal reaches {}", design.rig.sink_words(sink));
        return Err(Unmet::words(why, "no run", "one"));
    }
    if let Some(missing) = missing_at(design, sink) {
        let has = if missing.elsewhere.len() == 1 { "has" } else { "have" };
        let why = format!("only {} {has} {}", list(&missing.elsewhere), list(&missing.devices));
        let evidence = finding::Evidence::words(format!("{} missing", missing.devices.len()), "none");
        return Err(Unmet::new(why, evidence));
    }
    // What a run is said to be tapped off for, it is.
    let is_meant = |other: &str| all.iter().any(|way| way.end() == other && way.run.purpose.is_some());
    let own = |branches: &&Branches| {
        let [a, b] = &branches.sinks;
        (a == sink && (b == sink || !is_meant(b))) || (b == sink && !is_meant(a))
    };
    for branches in design.signal().branches.iter().filter(own) {
        match branches.opposite {
            Some(true) => {
                let when = signal::in_state_words(&branches.state);
                let why = match &branches.meets {
                    Some(at) => format!("{} meet inverted at {at} {when}", branches_in_words(branches)),
                    None => format!("{} are inverted against each other {when}", list(&branches.sinks)),
                };
                return Err(Unmet::words(why, "opposite", "alike"));
            }
            Some(false) => {}
            None => asked.lacks.extend(
                branches.lacks.iter().filter(|field| field.to_string().ends_with("inverts")).cloned(),
            ),
        }
        if let Some(apart) = levels_apart(design, branches) {
            if apart.asked.complete() {
                let why = quiet_in_words(branches, apart.at, apart.found);
                return Err(Unmet::new(why, finding::Evidence::at_most(apart.found, apart.limit)));
            }
            asked.lacks.extend(apart.asked.lacks);
        }
    }
    Ok(())
}
