//! Devices in the order in which signal passes them.

use rig::Rig;

use super::unmet::{Found, Unmet};
use crate::way::{Way, ways};

/// Of each pair of neighbours in the list the first comes first, on every route that passes both.
pub(super) fn judge(rig: &Rig, devices: &[String], run: Option<&str>) -> Found {
    let all = ways(rig);
    let ways: Vec<&Way<'_>> = all.iter().filter(|way| run.is_none_or(|run| way.run.name == run)).collect();
    for pair in devices.windows(2) {
        let [first, second] = pair else { continue };
        let mut passes_both = false;
        for way in &ways {
            let at = |tag: &str| way.steps.iter().position(|step| step.name == tag);
            let (Some(one), Some(other)) = (at(first), at(second)) else { continue };
            passes_both = true;
            if other < one {
                let why = format!("in run {} {second} comes before {first}", way.run.name);
                return Err(Unmet::words(why, format!("{second}, {first}"), format!("{first}, {second}")));
            }
        }
        if !passes_both {
            let why = match run {
                Some(run) => format!("run {run} does not pass both {first} and {second}"),
                None => format!("no run passes both {first} and {second}"),
            };
            return Err(Unmet::words(why, "no run", format!("{first}, {second}")));
        }
    }
    Ok(())
}
