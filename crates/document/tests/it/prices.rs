//! Price files: what is read, and what is refused with which words.

use document::{HeldPart, ReadError, add_parts, read_prices, read_stock};
use estimate::{Amount, Money};
use quantity::Length;

pub(crate) const SMALL: &str = r#"currency = "EUR"
hour = "58.00"
work_tax = "standard"
margin = "22.5 %"

[tax.standard]
rate = "20 %"

[[item]]
name = "flat plug"
serves = ["jack-flat"]
pieces = 10
price = "27.90"
date = "2026-02-03"
supplier = "Ferrow Supply"
tax = "standard"

[[item]]
name = "reel"
serves = ["patch-4"]
length = "100 m"
price = "84"
date = "2026-02-03"
supplier = "Ferrow Supply"
tax = "standard"
"#;

fn refused(text: &str) -> Vec<String> {
    match read_prices("prices.toml", text) {
        Err(ReadError::Problems { problems, files }) => problems
            .iter()
            .map(|problem| format!("{} {}", files.place(&problem.at), problem.message))
            .collect(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_price_file_is_read_in_minor_units() {
    let prices = read_prices("prices.toml", SMALL).expect("it reads");
    assert_eq!((prices.hour, prices.margin.millionths()), (Some(Money(58_00)), 225_000));
    let packs: Vec<(Amount, Money)> = prices.items.iter().map(|item| (item.pack.0, item.price)).collect();
    let reel = Amount::Length(Length::from_mm(100_000));
    assert_eq!(packs, [(Amount::Pieces(10), Money(27_90)), (reel, Money(84_00))]);
    let yen = read_prices(
        "prices.toml",
        &SMALL.replace("EUR", "JPY").replace("58.00", "5800").replace("27.90", "2790"),
    );
    assert_eq!(yen.expect("it reads").hour, Some(Money(5800)));
}

#[test]
fn each_slip_is_told_with_its_place() {
    let slips = [
        ("\"27.90\"", "\"27,90\"", "prices.toml:13:9 `price` of item: `27,90` has a comma"),
        ("\"27.90\"", "\"27.905\"", "prices.toml:13:9 `price` is 27.905; EUR has 2 decimals"),
        ("\"27.90\"", "\"-1\"", "prices.toml:13:9 `price` of item is `-1`; it may not be below zero"),
        ("EUR", "euro", "prices.toml:1:12 `euro` is not a currency"),
        (
            "work_tax = \"standard\"",
            "work_tax = \"standart\"",
            "prices.toml:3:12 there is no tax class `standart`",
        ),
        ("pieces = 10", "pieces = 0", "a pack of `flat plug` holds nothing"),
        ("pieces = 10", "pieces = 10\nlength = \"1 m\"", "a pack of `flat plug` holds pieces and a length"),
        ("\"reel\"", "\"flat plug\"", "the name `flat plug` is used twice"),
        ("\"patch-4\"", "\"jack-flat\"", "`jack-flat` of `reel` is served by another item already"),
        ("supplier = \"Ferrow Supply\"\n", "", "`supplier` is missing in item"),
        ("rate = \"20 %\"", "rate = \"20\"", "prices.toml:7:8 `rate` of tax class: `20` has no unit"),
        ("2026-02-03", "2026-02-31", "prices.toml:14:8 `date` is 2026-02-31; the calendar has no such day"),
        (
            "margin = \"22.5 %\"",
            "deposit = \"150 %\"",
            "prices.toml:4:11 `deposit` is 150 %; allowed is at most",
        ),
        ("margin", "marge", "`marge` is not a key of prices"),
    ];
    for (was, is, want) in slips {
        let told = refused(&SMALL.replacen(was, is, 1));
        assert!(told.iter().any(|line| line.contains(want)), "{is}: {told:?}");
    }
}

#[test]
fn parts_that_come_in_add_to_what_is_there() {
    let part = |name: &str, amount| HeldPart { name: name.to_owned(), amount };
    let before = "# By the door.\n\n[[part]]\nname = \"jack-flat\"   # the good ones\npieces = 3\n";
    let more = [
        part("jack-flat", Amount::Pieces(10)),
        part("strip", Amount::Length(Length::from_mm(500))),
        part("strip", Amount::Length(Length::from_mm(250))),
    ];
    let after = add_parts(before, &more).expect("it is written");
    assert!(after.starts_with("# By the door.\n") && after.contains("# the good ones"), "{after}");
    let stock = read_stock("stock.toml", &after).expect("it reads");
    let strip = Amount::Length(Length::from_mm(750));
    assert_eq!(stock.parts, [part("jack-flat", Amount::Pieces(13)), part("strip", strip)]);
    assert_eq!(stock.on_hand().0["jack-flat"], Amount::Pieces(13));
}

#[test]
fn a_part_says_pieces_or_a_length() {
    for text in ["pieces = 1\nlength = \"1 m\"\n", ""] {
        let text = format!("[[part]]\nname = \"strip\"\n{text}");
        assert!(read_stock("stock.toml", &text).is_err(), "{text}");
    }
}
