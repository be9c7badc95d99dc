//! Facts of the trade as cases (common practice, no source, unless said otherwise).
//!
//! Long because each case stands here with its outcome beside it, and one is read against the next.

use finding::{Change, Field, Value};
use power::assignment::Watch;
use power::verify::{BreachKind, verify};
use power::{Candidate, Config, Input, LookKind, Means, Outcome, Status, solve, solve_watched};
use rig::{Class, Device, FeedKind, Isolation, Known, Limits, Nature, Rig, Sign};

use crate::rigs::{board, brick, connector, device, digital, feed, outlet, printed, rig};

fn input(rig: &Rig) -> Input {
    Input::from_rig(rig, &Limits::default())
}

fn solved(devices: Vec<Device>) -> Outcome {
    let input = input(&rig(devices));
    let outcome = solve(&input, &Config::standard());
    assert_eq!(verify(&input, &outcome.allocation).breaches, []);
    outcome
}

fn on(outcome: &Outcome, tag: &str) -> (FeedKind, Vec<String>, i64) {
    let feed = outcome.feeds.iter().find(|feed| feed.device == tag).expect("it is fed");
    let outlets = feed.outlets.iter().map(|outlet| format!("{}.{}", outlet.brick, outlet.outlet)).collect();
    (feed.kind, outlets, feed.outlets.first().map_or(0, |outlet| outlet.setting_mv))
}

#[test]
fn two_isolated_outlets_of_twelve_volts_in_series_feed_twenty_four_at_the_lesser_current() {
    let outlets = || vec![outlet("1", &[(12.0, 500.0)]), outlet("2", &[(12.0, 150.0)])];
    let outcome = solved(vec![brick("S", outlets()), device("A", 24.0, 24.0, 150.0)]);
    assert_eq!(outcome.status, Status::Proven);
    assert_eq!(on(&outcome, "A"), (FeedKind::SeriesPair, vec!["S.1".to_owned(), "S.2".to_owned()], 12_000));
    assert_eq!(outcome.feeds[0].limit_ua, Some(150_000), "the lesser current");
    let outcome = solved(vec![brick("S", outlets()), device("A", 24.0, 24.0, 151.0)]);
    assert_eq!(outcome.status, Status::Impossible);
}

#[test]
fn two_outlets_of_nine_volts_in_series_give_eighteen_unless_they_are_joined_or_not_allowed() {
    let pair = |change: fn(&mut rig::Outlet)| {
        let mut outlets = vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 100.0)])];
        outlets.iter_mut().for_each(change);
        solved(vec![brick("S", outlets), device("A", 18.0, 18.0, 40.0)])
    };
    let outcome = pair(|_| ());
    assert_eq!(on(&outcome, "A").0, FeedKind::SeriesPair);
    assert_eq!(outcome.objective.special, 1);
    assert_eq!(pair(|outlet| outlet.isolation = printed(Isolation::Joined)).status, Status::Impossible);
    assert_eq!(pair(|outlet| outlet.series = printed(false)).status, Status::Impossible);
    assert_eq!(
        pair(|outlet| outlet.series = Known::default()).status,
        Status::Impossible,
        "unknown is not leave"
    );
}

#[test]
fn alternating_current_comes_only_from_a_source_of_it_that_gives_enough() {
    let mut thirsty = device("A", 9.0, 9.0, 1000.0);
    thirsty.power.nature = printed(Nature::Ac);
    thirsty.power.sign = Known::default();
    let source = |current: f64| {
        let mut ac = outlet("AC", &[(9.0, current)]);
        ac.nature = printed(Nature::Ac);
        ac.sign = Known::default();
        solved(vec![brick("S", vec![outlet("1", &[(9.0, 2000.0)]), ac]), thirsty.clone()])
    };
    assert_eq!(on(&source(1300.0), "A").1, ["S.AC"]);
    let refused = source(900.0);
    assert_eq!(refused.status, Status::Impossible);
    assert_eq!(refused.conflicts[0].words, "A draws 1000 mA at 9 V, and the strongest outlet gives 900 mA");
    let none = solved(vec![brick("S", vec![outlet("1", &[(9.0, 2000.0)])]), thirsty.clone()]);
    assert_eq!(none.conflicts[0].words, "A needs 9 V AC, and no outlet gives AC");
}

#[test]
fn parallel_adds_current_only_where_the_maker_allows_it() {
    let pair = |allowed: bool| {
        let mut outlets = vec![outlet("1", &[(9.0, 500.0)]), outlet("2", &[(9.0, 500.0)])];
        for outlet in &mut outlets {
            outlet.parallel = printed(allowed);
        }
        solved(vec![brick("S", outlets), digital("A", 9.0, 9.0, 800.0)])
    };
    let outcome = pair(true);
    assert_eq!(on(&outcome, "A").0, FeedKind::ParallelPair);
    assert_eq!(outcome.feeds[0].load_ua, 400_000, "half on each");
    assert_eq!(pair(false).status, Status::Impossible);
}

#[test]
fn analogue_devices_share_and_digital_ones_do_not() {
    let outlets = vec![outlet("1", &[(9.0, 100.0)])];
    let outcome =
        solved(vec![brick("S", outlets.clone()), device("A", 9.0, 9.0, 10.0), device("B", 9.0, 9.0, 20.0)]);
    assert_eq!(outcome.status, Status::Proven);
    assert_eq!(outcome.feeds[0].shares_with, ["B"]);
    assert_eq!((outcome.objective.looks, outcome.objective.special), (0, 1));
    let outcome =
        solved(vec![brick("S", outlets.clone()), device("A", 9.0, 9.0, 10.0), digital("B", 9.0, 9.0, 20.0)]);
    assert_eq!(outcome.status, Status::Impossible);
    let mut unknown = device("B", 9.0, 9.0, 20.0);
    unknown.power.class = Known::default();
    let outcome = solved(vec![brick("S", outlets), device("A", 9.0, 9.0, 10.0), unknown]);
    assert_eq!(outcome.status, Status::Impossible, "nobody knows that it is not digital");
    assert!(
        outcome.cures.iter().any(|cure| cure.name.contains("whether B is analogue")),
        "{:?}",
        outcome.cures
    );
}

#[test]
fn five_do_not_share_one_outlet() {
    let five = (0..5).map(|number| device(&format!("A{number}"), 9.0, 9.0, 5.0));
    let outcome =
        solved(std::iter::once(brick("S", vec![outlet("1", &[(9.0, 500.0)])])).chain(five).collect());
    assert_eq!(outcome.status, Status::Impossible);
    assert_eq!(outcome.unserved.len(), 1, "four of them can be served");
}

#[test]
fn a_sign_is_crossed_and_a_barrel_adapted() {
    let mut positive = device("A", 9.0, 9.0, 10.0);
    positive.power.sign = printed(Sign::CentrePositive);
    positive.ports[0].connector = Some(connector("jack-3.5-trs"));
    let outcome = solved(vec![brick("S", vec![outlet("1", &[(9.0, 100.0)])]), positive]);
    let line = &outcome.feeds[0];
    assert_eq!(line.special(), ["crossing", "barrel-adaptor"]);
    assert_eq!(line.barrel_adaptor.as_deref(), Some("jack-3.5-trs"));
    let edit = power::edits(&outcome);
    let feed = Value::table([
        ("outlets", Value::list(["S.1"])),
        ("crossing", true.into()),
        ("barrel_adaptor", "jack-3.5-trs".into()),
    ]);
    assert_eq!(edit.changes.first(), Some(&Change::set(Field::device("A", "feed"), feed)));
}

#[test]
fn positive_ground_wants_an_isolated_outlet_of_its_own() {
    let mut fuzz = device("FUZ", 9.0, 9.0, 5.0);
    fuzz.power.positive_ground = printed(true);
    let mut joined = outlet("1", &[(9.0, 100.0)]);
    joined.isolation = printed(Isolation::Joined);
    let with = |more: Vec<rig::Outlet>| {
        let outlets = std::iter::once(joined.clone()).chain(more).collect();
        solved(vec![brick("S", outlets), fuzz.clone(), device("A", 9.0, 9.0, 5.0)])
    };
    assert_eq!(with(vec![]).conflicts[0].words, "FUZ has positive ground, and no isolated outlet gives 9 V");
    let outcome = with(vec![outlet("2", &[(9.0, 100.0)])]);
    assert_eq!(on(&outcome, "FUZ").1, ["S.2"]);
    assert_eq!(on(&outcome, "A").1, ["S.1"]);
}

#[test]
fn a_digital_device_is_alone_on_outlets_with_one_negative() {
    let joined = |name: &str| {
        let mut outlet = outlet(name, &[(9.0, 500.0)]);
        outlet.isolation = printed(Isolation::Joined);
        outlet
    };
    let outcome = solved(vec![
        brick("S", vec![joined("1"), joined("2")]),
        digital("A", 9.0, 9.0, 100.0),
        device("B", 9.0, 9.0, 5.0),
    ]);
    assert_eq!(outcome.status, Status::Impossible);
    let outcome = solved(vec![
        brick("S", vec![joined("1"), joined("2")]),
        device("A", 9.0, 9.0, 100.0),
        device("B", 9.0, 9.0, 5.0),
    ]);
    assert_eq!(outcome.status, Status::Proven);
}

#[test]
fn a_brick_as_a_whole_has_a_limit() {
    let strong = |total: f64| {
        let mut made = brick("S", (1..=3).map(|n| outlet(&n.to_string(), &[(9.0, 500.0)])).collect());
        made.total = printed(quantity::Watts::of(total));
        let devices = (0..3).map(|number| digital(&format!("A{number}"), 9.0, 9.0, 300.0));
        solved(std::iter::once(made).chain(devices).collect())
    };
    // Three at 300 mA and 9 V are 8.1 W.
    assert_eq!(strong(10.0).objective.looks, 0);
    let near = strong(9.0);
    assert_eq!(near.looks.iter().map(|look| look.what).collect::<Vec<_>>(), [LookKind::BrickLoad]);
    let over = strong(8.0);
    assert_eq!(over.status, Status::Impossible);
    assert_eq!(over.conflicts[0].words, "A0, A1 and A2 draw 8.1 W together, and S gives 8.0 W in all");
}

#[test]
fn scarcity_is_told_in_numbers() {
    let outlets = vec![
        outlet("1", &[(9.0, 100.0)]),
        outlet("2", &[(9.0, 500.0)]),
        outlet("3", &[(9.0, 500.0)]),
        outlet("4", &[(9.0, 100.0)]),
    ];
    let thirsty = (0..3).map(|number| digital(&format!("D{number}"), 9.0, 9.0, 300.0));
    let outcome = solved(
        std::iter::once(brick("S", outlets)).chain([device("A", 9.0, 9.0, 10.0)]).chain(thirsty).collect(),
    );
    assert_eq!(outcome.conflicts.len(), 1);
    assert_eq!(outcome.conflicts[0].devices, ["D0", "D1", "D2"]);
    assert_eq!(
        outcome.conflicts[0].words,
        "three devices (D0, D1 and D2) need 9 V and at least 300 mA each, and only two outlets give that"
    );
}

#[test]
fn a_locked_feed_stays_and_unlocking_is_a_cure() {
    let outlets = || vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 500.0)])];
    let mut small = device("A", 9.0, 9.0, 10.0);
    small.signal.gain = Known::default();
    small.feed = Some(feed(FeedKind::Single, &["S.2"], true));
    let outcome = solved(vec![brick("S", outlets()), small.clone()]);
    assert_eq!(on(&outcome, "A").1, ["S.2"]);
    let outcome = solved(vec![brick("S", outlets()), small, digital("B", 9.0, 9.0, 300.0)]);
    assert_eq!(outcome.status, Status::Impossible);
    assert_eq!(outcome.cures[0].name, "unlock the feed of A");
    let edit = outcome.cures[0].edit.as_ref().unwrap();
    assert_eq!(edit.changes[0], Change::remove(Field::device("A", "feed.locked")));
}

#[test]
fn a_made_feed_stays_unless_more_are_fed_without_it() {
    let outlets = || vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 500.0)])];
    let fitted = |devices: Vec<rig::Device>| {
        let mut rig = rig(devices);
        let (from, to) = (rig::PortRef::new("S", "2"), rig::PortRef::new("A", "DC"));
        rig.leads.push(rig::LeadSpec { fitted: true, ..rig::LeadSpec::between(from, to) });
        solve(&input(&rig), &Config::standard())
    };
    let mut small = device("A", 9.0, 9.0, 90.0);
    small.feed = Some(feed(FeedKind::Single, &["S.2"], false));
    // A smaller outlet would leave the large one free, but the lead hangs where it hangs.
    let outcome = fitted(vec![brick("S", outlets()), small.clone(), device("B", 9.0, 9.0, 20.0)]);
    assert_eq!((on(&outcome, "A").1, on(&outcome, "B").1), (vec!["S.2".to_owned()], vec!["S.1".to_owned()]));
    assert!(outcome.unmade.is_empty() && outcome.locks.is_empty());
    // Only the large outlet carries B: A gives way, and that is said.
    let outcome = fitted(vec![brick("S", outlets()), small, digital("B", 9.0, 9.0, 300.0)]);
    assert_eq!((on(&outcome, "A").1, on(&outcome, "B").1), (vec!["S.1".to_owned()], vec!["S.2".to_owned()]));
    assert_eq!(outcome.unmade, ["A"]);
}

#[test]
fn means_that_are_not_allowed_are_a_cure() {
    let rig = rig(vec![
        brick("S", vec![outlet("1", &[(9.0, 100.0)])]),
        device("A", 9.0, 9.0, 10.0),
        device("B", 9.0, 9.0, 5.0),
    ]);
    let config = Config { means: Means { share: false, ..Means::ALL }, ..Config::standard() };
    let outcome = solve(&input(&rig), &config);
    assert_eq!(outcome.status, Status::Impossible);
    assert!(!outcome.cures.is_empty());
}

#[test]
fn a_brick_to_buy_must_fit_the_room_there_is() {
    let mm = quantity::Length::from_mm;
    let mut made = rig(vec![brick("S", vec![outlet("1", &[(9.0, 100.0)])]), digital("A", 9.0, 9.0, 300.0)]);
    let mut spare = brick("spare", vec![outlet("1", &[(9.0, 500.0)])]);
    spare.size = printed(rig::Size { width: mm(150), depth: mm(70), height: mm(25) });
    made.board.decks.push(rig::Deck {
        name: "main".to_owned(),
        shape: vec![rig::Rect { x: mm(0), y: mm(0), width: mm(200), depth: mm(120) }],
        clear_below: printed(mm(30)),
        ..rig::Deck::default()
    });
    let config =
        Config { candidates: Candidate::new(&spare, Some(5000)).into_iter().collect(), ..Config::standard() };
    // Where nothing fits a brick is told all the same, and that it needs another place.
    let has_room = |made: &Rig| {
        let outcome = solve(&input(made), &config);
        let added = outcome.cures.iter().find(|cure| matches!(cure.change, power::CureStep::Add(_)));
        !added.expect("a brick helps").name.contains("there is no room")
    };
    assert!(has_room(&made));
    made.board.decks[0].clear_below = printed(mm(27));
    assert!(!has_room(&made), "25 mm do not fit under 27 mm with 3 mm to spare");
}

#[test]
fn a_device_of_unknown_draw_keeps_an_outlet_to_itself() {
    let with = |outlets: Vec<rig::Outlet>| {
        let mut riddle = device("U", 9.0, 9.0, 10.0);
        riddle.power.current = Known::default();
        solved(vec![brick("S", outlets), riddle, device("B", 9.0, 9.0, 60.0)])
    };
    let outcome = with(vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 500.0)])]);
    assert_eq!((on(&outcome, "U").1, on(&outcome, "B").1), (vec!["S.2".to_owned()], vec!["S.1".to_owned()]));
    assert_eq!(outcome.looks.iter().map(|look| look.what).collect::<Vec<_>>(), [LookKind::Assumed]);
    assert_eq!(
        outcome.assumed[0].words,
        "nobody knows what U draws: S.2 feeds nothing else, and all 500 mA are kept for it"
    );
    assert_eq!(outcome.assumed[0].field.to_string(), "device.U.power.current");
    // One outlet for both is none: analogue devices share, but not with what nobody knows.
    let outcome = with(vec![outlet("1", &[(9.0, 500.0)])]);
    assert_eq!(outcome.status, Status::Impossible);
    assert_eq!(
        outcome.conflicts[0].words,
        "nobody knows what U needs, so it cannot share an outlet, and one outlet gives 9 V for B and U"
    );
}

#[test]
fn what_may_be_alternating_is_not_fed_but_what_it_hangs_on_is_kept() {
    let riddle = |stated: bool| {
        let mut riddle = device("U", 9.0, 9.0, 10.0);
        riddle.power.nature = Known::default();
        riddle.feed = stated.then(|| feed(FeedKind::Single, &["S.1"], false));
        let outlets = vec![outlet("1", &[(9.0, 500.0)]), outlet("2", &[(9.0, 100.0)])];
        solved(vec![brick("S", outlets), riddle, device("B", 9.0, 9.0, 5.0)])
    };
    let outcome = riddle(false);
    assert_eq!(outcome.unserved[0].device, "U");
    assert_eq!(outcome.unserved[0].lacks[0].to_string(), "device.U.power.type");
    let outcome = riddle(true);
    assert_eq!(outcome.unserved, []);
    assert_eq!(on(&outcome, "B").1, ["S.2"], "nobody is put where an unknown draws");
    assert_eq!(outcome.assumed[0].device, "U");
}

#[test]
fn polarity_and_voltage_are_taken_from_what_arrives_else_from_the_trade() {
    let riddle = |present: Option<rig::Feed>| {
        let mut riddle = device("U", 9.0, 9.0, 10.0);
        (riddle.power.volts, riddle.power.sign) = (Known::default(), Known::default());
        riddle.feed = present;
        let mut twelve = outlet("1", &[(12.0, 100.0)]);
        twelve.sign = printed(Sign::CentrePositive);
        twelve.set = printed(quantity::Volts::of(12.0));
        solved(vec![brick("S", vec![twelve, outlet("2", &[(9.0, 100.0)])]), riddle])
    };
    assert_eq!(on(&riddle(None), "U"), (FeedKind::Single, vec!["S.2".to_owned()], 9000));
    let outcome = riddle(Some(feed(FeedKind::Single, &["S.1"], false)));
    assert_eq!(on(&outcome, "U"), (FeedKind::Single, vec!["S.1".to_owned()], 12_000));
    let said: Vec<&str> = outcome.assumed.iter().map(|assumed| assumed.words.as_str()).collect();
    assert_eq!(
        said,
        [
            "nobody knows the voltage of U: 12 V taken; find out before it is plugged in",
            "nobody knows the polarity of U: centre positive taken; find out before it is plugged in"
        ]
    );
}

#[test]
fn unknown_ground_does_not_share_and_is_said_where_it_matters() {
    let two = |isolation: Isolation, outlets: i64| {
        let outlets = (1..=outlets).map(|number| {
            let mut outlet = outlet(&number.to_string(), &[(9.0, 100.0)]);
            outlet.isolation = printed(isolation);
            outlet
        });
        let devices = ["A", "B"].map(|tag| {
            let mut device = device(tag, 9.0, 9.0, 5.0);
            device.power.positive_ground = Known::default();
            device
        });
        solved(std::iter::once(brick("S", outlets.collect())).chain(devices).collect())
    };
    let apart = two(Isolation::Isolated, 2);
    assert_eq!((apart.objective.looks, apart.assumed.len()), (0, 2), "named, and nothing to look at");
    assert!(apart.assumed.iter().all(|assumed| assumed.words.contains("isolated")));
    let joined = two(Isolation::Joined, 2);
    assert_eq!(joined.looks.iter().map(|look| look.what).collect::<Vec<_>>(), [LookKind::UnknownGround; 2]);
    assert_eq!(joined.assumed.len(), 2);
    assert_eq!(
        two(Isolation::Isolated, 1).conflicts[0].words,
        "nobody knows whether A and B have positive ground, so they do not share, and one outlet gives 9 V for A and B"
    );
}

#[test]
fn a_locked_pair_stays_whoever_goes_without() {
    let strong = |name: &str| {
        let mut outlet = outlet(name, &[(9.0, 500.0)]);
        outlet.set = printed(quantity::Volts::of(9.0));
        outlet
    };
    let mut long = device("L", 18.0, 18.0, 100.0);
    long.feed = Some(feed(FeedKind::SeriesPair, &["S.1", "S.2"], true));
    let others = [digital("A", 9.0, 9.0, 100.0), digital("B", 9.0, 9.0, 100.0)];
    let outcome =
        solved([brick("S", vec![strong("1"), strong("2")]), long].into_iter().chain(others).collect());
    assert_eq!(on(&outcome, "L").0, FeedKind::SeriesPair);
    assert_eq!(outcome.unserved.iter().map(|one| one.device.as_str()).collect::<Vec<_>>(), ["A", "B"]);
    assert!(power::edits(&outcome).changes.is_empty(), "{:?}", outcome.edit);
    assert_eq!(outcome.conflicts[0].devices, ["A", "L"]);
    assert_eq!(outcome.conflicts[0].words, "L is locked to S.1 and S.2, and nothing else suits A");
}

#[test]
fn mixed_signs_are_the_reason_where_they_are() {
    let mut positive = device("B", 9.0, 9.0, 3.0);
    positive.power.sign = printed(Sign::CentrePositive);
    let outcome =
        solved(vec![brick("S", vec![outlet("1", &[(9.0, 500.0)])]), device("A", 9.0, 9.0, 3.0), positive]);
    assert_eq!(
        outcome.conflicts[0].words,
        "A is centre negative and B is centre positive, so they cannot share, and one outlet gives 9 V"
    );
}

/// A converter of 12 V and 100 mA takes 1.2 W and gives 0.96 W at the usual efficiency of 0.8.
#[test]
fn a_brick_on_a_brick_gives_no_more_than_it_takes() {
    let chain = |draw: f64, state: fn(&mut Device)| {
        let mut second = brick("T", vec![outlet("1", &[(9.0, 1000.0)])]);
        second.power = digital("T", 12.0, 12.0, 100.0).power;
        state(&mut second);
        solved(vec![brick("S", vec![outlet("1", &[(12.0, 1500.0)])]), second, digital("A", 9.0, 9.0, draw)])
    };
    let small = chain(60.0, |_| ());
    assert_eq!(on(&small, "A").1, ["T.1"]);
    let lines: Vec<(i64, i64)> = small.bricks.iter().map(|brick| (brick.load_nw, brick.takes_nw)).collect();
    assert_eq!(lines, [(1_200_000_000, 1_500_000_000), (540_000_000, 675_000_000)]);
    assert_eq!(small.assumed[0].words, "nobody knows the efficiency of T: 80 % taken");
    let large = chain(700.0, |_| ());
    assert_eq!(large.status, Status::Impossible);
    assert_eq!(large.conflicts[0].words, "A draws 6.3 W, and T gives at most 1.0 W on what it takes itself");
    // Written down, 95 % carry 126 mA at 9 V.
    assert_eq!(chain(126.0, |brick| brick.efficiency = printed(quantity::Ratio::of(0.95))).unserved, []);
    assert_eq!(chain(127.0, |brick| brick.efficiency = printed(quantity::Ratio::of(0.95))).unserved.len(), 1);
    // What it takes is worked out where nobody wrote it down: 9 W over 0.8 and 12 V are 937.5 mA.
    let unknown = chain(700.0, |brick| brick.power.current = Known::default());
    assert_eq!(unknown.feeds.iter().find(|feed| feed.device == "T").unwrap().load_ua, 937_500);
    assert_eq!(
        unknown.assumed[1].words,
        "nobody knows what T takes: 937.5 mA, what its outlets together may want"
    );
}

#[test]
fn bricks_do_not_feed_each_other_in_a_ring() {
    let ring = |tag: &str| {
        let mut made = brick(tag, vec![outlet("1", &[(12.0, 1000.0)])]);
        made.power = digital(tag, 12.0, 12.0, 100.0).power;
        made.efficiency = printed(quantity::Ratio::of(1.0));
        made
    };
    let outcome = solved(vec![ring("T"), ring("V")]);
    assert_eq!(outcome.status, Status::Impossible);
    let input = input(&rig(vec![ring("T"), ring("V")]));
    let feed = |need: usize, outlet: usize| power::Feed {
        need,
        kind: FeedKind::Single,
        outlets: vec![outlet],
        setting_mv: 12_000,
        crossing: false,
        barrel_adaptor: None,
        socket: None,
    };
    let said = verify(&input, &[feed(0, 1), feed(1, 0)]).breaches;
    assert!(said.iter().any(|breach| matches!(breach.kind, BreachKind::Ring { .. })), "{said:?}");
}

#[test]
fn a_converter_of_unknown_voltage_gives_nothing_before_it_is_fed_and_no_ring_arises() {
    let converter = |tag: &str, volts: f64, draws: f64| {
        let mut made = brick(tag, vec![outlet("1", &[(volts, 100.0)])]);
        made.power = digital(tag, 9.0, 9.0, draws).power;
        made.power.volts = Known::default();
        made
    };
    let weak = || brick("S0", vec![outlet("1", &[(9.0, 100.0)])]);
    let outcome = solved(vec![weak(), converter("T0", 18.0, 400.0), device("A0", 18.0, 18.0, 20.0)]);
    let without = |outcome: &Outcome| -> Vec<String> {
        outcome.unserved.iter().map(|device| device.device.clone()).collect()
    };
    assert_eq!(without(&outcome), ["A0", "T0"], "the 100 mA of S0.1 are too little for T0");
    let outcome = solved(vec![converter("T0", 9.0, 40.0), converter("T1", 9.0, 40.0)]);
    assert_eq!(without(&outcome), ["T0", "T1"], "neither is fed by anything but the other");
    let outcome = solved(vec![weak(), converter("T0", 18.0, 100.0), device("A0", 18.0, 18.0, 20.0)]);
    assert_eq!(outcome.unserved, [], "0.72 W on 0.9 W");
    let told = |words: &str| outcome.assumed.iter().any(|assumed| assumed.words.contains(words));
    assert!(told("9 V taken, and what it gives on is reckoned from that"), "{:?}", outcome.assumed);
    assert_eq!(outcome.bricks[1].intake_nw, Some(720_000_000));
    let outcome = solved(vec![weak(), converter("T0", 18.0, 100.0), device("A0", 18.0, 18.0, 41.0)]);
    assert_eq!(without(&outcome), ["A0"], "0.738 W are more than 0.72 W");
}

fn strip(sockets: usize) -> Device {
    let port = |number: usize| rig::Port {
        name: format!("S{number}"),
        role: printed(rig::PortRole::Mains),
        connector: Some(connector("fixed")),
        ..rig::Port::default()
    };
    let ports = (1..=sockets).map(port).collect();
    Device { tag: "STRIP".to_owned(), role: rig::Role::Strip, outside: true, ports, ..Device::default() }
}

fn alternating(tag: &str) -> Device {
    let mut made = device(tag, 9.0, 9.0, 500.0);
    made.power.nature = printed(Nature::Ac);
    made.power.sign = Known::default();
    made
}

#[test]
fn two_adaptors_are_a_cure_and_with_one_socket_only_one_of_them() {
    let devices = |sockets| {
        let small = brick("S", vec![outlet("1", &[(9.0, 100.0)])]);
        vec![small, device("A", 24.0, 24.0, 100.0), alternating("B"), strip(sockets)]
    };
    let outcome = solved(devices(3));
    let first = &outcome.cures[0];
    assert_eq!(first.name, "give adaptors of their own to A on STRIP.S1 and B on STRIP.S2");
    assert_eq!(first.follows, ["A: own adaptor on STRIP.S1", "B: own adaptor on STRIP.S2"]);
    assert_eq!((first.price.buys, first.leaves.len()), (2, 0));
    assert!(first.edit.is_some());
    let outcome = solved(devices(1));
    let first = &outcome.cures[0];
    assert_eq!(first.leaves.len(), 1, "{:?}", outcome.cures);
    assert!(first.name.contains(": feeds all but "), "{}", first.name);
    assert!(solved(devices(0)).cures.is_empty(), "no socket, no adaptor");
}

#[test]
fn a_cure_may_be_a_brick_and_an_adaptor_and_a_price_list_ranks_by_money() {
    let weak = || brick("S", vec![outlet("1", &[(9.0, 100.0)])]);
    let rig = rig(vec![weak(), digital("A", 9.0, 9.0, 400.0), alternating("B"), strip(2)]);
    let input = input(&rig);
    let strong = brick("strong", vec![outlet("1", &[(9.0, 500.0)])]);
    let with = |brick: Option<i64>, adaptor: Option<i64>| {
        let candidates = Candidate::new(&strong, brick).into_iter().collect();
        let outcome = solve(&input, &Config { candidates, adaptor_price: adaptor, ..Config::standard() });
        outcome.cures.into_iter().map(|cure| (cure.name, cure.price)).collect::<Vec<_>>()
    };
    let both = "add a “strong” and give an adaptor of its own to B on STRIP.S1";
    let adaptors = "give adaptors of their own to A on STRIP.S1 and B on STRIP.S2";
    let costly = with(Some(2000), Some(3000));
    assert!(costly[0].0.starts_with(both), "{costly:?}");
    assert_eq!((costly[0].1.money, costly[0].1.buys), (5000, 2));
    let cheap = with(Some(4000), Some(3000));
    assert_eq!((cheap[0].0.as_str(), cheap[0].1.money), (adaptors, 6000));
    let without = with(None, None);
    assert_eq!((without[0].1.unpriced, without[0].1.buys), (2, 2), "{without:?}");
    // What a way out costs stands behind it where there is a price list.
    let candidates = Candidate::new(&strong, Some(2000)).into_iter().collect();
    let half = solve(&input, &Config { candidates, ..Config::standard() });
    let told = power::text(&half, Some(&|minor| format!("{minor} cents")));
    assert!(told.contains(" (2000 cents and one thing without a price)\n"), "{told}");
    assert!(!power::text(&half, None).contains("without a price"));
}

#[test]
fn a_doubler_is_bought_with_what_it_hangs_on() {
    let mut doubler = brick("doubler", vec![outlet("1", &[(18.0, 100.0)])]);
    doubler.power = device("doubler", 9.0, 9.0, 300.0).power;
    let rig = rig(vec![brick("S", vec![outlet("1", &[(9.0, 400.0)])]), device("A", 18.0, 18.0, 60.0)]);
    let candidates = Candidate::new(&doubler, None).into_iter().collect();
    let outcome = solve(&input(&rig), &Config { candidates, ..Config::standard() });
    let first = &outcome.cures[0];
    assert!(first.name.starts_with("add a “doubler”"), "{}", first.name);
    assert_eq!(first.follows, ["A: NEW1.1 at 18 V", "NEW1: S.1 at 9 V"]);
}

#[test]
fn each_feed_says_why_and_loads_add_up_to_the_mains() {
    let outlets =
        vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 200.0)]), outlet("3", &[(12.0, 300.0)])];
    let mut rig = rig(vec![
        brick("S", outlets),
        device("A", 9.0, 9.0, 50.0),
        device("B", 9.0, 9.0, 100.0),
        device("C", 12.0, 12.0, 120.0),
        strip(2),
    ]);
    let (volts, hertz) = (quantity::Volts::of(230.0), quantity::Hertz::of(50.0));
    rig.job.mains = Some(rig::Mains { volts, hertz });
    let outcome = solve(&input(&rig), &Config::standard());
    let why = |tag: &str| outcome.feeds.iter().find(|feed| feed.device == tag).expect("fed").why.as_str();
    assert_eq!(why("C"), "no other outlet gives it 12 V DC and 120 mA");
    assert_eq!(why("A"), "S.2 feeds B; exchanged, one more thing to look at: S.1 gives 100 mA of 100 mA");
    let second = outcome.outlets.iter().find(|line| line.outlet == "2").expect("a line");
    assert_eq!((second.load_ua, second.free_ua, second.margin_permille), (100_000, 100_000, 500));
    // 0.45 + 0.9 + 1.44 W at 80 % and a power factor of 0.6.
    let whole = outcome.mains.last().expect("the whole rig");
    assert_eq!((whole.load_nw, whole.load_nva), (3_487_500_000, 5_812_500_000));
    assert_eq!(whole.load_ua, Some(25_271), "at 230 V");
    let text = power::text(&outcome, None);
    for line in [
        "outlet S.2: 100 mA of 200 mA used, 100 mA free, 50 % to spare (B)",
        "brick S: gives 270 mA, 2.8 W of 1000.0 W; takes 3.5 W, 5.8 VA, efficiency assumed",
        "mains in all: 3.5 W, 5.8 VA, 25 mA (S)",
        "proven: tightest outlet has 50 % to spare",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
}

/// The names in the first cells of the tables of a page.
fn names_of(page: &str) -> std::collections::BTreeSet<String> {
    let cell = |line: &str| Some(line.strip_prefix("| `")?.split_once('`')?.0.to_owned());
    page.lines().filter_map(cell).collect()
}

/// What `boardwright feed` prints.
fn told(outcome: &Outcome) -> serde_json::Value {
    serde_json::to_value(power::json(outcome)).expect("JSON")
}

#[test]
fn the_page_of_the_cost_has_the_names_of_the_json() {
    let page = include_str!("../../../../docs/power-cost.md");
    let small = brick("S", vec![outlet("1", &[(9.0, 100.0)])]);
    let value = told(&solved(vec![small, device("A", 24.0, 24.0, 100.0), strip(1)]));
    let cost = &value["cost"];
    let keys =
        |value: &serde_json::Value| value.as_object().expect("a table").keys().cloned().collect::<Vec<_>>();
    let terms = cost["terms"].as_array().expect("terms").iter();
    let mut names: std::collections::BTreeSet<String> =
        terms.map(|term| term["name"].as_str().expect("a name").to_owned()).collect();
    for table in ["look_weights", "limits", "assumptions"] {
        names.extend(keys(&cost[table]));
    }
    // Of a cure the figures that rank it; its other keys are words, lists and what fits.
    let words = ["name", "kinds", "leaves", "fits", "refed", "follows", "pressable"];
    names.extend(keys(&value["cures"][0]).into_iter().filter(|key| !words.contains(&key.as_str())));
    assert_eq!(names, names_of(page));
    // Each term is the one of the plain list, and says whether it is proven.
    let listed: Vec<&serde_json::Value> = value["objective"].as_object().expect("a table").values().collect();
    let told: Vec<&serde_json::Value> =
        cost["terms"].as_array().expect("terms")[1..].iter().map(|term| &term["is"]).collect();
    assert_eq!(told, listed);
    for term in cost["terms"].as_array().expect("terms") {
        assert_eq!(term["proven"], term["is"] == term["bound"], "{term}");
        let line =
            page.lines().find(|line| line.starts_with(&format!("| `{}`", term["name"].as_str().unwrap())));
        let cells: Vec<&str> = line.expect("a line").split('|').map(str::trim).collect();
        assert_eq!([cells[2], cells[3]], [term["unit"].as_str().unwrap(), term["better"].as_str().unwrap()]);
    }
}

#[test]
fn a_measured_surge_is_weighed_of_every_class() {
    let mut devices = device("A", 9.0, 9.0, 30.0);
    devices.power.surge = printed(quantity::Milliamps::of(1500.0));
    let outlets = || vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 2000.0)])];
    assert_eq!(on(&solved(vec![brick("S", outlets()), devices.clone()]), "A").1, ["S.2"]);
    let weak = solved(vec![brick("S", outlets().into_iter().take(1).collect()), devices]);
    assert_eq!(weak.looks.iter().map(|look| look.what).collect::<Vec<_>>(), [LookKind::StartSurge]);
}

#[test]
fn how_many_share_an_outlet_is_a_setting() {
    let three = || (0..3).map(|number| device(&format!("A{number}"), 9.0, 9.0, 5.0));
    let made = rig(std::iter::once(brick("S", vec![outlet("1", &[(9.0, 500.0)])])).chain(three()).collect());
    let served = |most: f64| {
        let limits = Limits { outlet_share_most: quantity::Devices::of(most), ..Limits::default() };
        3 - solve(&Input::from_rig(&made, &limits), &Config::standard()).unserved.len()
    };
    assert_eq!([1.0, 2.0, 3.0].map(served), [1, 2, 3]);
}

#[test]
fn usb_leads_and_snaps_are_ordinary_and_their_plugs_are_written() {
    let mut small = digital("A", 5.0, 5.0, 50.0);
    small.ports[0].connector = Some(connector("usb-b"));
    let mut supply = brick("S", vec![outlet("1", &[(5.0, 1000.0)])]);
    supply.ports[0].connector = Some(connector("usb-c"));
    let outcome = solved(vec![supply, small]);
    assert_eq!(outcome.objective.special, 0);
    let feed = Value::table([
        ("outlets", Value::list(["S.1"])),
        ("plug", "usb-b".into()),
        ("outlet_plug", "usb-c".into()),
    ]);
    assert_eq!(power::edits(&outcome).changes[0], Change::set(Field::device("A", "feed"), feed));
}

#[test]
fn a_surge_is_weighed() {
    let one = |surge: Option<f64>, gives: f64| {
        let mut late = digital("A", 9.0, 9.0, 300.0);
        late.power.surge = surge.map_or_else(Known::default, |surge| printed(quantity::Milliamps::of(surge)));
        solved(vec![brick("S", vec![outlet("1", &[(9.0, gives)])]), late]).looks.len()
    };
    assert_eq!(one(None, 450.0), 0);
    assert_eq!(one(None, 449.0), 1);
    assert_eq!(one(Some(390.0), 400.0), 0);
    assert_eq!(one(Some(410.0), 400.0), 1);
    let mut analogue = device("A", 9.0, 9.0, 300.0);
    analogue.power.class = printed(Class::Analogue);
    assert_eq!(solved(vec![brick("S", vec![outlet("1", &[(9.0, 400.0)])]), analogue]).looks, []);
}

#[test]
fn settings_are_chosen_and_written() {
    let mut settable = outlet("1", &[(9.0, 300.0), (12.0, 250.0)]);
    settable.set = printed(quantity::Volts::of(9.0));
    let outcome = solved(vec![brick("S", vec![settable]), device("A", 12.0, 12.0, 50.0)]);
    assert_eq!(on(&outcome, "A").2, 12_000);
    let set = power::edits(&outcome)
        .changes
        .into_iter()
        .find(|change| change.field().to_string() == "device.S.outlet.1.set");
    assert_eq!(set.as_ref().and_then(Change::to), Some(&Value::from("12 V")));
}

#[test]
fn an_edit_changes_only_what_differs() {
    let mut fed = device("A", 9.0, 9.0, 50.0);
    fed.feed = Some(feed(FeedKind::Single, &["S.1"], false));
    let mut one = outlet("1", &[(9.0, 300.0)]);
    one.set = printed(quantity::Volts::of(9.0));
    let outcome = solved(vec![brick("S", vec![one]), fed]);
    assert_eq!(power::edits(&outcome).changes, []);
}

#[test]
fn the_verifier_refuses_what_is_wrong() {
    let made = rig(vec![
        brick("S", vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(12.0, 100.0)])]),
        device("A", 9.0, 9.0, 50.0),
        digital("B", 9.0, 9.0, 60.0),
    ]);
    let input = input(&made);
    let good = power::Feed {
        need: 0,
        kind: FeedKind::Single,
        outlets: vec![0],
        setting_mv: 9000,
        crossing: false,
        barrel_adaptor: None,
        socket: None,
    };
    let breaches = |feeds: &[power::Feed]| verify(&input, feeds).breaches.len();
    assert_eq!(breaches(std::slice::from_ref(&good)), 0);
    assert_eq!(verify(&input, std::slice::from_ref(&good)).unfed, ["B"]);
    for bad in [
        power::Feed { outlets: vec![1], setting_mv: 12_000, ..good.clone() },
        power::Feed { outlets: vec![1], ..good.clone() },
        power::Feed { outlets: vec![], ..good.clone() },
        power::Feed { crossing: true, ..good.clone() },
        power::Feed { barrel_adaptor: Some("x".to_owned()), ..good.clone() },
        power::Feed { kind: FeedKind::Adaptor, outlets: vec![], ..good.clone() },
    ] {
        assert!(0 < breaches(std::slice::from_ref(&bad)), "{bad:?}");
    }
    assert!(
        0 < breaches(&[good.clone(), power::Feed { need: 1, ..good.clone() }]),
        "digital, shared, and too much"
    );
    assert!(0 < breaches(&[good.clone(), good]), "fed twice");
}

/// Stops at a node.
struct At(u64);

impl Watch for At {
    fn stop(&self, nodes: u64) -> bool {
        self.0 <= nodes
    }
}

#[test]
fn a_cancelled_outcome_names_the_nodes_that_give_it_again() {
    let input = input(&board(2));
    let config = Config::standard();
    let cancelled = solve_watched(&input, &config, &At(4));
    assert_eq!(cancelled.status, Status::Cancelled);
    assert_eq!(verify(&input, &cancelled.allocation).breaches, []);
    let again = solve(&input, &Config { nodes: cancelled.nodes, ..config });
    assert_eq!(again.allocation, cancelled.allocation);
    assert_eq!(again.objective, cancelled.objective);
}

#[test]
fn the_json_has_the_keys_that_are_promised() {
    let value =
        told(&solved(vec![brick("S", vec![outlet("1", &[(9.0, 100.0)])]), device("A", 9.0, 9.0, 50.0)]));
    let keys: Vec<&String> = value.as_object().unwrap().keys().collect();
    assert_eq!(
        keys,
        [
            "status",
            "objective",
            "bound",
            "cost",
            "looks",
            "feeds",
            "outlets",
            "mains",
            "banks",
            "bricks",
            "distances_mm",
            "locks",
            "unmade",
            "assumed",
            "unchecked",
            "unserved",
            "conflict",
            "cures",
            "cures_cut_short",
            "cures_untold",
            "cures_untold_counted",
            "cures_cheapest_proven"
        ]
    );
    let keys: Vec<&String> = value["feeds"][0].as_object().unwrap().keys().collect();
    assert_eq!(
        keys,
        [
            "device",
            "kind",
            "outlets",
            "load_ma",
            "limit_ma",
            "margin_permille",
            "why",
            "lost_v",
            "requirement",
            "lead"
        ]
    );
    assert_eq!(value["feeds"][0]["outlets"][0]["setting_v"], 9.0);
    assert_eq!(value["feeds"][0]["requirement"]["current_ma"]["from"], "printed");
}

#[test]
fn a_share_that_costs_a_look_is_found_beside_a_converter() {
    let joined = |name: &str, current| {
        let mut one = outlet(name, &[(9.0, current)]);
        one.isolation = printed(Isolation::Joined);
        one
    };
    let mut converter = brick("T0", vec![joined("1", 250.0)]);
    converter.power = digital("T0", 9.0, 18.0, 103.0).power;
    let mut held = device("T1", 9.0, 9.0, 10.0);
    held.power.current = Known::default();
    held.power.volts = Known::default();
    held.power.sign = Known::default();
    held.power.positive_ground = Known::default();
    held.feed = Some(feed(FeedKind::Single, &["S0.2"], true));
    let outcome = solved(vec![
        brick("S0", vec![joined("2", 300.0), joined("3", 500.0)]),
        converter,
        held,
        device("A2", 9.0, 9.0, 95.0),
        device("A3", 9.0, 9.0, 35.0),
    ]);
    let without: Vec<&str> = outcome.unserved.iter().map(|device| device.device.as_str()).collect();
    assert_eq!(without, ["T0"], "A2 and A3 share S0.3, which is worth a look");
}

/// A device that wants 9 V AC and hangs on a unit of its own with one outlet of that kind, which the document writes down.
fn with_own_unit(ac: bool, volts: f64, locked: bool) -> Vec<rig::Device> {
    let mut own = outlet("1", &[(volts, 100.0)]);
    own.nature = printed(if ac { rig::Nature::Ac } else { rig::Nature::Dc });
    let mut fed = device("A", 9.0, 9.0, 1000.0);
    fed.power.nature = printed(rig::Nature::Ac);
    fed.feed = Some(feed(FeedKind::Adaptor, &["ADP.1"], locked));
    vec![
        brick("S", vec![outlet("1", &[(9.0, 500.0)])]),
        brick("ADP", vec![own]),
        fed,
        device("B", 9.0, 9.0, 50.0),
    ]
}

#[test]
fn an_own_adaptor_written_as_a_unit_is_no_brick_and_feeds_nobody_else() {
    let outcome = solved(with_own_unit(true, 9.0, false));
    assert_eq!(outcome.status, Status::Proven);
    let line = &outcome.feeds[0];
    assert_eq!((line.kind, line.socket.clone()), (FeedKind::Adaptor, Some(rig::PortRef::new("ADP", "1"))));
    assert_eq!(on(&outcome, "B").1, ["S.1"]);
    // Nothing to look at: it is the maker's; of leads it is one out of the ordinary.
    assert_eq!((outcome.objective.looks, outcome.objective.special), (0, 1));
    assert!(outcome.bricks.iter().all(|brick| brick.brick != "ADP"), "{:?}", outcome.bricks);
    let mains = outcome.mains.last().expect("the whole rig");
    assert_eq!(mains.takers, ["S", "A"], "each once");
}

#[test]
fn an_own_adaptor_that_does_not_suit_is_no_feed() {
    for locked in [false, true] {
        for (ac, volts, gives) in [(false, 9.0, "9 V DC"), (true, 12.0, "12 V AC")] {
            let outcome = solved(with_own_unit(ac, volts, locked));
            assert_eq!(outcome.status, Status::Impossible, "{gives}");
            let words = format!("A needs 9 V AC, and its own adaptor gives {gives}");
            assert_eq!(outcome.conflicts[0].words, words);
        }
    }
}

#[test]
fn nobody_leaves_its_own_outlet_for_a_shared_one() {
    // Two share because they must; the third has an outlet of its own, however near the shared one is.
    let mut loaded = outlet("2", &[(9.0, 500.0)]);
    loaded.nature = printed(rig::Nature::Ac);
    let outlets = vec![outlet("1", &[(9.0, 500.0)]), loaded, outlet("3", &[(9.0, 500.0)])];
    let three: Vec<_> = ["A", "B", "C"].map(|tag| device(tag, 9.0, 9.0, 10.0)).into();
    let outcome = solved(std::iter::once(brick("S", outlets)).chain(three).collect());
    let used: std::collections::BTreeSet<_> =
        ["A", "B", "C"].map(|tag| on(&outcome, tag).1[0].clone()).into();
    assert_eq!(used.len(), 2, "{used:?}");
    assert_eq!(outcome.objective.special, 1, "one leg more than outlets");
}
