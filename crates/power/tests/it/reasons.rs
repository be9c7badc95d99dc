//! Why devices cannot be fed: the true reason, and what nobody knows of the outlets.

use power::{Config, Input, Outcome, solve};
use quantity::{Ratio, Watts};
use rig::{Device, FeedKind, Known, Limits, Port, PortRole, Sign};

use crate::rigs::{brick, connector, device, digital, feed, outlet, printed, rig};

fn solved(devices: Vec<Device>) -> Outcome {
    solve(&Input::from_rig(&rig(devices), &Limits::default()), &Config::standard())
}

fn words(outcome: &Outcome) -> Vec<&str> {
    outcome.conflicts.iter().map(|conflict| conflict.words.as_str()).collect()
}

fn positive(mut device: Device) -> Device {
    device.power.sign = printed(Sign::CentrePositive);
    device
}

/// A converter from 9 V to 9 V that is locked to an outlet.
fn converter(tag: &str, milliamps: f64, on: &str) -> Device {
    let mut device = brick(tag, vec![outlet("1", &[(9.0, 300.0)])]);
    device.power = digital("x", 9.0, 9.0, milliamps).power;
    device.efficiency = printed(Ratio::of(0.9));
    device.ports.push(Port {
        name: "IN".to_owned(),
        role: printed(PortRole::Power),
        connector: Some(connector("barrel-5.5-2.1")),
        ..Port::default()
    });
    device.feed = Some(feed(FeedKind::Single, &[on], true));
    device
}

#[test]
fn supplies_that_are_locked_to_each_other_are_a_ring_and_each_is_told_alone() {
    for (tags, said) in [
        (&["P", "Q"][..], "P and Q are locked to each other in a ring, so neither gets anything"),
        (
            &["P", "Q", "R"][..],
            "P, Q and R are locked to each other in a ring, so none of them gets anything",
        ),
    ] {
        let next = |place: usize| format!("{}.1", tags[(place + 1) % tags.len()]);
        let devices =
            tags.iter().enumerate().map(|(place, tag)| converter(tag, 100.0, &next(place))).collect();
        let outcome = solved(devices);
        assert_eq!(outcome.unserved.len(), tags.len());
        for conflict in &outcome.conflicts {
            assert_eq!((conflict.devices.len(), conflict.words.as_str()), (1, said));
        }
        assert!(outcome.unserved.iter().all(|device| device.why == said));
    }
}

/// What hangs on a supply that gets nothing is told so.
#[test]
fn a_device_that_only_an_unfed_supply_could_feed_is_told_so() {
    let outcome = solved(vec![
        converter("P", 100.0, "Q.1"),
        converter("Q", 100.0, "P.1"),
        digital("A", 9.0, 9.0, 20.0),
    ]);
    let why = outcome.unserved.iter().find(|device| device.device == "A").map(|device| device.why.as_str());
    assert_eq!(why, Some("only P and Q could feed A, and P and Q get no feed"));
}

#[test]
fn two_of_one_polarity_draw_too_much_and_are_not_told_of_polarity() {
    let outcome = solved(vec![
        brick("S", vec![outlet("1", &[(9.0, 100.0)])]),
        device("A", 9.0, 9.0, 60.0),
        device("B", 9.0, 9.0, 60.0),
    ]);
    assert_eq!(
        words(&outcome),
        ["A and B draw 120 mA together, and the one outlet that gives 9 V gives 100 mA"]
    );
    // With mixed signs as well: the signs are the reason only where one sign would be enough.
    let two = || brick("S", vec![outlet("1", &[(9.0, 100.0)]), outlet("2", &[(9.0, 100.0)])]);
    let outcome = solved(vec![
        two(),
        device("A", 9.0, 9.0, 60.0),
        device("B", 9.0, 9.0, 60.0),
        positive(device("C", 9.0, 9.0, 10.0)),
    ]);
    assert_eq!(
        words(&outcome),
        [
            "A and B are centre negative and C is centre positive, so they cannot share, and only two outlets give 9 V"
        ]
    );
    let outcome = solved(vec![
        two(),
        device("A", 9.0, 9.0, 60.0),
        device("B", 9.0, 9.0, 60.0),
        positive(device("C", 9.0, 9.0, 60.0)),
    ]);
    assert_eq!(
        words(&outcome),
        [
            "A, B and C draw 180 mA together, and however they share the two outlets that give 9 V, one of these would give more than it can: 100 mA at most"
        ]
    );
}

#[test]
fn powers_that_round_to_the_same_are_told_with_more_digits() {
    let mut supply = brick("S", vec![outlet("1", &[(9.0, 300.0)]), outlet("2", &[(9.0, 300.0)])]);
    supply.total = printed(Watts::of(4.5));
    let outcome = solved(vec![supply, digital("A", 9.0, 9.0, 251.0), digital("B", 9.0, 9.0, 251.0)]);
    assert_eq!(words(&outcome), ["A and B draw 4.52 W together, and S gives 4.50 W in all"]);
}

#[test]
fn a_lock_that_does_not_suit_says_why() {
    let with = |change: &dyn Fn(&mut Device, &mut rig::Outlet)| {
        let mut a = digital("A", 9.0, 9.0, 90.0);
        let mut of = outlet("1", &[(9.0, 100.0)]);
        change(&mut a, &mut of);
        a.feed = Some(feed(FeedKind::Single, &["S.1"], true));
        words(&solved(vec![brick("S", vec![of]), a])).join("; ")
    };
    let weak = with(&|a, _| a.power.current = printed(quantity::Milliamps::of(150.0)));
    assert_eq!(weak, "A is locked to S.1, which gives 100 mA, and it draws 150 mA");
    let mut pair = digital("P", 9.0, 9.0, 250.0);
    pair.feed = Some(feed(FeedKind::ParallelPair, &["S.1", "S.2"], true));
    let both = ["1", "2"].map(|name| {
        let mut one = outlet(name, &[(9.0, 100.0)]);
        one.parallel = printed(true);
        one
    });
    let weak = words(&solved(vec![brick("S", both.to_vec()), pair])).join("; ");
    assert_eq!(weak, "P is locked to S.1 and S.2, each of which gives 100 mA, and it draws 125 mA of each");
    let ac = with(&|_, of| of.nature = printed(rig::Nature::Ac));
    assert_eq!(ac, "A is locked to S.1, which gives AC, and it needs DC");
    let sign = with(&|a, _| a.power.sign = printed(Sign::CentrePositive));
    assert_eq!(sign, "A is locked to S.1, from which centre negative arrives, and it needs centre positive");
    let ground = with(&|a, of| {
        a.power.positive_ground = printed(true);
        of.isolation = printed(rig::Isolation::Joined);
    });
    assert_eq!(ground, "A is locked to S.1, which is not isolated, and it has positive ground");
    let unknown = with(&|_, of| of.settings[0].current = Known::default());
    assert_eq!(unknown, "A is locked to S.1, which is not checked: find out current of outlet 1 on S");
}

/// Each value that may be unknown: the outlet is named, and who could hang on it alone.
#[test]
fn an_outlet_of_which_a_value_is_unknown_is_not_checked_and_says_what_to_find_out() {
    let with = |change: &dyn Fn(&mut rig::Outlet)| {
        let mut of = outlet("2", &[(12.0, 500.0)]);
        change(&mut of);
        solved(vec![brick("S", vec![outlet("1", &[(9.0, 100.0)]), of]), digital("A", 12.0, 12.0, 90.0)])
    };
    for (change, value) in [
        (
            &(|of: &mut rig::Outlet| of.settings[0].current = Known::default()) as &dyn Fn(&mut rig::Outlet),
            "current of outlet 2 on S",
        ),
        (&|of: &mut rig::Outlet| of.sign = Known::default(), "polarity of outlet 2 on S"),
        (&|of: &mut rig::Outlet| of.nature = Known::default(), "type of outlet 2 on S"),
    ] {
        let outcome = with(change);
        let unchecked: Vec<&str> = outcome.unchecked.iter().map(|outlet| outlet.words.as_str()).collect();
        assert_eq!(unchecked.len(), 1, "{value}");
        assert!(unchecked[0].starts_with("S.2 feeds nobody; find out"), "{unchecked:?}");
        assert!(outcome.text_has("not checked: S.2 feeds nobody"), "{value}");
        let said = words(&outcome).join("; ");
        assert!(
            said.starts_with(
                "A needs 12 V DC, and no outlet is known to give that; S.2 might and is not checked: find out"
            ),
            "{said}"
        );
        let last = value.split(' ').next().unwrap_or_default();
        assert!(said.contains(last) || last == "type", "{said}");
    }
    // Too weak for it whatever is found out: then it is not told as a hope.
    let mut of = outlet("2", &[(12.0, 50.0)]);
    of.sign = Known::default();
    let outcome = solved(vec![brick("S", vec![of]), digital("A", 12.0, 12.0, 90.0)]);
    assert!(!words(&outcome).join("").contains("might"), "{:?}", words(&outcome));
}

#[test]
fn outlets_that_may_be_isolated_are_asked_about() {
    let unknown = |name: &str| {
        let mut of = outlet(name, &[(9.0, 100.0)]);
        of.isolation = Known::default();
        of
    };
    let outcome = solved(vec![
        brick("S", vec![unknown("1"), unknown("2")]),
        digital("A", 9.0, 9.0, 50.0),
        digital("B", 9.0, 9.0, 50.0),
    ]);
    let said = words(&outcome).join("");
    assert!(
        said.ends_with("no outlet is known to be isolated; not checked: find out whether S.1 and S.2 are"),
        "{said}"
    );
    let cure = outcome
        .cures
        .iter()
        .find(|cure| cure.name.starts_with("find out whether the outlets of S are isolated"));
    assert!(cure.is_some_and(|cure| cure.edit.is_none()), "a question is no press");
    assert_eq!(outcome.unchecked.len(), 2);
}

/// Bricks that give enough in all, and not as the devices are: which outlets there are is not the matter.
#[test]
fn what_no_spread_over_bricks_or_banks_serves_is_told_by_their_limits() {
    let strong = || vec![outlet("1", &[(9.0, 1000.0)]), outlet("2", &[(9.0, 1000.0)])];
    let limited = |tag: &str| {
        let mut brick = brick(tag, strong());
        brick.total = printed(Watts::of(13.0));
        brick
    };
    let mut devices = vec![limited("P"), limited("Q")];
    devices.extend(["A", "B", "C"].map(|tag| device(tag, 9.0, 9.0, 880.0)));
    assert_eq!(
        words(&solved(devices)),
        [
            "A, B and C draw 7.9 W, 7.9 W and 7.9 W, and however they are spread over P (13.0 W) and Q (13.0 W), \
          one of these would give more than it may"
        ]
    );
}

/// A pair takes one leg off a brick that hangs on the other: what would go round in a ring is no feed.
fn in_a_ring() -> Vec<Device> {
    let joinable = |name: &str| {
        let mut outlet = outlet(name, &[(9.0, 500.0)]);
        outlet.series = printed(true);
        outlet
    };
    let fed = |tag: &str| {
        let mut fed = brick(tag, vec![joinable("1")]);
        fed.power = device("x", 18.0, 18.0, 200.0).power;
        fed.ports.push(Port {
            name: "IN".to_owned(),
            role: printed(PortRole::Power),
            connector: Some(connector("barrel-5.5-2.1")),
            ..Port::default()
        });
        fed
    };
    vec![brick("S", vec![joinable("1"), joinable("2")]), fed("R"), fed("K")]
}

#[test]
fn a_ring_through_one_leg_of_a_pair_is_no_feed() {
    let outcome = solved(in_a_ring());
    assert_eq!(outcome.feeds.len(), 1, "{}", power::text(&outcome, None));
    assert_eq!(outcome.unserved.len(), 1);
    let input = Input::from_rig(&rig(in_a_ring()), &Limits::default());
    assert_eq!(power::verify::verify(&input, &outcome.allocation).breaches, []);
    // A lock on such a leg is kept, and the other brick does not hang on what it would feed.
    let mut devices = in_a_ring();
    devices[2].feed = Some(feed(FeedKind::SeriesPair, &["S.1", "R.1"], true));
    let input = Input::from_rig(&rig(devices), &Limits::default());
    let outcome = solve(&input, &Config::standard());
    assert_eq!(power::verify::verify(&input, &outcome.allocation).breaches, []);
}

#[test]
fn different_things_in_the_way_are_told_each_at_its_outlets() {
    let mut lone = outlet("2", &[(9.0, 500.0)]);
    lone.isolation = printed(rig::Isolation::Joined);
    let weak = outlet("1", &[(9.0, 100.0)]);
    let mut grounded = device("A", 9.0, 9.0, 200.0);
    grounded.power.positive_ground = printed(true);
    assert_eq!(
        words(&solved(vec![brick("S", vec![weak.clone(), lone]), grounded])),
        ["A draws 200 mA at 9 V: S.1 gives 100 mA, and S.2 is not isolated, as its positive ground wants"]
    );
    let mut other = brick("T", vec![outlet("1", &[(9.0, 500.0)])]);
    other.ports[0].connector = Some(connector("usb-a"));
    assert_eq!(
        words(&solved(vec![brick("S", vec![weak]), other, device("A", 9.0, 9.0, 200.0)])),
        ["A draws 200 mA at 9 V: S.1 gives 100 mA, and no lead fits T.1"]
    );
}

/// One outlet has one voltage: two that need another each are not told as if they needed what lies between.
#[test]
fn different_voltages_are_told_with_who_needs_them() {
    let either = outlet("1", &[(9.0, 300.0), (12.0, 300.0)]);
    let devices = vec![brick("S", vec![either]), device("A", 9.0, 9.0, 50.0), device("B", 12.0, 12.0, 50.0)];
    let outcome = solved(devices);
    let said = words(&outcome);
    assert!(said[0].contains("9 V (A) and 12 V (B)"), "{said:?}");
}

/// What hangs on an outlet that is too weak for it is thrown away with the voltage that it brought.
#[test]
fn the_voltage_of_a_feed_that_cannot_stay_is_not_taken_for_what_its_device_needs() {
    let mut device = device("U", 9.0, 9.0, 100.0);
    device.power.volts = Known::default();
    device.feed = Some(feed(FeedKind::Single, &["S.2"], false));
    let mut high = outlet("2", &[(18.0, 50.0)]);
    high.set = printed(quantity::Volts::of(18.0));
    let outlets = || vec![outlet("1", &[(9.0, 300.0)]), high.clone()];
    let outcome = solved(vec![brick("S", outlets()), device.clone()]);
    assert_eq!(outcome.feeds[0].outlets[0].outlet, "1", "{}", power::text(&outcome, None));
    assert!(outcome.text_has("9 V taken"), "{}", power::text(&outcome, None));
    // Where there is nothing else, nobody is told that it needs what nobody knows.
    let outcome = solved(vec![brick("S", vec![high.clone()]), device]);
    assert!(outcome.unserved[0].why.contains("nobody knows which voltage U needs"), "{:?}", outcome.unserved);
}

/// What nobody knows is counted as the most that it may be, and said to be.
#[test]
fn an_unknown_draw_makes_totals_the_most_they_may_be() {
    let mut unknown = device("U", 9.0, 9.0, 1.0);
    unknown.power.current = Known::default();
    let outlets = vec![outlet("1", &[(9.0, 300.0)]), outlet("2", &[(9.0, 300.0)])];
    let outcome = solved(vec![brick("S", outlets.clone()), unknown, device("A", 9.0, 9.0, 40.0)]);
    assert!(outcome.text_has("brick S: gives up to "), "{}", power::text(&outcome, None));
    assert!(outcome.text_has("mains in all: up to "), "{}", power::text(&outcome, None));
    let known = solved(vec![brick("S", outlets), device("A", 9.0, 9.0, 40.0)]);
    assert!(!known.text_has("up to"), "{}", power::text(&known, None));
}

#[test]
fn terminals_need_no_barrels_polarity() {
    let mut screws = brick("S", vec![outlet("1", &[(9.0, 300.0)])]);
    screws.ports[0].connector = Some(connector("terminals"));
    screws.outlets[0].sign = Known::default();
    let mut device = device("A", 9.0, 9.0, 40.0);
    device.ports[0].connector = Some(connector("terminals"));
    device.power.sign = Known::default();
    let outcome = solved(vec![screws, device]);
    assert_eq!((outcome.feeds.len(), outcome.objective.looks), (1, 0), "{}", power::text(&outcome, None));
}

trait Text {
    fn text_has(&self, words: &str) -> bool;
}

impl Text for Outcome {
    fn text_has(&self, words: &str) -> bool {
        power::text(self, None).contains(words)
    }
}
