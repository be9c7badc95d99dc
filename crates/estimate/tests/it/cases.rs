//! Closed cases.

use estimate::{
    Amount, BandInput, BillGroup, Choice, Discount, Input, JobNeeds, LikeJob, Logged, Money, Need,
    PartsOnHand, Prices, Rate, Terms, Title, band, orders, quote, quote_csv, work,
};
use quantity::Share;

use crate::build::{act, item, mm, need, shop};

fn plugs(count: i64) -> Need {
    need("plug", BillGroup::Plugs, Amount::Pieces(count), 1)
}

fn two_things() -> (Vec<Need>, Prices) {
    let needs = vec![plugs(9), need("cable", BillGroup::Cable, mm(3_680), 420 * 1_000_000)];
    let prices = shop(vec![
        item("plug", Amount::Pieces(4), 1000, "standard"),
        item("cable", mm(100_000), 9000, "standard"),
    ]);
    (needs, prices)
}

fn told(needs: &[Need], prices: &Prices, terms: &Terms, choices: &[Choice]) -> estimate::Quote {
    let on_hand = PartsOnHand::default();
    quote(&Input { needs, acts: &[act("lead-signal", 2, 16)], prices, on_hand: &on_hand, terms, choices })
}

#[test]
fn packs_cover_what_stock_does_not() {
    let (needs, prices) = two_things();
    let mut on_hand = PartsOnHand::default();
    on_hand.add("plug", Amount::Pieces(3));
    let lines = estimate::bill(&needs, &prices, prices.margin, &mut on_hand);
    let plug = &lines[0];
    assert_eq!(
        (plug.wanted, plug.in_stock, plug.to_buy),
        (Amount::Pieces(10), Amount::Pieces(3), Amount::Pieces(7))
    );
    assert_eq!((plug.packs, plug.cost), (2, Some(Money(2000))));
    // 10 plugs at 2.50 and a quarter on top; 4.1 m at 0.90 and a quarter on top: 4.6125.
    assert_eq!([plug.net, lines[1].net], [Some(Money(3125)), Some(Money(461))]);
    assert_eq!(on_hand.0["plug"], Amount::Pieces(0));
}

#[test]
fn a_quote_adds_up_and_splits_into_deposit_and_balance() {
    let (needs, prices) = two_things();
    let terms = Terms { date: Some("2026-03-14".to_owned()), ..Terms::default() };
    let prices = Prices { valid_days: 30, ..prices };
    let quote = told(&needs, &prices, &terms, &[]);
    let titles: Vec<(&str, Title, i64)> =
        quote.lines.iter().map(|line| (line.title.as_str(), line.quantity, line.net.0)).collect();
    let leads = ("Leads: cable and plugs", Title::Set, 3586);
    let made = ("Leads, each tested and labelled at both ends", Title::Minutes(16), 1547);
    assert_eq!(titles, [leads, made]);
    let sums = &quote.totals;
    assert_eq!([sums.net, sums.tax, sums.to_pay], [5133, 1027, 6160].map(Money));
    assert_eq!([sums.deposit, sums.balance], [2464, 3696].map(Money));
    assert_eq!(quote.valid, "until 2026-04-13");
    assert!(!quote.is_at_least());
}

#[test]
fn a_missing_price_is_named_and_the_total_is_a_lower_bound() {
    let (mut needs, prices) = two_things();
    needs.push(need("grommet", BillGroup::Small, Amount::Pieces(2), 0));
    needs.push(need("strip", BillGroup::Small, Amount::Pieces(2), 0));
    let prices = Prices { hour: None, ..prices };
    let strip = item("strip", mm(5_000), 900, "standard");
    let prices = Prices { items: prices.items.into_iter().chain([strip]).collect(), ..prices };
    let quote = told(&needs, &prices, &Terms::default(), &[]);
    let gaps: Vec<&str> = quote.missing.iter().map(|gap| gap.key.as_str()).collect();
    assert_eq!(gaps, ["grommet", "strip", "hour"]);
    assert!(quote.is_at_least() && quote.lines.iter().any(|line| line.at_least && line.net == Money::ZERO));
    let csv = quote_csv(&quote, &prices);
    assert!(csv.contains("\"to pay, at least\",,,43.03,"), "{csv}");
}

#[test]
fn a_tax_class_that_is_not_there_is_missing_too() {
    let (needs, mut prices) = two_things();
    prices.items[0].tax = "standart".to_owned();
    let quote = told(&needs, &prices, &Terms::default(), &[]);
    assert_eq!(quote.missing.iter().map(|gap| gap.key.as_str()).collect::<Vec<_>>(), ["tax standart"]);
}

#[test]
fn a_choice_costs_the_difference_of_two_quotes() {
    let (needs, prices) = two_things();
    let more =
        Choice { title: "two spare plugs".to_owned(), add: vec![plugs(1)], minutes: 30, ..Choice::default() };
    let less =
        Choice { title: "no cable".to_owned(), without: vec!["cable".to_owned()], ..Choice::default() };
    let terms = Terms { discount: Discount::Share(Share::from_percent(10)), ..Terms::default() };
    let quote = told(&needs, &prices, &terms, &[more, less]);
    let [more, less] = &quote.choices[..] else { panic!("two choices") };
    // 6.25 and half an hour, 29.00, less a tenth of the lines before and after, with a fifth of tax on it.
    assert_eq!((more.letter.as_str(), more.net, more.tax, more.minutes), ("A", Money(3172), Money(634), 30));
    assert_eq!(more.to_pay, quote.totals.to_pay + more.difference);
    assert_eq!((less.net, less.minutes), (Money(-415), 0));
}

#[test]
fn logged_minutes_refine_the_plan() {
    let (_, prices) = two_things();
    let logged = |minutes, units| Logged {
        operation: "lead-signal".to_owned(),
        job: "ferry".to_owned(),
        minutes,
        units,
        date: "2026-01-20".to_owned(),
    };
    let acts = [act("lead-signal", 10, 80), act("test", 1, 90)];
    let prices = Prices { logged: vec![logged(60, 5), logged(55, 5)], ..prices };
    let lines = work(&acts, &prices);
    // (5 × 8 + 115) / 15 = 10.33 a lead.
    assert_eq!(
        (lines[0].planned, lines[0].logged, lines[0].logged_units, lines[0].minutes),
        (80, 115, 10, 103)
    );
    assert_eq!(lines[1].minutes, 90);
    let rate = Rate { operation: "test".to_owned(), minutes: 120 };
    assert_eq!(work(&acts, &Prices { rates: vec![rate], ..prices })[1].minutes, 120);
}

#[test]
fn one_list_per_supplier_covers_all_jobs_with_stock_used_once() {
    let (needs, mut prices) = two_things();
    prices.items[1].supplier = "Ansty Cable".to_owned();
    let mut on_hand = PartsOnHand::default();
    on_hand.add("plug", Amount::Pieces(12));
    let job = |name: &str| JobNeeds { job: name.to_owned(), needs: needs.clone() };
    let mut odd = job("ferry");
    odd.needs.push(need("grommet", BillGroup::Small, Amount::Pieces(2), 0));
    let (lists, missing) = orders(&[job("chapel"), odd], &prices, &on_hand);
    let names: Vec<&str> = lists.iter().map(|list| list.supplier.as_str()).collect();
    assert_eq!(names, ["Ansty Cable", "Ferrow Supply"]);
    let plug = &lists[1].lines[0];
    assert_eq!((plug.wanted, plug.in_stock, plug.packs), (Amount::Pieces(20), Amount::Pieces(12), 2));
    assert_eq!(
        plug.jobs,
        [("chapel".to_owned(), Amount::Pieces(10)), ("ferry".to_owned(), Amount::Pieces(10))]
    );
    assert_eq!((lists[0].lines[0].packs, lists[0].cost, lists[1].cost), (1, Money(9000), Money(2000)));
    assert_eq!(missing.len(), 1);
}

#[test]
fn a_band_rests_on_jobs_alike_or_on_custom() {
    let (_, prices) = two_things();
    let input = BandInput { devices: 12, footprint_mm2: 60_000, sized: 6 };
    let alone = band(&input, &[], &prices);
    assert_eq!((alone.area_mm2, alone.leads, alone.minutes), (200_000, [24, 40], [1200, 1920]));
    assert_eq!(alone.net, Some([116_000, 185_600].map(Money)));
    let job = |name: &str, devices, minutes, net| LikeJob {
        name: name.to_owned(),
        devices,
        leads: devices * 2,
        minutes,
        net: Money(net),
    };
    let like =
        [job("ferry", 10, 1000, 200_000), job("chapel", 14, 1680, 350_000), job("busker", 3, 200, 50_000)];
    let band = band(&input, &like, &prices);
    assert_eq!(band.like, ["ferry", "chapel"]);
    // (1000 − 360) · 12/10 + 360 = 1128 less a tenth; (1680 − 360) · 12/14 + 360 = 1491 and a tenth.
    assert_eq!((band.leads, band.minutes), ([24, 24], [1015, 1640]));
    // Six hours at 58.00 stay, and half of the parts: 348 + 516.66 and (2000 − 864.66) · 12/10; 348 + 938 and
    // (3500 − 1286) · 12/14; less a tenth and a tenth on top.
    assert_eq!(band.net, Some([200_436, 350_208].map(Money)));
    // One device is like none of them: all stand in, and the band is wider.
    let one = estimate::band(&BandInput { devices: 1, ..input }, &like, &prices);
    assert_eq!((one.like.len(), one.far, band.far), (3, true, false));
    // A single job like it is less proof than two: a fifth, not a tenth.
    let alone = estimate::band(&input, &like[..1], &prices);
    assert_eq!((alone.minutes, alone.far), ([902, 1354], false));
    assert!(one.minutes[0] < 360 && 400 < one.minutes[1], "{one:?}");
}

/// What is not known of an amount makes the total a lower bound, though the rest of it has a price.
#[test]
fn an_amount_that_is_not_known_in_full_is_named() {
    let (mut needs, prices) = two_things();
    assert!(!told(&needs, &prices, &Terms::default(), &[]).is_at_least());
    needs[1].open = Some("length of L08 to L11 not known".to_owned());
    let quote = told(&needs, &prices, &Terms::default(), &[]);
    let gaps: Vec<&str> = quote.missing.iter().map(|gap| gap.title.as_str()).collect();
    assert_eq!(gaps, ["a cable: length of L08 to L11 not known"]);
    assert!(quote.lines[0].at_least && quote.lines[0].net == Money(3586), "{:?}", quote.lines[0]);
    let (_, missing) =
        orders(&[JobNeeds { job: "ferry".to_owned(), needs }], &prices, &PartsOnHand::default());
    assert_eq!(missing, quote.missing);
}

/// Stock of an item counts under every key that the item serves, and cable only as its cut plan covers it.
#[test]
fn stock_covers_what_the_same_item_serves_and_what_a_plan_can_cut() {
    let (needs, mut prices) = two_things();
    prices.items[0].serves.push("plug-black".to_owned());
    let cut = |covered: Option<i64>| Need { from_stock: covered.map(mm), ..needs[1].clone() };
    for (held, need, covered) in [
        ("plug", plugs(9), Amount::Pieces(4)),
        ("plug-black", plugs(9), Amount::Pieces(4)),
        ("jack", plugs(9), Amount::Pieces(0)),
        // Metres on the reel do not count where no piece of it is long enough.
        ("cable", cut(Some(0)), mm(0)),
        ("cable", cut(Some(500)), mm(500)),
        ("cable", cut(Some(900_000)), mm(4_100)),
        ("cable", cut(None), mm(4_100)),
    ] {
        let mut on_hand = PartsOnHand::default();
        on_hand.add(held, if held == "cable" { mm(50_000) } else { Amount::Pieces(4) });
        let job = JobNeeds { job: "ferry".to_owned(), needs: vec![need.clone()] };
        let (lists, _) = orders(&[job], &prices, &on_hand);
        assert_eq!(lists[0].lines[0].in_stock, covered, "{held} for {}", need.key);
        let line = &estimate::bill(&[need], &prices, prices.margin, &mut on_hand)[0];
        assert_eq!(line.in_stock, covered, "{held} on the bill");
    }
}

#[test]
fn a_table_of_a_quote_tells_options_and_gaps_apart_from_sums() {
    let (mut needs, prices) = two_things();
    needs.push(need("grommet", BillGroup::Small, Amount::Pieces(2), 0));
    let more = Choice { title: "a spare plug".to_owned(), add: vec![plugs(1)], ..Choice::default() };
    let csv = quote_csv(&told(&needs, &prices, &Terms::default(), &[more]), &prices);
    let rows: Vec<&str> = csv.lines().collect();
    assert!(rows.contains(&"parts,\"Fastening, sleeves, labels, small parts\",1 set,,,"), "{csv}");
    assert!(rows.contains(&"option A,a spare plug,,,6.25,"), "{csv}");
}

/// What a client brings is no charge, whether pedal or supply; what the shop brings is.
#[test]
fn what_the_client_brings_is_told_without_charge() {
    let (_, mut prices) = two_things();
    prices.items.push(item("brick", Amount::Pieces(1), 8_000, "standard"));
    for (theirs, group, net) in [(true, "own", 0), (false, "supplied", 10_000)] {
        let brick = Need { theirs, ..need("brick", BillGroup::Power, Amount::Pieces(1), 0) };
        let quote = told(&[brick], &prices, &Terms::default(), &[]);
        let line = &quote.lines[0];
        assert_eq!((line.group.word(), line.net), (group, Money(net)));
    }
}
