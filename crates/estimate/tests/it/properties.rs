//! What holds for every shop and job.

use estimate::{
    Amount, BillGroup, Discount, Input, JobNeeds, Money, Need, PartsOnHand, Prices, Rounding, Terms, allot,
    mul_div_rounded, orders, quote,
};
use proptest::prelude::*;
use quantity::Share;

use crate::build::{act, item, need, shop};

const KEYS: [&str; 5] = ["plug", "label", "sleeve", "brick", "case"];

fn needs() -> impl Strategy<Value = Vec<Need>> {
    let group = |at: usize| {
        [BillGroup::Plugs, BillGroup::Small, BillGroup::Small, BillGroup::Power, BillGroup::Board][at]
    };
    let one = (0..KEYS.len(), 0_i64..200, 0_i64..20)
        .prop_map(move |(at, count, waste)| need(KEYS[at], group(at), Amount::Pieces(count), waste));
    prop::collection::vec(one, 0..8)
}

fn prices() -> impl Strategy<Value = Prices> {
    let packs = prop::collection::vec((1_i64..50, 0_i64..100_000, any::<bool>()), KEYS.len());
    let shares = (0_i64..1_000_000, 0_i64..400_000, 0_i64..1_000_000);
    (packs, shares, 0_i64..30, any::<bool>()).prop_map(|(packs, (margin, rate, deposit), step, even)| {
        let items = packs.into_iter().zip(KEYS).map(|((pack, price, taxed), key)| {
            item(key, Amount::Pieces(pack), price, if taxed { "standard" } else { "none" })
        });
        let mut prices = shop(items.collect());
        prices.margin = Share::from_millionths(margin);
        prices.deposit = Share::from_millionths(deposit);
        prices.taxes[0].rate = Share::from_millionths(rate);
        prices.step = Money(step);
        prices.rounding = if even { Rounding::HalfEven } else { Rounding::HalfUp };
        prices
    })
}

fn stock() -> impl Strategy<Value = PartsOnHand> {
    prop::collection::vec((0..KEYS.len(), 0_i64..60), 0..4).prop_map(|held| {
        let mut on_hand = PartsOnHand::default();
        for (at, count) in held {
            on_hand.add(KEYS[at], Amount::Pieces(count));
        }
        on_hand
    })
}

proptest! {
    #[test]
    fn sums_are_sums(needs in needs(), prices in prices(), on_hand in stock(), off in 0_i64..500_000, minutes in 0_u32..3000) {
        let terms = Terms { discount: Discount::Sum(Money(off)), ..Terms::default() };
        let acts = [act("lead-signal", 3, minutes)];
        let made = quote(&Input { needs: &needs, acts: &acts, prices: &prices, on_hand: &on_hand, terms: &terms, choices: &[] });
        let sums = &made.totals;
        let lines: Money = made.lines.iter().map(|line| line.net).sum();
        prop_assert_eq!(sums.lines, lines);
        prop_assert_eq!(sums.net, lines - sums.discount);
        prop_assert!(sums.discount <= Money(off) && Money::ZERO <= sums.net);
        prop_assert_eq!(sums.net, sums.taxes.iter().map(|tax| tax.basis).sum::<Money>());
        prop_assert_eq!(sums.gross, sums.net + sums.tax);
        prop_assert_eq!(sums.to_pay, sums.gross + sums.rounding);
        prop_assert_eq!(sums.to_pay, sums.deposit + sums.balance);
        if 1 < prices.step.0 {
            prop_assert_eq!(sums.to_pay.0 % prices.step.0, 0);
            prop_assert!(sums.rounding.0.abs() * 2 <= prices.step.0);
        }
    }

    #[test]
    fn packs_hold_what_is_wanted_and_no_pack_is_idle(needs in needs(), prices in prices(), on_hand in stock()) {
        let job = JobNeeds { job: "one".to_owned(), needs: needs.clone() };
        let (lists, missing) = orders(&[job], &prices, &on_hand);
        prop_assert!(missing.is_empty());
        for line in lists.iter().flat_map(|list| &list.lines) {
            let (wanted, have) = (line.wanted.units(), line.in_stock.units() + line.packs * line.pack.units());
            prop_assert!(wanted <= have && (line.packs == 0 || have - line.pack.units() < wanted));
            prop_assert_eq!(wanted, needs.iter().filter(|need| need.key == line.key).map(|need| need.wanted().units()).sum::<i64>());
        }
    }

    #[test]
    fn two_jobs_together_never_need_more_packs(a in needs(), b in needs(), prices in prices(), on_hand in stock()) {
        let cost = |jobs: &[&Vec<Need>]| {
            let jobs: Vec<JobNeeds> = jobs.iter().map(|needs| JobNeeds { job: "j".to_owned(), needs: (*needs).clone() }).collect();
            orders(&jobs, &prices, &on_hand).0.iter().map(|list| list.cost).sum::<Money>()
        };
        let bare = PartsOnHand::default();
        let alone = orders(&[JobNeeds { job: "b".to_owned(), needs: b.clone() }], &prices, &bare).0;
        prop_assert!(cost(&[&a, &b]) <= cost(&[&a]) + alone.iter().map(|list| list.cost).sum::<Money>());
    }

    #[test]
    fn a_split_loses_no_cent_and_is_nearly_in_proportion(sum in 0_i64..10_000_000, parts in prop::collection::vec(0_i64..10_000_000, 1..6)) {
        let money: Vec<Money> = parts.iter().copied().map(Money).collect();
        let split = allot(Money(sum), &money);
        let whole: i64 = parts.iter().sum();
        prop_assert_eq!(split.iter().map(|part| part.0).sum::<i64>(), if whole == 0 { 0 } else { sum });
        for (part, got) in parts.iter().zip(&split).filter(|_| 0 < whole) {
            let off = i128::from(got.0) * i128::from(whole) - i128::from(sum) * i128::from(*part);
            prop_assert!(off.abs() < i128::from(whole));
        }
    }

    #[test]
    fn rounding_is_never_off_by_more_than_half(value in -1_000_000_i64..1_000_000, up in 1_i128..10_000, down in 1_i128..10_000, even in any::<bool>()) {
        let rounding = if even { Rounding::HalfEven } else { Rounding::HalfUp };
        let off = i128::from(mul_div_rounded(value, up, down, rounding)) * down - i128::from(value) * up;
        prop_assert!(off.abs() * 2 <= down);
    }
}
