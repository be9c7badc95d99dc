//! What a shop has mended before, and what that does to the odds.

use crate::kind::{Kind, Symptom};

/// Repairs of one kind of part that a shop has on record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repair {
    /// What was at fault.
    pub kind: Kind,
    /// How many times.
    pub count: u32,
}

impl Repair {
    /// Repairs from the names of kinds with counts; names that are no kind are left out.
    pub fn counted<'a>(all: impl IntoIterator<Item = (&'a str, u32)>) -> Vec<Self> {
        let of = |(word, count): (&str, u32)| Some(Self { kind: Kind::of(word)?, count });
        all.into_iter().filter_map(of).collect()
    }
}

/// So many repairs weigh as much as the table. Common practice, no source: a shop that has mended fewer has seen chance.
const WEIGH_AS_TABLE: f64 = 40.0;

/// By how much a kind's odds go up or down for a shop's repairs: the mean of a gamma law of [`WEIGH_AS_TABLE`] repairs
/// that the table expects, and of those on record.
pub(crate) fn factor(kind: Kind, symptom: Symptom, parts: &[Kind], repairs: &[Repair]) -> f64 {
    let all: f64 = repairs.iter().map(|repair| f64::from(repair.count)).sum();
    if all <= 0.0 {
        return 1.0;
    }
    let table: f64 = parts.iter().map(|part| part.odds(symptom)).sum();
    let own: f64 = parts.iter().filter(|part| **part == kind).map(|part| part.odds(symptom)).sum();
    if table <= 0.0 || own <= 0.0 {
        return 1.0;
    }
    let share = own / table;
    let mended: f64 =
        repairs.iter().filter(|repair| repair.kind == kind).map(|repair| f64::from(repair.count)).sum();
    (WEIGH_AS_TABLE * share + mended) / ((WEIGH_AS_TABLE + all) * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_shop_mends_often_is_suspected_sooner() {
        let parts = [Kind::Lead, Kind::Lead, Kind::Jack, Kind::Device];
        let none = factor(Kind::Jack, Symptom::Dead, &parts, &[]);
        assert!((none - 1.0).abs() < 1e-12);
        let repairs = [Repair { kind: Kind::Jack, count: 40 }];
        let jack = factor(Kind::Jack, Symptom::Dead, &parts, &repairs);
        let lead = factor(Kind::Lead, Symptom::Dead, &parts, &repairs);
        // Four of 27 by the table, (40 × 4/27 + 40) of 80 with the repairs.
        let share = 4.0 / 27.0;
        assert!((jack - (40.0 * share + 40.0) / (80.0 * share)).abs() < 1e-12);
        assert!((lead - 0.5).abs() < 1e-12);
    }
}
