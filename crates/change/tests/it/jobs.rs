//! Random jobs, as documents.

use std::fmt::Write;

/// A small generator with a written state (xorshift64*, Vigna 2016), so that a failing case has a number.
pub(crate) struct Draw(u64);

impl Draw {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    pub(crate) fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(bound.max(1)).expect("small"))
            .expect("below a small bound")
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

const KINDS: &[&str] = &["compact-73x129x59", "compact-66x122x56", "medium-103x120x60", "large-146x121x60"];
const PLUGS: &[&str] = &["jack-flat", "jack-straight"];

/// A job of two to nine pedals in a row on a frame, fed from one brick; places, order, feeds and cut lengths by chance.
pub(crate) fn job(draw: &mut Draw) -> String {
    let count = 2 + draw.below(8);
    let mut out = String::from(
        "format = 1\n[job]\ntitle = \"by chance\"\nnumber = \"T-1\"\ndate = \"2026-03-14\"\n\
         [source.guitar]\npickup = \"humbucker\"\n[sink.amp]\nkind = \"di-active\"\n\
         [board]\nkind = \"two-deck-860x480\"\n",
    );
    if draw.chance(50) {
        out += "case = { title = \"flight case\" }\n";
    }
    let _ = writeln!(out, "[leads]\nsignal = {{ cable = \"patch-4\", plug = \"{}\" }}", draw.pick(PLUGS));
    if draw.chance(80) {
        out += "dc = { cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }\n";
    }
    terms(&mut out, draw);
    let mut stops = vec!["\"guitar\"".to_owned()];
    for at in 1..=count {
        let kind = draw.pick(KINDS);
        let _ = writeln!(out, "[[device]]\ntag = \"P{at}\"\ntitle = \"pedal {at}\"\nkind = \"{kind}\"");
        if draw.chance(85) && at <= 8 {
            let _ = writeln!(out, "feed = {{ outlets = [\"SUP.{at}\"] }}");
        }
        let (x, y) = (10 + 200 * ((at - 1) % 4) + draw.below(20), 10 + 150 * ((at - 1) / 4));
        if draw.chance(90) && at <= 8 {
            let _ = writeln!(out, "place = {{ deck = \"front\", x = \"{x} mm\", y = \"{y} mm\" }}");
        }
        stops.push(format!("\"P{at}\""));
    }
    out += "[[device]]\ntag = \"SUP\"\ntitle = \"supply\"\nkind = \"brick-4x100-4x500\"\n\
            place = { deck = \"front\", x = \"20 mm\", y = \"345 mm\" }\n";
    let turn = 1 + draw.below(count);
    stops[1..].rotate_left(turn % count);
    let first = stops[1].trim_matches('"').to_owned();
    let second = stops[2].trim_matches('"').to_owned();
    stops.push("\"amp\"".to_owned());
    let _ = writeln!(out, "[[run]]\nname = \"main\"\nstops = [{}]", stops.join(", "));
    if draw.chance(50) {
        let cut = 100 + 5 * draw.below(60);
        let _ = writeln!(out, "[[lead]]\nfrom = \"{first}.OUT\"\nto = \"{second}.IN\"\ncut = \"{cut} mm\"");
        let _ = writeln!(out, "from_plug = \"{}\"", draw.pick(PLUGS));
    }
    out
}

fn terms(out: &mut String, draw: &mut Draw) {
    out.push_str("[quote]\n");
    match draw.below(4) {
        0 => {
            let _ = writeln!(out, "discount = \"{}.{} %\"", draw.below(20), draw.below(100));
        }
        1 => {
            let _ = writeln!(out, "discount_sum = \"{}.{:02}\"", draw.below(900), draw.below(100));
        }
        _ => {}
    }
    if draw.chance(30) {
        let _ = writeln!(out, "margin = \"{}.5 %\"", draw.below(60));
    }
    if draw.chance(40) {
        out.push_str("[[quote.option]]\ntitle = \"one spare brick\"\npieces = { \"brick-4x100-4x500\" = 1 }\nminutes = 20\n");
    }
}
