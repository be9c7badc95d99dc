//! Tax and rounding against published figures.

use estimate::{Money, Prices, Rounding, allot, mul_div_rounded, totals};
use quantity::Share;

use crate::build::{shop, tax};

fn of(percent: i64) -> Prices {
    Prices { taxes: vec![tax("S", percent), tax("E", 0)], ..shop(Vec::new()) }
}

/// The worked invoice "Allowance-example" that OpenPEPPOL publishes for EN 16931 (BIS Billing 3.0, rules/examples): lines of
/// 4000, 1000 exempt and 900, a charge of 200 and an allowance of 200 in the standard class; tax basis 4900 and 1000, tax
/// 1225, 7125 with tax. There the allowance is given to one class, so here it stands as a line of that class.
#[test]
fn the_published_invoice_has_these_sums() {
    let lines = [("S", 400_000), ("E", 100_000), ("S", 90_000), ("S", 20_000), ("S", -20_000)];
    let lines = lines.map(|(class, net)| (class, Money(net)));
    let sums = totals(&lines, Money::ZERO, &of(25));
    let bases: Vec<(Money, Money)> = sums.taxes.iter().map(|tax| (tax.basis, tax.tax)).collect();
    assert_eq!(bases, [(Money(490_000), Money(122_500)), (Money(100_000), Money::ZERO)]);
    assert_eq!((sums.net, sums.tax, sums.gross), (Money(590_000), Money(122_500), Money(712_500)));
}

/// EN 16931 BR-CO-17: the tax of a class is its basis × rate, rounded to two decimals; a page that explains BR-DEC-20
/// gives 33.33 × 21 % = 6.9993 (peppolvalidator.com). Three lines of 33.33 bear tax on 99.99 together, not three times.
#[test]
fn tax_is_rounded_once_for_each_class() {
    let line = ("S", Money(3333));
    assert_eq!(totals(&[line], Money::ZERO, &of(21)).tax, Money(700));
    assert_eq!(
        totals(&[line; 3], Money::ZERO, &of(19)).tax,
        Money(1900),
        "18.9981, where lines would give 18.99"
    );
}

/// The German VAT application decree rounds down where the next digit is 4 or less and up from 5 (told by vatupdate.com,
/// 4 September 2025; the decree itself not seen).
#[test]
fn the_next_digit_decides() {
    let cents = |tenths: i64| mul_div_rounded(tenths, 1, 10, Rounding::HalfUp);
    assert_eq!([cents(1004), cents(1005), cents(1000), cents(1009)], [100, 101, 100, 101]);
}

/// Cash is paid in five-cent steps where the small coins are gone (Switzerland, Finland, Ireland: common knowledge, from
/// memory): 2 and 7 go down, 3 and 8 up. EN 16931 shows the difference as BT-114.
#[test]
fn what_is_paid_is_a_multiple_of_the_step() {
    let prices = Prices { step: Money(5), ..of(0) };
    for (sum, paid) in [(1002, 1000), (1003, 1005), (1007, 1005), (1008, 1010), (1005, 1005)] {
        let sums = totals(&[("S", Money(sum))], Money::ZERO, &prices);
        assert_eq!((sums.to_pay, sums.rounding), (Money(paid), Money(paid - sum)));
    }
}

/// A discount on all lines comes off each class in proportion: of 100, 300 and 200 a discount of 1.00 takes 17, 50 and 33
/// cents, the spare cent to the largest remainder (Hamilton's method of apportionment).
#[test]
fn a_discount_is_split_over_the_classes_to_the_cent() {
    let parts = [10_000, 30_000, 20_000].map(Money);
    assert_eq!(allot(Money(100), &parts), [17, 50, 33].map(Money));
    let lines = [("S", Money(10_000)), ("E", Money(30_000))];
    let sums = totals(&lines, Money(1001), &of(20));
    let bases: Vec<Money> = sums.taxes.iter().map(|tax| tax.basis).collect();
    assert_eq!(bases, [9750, 29_249].map(Money));
    assert_eq!(sums.tax, Money(1950));
}

/// New York City's sales tax of 8.875 % has three decimals (from memory): a share keeps four.
#[test]
fn rates_keep_their_decimals() {
    let mut prices = of(0);
    prices.taxes[0].rate = Share::from_millionths(88_750);
    assert_eq!(totals(&[("S", Money(10_000))], Money::ZERO, &prices).tax, Money(888));
}
