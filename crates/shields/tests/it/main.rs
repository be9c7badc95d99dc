//! Cures against every set of joins, and against the spanning forest where screens make no ring.

use proptest::prelude::*;
use shields::{Config, End, Input, Join, JoinKind, Use, solve};

/// A graph of a few pieces, joins of every kind, two to four earthed ends.
fn graphs() -> impl Strategy<Value = Input> {
    (3_usize..8, 2_usize..5).prop_flat_map(|(pieces, ends)| {
        let ends = ends.min(pieces);
        let join = (0..pieces, 0..pieces, 0_u8..6);
        (Just(pieces), Just(ends), prop::collection::vec(join, 1..11)).prop_map(|(pieces, ends, joins)| {
            let kind = |kind| match kind {
                0 => JoinKind::Usb,
                1 => JoinKind::Control,
                2 => JoinKind::Negative,
                3 => JoinKind::Bond,
                _ => JoinKind::Screen,
            };
            let joins =
                joins.into_iter().enumerate().filter(|(_, (a, b, _))| a != b).map(|(at, (a, b, of))| Join {
                    balanced: of == 4,
                    ..Join::new(&format!("J{at:02}"), kind(of), a, b)
                });
            Input {
                pieces: (0..pieces).map(|at| format!("P{at}")).collect(),
                joins: joins.collect(),
                ends: (0..ends).map(|at| End::earthed(&format!("E{at}"), at)).collect(),
                uses: vec![Use { name: "all".into(), ends: (0..ends).collect() }],
            }
        })
    })
}

/// The same without the joins that would close a ring.
fn forest(mut input: Input) -> Input {
    let mut piece: Vec<usize> = (0..input.pieces.len()).collect();
    input.joins.retain(|join| {
        let (a, b) = (piece[join.a], piece[join.b]);
        piece.iter_mut().filter(|one| **one == a).for_each(|one| *one = b);
        a != b
    });
    input
}

fn cost(config: &Config, join: &Join) -> Option<u64> {
    match join.kind {
        JoinKind::Screen if join.balanced => Some(config.lift),
        JoinKind::Screen => Some(config.transformer),
        JoinKind::Control => Some(config.control_isolator),
        JoinKind::Usb => Some(config.usb_isolator),
        JoinKind::Negative => Some(config.isolated_outlet),
        JoinKind::Bond => None,
    }
}

/// The cost of the cheapest cure by trying every set of joins.
fn brute_force(input: &Input, config: &Config) -> Option<u64> {
    let open: Vec<(usize, u64)> =
        (0..input.joins.len()).filter_map(|at| Some((at, cost(config, &input.joins[at])?))).collect();
    let mut best: Option<u64> = None;
    for set in 0_u64..1 << open.len() {
        let is_open =
            |at: usize| open.iter().enumerate().any(|(bit, (own, _))| *own == at && set >> bit & 1 == 1);
        let sum =
            open.iter().enumerate().filter(|(bit, _)| set >> bit & 1 == 1).map(|(_, (_, cost))| cost).sum();
        let mut piece: Vec<usize> = (0..input.pieces.len()).collect();
        for (at, join) in input.joins.iter().enumerate() {
            let (a, b) = (piece[join.a], piece[join.b]);
            if !is_open(at) {
                piece.iter_mut().filter(|one| **one == a).for_each(|one| *one = b);
            }
        }
        let mut own: Vec<usize> = input.ends.iter().map(|end| piece[end.piece]).collect();
        own.sort_unstable();
        own.dedup();
        if own.len() == input.ends.len() && best.is_none_or(|least| sum < least) {
            best = Some(sum);
        }
    }
    best
}

/// What a maximum-weight spanning forest of screens and earth leaves out (Kruskal 1956): the earth first, which is never
/// opened, then what costs most.
fn left_out(input: &Input, config: &Config) -> Option<u64> {
    let earth = input.pieces.len();
    let mut up: Vec<usize> = (0..=earth).collect();
    let root = |up: &[usize], mut at: usize| {
        while up[at] != at {
            at = up[at];
        }
        at
    };
    for end in &input.ends {
        let (a, b) = (root(&up, end.piece), root(&up, earth));
        up[a] = b;
    }
    let mut joins: Vec<&Join> = input.joins.iter().collect();
    joins.sort_by_key(|join| std::cmp::Reverse(cost(config, join).unwrap_or(u64::MAX)));
    let mut sum = 0;
    for join in joins {
        let (a, b) = (root(&up, join.a), root(&up, join.b));
        if a == b {
            sum += cost(config, join)?;
        } else {
            up[a] = b;
        }
    }
    Some(sum)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_set_of_joins_is_cheaper_than_the_cure(input in graphs()) {
        let config = Config::default();
        let found = &solve(&input, &config).uses[0];
        let best = brute_force(&input, &config);
        prop_assert_eq!((!found.cure.is_impossible).then_some(found.cure.cost), best);
        // What it opens does part all ends.
        if !found.cure.is_impossible {
            let mut cured = input.clone();
            cured.joins.retain(|join| !found.cure.steps.iter().any(|step| step.join == join.id));
            prop_assert!(solve(&cured, &config).uses[0].loops.is_empty());
        }
    }

    #[test]
    fn where_screens_make_no_ring_the_cure_is_what_a_heaviest_spanning_forest_leaves_out(input in graphs()) {
        let input = forest(input);
        let config = Config::default();
        let cure = &solve(&input, &config).uses[0].cure;
        prop_assert_eq!((!cure.is_impossible).then_some(cure.cost), left_out(&input, &config));
    }

    #[test]
    fn the_order_of_joins_and_pieces_does_not_matter(input in graphs(), turn in 0_usize..10) {
        let mut other = input.clone();
        let by = turn % other.joins.len().max(1);
        other.joins.rotate_left(by);
        let count = other.pieces.len();
        let moved = |piece: usize| (piece + turn) % count;
        other.pieces = (0..count).map(|at| input.pieces[(at + count - turn % count) % count].clone()).collect();
        for join in &mut other.joins {
            (join.a, join.b) = (moved(join.b), moved(join.a));
        }
        for end in &mut other.ends {
            end.piece = moved(end.piece);
        }
        prop_assert_eq!(solve(&input, &Config::default()), solve(&other, &Config::default()));
    }
}

#[test]
fn an_end_that_is_not_earthed_closes_nothing_and_one_of_which_nobody_knows_is_named() {
    let end = |id: &str, piece, earthed| End { id: id.into(), piece, earthed };
    let mut input = Input {
        pieces: vec!["amp".into(), "desk".into()],
        joins: vec![Join::new("L01", JoinKind::Screen, 0, 1)],
        ends: vec![end("amp", 0, Some(true)), end("desk", 1, Some(false))],
        uses: vec![Use { name: "both".into(), ends: vec![0, 1] }],
    };
    assert!(solve(&input, &Config::default()).uses[0].meeting.is_empty());
    input.ends[1].earthed = None;
    let outcome = solve(&input, &Config::default());
    assert_eq!(outcome.uses[0].meeting, [[0, 1]]);
    assert!(outcome.uses[0].loops.is_empty() && outcome.uses[0].cure.steps.is_empty());
}
