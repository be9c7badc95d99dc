//! Ways over grids against SciPy's shortest paths, cut plans against HiGHS, and every example against the judge.

use external::examples;
use leads::cut::{CutEffort, Piece, Source, plan};
use leads::{Body, Input, Rules, grid_cost, solve, verify::verify};
use serde_json::json;

fn peer(cases: &[String]) -> (bool, String) {
    external::peer("leads/peer.py", &[], &cases.join("\n"))
}

struct Dice(u64);

impl Dice {
    fn below(&mut self, below: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(self.0 >> 33).expect("31 bits") % below
    }
}

fn real(whole: usize) -> f64 {
    f64::from(u32::try_from(whole).expect("small"))
}

/// One layer of cells with so many of a hundred blocked, and what the engine says of it.
fn maze(seed: u64, wide: usize, deep: usize, blocked: i64) -> serde_json::Value {
    let mut dice = Dice(seed);
    let (from, to) = ([0, 0], [wide - 1, deep - 1]);
    let mut input =
        Input::empty(real(wide) * 10.0, real(deep) * 10.0, Rules { pitch_mm: 10.0, ..Rules::customary() });
    input.low = [0.0; 3];
    input.high = [real(wide - 1) * 10.0, real(deep - 1) * 10.0, 0.0];
    let mut rows = Vec::new();
    for y in 0..deep {
        let mut row = String::new();
        for x in 0..wide {
            let wall = dice.below(100) < blocked && [x, y] != from && [x, y] != to;
            row.push(if wall { '#' } else { '.' });
            if wall {
                let (x, y) = (real(x) * 10.0, real(y) * 10.0);
                input.bodies.push(Body {
                    low: [x - 4.0, y - 4.0, -4.0],
                    high: [x + 4.0, y + 4.0, 4.0],
                    what: "body",
                    owner: "wall".to_owned(),
                    keep_off: 4.0,
                });
            }
        }
        rows.push(row);
    }
    let end = [real(to[0]) * 10.0, real(to[1]) * 10.0, 0.0];
    // Micrometres of a pitch of 10 mm to thousandths of a step.
    let cost = grid_cost(&input, [0.0; 3], end, 0.0).map(|cost| cost / 10);
    json!({ "maze": rows, "from": from, "to": to, "cost": cost })
}

#[test]
fn scipy_finds_no_shorter_way_through_mazes() {
    let mut cases: Vec<_> =
        (0..60).map(|seed| maze(seed, 30, 20, 20 + i64::try_from(seed % 4).expect("small") * 7)).collect();
    cases.push(maze(99, 240, 120, 15));
    let open = cases.iter().filter(|case| !case["cost"].is_null()).count();
    assert!(20 < open && open < cases.len(), "{open} of {} have a way", cases.len());
    let lines: Vec<String> = cases.iter().map(ToString::to_string).collect();
    let (same, text) = peer(&lines);
    assert!(same, "{text}");
}

fn cut_case(seed: u64) -> serde_json::Value {
    let mut dice = Dice(seed);
    let kerf = dice.below(3);
    let keep = 150;
    let lengths: Vec<i64> = (0..6 + dice.below(7)).map(|_| 105 + 5 * dice.below(100)).collect();
    let offcuts: Vec<i64> = (0..2 + dice.below(4)).map(|_| 200 + dice.below(900)).collect();
    let pieces: Vec<Piece> =
        lengths.iter().enumerate().map(|(at, &mm)| Piece { id: format!("L{at:02}"), mm }).collect();
    let mut sources: Vec<Source> = offcuts
        .iter()
        .enumerate()
        .map(|(at, &mm)| Source { id: format!("offcut {at}"), mm: Some(mm), reel: false })
        .collect();
    sources.push(Source { id: "reel".to_owned(), mm: None, reel: true });
    let plan = plan(&pieces, &sources, kerf, keep, &CutEffort::standard());
    assert!(plan.is_proven(), "plan {seed} is proven");
    json!({ "pieces": lengths, "offcuts": offcuts, "kerf": kerf, "keep": keep, "fresh": plan.fresh_mm, "waste": plan.waste_mm })
}

#[test]
fn highs_finds_no_better_cut_plan() {
    let lines: Vec<String> = (0..80).map(|seed| cut_case(seed).to_string()).collect();
    let (same, text) = peer(&lines);
    assert!(same, "{text}");
}

#[test]
fn the_peer_notices_a_wrong_length_and_a_wrong_plan() {
    let (mut maze, mut cut) = (maze(1, 20, 10, 10), cut_case(1));
    maze["cost"] = json!(maze["cost"].as_i64().expect("it has a way") + 1);
    cut["fresh"] = json!(cut["fresh"].as_i64().expect("a length") + 5);
    let (same, text) = peer(&[maze.to_string(), cut.to_string()]);
    assert!(!same && text.contains("case 0") && text.contains("case 1"), "{text}");
}

#[test]
fn the_leads_of_every_example_keep_the_rules() {
    for folder in examples() {
        let job =
            document::read(&folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let design = design::derive(job.rig.clone(), job.limits.clone());
        let input = design.routes_input();
        let outcome = solve(&input);
        assert_eq!(verify(&input, &outcome).breaches, [], "{}", folder.display());
        assert!(outcome.failed.len() < 2, "{}: {:?}", folder.display(), outcome.failed);
        assert!(6 < outcome.leads.len(), "{}", folder.display());
    }
}
