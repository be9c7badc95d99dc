//! Every allocation of a small rig, one after the other, judged by the verifier alone.

use power::verify::{BreachKind, Verdict, verify};
use power::{Feed, Input};
use rig::FeedKind;

/// What is compared, the smaller the better: devices without a feed, looks, special leads, margin lost, millimetres.
pub(crate) type Rank = (i64, i64, i64, i64, i64);

/// The rank of a verdict.
pub(crate) fn rank(verdict: &Verdict) -> Rank {
    let objective = &verdict.objective;
    (
        verdict.missing,
        objective.looks,
        objective.special,
        -objective.margin_permille,
        objective.length_mm.unwrap_or(0),
    )
}

/// The best rank there is; only whole allocations count when `whole`.
pub(crate) fn best(input: &Input, whole: bool) -> Option<Rank> {
    let options: Vec<Vec<Feed>> = (0..input.needs.len()).map(|need| options(input, need)).collect();
    let mut best = None;
    walk(input, &options, 0, &mut Vec::new(), whole, &mut best);
    best
}

/// Whether all devices can be served together.
pub(crate) fn servable(input: &Input) -> bool {
    best(input, true).is_some()
}

fn walk(
    input: &Input,
    options: &[Vec<Feed>],
    need: usize,
    feeds: &mut Vec<Feed>,
    whole: bool,
    best: &mut Option<Rank>,
) {
    let verdict = verify(input, feeds);
    // What is broken stays broken, whatever comes after, but for a brick whose own feed comes later; looks and leads only
    // grow.
    let whole_yet = need == options.len();
    if verdict
        .breaches
        .iter()
        .any(|breach| whole_yet || !matches!(breach.kind, BreachKind::BrickUnfed { .. }))
    {
        return;
    }
    if need == options.len() {
        // An outlet that is locked to a device is no one else's, even when the device goes without, but for whoever is locked
        // there too.
        let unfed = input.needs.iter().filter(|need| verdict.unfed.contains(&need.tag));
        let kept: Vec<usize> =
            unfed.filter_map(|need| need.lock()).flat_map(|lock| lock.outlets.clone()).collect();
        let free = feeds.iter().filter(|feed| input.needs[feed.need].lock().is_none());
        if free.flat_map(|feed| &feed.outlets).any(|outlet| kept.contains(outlet)) {
            return;
        }
        let rank = rank(&verdict);
        if best.is_none_or(|known| rank < known) {
            *best = Some(rank);
        }
        return;
    }
    let missing = |need: usize| {
        let fed = feeds.iter().any(|feed| feed.need == need);
        let locked = input.needs[need].lock().is_some();
        if fed {
            0
        } else if locked {
            i64::try_from(input.needs.len()).unwrap_or_default() + 1
        } else {
            1
        }
    };
    let so_far = ((0..need).map(missing).sum(), verdict.objective.looks, verdict.objective.special);
    if best.is_some_and(|known| (known.0, known.1, known.2) < so_far) {
        return;
    }
    for feed in &options[need] {
        feeds.push(feed.clone());
        walk(input, options, need + 1, feeds, whole, best);
        feeds.pop();
    }
    if !whole {
        walk(input, options, need + 1, feeds, whole, best);
    }
}

/// Every feed that one device could have by itself.
fn options(input: &Input, need: usize) -> Vec<Feed> {
    let device = &input.needs[need];
    let mut all = Vec::new();
    let mut offer = |kind: FeedKind, outlets: Vec<usize>, setting_mv: i64, socket: Option<rig::PortRef>| {
        for crossing in [false, true] {
            for barrel in [None, device.inlet_id()] {
                let feed = Feed {
                    need,
                    kind,
                    outlets: outlets.clone(),
                    setting_mv,
                    crossing,
                    barrel_adaptor: barrel,
                    socket: socket.clone(),
                };
                let breaches = verify(input, std::slice::from_ref(&feed)).breaches;
                if breaches.iter().all(|breach| matches!(breach.kind, BreachKind::BrickUnfed { .. })) {
                    all.push(feed);
                }
            }
        }
    };
    let volts = |outlet: usize| input.outlets[outlet].settings.iter().map(|setting| setting.mv);
    for first in 0..input.outlets.len() {
        for mv in volts(first) {
            offer(FeedKind::Single, vec![first], mv, None);
            for second in first + 1..input.outlets.len() {
                if volts(second).any(|other| other == mv) {
                    offer(FeedKind::SeriesPair, vec![first, second], mv, None);
                    offer(FeedKind::ParallelPair, vec![first, second], mv, None);
                }
            }
        }
    }
    if let Some(adaptor) = &device.adaptor {
        match &adaptor.socket {
            None => offer(FeedKind::Adaptor, Vec::new(), 0, None),
            Some((own, name)) => {
                for (index, strip) in input.strips.iter().enumerate() {
                    let mut sockets = strip.free.clone();
                    if index == *own && !sockets.contains(name) {
                        sockets.push(name.clone());
                    }
                    for socket in sockets {
                        offer(FeedKind::Adaptor, Vec::new(), 0, Some(rig::PortRef::new(&strip.tag, socket)));
                    }
                }
            }
        }
    }
    // An adaptor lead has neither sign nor barrel to choose.
    all.retain(|feed| feed.kind != FeedKind::Adaptor || (!feed.crossing && feed.barrel_adaptor.is_none()));
    all
}
