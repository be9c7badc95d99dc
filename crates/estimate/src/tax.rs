//! Discount, tax and what is paid, after EN 16931: tax is worked out for each class on its whole basis, never line by line.

use quantity::Share;

use crate::{Money, Prices, mul_div_rounded};

/// Tax of one class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaxLine {
    /// The name of the class.
    pub class: String,
    /// What a client reads.
    pub title: String,
    /// Its rate; `None` for a class that the price file does not define.
    pub rate: Option<Share>,
    /// Net lines of this class, less its part of the discount.
    pub basis: Money,
    /// Tax on it.
    pub tax: Money,
}

/// The sums below the lines.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Totals {
    /// All net lines [src:EN-16931] BR-CO-10.
    pub lines: Money,
    /// Taken off them.
    pub discount: Money,
    /// Without tax [src:EN-16931] BR-CO-13.
    pub net: Money,
    /// Tax by class, in the order of the price file [src:EN-16931] BR-CO-17.
    pub taxes: Vec<TaxLine>,
    /// All tax [src:EN-16931] BR-CO-14.
    pub tax: Money,
    /// With tax [src:EN-16931] BR-CO-15.
    pub gross: Money,
    /// Added to reach a multiple of the shop's step [src:EN-16931] BT-114.
    pub rounding: Money,
    /// To pay [src:EN-16931] BR-CO-16, nothing paid before.
    pub to_pay: Money,
    /// Paid with the signature.
    pub deposit: Money,
    /// Paid on handover.
    pub balance: Money,
}

/// A sum split over parts in proportion, to the minor unit: what rounding leaves over goes to the largest remainders, the
/// first of equals. Nothing is split over parts that are all zero.
pub fn allot(sum: Money, parts: &[Money]) -> Vec<Money> {
    let whole: i128 = parts.iter().map(|part| i128::from(part.0)).sum();
    if whole == 0 {
        return vec![Money::ZERO; parts.len()];
    }
    let mut out = Vec::new();
    let mut rests: Vec<(i128, usize)> = Vec::new();
    let mut left = i128::from(sum.0);
    for (at, part) in parts.iter().enumerate() {
        let exact = i128::from(sum.0) * i128::from(part.0);
        let low = exact.div_euclid(whole);
        out.push(Money(i64::try_from(low).unwrap_or(i64::MAX)));
        rests.push((exact.rem_euclid(whole), at));
        left -= low;
    }
    rests.sort_by_key(|(rest, at)| (std::cmp::Reverse(*rest), *at));
    for (_, at) in rests {
        if left <= 0 {
            break;
        }
        out[at] += Money(1);
        left -= 1;
    }
    out
}

/// The sums of net lines, each with its tax class, after a discount on all of them together.
///
/// The discount is split over the classes in proportion, since a class is taxed on what is paid for it. A class that the
/// price file lacks bears no tax, and is told by its missing rate.
pub fn totals(lines: &[(&str, Money)], discount: Money, prices: &Prices) -> Totals {
    let mut classes: Vec<String> = prices.taxes.iter().map(|tax| tax.name.clone()).collect();
    for (class, _) in lines {
        if classes.iter().all(|known| known != class) {
            classes.push((*class).to_owned());
        }
    }
    let sums: Vec<Money> = classes
        .iter()
        .map(|class| lines.iter().filter(|(of, _)| of == class).map(|(_, net)| *net).sum())
        .collect();
    let all: Money = sums.iter().copied().sum();
    let off = allot(discount, &sums);
    let mut taxes = Vec::new();
    for ((class, sum), off) in classes.iter().zip(&sums).zip(&off) {
        if lines.iter().all(|(of, _)| of != class) {
            continue;
        }
        let known = prices.taxes.iter().find(|tax| tax.name == *class);
        let rate = known.map(|tax| tax.rate);
        let basis = *sum - *off;
        let tax = rate.map_or(0, |rate| {
            mul_div_rounded(basis.0, i128::from(rate.millionths()), i128::from(Share::WHOLE), prices.rounding)
        });
        taxes.push(TaxLine {
            class: class.clone(),
            title: known.map_or_else(|| class.clone(), |tax| tax.title.clone()),
            rate,
            basis,
            tax: Money(tax),
        });
    }
    let net = taxes.iter().map(|tax| tax.basis).sum::<Money>();
    let tax = taxes.iter().map(|tax| tax.tax).sum::<Money>();
    let gross = net + tax;
    let to_pay = stepped(gross, prices);
    let deposit = mul_div_rounded(
        to_pay.0,
        i128::from(prices.deposit.millionths()),
        i128::from(Share::WHOLE),
        prices.rounding,
    );
    Totals {
        lines: all,
        discount: all - net,
        net,
        taxes,
        tax,
        gross,
        rounding: to_pay - gross,
        to_pay,
        deposit: Money(deposit),
        balance: to_pay - Money(deposit),
    }
}

/// The nearest multiple of the shop's step.
fn stepped(sum: Money, prices: &Prices) -> Money {
    let step = prices.step.0;
    if step <= 1 {
        return sum;
    }
    Money(mul_div_rounded(sum.0, 1, i128::from(step), prices.rounding).saturating_mul(step))
}
