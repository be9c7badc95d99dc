//! An order that keeps every need, a way around boxes, and two people: against brute force and against what must hold.

use std::collections::BTreeSet;

use build::{Act, Bulk, Course, End, Fact, Mode, Plan, Thing, What, World, plan, reach};
use proptest::prelude::*;
use quantity::Length;

fn fact(of: usize) -> Fact {
    Fact::new(What::Prepared, of.to_string())
}

/// Acts of which each may need some that were made before it; given in any order.
fn acts() -> impl Strategy<Value = Vec<Act>> {
    let act = (1_u32..40, 0_usize..4, prop::collection::vec(any::<prop::sample::Index>(), 0..3), 0_usize..4);
    prop::collection::vec(act, 1..24).prop_map(|all| {
        let acts: Vec<Act> = all
            .iter()
            .enumerate()
            .map(|(at, (minutes, stage, needs, place))| Act {
                wants: needs.iter().filter(|_| 0 < at).map(|need| fact(need.index(at))).collect(),
                gives: vec![fact(at)],
                place: (0 < *place).then(|| format!("place {place}")),
                ..Act::new(format!("act {at}"), *stage, *minutes)
            })
            .collect();
        // Turned round, so that what is needed stands behind what needs it.
        acts.into_iter().rev().collect()
    })
}

fn keeps_needs(acts: &[Act], plan: &Plan) {
    let mut done: BTreeSet<&Fact> = BTreeSet::new();
    assert_eq!(plan.order.iter().collect::<BTreeSet<_>>().len(), acts.len(), "each act once");
    for at in &plan.order {
        for want in &acts[*at].wants {
            assert!(done.contains(want), "{} before {want:?}", acts[*at].id);
        }
        done.extend(&acts[*at].gives);
    }
}

/// The longest row of acts by trying every one.
fn longest(acts: &[Act], at: usize) -> u32 {
    let next = acts
        .iter()
        .enumerate()
        .filter(|(_, later)| later.wants.iter().any(|want| acts[at].gives.contains(want)));
    acts[at].minutes + next.map(|(later, _)| longest(acts, later)).max().unwrap_or(0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn every_need_is_met_and_two_people_come_near_the_bound(acts in acts()) {
        let plan = plan(&acts, &World::default());
        keeps_needs(&acts, &plan);
        let total: u32 = acts.iter().map(|act| act.minutes).sum();
        let row = (0..acts.len()).map(|at| longest(&acts, at)).max().unwrap_or(0);
        prop_assert_eq!(plan.critical.minutes, row);
        prop_assert_eq!(plan.shared.bound, row.max(total.div_ceil(2)));
        prop_assert!(plan.shared.bound <= plan.shared.minutes && plan.shared.minutes <= total);
        prop_assert_eq!(plan.shared.turns.len(), acts.len());
        prop_assert_eq!(plan.shared.waits[0] + plan.shared.waits[1] + total, 2 * plan.shared.minutes);
        for turn in &plan.shared.turns {
            for other in &plan.shared.turns {
                let (a, b) = (&acts[turn.act], &acts[other.act]);
                let apart = turn.start + a.minutes <= other.start || other.start + b.minutes <= turn.start;
                let collide = turn.person == other.person || (a.place.is_some() && a.place == b.place);
                prop_assert!(turn.act == other.act || apart || !collide, "{} and {}", a.id, b.id);
                if a.wants.iter().any(|want| b.gives.contains(want)) {
                    prop_assert!(other.start + b.minutes <= turn.start, "{} waits for {}", a.id, b.id);
                }
            }
        }
    }

    /// Where places bind nobody, the rule stays within half as much again as the least (Graham 1969: 2 - 1/2 people).
    #[test]
    fn two_people_anywhere_never_need_half_as_much_again(acts in acts()) {
        let acts: Vec<Act> = acts.into_iter().map(|act| Act { place: None, ..act }).collect();
        let plan = plan(&acts, &World::default());
        prop_assert!(2 * plan.shared.minutes <= 3 * plan.shared.bound, "{:?}", plan.shared);
    }

    #[test]
    fn the_order_of_the_list_decides_ties_alone(acts in acts()) {
        prop_assert_eq!(plan(&acts, &World::default()), plan(&acts, &World::default()));
    }
}

#[test]
fn acts_with_the_same_tool_follow_each_other_within_their_stage() {
    let act = |id: &str, stage, tool: &str| Act { tool: tool.to_owned(), ..Act::new(id, stage, 1) };
    let acts = [act("a", 0, "drill"), act("b", 0, "iron"), act("c", 0, "drill"), act("d", 1, "drill")];
    assert_eq!(plan(&acts, &World::default()).order, [0, 2, 1, 3]);
}

#[test]
fn a_run_has_nothing_between_and_nobody_beside() {
    let run =
        |id: &str, minutes| Act { run: Some(7), place: Some("board".to_owned()), ..Act::new(id, 1, minutes) };
    let set = Act { place: Some("deck".to_owned()), gives: vec![fact(1)], ..Act::new("set", 0, 30) };
    let bench = Act::new("cut", 0, 30);
    let meter = Act { wants: vec![fact(1)], ..run("meter", 10) };
    let acts = [
        run("on", 1),
        set,
        meter,
        run("off", 1),
        Act { place: Some("deck".to_owned()), ..Act::new("fix", 1, 30) },
        bench,
    ];
    let plan = plan(&acts, &World::default());
    let at = |act: usize| plan.order.iter().position(|own| *own == act).expect("it is there");
    assert_eq!([at(2), at(3)], [at(0) + 1, at(0) + 2]);
    assert!(at(1) < at(0), "what the run needs stands before all of it");
    let start = |act: usize| plan.shared.turns.iter().find(|turn| turn.act == act).expect("a turn").start;
    let (on, fix) = (start(0), start(4));
    assert!(fix + 30 <= on || on + 12 <= fix, "nobody touches the board while it is live");
}

#[test]
fn needs_that_contradict_each_other_are_told_and_the_rest_is_ordered() {
    let acts = [
        Act { wants: vec![fact(1)], gives: vec![fact(0)], ..Act::new("a", 0, 1) },
        Act { wants: vec![fact(0)], gives: vec![fact(1)], ..Act::new("b", 0, 1) },
        Act { wants: vec![fact(1)], ..Act::new("c", 0, 1) },
    ];
    let plan = plan(&acts, &World::default());
    assert_eq!(plan.order.len(), 3);
    assert_eq!(plan.circles.len(), 1);
}

fn mm(low: [i64; 3], high: [i64; 3]) -> Bulk {
    Bulk { low: low.map(Length::from_mm), high: high.map(Length::from_mm) }
}

fn thing(tag: &str, boxed: Bulk) -> Thing {
    Thing {
        tag: tag.to_owned(),
        boxes: vec![boxed],
        deck: 0,
        surface: Length::ZERO,
        under: false,
        is_deck: false,
        swings: false,
        stands: Some(Fact::new(What::Stands, tag)),
    }
}

/// A plug at the right of a box that is 70 mm wide, and its neighbour so far to the right of that.
fn beside(gap: i64) -> World {
    World {
        things: vec![
            thing("A", mm([0, 0, 0], [70, 120, 60])),
            thing("B", mm([70 + gap, 0, 0], [140 + gap, 120, 60])),
        ],
        ends: vec![End {
            key: "L at A.OUT".to_owned(),
            lead: "L".to_owned(),
            thing: 0,
            plug: vec![mm([70, 55, 10], [86, 70, 25])],
            axis: 0,
            forward: true,
            stroke: Length::from_mm(30),
            in_hand: true,
        }],
        courses: Vec::new(),
    }
}

#[test]
fn a_plug_goes_in_before_the_neighbour_that_leaves_it_no_room() {
    let mode = |gap| reach(&beside(gap)).remove(0);
    // 16 of plug and 30 of stroke just fit; the fingers behind it want 20 more.
    let tight = mode(45);
    assert_eq!(tight.mode, Mode::Before(Fact::new(What::Stands, "B")));
    assert!(!tight.blockers[0].hand, "the plug itself does not go in");
    let fingers = mode(46);
    assert_eq!(fingers.mode, Mode::Before(Fact::new(What::Stands, "B")));
    assert!(fingers.blockers[0].hand, "no hand holds it");
    assert_eq!(mode(66).mode, Mode::Free);
}

#[test]
fn what_stands_already_makes_it_go_in_in_the_hand_or_never() {
    let mut world = beside(16);
    world.things.swap(0, 1);
    world.ends[0].thing = 1;
    assert_eq!(reach(&world)[0].mode, Mode::InHand);
    world.ends[0].in_hand = false;
    let acts = [
        Act { gives: vec![Fact::new(What::Stands, "B")], ..Act::new("fix:B", 0, 8) },
        Act { gives: vec![Fact::new(What::Stands, "A")], ..Act::new("fix:A", 0, 8) },
        Act { gives: vec![Fact::new(What::In, "L at A.OUT")], ..Act::new("plug", 0, 1) },
    ];
    let plan = plan(&acts, &world);
    assert_eq!(plan.order.len(), 3);
    assert_eq!(
        (plan.unreached[0].end.as_str(), plan.unreached[0].things.as_slice()),
        ("L at A.OUT", &["B".to_owned()][..])
    );
}

#[test]
fn a_needed_order_that_the_boxes_forbid_is_told_by_name() {
    let world = beside(16);
    // The neighbour has to be there first, for another reason than its place.
    let acts = [
        Act { gives: vec![Fact::new(What::Stands, "A")], ..Act::new("fix:A", 0, 8) },
        Act { gives: vec![Fact::new(What::Stands, "B")], ..Act::new("fix:B", 0, 8) },
        Act {
            wants: vec![Fact::new(What::Stands, "B")],
            gives: vec![Fact::new(What::In, "L at A.OUT")],
            ..Act::new("plug", 0, 1)
        },
    ];
    let plan = plan(&acts, &world);
    assert_eq!(plan.order, [0, 1, 2]);
    assert_eq!(plan.unreached.len(), 1);
    assert_eq!(plan.unreached[0].things, ["B"]);
    assert_eq!(plan.circles.len(), 0);
}

#[test]
fn a_lead_lies_before_what_stands_above_it() {
    let mut world = beside(200);
    // B stands on feet 12 mm above the deck, and the lead runs below it.
    world.things[1].boxes = vec![mm([270, 0, 12], [340, 120, 72])];
    let corner = |x: i64| [x, 60, 4].map(Length::from_mm);
    world.courses = vec![Course { lead: "L".to_owned(), corners: vec![corner(90), corner(400)] }];
    let found = &reach(&world)[0];
    assert!(found.lies_under);
    assert_eq!(found.mode, Mode::Before(Fact::new(What::Stands, "B")));
}

#[test]
fn a_deck_above_covers_what_is_plugged_below() {
    let mut world = beside(200);
    let above = Thing {
        boxes: vec![mm([0, 0, 80], [400, 200, 85])],
        deck: 1,
        is_deck: true,
        stands: Some(Fact::new(What::Raised, "rear")),
        ..thing("deck rear", mm([0, 0, 80], [400, 200, 85]))
    };
    world.things.push(above);
    // From behind there is room for a hand still; a wall there, and only the way from above is left.
    assert_eq!(reach(&world)[0].mode, Mode::Free);
    world.things[1].boxes = vec![mm([160, 0, 0], [240, 120, 60])];
    assert_eq!(reach(&world)[0].mode, Mode::Before(Fact::new(What::Raised, "rear")));
    world.things[2].swings = true;
    assert_eq!(reach(&world)[0].mode, Mode::Free, "it is swung out of the way");
}

#[test]
fn what_is_done_and_in_the_way_comes_off_again() {
    let world = beside(16);
    let acts = [
        Act { gives: vec![Fact::new(What::Stands, "A")], ..Act::new("fix:A", 0, 8) },
        Act { gives: vec![Fact::new(What::In, "L at A.OUT")], ..Act::new("plug", 0, 1) },
        Act { gives: vec![Fact::new(What::Stands, "B")], ..Act::new("fix:B", 0, 8) },
    ];
    let plan = plan(&acts, &world);
    assert_eq!(plan.order, [0, 1, 2]);
    assert!(plan.to_undo(1, &|_| false).is_empty());
    let off = plan.to_undo(1, &|act| act == 2);
    assert_eq!(off.iter().map(|link| link.after).collect::<Vec<_>>(), [2]);
    assert_eq!(plan.rests(), [vec![], vec![0], vec![0, 1]]);
}
