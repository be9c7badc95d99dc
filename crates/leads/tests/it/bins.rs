//! Bin packing against published optima (BPPLib's bounds for the instances of Falkenauer and of Scholl): the cut plan of
//! pieces from reels of one length.

use leads::cut::{CutEffort, CutPlan, Piece, Source, plan};

use crate::binpack::read;

/// A piece of each size, and as many reels of one length.
fn stock(sizes: &[i64], length: i64) -> (Vec<Piece>, Vec<Source>) {
    let named = |letter: char, at: usize| format!("{letter}{at:04}");
    let piece = |(at, &mm): (usize, &i64)| Piece { id: named('L', at), mm };
    let reel = |at: usize| Source { id: named('R', at), mm: Some(length), reel: true };
    (sizes.iter().enumerate().map(piece).collect(), (0..sizes.len()).map(reel).collect())
}

fn packed(sizes: &[i64], capacity: i64) -> CutPlan {
    let (pieces, reels) = stock(sizes, capacity);
    let cuts = plan(&pieces, &reels, 0, 0, &CutEffort::standard());
    crate::cuts::judge(&pieces, &reels, 0, &cuts);
    judge(sizes, capacity, &cuts);
    cuts
}

/// A certificate that holds: checked by other means than it was made by.
fn judge(pieces: &[i64], capacity: i64, cuts: &CutPlan) {
    assert!(cuts.missing.is_empty(), "every piece is cut");
    let used: std::collections::BTreeSet<usize> = cuts.steps.iter().map(|step| step.source).collect();
    assert_eq!(used.len(), cuts.reels);
    let mut sizes = pieces.to_vec();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    sizes.dedup();
    let sum: i64 = pieces.iter().sum();
    let by_length = (sum + capacity - 1) / capacity;
    let bound = i64::try_from(cuts.reels_bound).expect("small");
    let weights = &cuts.certificate.weights;
    if weights.is_empty() {
        assert_eq!(bound, by_length);
        return;
    }
    let weight = |piece: i64| weights[sizes.partition_point(|&size| piece < size)];
    let all: i64 = pieces.iter().map(|&piece| weight(piece)).sum();
    let heaviest = cuts.certificate.heaviest;
    let proven = (all + heaviest - 1) / heaviest + i64::from(cuts.exhausted);
    assert!(bound <= proven, "the certificate proves {proven}, {bound} is claimed");
    // The heaviest bin by a table over the room, where that is small.
    if capacity <= 2000 {
        let mut best = vec![0_i64; usize::try_from(capacity).expect("small") + 1];
        for &piece in pieces {
            let (size, weight) = (usize::try_from(piece).expect("small"), weight(piece));
            for room in (size..best.len()).rev() {
                best[room] = best[room].max(best[room - size] + weight);
            }
        }
        assert!(best.iter().all(|&weight| weight <= heaviest), "some bin is heavier than {heaviest}");
    }
}

fn optimum(name: &str) -> usize {
    include_str!("../../../../external/binpack/optima.tsv")
        .lines()
        .find_map(|line| {
            let mut words = line.split_whitespace();
            (words.next()? == name).then(|| words.next()?.parse().ok())?
        })
        .unwrap_or_else(|| panic!("no optimum of {name}"))
}

#[test]
fn falkenauers_uniform_and_triplet_problems_are_solved_and_proven() {
    for text in [
        include_str!("../../../../external/binpack/binpack1.txt"),
        include_str!("../../../../external/binpack/binpack5.txt"),
    ] {
        let instances = read(text).expect("it reads");
        assert_eq!(instances.len(), 20);
        for instance in instances {
            let packing = packed(&instance.sizes, instance.capacity);
            let name = format!("Falkenauer_{}", instance.name);
            assert_eq!(packing.reels, optimum(&name), "{name}");
            assert!(packing.is_proven(), "{name}");
        }
    }
}

#[test]
fn a_problem_that_best_fit_misses_by_three_is_solved_and_proven() {
    // One of the four here; `cargo xtask cut` runs the others.
    let instance = read(include_str!("../../../../external/binpack/HARD3.BPP")).expect("it reads").remove(0);
    let packing = packed(&instance.sizes, instance.capacity);
    assert_eq!((packing.reels, packing.is_proven()), (optimum("HARD3"), true));
}

#[test]
fn small_problems_agree_with_trying_everything() {
    let mut seed = 1_u64;
    let mut next = |below: i64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(seed >> 33).expect("small") % below
    };
    for _ in 0..200 {
        let sizes: Vec<i64> = (0..8).map(|_| 10 + next(50)).collect();
        let packing = packed(&sizes, 100);
        assert!(packing.is_proven());
        assert_eq!(packing.reels, fewest(&sizes, &mut Vec::new(), 100), "{sizes:?}");
    }
}

fn fewest(left: &[i64], bins: &mut Vec<i64>, capacity: i64) -> usize {
    let Some((&first, rest)) = left.split_first() else { return bins.len() };
    let mut best = usize::MAX;
    for at in 0..bins.len() {
        if bins[at] + first <= capacity {
            bins[at] += first;
            best = best.min(fewest(rest, bins, capacity));
            bins[at] -= first;
        }
    }
    bins.push(first);
    best = best.min(fewest(rest, bins, capacity));
    bins.pop();
    best
}

/// The numbers of pieces that each reel of a list can hold, tried one by one.
fn held(left: &[i64], rooms: &mut Vec<i64>, used: &mut Vec<bool>) -> usize {
    let Some((&first, rest)) = left.split_first() else { return used.iter().filter(|used| **used).count() };
    let mut best = usize::MAX;
    for at in 0..rooms.len() {
        if first <= rooms[at] {
            let was = std::mem::replace(&mut used[at], true);
            rooms[at] -= first;
            best = best.min(held(rest, rooms, used));
            rooms[at] += first;
            used[at] = was;
        }
    }
    best
}

#[test]
fn reels_and_offcuts_of_several_lengths_agree_with_trying_everything() {
    let mut seed = 3_u64;
    let mut next = |below: i64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(seed >> 33).expect("small") % below
    };
    let (mut tight, mut short) = (0, 0);
    for _ in 0..600 {
        let sizes: Vec<i64> = (0..7).map(|_| 20 + next(50)).collect();
        let kerf = next(3);
        let lengths: Vec<i64> = (0..4).map(|_| 60 + next(100)).collect();
        let (pieces, mut sources) = stock(&sizes, 0);
        sources.truncate(4);
        for (at, source) in sources.iter_mut().enumerate() {
            (source.mm, source.reel) = (Some(lengths[at]), at != 0 || next(2) == 0);
        }
        let cuts = plan(&pieces, &sources, kerf, 0, &CutEffort::standard());
        crate::cuts::judge(&pieces, &sources, kerf, &cuts);
        let with_kerf: Vec<i64> = sizes.iter().map(|size| size + kerf).collect();
        let mut rooms: Vec<i64> = lengths.iter().map(|length| length + kerf).collect();
        let fewest = held(&with_kerf, &mut rooms, &mut vec![false; 4]);
        assert_eq!(cuts.missing.is_empty(), fewest < usize::MAX, "{sizes:?} from {lengths:?}, kerf {kerf}");
        short += usize::from(fewest == usize::MAX);
        if fewest < usize::MAX && sources.iter().all(|source| source.reel) {
            assert_eq!(
                (cuts.reels, cuts.is_proven()),
                (fewest, true),
                "{sizes:?} from {lengths:?}, kerf {kerf}"
            );
            tight += 1;
        }
    }
    assert!(200 < tight && 40 < short, "{tight} on the fewest reels, {short} without cable");
}
