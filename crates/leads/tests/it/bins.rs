//! Bin packing against published optima (BPPLib's bounds for the instances of Falkenauer and of Scholl).

use leads::cut::{Packing, PackingEffort, Size, pack};

use crate::binpack::read;

fn packed(sizes: &[i64], capacity: i64) -> Packing {
    let items: Vec<Size> = sizes.iter().map(|&size| Size { size, times: 1 }).collect();
    let packing = pack(&items, capacity, &PackingEffort::standard());
    judge(sizes, capacity, &packing);
    packing
}

/// Every item once, no bin too full, and a certificate that holds: checked by other means than it was made by.
fn judge(sizes: &[i64], capacity: i64, packing: &Packing) {
    let mut seen = vec![0; sizes.len()];
    for bin in &packing.bins {
        assert!(bin.iter().map(|&at| sizes[at]).sum::<i64>() <= capacity, "a bin is too full");
        for &at in bin {
            seen[at] += 1;
        }
    }
    assert!(seen.iter().all(|&times| times == 1), "every item lies in one bin");
    let weights = &packing.certificate.weights;
    let all: i64 = weights.iter().sum();
    let heaviest = packing.certificate.heaviest;
    let proven = (all + heaviest - 1) / heaviest + i64::from(packing.exhausted);
    assert!(packing.bound <= proven, "the certificate proves {proven}, {} is claimed", packing.bound);
    // The heaviest bin by a table over the room, where that is small.
    if capacity <= 2000 {
        let mut best = vec![0_i64; usize::try_from(capacity).expect("small") + 1];
        for (&size, &weight) in sizes.iter().zip(weights) {
            let size = usize::try_from(size).expect("small");
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
            assert_eq!(packing.bins.len(), optimum(&name), "{name}");
            assert!(packing.proven(), "{name}");
        }
    }
}

#[test]
fn a_problem_that_best_fit_misses_by_three_is_solved_and_proven() {
    // One of the four here; `cargo xtask cut` runs the others.
    let instance = read(include_str!("../../../../external/binpack/HARD3.BPP")).expect("it reads").remove(0);
    let packing = packed(&instance.sizes, instance.capacity);
    assert_eq!((packing.bins.len(), packing.proven()), (optimum("HARD3"), true));
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
        assert!(packing.proven());
        assert_eq!(packing.bins.len(), fewest(&sizes, &mut Vec::new(), 100), "{sizes:?}");
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

#[test]
fn an_item_larger_than_a_bin_is_named() {
    let packing =
        pack(&[Size { size: 7, times: 1 }, Size { size: 3, times: 2 }], 6, &PackingEffort::standard());
    assert_eq!((packing.too_large, packing.bins.len()), (vec![0], 1));
}
