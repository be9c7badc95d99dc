//! The whole plan.

use crate::links::links;
use crate::order::{knots, ordered};
use crate::people::Web;
use crate::{Act, Critical, Link, Mode, Reach, Shared, World, reach};

/// An end that no order reaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreached {
    /// The end.
    pub end: String,
    /// What is in its way.
    pub things: Vec<String>,
}

/// An order of all acts and what follows from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The acts in their order, each once.
    pub order: Vec<usize>,
    /// What comes before what, and why, without the links that contradict others.
    pub links: Vec<Link>,
    /// When each plug goes in, in the order of [`World::ends`].
    pub reaches: Vec<Reach>,
    /// Ends that no order reaches.
    pub unreached: Vec<Unreached>,
    /// Needs that contradict each other: two acts of a circle without any box in it.
    pub circles: Vec<[usize; 2]>,
    /// Minutes for one person.
    pub minutes: u32,
    /// The longest row of acts that wait for one another.
    pub critical: Critical,
    /// The work of two people.
    pub shared: Shared,
}

/// Puts acts into an order.
pub fn plan(acts: &[Act], world: &World) -> Plan {
    let reaches = reach(world);
    let all = links(acts, world, &reaches);
    let (knots, of) = knots(acts);
    let (order, dropped) = ordered(acts, &knots, &of, &all);
    let mut unreached: Vec<Unreached> = Vec::new();
    for (end, reach) in world.ends.iter().zip(&reaches).filter(|(_, reach)| reach.mode == Mode::Never) {
        let things = reach.blockers.iter().map(|by| by.tag.clone()).collect();
        unreached.push(Unreached { end: end.key.clone(), things });
    }
    let mut circles = Vec::new();
    for at in &dropped {
        match all[*at].why.of_place() {
            Some((end, thing)) => match unreached.iter_mut().find(|known| known.end == end) {
                Some(known) => known.things.push(thing.to_owned()),
                None => unreached.push(Unreached { end: end.to_owned(), things: vec![thing.to_owned()] }),
            },
            None => circles.push([all[*at].before, all[*at].after]),
        }
    }
    for one in &mut unreached {
        one.things.sort();
        one.things.dedup();
    }
    unreached.sort_by(|a, b| a.end.cmp(&b.end));
    let kept: Vec<&Link> =
        all.iter().enumerate().filter(|(at, _)| !dropped.contains(at)).map(|(_, link)| link).collect();
    let web = Web::new(&knots, &of, &order, &kept);
    let critical = web.critical(&knots, &order);
    let shared = web.shared(acts, &knots, &order, critical.minutes);
    Plan {
        order: order.iter().flat_map(|knot| knots[*knot].acts.iter().copied()).collect(),
        links: kept.into_iter().cloned().collect(),
        reaches,
        unreached,
        circles,
        minutes: acts.iter().map(|act| act.minutes).sum(),
        critical,
        shared,
    }
}

impl Plan {
    /// What must come off again before an act can be done: acts that are done already and were to come after it, because
    /// they stand in its way.
    pub fn to_undo(&self, act: usize, is_done: &dyn Fn(usize) -> bool) -> Vec<&Link> {
        let of_place =
            |link: &&Link| link.before == act && link.why.of_place().is_some() && is_done(link.after);
        self.links.iter().filter(of_place).collect()
    }

    /// The acts that each act rests on, all the way back.
    pub fn rests(&self) -> Vec<Vec<usize>> {
        let count = self.order.len();
        let mut before: Vec<Vec<usize>> = vec![Vec::new(); count];
        for link in &self.links {
            before[link.after].push(link.before);
        }
        let mut out: Vec<Vec<bool>> = vec![vec![false; count]; count];
        for act in &self.order {
            let mut own = vec![false; count];
            for need in &before[*act] {
                own[*need] = true;
                for (mine, theirs) in own.iter_mut().zip(&out[*need]) {
                    *mine |= theirs;
                }
            }
            out[*act] = own;
        }
        out.into_iter().map(|own| (0..count).filter(|need| own[*need]).collect()).collect()
    }
}
