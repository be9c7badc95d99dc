//! Which changed inputs are alike but for the names of their bricks: what is found for one holds for all.

use std::collections::BTreeMap;

use crate::config::Means;
use crate::fit::Fitting;
use crate::input::{Brick, Input, Outlet, Setting};
use crate::model::loses;

/// All that matters of the bricks of an input, whatever their order.
pub(crate) type Supplies = Vec<Supply>;

/// All that matters of a brick; its tag where it matters which one it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Supply {
    tag: Option<String>,
    limit_nw: Option<i64>,
    intake_nw: Option<i64>,
    /// Limits of the banks, as far as outlets name them.
    banks: Vec<i64>,
    outlets: Vec<Output>,
}

/// All that matters of an outlet; bank and group as places among those of the brick.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Output {
    bank: Option<usize>,
    joined: Option<usize>,
    settings: Vec<Setting>,
    set_mv: Option<i64>,
    ac: bool,
    sign: Option<rig::Sign>,
    leave: [Option<bool>; 2],
    connector: Option<Fitting>,
}

/// What the bricks of an input give. Two inputs with the same devices that give the same feed them alike.
pub(crate) fn supplies(input: &Input, means: Means) -> Supplies {
    let mut all: Supplies = input
        .bricks
        .iter()
        .enumerate()
        .map(|(index, brick)| supply(input, means, index, brick))
        .filter(|supply| !supply.outlets.is_empty())
        .collect();
    all.sort();
    all
}

fn supply(input: &Input, means: Means, index: usize, brick: &Brick) -> Supply {
    let own: Vec<usize> = (0..input.outlets.len())
        .filter(|&outlet| {
            let of = &input.outlets[outlet];
            of.brick == index && !of.reserved && !of.settings.is_empty()
        })
        .collect();
    let (mut banks, mut groups) = (BTreeMap::new(), BTreeMap::new());
    let place = |known: &mut BTreeMap<usize, usize>, of: Option<usize>| {
        let next = known.len();
        of.map(|of| *known.entry(of).or_insert(next))
    };
    let mut limits = Vec::new();
    let outlets = own
        .iter()
        .map(|&outlet| {
            let of = &input.outlets[outlet];
            let known = banks.len();
            let bank = place(&mut banks, of.bank);
            if let Some(bank) = of.bank.filter(|_| known < banks.len()) {
                limits.push(input.banks[bank].limit_ua);
            }
            Output {
                bank,
                joined: place(&mut groups, of.joined),
                settings: of.settings.clone(),
                set_mv: of.set_mv.filter(|_| !means.settings),
                ac: of.ac,
                sign: of.sign,
                leave: [of.series, of.parallel],
                connector: of.connector.clone(),
            }
        })
        .collect();
    Supply {
        tag: is_particular(input, index, &own).then(|| brick.tag.clone()),
        limit_nw: brick.limit_nw,
        intake_nw: brick.intake_nw,
        banks: limits,
        outlets,
    }
}

/// Whether it matters which brick it is: something is locked to it, it hangs on another, it shares a negative with another, or
/// it lies far from what it feeds.
fn is_particular(input: &Input, index: usize, own: &[usize]) -> bool {
    let brick = &input.bricks[index];
    let holds = |outlets: &[usize]| outlets.iter().any(|outlet| own.contains(outlet));
    let joins = |outlet: &Outlet| {
        let group = outlet.joined.filter(|_| outlet.brick != index);
        group.is_some_and(|group| own.iter().any(|&own| input.outlets[own].joined == Some(group)))
    };
    brick.intake_nw.is_some()
        || input.need(&brick.tag).is_some()
        || input.needs.iter().any(|need| need.lock().is_some_and(|lock| holds(&lock.outlets)))
        || input.outlets.iter().any(joins)
        || own.iter().any(|&outlet| loses(input, outlet))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn three_bricks() -> Input {
        let brick = |tag: &str| Brick { tag: tag.to_owned(), ..Brick::default() };
        let outlet = |brick: usize, ua: i64| Outlet {
            name: "1".to_owned(),
            brick,
            settings: vec![Setting { mv: 9_000, ua }],
            ..Outlet::default()
        };
        Input {
            bricks: vec![brick("P1"), brick("P2"), brick("P3")],
            outlets: vec![outlet(0, 100_000), outlet(1, 100_000), outlet(2, 500_000)],
            ..Input::default()
        }
    }

    fn without(brick: usize) -> Supplies {
        let mut input = three_bricks();
        input.outlets[brick].reserved = true;
        supplies(&input, Means::ALL)
    }

    #[test]
    fn it_is_all_the_same_which_of_two_bricks_that_are_alike_goes() {
        assert_eq!(without(0), without(1));
        assert_ne!(without(0), without(2));
    }

    #[test]
    fn a_brick_that_hangs_on_another_is_like_none() {
        let mut input = three_bricks();
        input.bricks[0].intake_nw = Some(1);
        let mut other = three_bricks();
        other.bricks[1].intake_nw = Some(1);
        assert_ne!(supplies(&input, Means::ALL), supplies(&other, Means::ALL));
    }
}
