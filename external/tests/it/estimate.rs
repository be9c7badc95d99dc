//! Bill and quote against a second count in Python, from the resolved JSON and the price file alone.

use estimate::{Amount, Discount, Input, PartsOnHand};
use quantity::{Length, Share};
use serde_json::{Value, json};

use jobs::{Draw, job};

#[path = "../../../crates/change/tests/it/jobs.rs"]
mod jobs;

/// The shop of the trials: all of it invented.
fn prices_text() -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("estimate/prices.toml");
    std::fs::read_to_string(path).expect("the price file")
}

/// A case for the peer.
fn case(name: &str, design: &design::Design, prices_text: &str, on_hand: &PartsOnHand) -> Value {
    let prices =
        document::read_prices("prices.toml", prices_text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let needs = design::needs(design);
    let acts = design::acts(design);
    let terms = design::terms(design, &prices.currency);
    let choices = design::choices(design);
    let input =
        Input { needs: &needs, acts: &acts, prices: &prices, on_hand, terms: &terms, choices: &choices };
    let quote = estimate::quote(&input);
    for choice in &quote.choices {
        assert_eq!(choice.to_pay, quote.totals.to_pay + choice.difference, "{name}");
    }
    let stock: Vec<Value> = on_hand
        .0
        .iter()
        .map(|(key, amount)| match amount {
            Amount::Pieces(count) => json!([key, "pieces", count]),
            Amount::Length(length) => json!([key, "nm", length.nm()]),
        })
        .collect();
    let percent = |share: Share| share.to_string().replace('\u{2212}', "-");
    let (discount, sum) = match terms.discount {
        Discount::Share(share) => (Some(percent(share)), None),
        Discount::Sum(sum) => (None, Some(prices.currency.plain(sum))),
        Discount::None => (None, None),
    };
    json!({
        "name": name,
        "rig": design::resolved(design, "test", ""),
        "prices": prices_text,
        "stock": stock,
        "terms": { "margin": terms.margin.map(percent), "discount": discount, "discount_sum": sum },
        "acts": acts.iter().map(|act| json!({ "operation": act.operation, "units": act.units, "minutes": act.minutes })).collect::<Vec<_>>(),
        "quote": estimate::quote_json(&quote, &prices),
    })
}

fn peer(cases: &[Value]) -> (bool, String) {
    let lines: Vec<String> = cases.iter().map(Value::to_string).collect();
    external::peer("estimate/peer.py", &[], &lines.join("\n"))
}

/// Another shop: prices, packs, tax classes and rounding by chance, some items gone.
fn shop(draw: &mut Draw) -> String {
    let mut out = String::new();
    let mut gone = false;
    for line in prices_text().lines() {
        if line == "[[item]]" {
            gone = draw.chance(10);
        } else if line.starts_with("[[") {
            gone = false;
        }
        if gone {
            continue;
        }
        let text = match line.split(" = ").next() {
            Some("price") => format!("price = \"{}.{:02}\"", draw.below(300), draw.below(100)),
            Some("pieces") => format!("pieces = {}", 1 + draw.below(40)),
            Some("tax") => format!("tax = \"{}\"", draw.pick(&["standard", "reduced"])),
            Some("hour") if draw.chance(10) => String::new(),
            Some("valid_days") => match draw.below(3) {
                0 => "rounding = \"half-even\"".to_owned(),
                1 => "step = \"0.05\"".to_owned(),
                _ => line.to_owned(),
            },
            _ => line.to_owned(),
        };
        out += &text;
        out.push('\n');
    }
    out
}

fn stock(draw: &mut Draw) -> PartsOnHand {
    let mut on_hand = PartsOnHand::default();
    for key in ["jack-flat", "label", "tie", "outlet-cap", "barrel-2.1-angled"] {
        if draw.chance(50) {
            on_hand.add(key, Amount::Pieces(i64::try_from(draw.below(60)).expect("small")));
        }
    }
    if draw.chance(50) {
        on_hand.add(
            "patch-4",
            Amount::Length(Length::from_mm(i64::try_from(draw.below(4_000)).expect("small"))),
        );
    }
    on_hand
}

fn wanted(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

#[test]
fn random_jobs_are_counted_and_priced_alike() {
    let first = wanted("BOARDWRIGHT_SEED", 1);
    let cases: Vec<Value> = (first..first + wanted("BOARDWRIGHT_JOBS", 60))
        .map(|seed| {
            let mut draw = Draw::new(seed);
            let text = job(&mut draw);
            let read = document::read_text("rig.toml", &text, None)
                .unwrap_or_else(|error| panic!("job {seed}: {error:?}\n{text}"));
            let design = design::derive(read.rig, read.limits);
            case(&format!("job {seed}"), &design, &shop(&mut draw), &stock(&mut draw))
        })
        .collect();
    let (same, text) = peer(&cases);
    assert!(same, "{text}");
    let gaps = cases.iter().filter(|case| case["quote"]["at_least"] == true).count();
    assert!(0 < gaps, "some shops lack a price");
}

#[test]
fn the_examples_are_counted_and_priced_alike() {
    let mut cases = Vec::new();
    for folder in external::examples() {
        let read =
            document::read(&folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let design = design::derive(read.rig, read.limits).laid();
        let on_hand = stock(&mut Draw::new(7));
        cases.push(case(&folder.display().to_string(), &design, &prices_text(), &on_hand));
    }
    let (same, text) = peer(&cases);
    assert!(same, "{text}");
}

#[test]
fn the_peer_notices_one_cent() {
    let text = job(&mut Draw::new(3));
    let read = document::read_text("rig.toml", &text, None).expect("it reads");
    let design = design::derive(read.rig, read.limits);
    let mut wrong = case("wrong", &design, &prices_text(), &PartsOnHand::default());
    let cents = wrong["quote"]["totals"]["tax_minor"].as_i64().expect("cents");
    wrong["quote"]["totals"]["tax_minor"] = json!(cents + 1);
    let (same, told) = peer(&[wrong]);
    assert!(!same && told.contains("net and tax"), "{told}");
}
