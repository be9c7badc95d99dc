//! Small shops and jobs to test with. Prices and suppliers are invented.

use estimate::{Act, Amount, BillGroup, Currency, Money, Need, Pack, PriceItem, Prices, Stage, TaxClass};
use quantity::{Length, Share};

/// Millimetres as an amount.
pub(crate) fn mm(mm: i64) -> Amount {
    Amount::Length(Length::from_mm(mm))
}

pub(crate) fn need(key: &str, group: BillGroup, needed: Amount, waste: i64) -> Need {
    Need { title: format!("a {key}"), waste: needed.with(waste), ..Need::new(key, group, needed) }
}

pub(crate) fn item(key: &str, pack: Amount, price: i64, tax: &str) -> PriceItem {
    PriceItem {
        name: format!("{key} of Ferrow"),
        serves: vec![key.to_owned()],
        pack: Pack(pack),
        price: Money(price),
        sale: None,
        date: "2026-02-01".to_owned(),
        supplier: "Ferrow Supply".to_owned(),
        number: None,
        tax: tax.to_owned(),
    }
}

pub(crate) fn tax(name: &str, percent: i64) -> TaxClass {
    TaxClass { name: name.to_owned(), title: format!("Tax {percent} %"), rate: Share::from_percent(percent) }
}

pub(crate) fn shop(items: Vec<PriceItem>) -> Prices {
    Prices {
        hour: Some(Money(5800)),
        work_tax: Some("standard".to_owned()),
        margin: Share::from_percent(25),
        deposit: Share::from_percent(40),
        taxes: vec![tax("standard", 20), tax("none", 0)],
        items,
        ..Prices::none(Currency::of("EUR"))
    }
}

pub(crate) fn act(operation: &str, units: u32, minutes: u32) -> Act {
    Act { operation: operation.to_owned(), title: operation.to_owned(), stage: Stage::Leads, units, minutes }
}
