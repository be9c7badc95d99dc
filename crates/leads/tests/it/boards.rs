//! Random boards: pedals in rows with plugs at both sides, a supply under the deck, sheets with passages.

use leads::{Body, Hole, Input, Point, Rules};
use rig::LeadClass;

use crate::ends::{end, lead};

struct Dice(u64);

impl Dice {
    fn below(&mut self, below: u32) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 33).expect("31 bits") % below)
    }
}

fn body(input: &mut Input, low: Point, high: Point, what: &'static str, owner: &str, keep_off: f64) -> usize {
    input.bodies.push(Body { low, high, what, owner: owner.to_owned(), keep_off });
    input.bodies.len() - 1
}

/// Where a pedal's patch leads end: place and own plug, out and in.
struct Jacks {
    out: (Point, usize),
    back: (Point, usize),
}

/// A board with so many pedals on each of its decks: a signal lead from each to the next, a DC lead to each.
pub(crate) fn board(seed: u64, pedals: usize, decks: usize) -> Input {
    let mut dice = Dice(seed.wrapping_mul(2).wrapping_add(12_345));
    dice.below(2);
    let columns = pedals.div_ceil(2);
    let width = 40.0 + 130.0 * f64::from(u32::try_from(columns).expect("few"));
    let depth = 420.0;
    let mut input = Input::empty(width, depth, Rules::customary());
    input.low[2] = -45.0;
    input.high[2] = 200.0;
    // The main deck, with a passage at the left and one at the right.
    let holes = [[10.0, 150.0, 50.0, 190.0], [width - 60.0, 200.0, width - 15.0, 240.0]];
    for (at, hole) in holes.iter().enumerate() {
        input.holes.push(Hole {
            name: format!("main.{at}"),
            low: [hole[0], hole[1], -4.0],
            high: [hole[2], hole[3], 0.0],
        });
    }
    let strips = [
        [0.0, 0.0, width, 150.0],
        [50.0, 150.0, width, 190.0],
        [0.0, 150.0, 10.0, 190.0],
        [0.0, 190.0, width, 200.0],
        [0.0, 200.0, width - 60.0, 240.0],
        [width - 15.0, 200.0, width, 240.0],
        [0.0, 240.0, width, depth],
    ];
    for strip in strips {
        body(&mut input, [strip[0], strip[1], -4.0], [strip[2], strip[3], 0.0], "sheet", "main", 0.0);
    }
    if decks == 2 {
        body(&mut input, [0.0, 300.0, 90.0], [width, depth, 95.0], "sheet", "rear", 95.0);
    }
    // The supply hangs under the main deck; its outlets look to the back.
    let supply = [width / 2.0 - 100.0, 60.0];
    body(
        &mut input,
        [supply[0], supply[1], -36.0],
        [supply[0] + 200.0, supply[1] + 80.0, -6.0],
        "body",
        "SUP",
        -6.0,
    );
    let mut before: Option<usize> = None;
    let back = [0.0, 1.0, 0.0];
    let mut jacks: Vec<Jacks> = Vec::new();
    for index in 0..pedals {
        let row = index / columns;
        let column = if row == 0 { index } else { pedals - 1 - index };
        let column = f64::from(u32::try_from(column % columns).expect("few"));
        let upper = decks == 2 && row == 1;
        let x = 45.0 + 130.0 * column + dice.below(8);
        let y = if row == 0 {
            15.0
        } else if upper {
            305.0
        } else {
            270.0
        } + dice.below(6);
        let z = if upper { 95.0 } else { 0.0 };
        let (w, d, h) = (60.0 + dice.below(12), 100.0 + dice.below(12), 50.0 + dice.below(15));
        let tag = format!("P{index:02}");
        let covered = decks == 2 && !upper && 300.0 < y + d;
        let sky = if covered { 90.0 } else { 10_000.0 };
        body(&mut input, [x, y, z], [x + w, y + d, z + h], "body", &tag, sky);
        // Flat plugs on both sides, their cables to the back.
        let jack = y + 40.0 + dice.below(20);
        let (px, pz) = (x + w, z + 15.0);
        let right = body(
            &mut input,
            [px, jack - 12.0, pz - 8.0],
            [px + 17.0, jack + 30.0, pz + 8.0],
            "plug",
            &tag,
            pz + 8.0,
        );
        let left = body(
            &mut input,
            [x - 17.0, jack - 12.0, pz - 8.0],
            [x, jack + 30.0, pz + 8.0],
            "plug",
            &tag,
            pz + 8.0,
        );
        jacks.push(Jacks {
            out: ([x - 10.0, jack + 30.0, pz], left),
            back: ([px + 10.0, jack + 30.0, pz], right),
        });
        // Power comes in at the back, by an angled plug.
        let inlet = [x + w / 2.0, y + d, z + 25.0];
        let barrel = body(
            &mut input,
            [inlet[0] - 5.0, inlet[1], inlet[2] - 5.0],
            [inlet[0] + 20.0, inlet[1] + 12.0, inlet[2] + 5.0],
            "plug",
            &tag,
            inlet[2] + 5.0,
        );
        let mut to = end(&format!("{tag}.DC"), [inlet[0] + 20.0, inlet[1] + 6.0, inlet[2]], [1.0, 0.0, 0.0]);
        to.bodies.push(barrel);
        let outlet = f64::from(u32::try_from(index).expect("few")) * 15.0 + 10.0;
        let at = [supply[0] + outlet, supply[1] + 80.0, -20.0];
        let plug = body(
            &mut input,
            [at[0] - 5.0, at[1], at[2] - 5.0],
            [at[0] + 5.0, at[1] + 12.0, at[2] + 5.0],
            "plug",
            "SUP",
            at[2] + 5.0,
        );
        let mut from = end(&format!("SUP.{index}"), [at[0], at[1] + 12.0, at[2]], [0.0, 1.0, 0.0]);
        from.bodies.push(plug);
        input.leads.push(lead(&format!("D{index:02}"), LeadClass::Dc, from, to, 16.0));
        if let Some(last) = before {
            let mut from = end(&format!("P{last:02}.OUT"), jacks[last].out.0, back);
            from.bodies.push(jacks[last].out.1);
            let mut to = end(&format!("P{index:02}.IN"), jacks[index].back.0, back);
            to.bodies.push(jacks[index].back.1);
            input.leads.push(lead(&format!("L{index:02}"), LeadClass::Signal, from, to, 16.0));
        }
        before = Some(index);
    }
    input
}
