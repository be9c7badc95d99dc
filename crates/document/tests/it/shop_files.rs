//! The other files of a shop (settings, prices, stock, the shop's own kinds), mutilated: never a panic, every problem in its
//! line, the same twice; what is read can be written to and read again.
//!
//! A few hundred in every run; `cargo xtask soak` sets `BOARDWRIGHT_SOAK` to the number it wants and `BOARDWRIGHT_SEED` to where
//! to begin.

use document::{
    Files, Held, Problem, ReadError, add_to_stock, read_in_shop, read_prices, read_stock, read_text,
};

use crate::sample::SAMPLE;

/// A small generator with a written state (xorshift64*, Vigna 2016), so that a failing case has a number.
struct Draw(u64);

impl Draw {
    fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let drawn = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 32;
        usize::try_from(drawn).expect("32 bits") % bound.max(1)
    }
}

const SETTINGS: &str = "[limits]\noutlet_load_look = \"75 %\"\nplug_clearance = \"3 mm\"\nshared_analogue_look = \"50 mA\"\n\
     outlet_share_most = \"3 devices\"\n\n[fasten]\ntype = \"strip\"\n";

/// Values that suit some key, and values that suit none.
const WILD: &[&str] = &[
    "\"\"",
    "\"-1 mm\"",
    "\"1e400 V\"",
    "\"0 %\"",
    "\"100000 %\"",
    "\"12.345 EUR\"",
    "\"-4.00\"",
    "\"99999999999999999999999.99\"",
    "\"2026-02-30\"",
    "2026-11-30",
    "true",
    "17",
    "-9223372036854775808",
    "nan",
    "[]",
    "{}",
    "[[1], {}]",
    "\"\\u0000\"",
    "\"\\u202e=CMD()\"",
    "\"unknown\"",
];

/// One to three changes: a line dropped, doubled or moved, a value or a key replaced, bytes taken out or put in.
fn mutilated(text: &str, draw: &mut Draw) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for _ in 0..=draw.below(3) {
        let (at, other) = (draw.below(lines.len()), draw.below(lines.len()));
        match draw.below(7) {
            0 => lines[at].clear(),
            1 => {
                let line = lines[at].clone();
                lines.insert(other, line);
            }
            2 => lines.swap(at, other),
            3 | 4 => {
                if let Some((key, _)) = lines[at].clone().split_once(" = ") {
                    lines[at] = format!("{key} = {}", WILD[draw.below(WILD.len())]);
                }
            }
            5 => {
                let cut = draw.below(lines[at].chars().count() + 1);
                lines[at] = lines[at].chars().take(cut).collect();
            }
            _ => {
                let place = draw.below(lines[at].chars().count() + 1);
                let odd = ['"', '[', '}', '=', '\u{feff}', '#', '\\', '\u{1F3B8}', '.', '0'][draw.below(10)];
                let (before, after): (String, String) =
                    (lines[at].chars().take(place).collect(), lines[at].chars().skip(place).collect());
                lines[at] = format!("{before}{odd}{after}");
            }
        }
    }
    lines.join("\n")
}

/// What a refusal says, once it is sure that every problem points into a text that is there.
fn said(error: &ReadError, what: &str) -> String {
    let ReadError::Problems { problems, files } = error else { return error.to_string() };
    assert!(!problems.is_empty(), "{what}: refused without a reason");
    problems.iter().map(|problem| in_line(problem, files, what)).collect::<Vec<_>>().join("\n")
}

fn in_line(problem: &Problem, files: &Files, what: &str) -> String {
    let file = files.0.get(problem.at.file).unwrap_or_else(|| panic!("{what}: {problem:?}"));
    let lines =
        file.text.get(..problem.at.start).and_then(|_| file.text.get(problem.at.start..problem.at.end));
    assert!(lines.is_some(), "{what}: {problem:?} does not point into `{}`", file.name);
    assert!(!problem.message.is_empty(), "{what}");
    let name = file.name.rsplit('/').next().unwrap_or_default();
    format!("{name} {}..{} {}", problem.at.start, problem.at.end, problem.message)
}

type Kind = (&'static str, fn(&str) -> Result<String, ReadError>);

fn settings(text: &str) -> Result<String, ReadError> {
    read_text("rig.toml", SAMPLE, Some(text)).map(|job| format!("{:?}", job.limits))
}

fn prices(text: &str) -> Result<String, ReadError> {
    read_prices("prices.toml", text).map(|prices| format!("{prices:?}"))
}

fn stock(text: &str) -> Result<String, ReadError> {
    let list = read_stock("stock.toml", text)?;
    // What was read takes another reel, and is read with it.
    let held = list.held.first().cloned();
    if let Some(first) = held {
        let more = Held { name: "another".to_owned(), ..first };
        if list.held.iter().all(|other| other.name != more.name) {
            let after = read_stock("stock.toml", &add_to_stock(text, &more))?;
            assert_eq!(after.held.len(), list.held.len() + 1);
        }
    }
    Ok(format!("{list:?}"))
}

fn own_kinds(text: &str) -> Result<String, ReadError> {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("shop.toml"), "").expect("written");
    std::fs::create_dir(folder.path().join("catalogue")).expect("a folder");
    std::fs::write(folder.path().join("catalogue/own.toml"), text).expect("written");
    read_in_shop("rig.toml", SAMPLE, folder.path()).map(|job| format!("{:?}", job.rig))
}

const KINDS: &[Kind] =
    &[("shop.toml", settings), ("prices.toml", prices), ("stock.toml", stock), ("own.toml", own_kinds)];

fn whole(name: &str) -> String {
    match name {
        "shop.toml" => SETTINGS.to_owned(),
        "prices.toml" => crate::prices::SMALL.to_owned(),
        "stock.toml" => crate::stock::stock(),
        _ => OWN_KINDS.to_owned(),
    }
}

const OWN_KINDS: &str = "[device.our-drive]\ntitle = \"our drive\"\nfrom = \"measured\"\n\
     size = { width = \"70 mm\", depth = \"120 mm\", height = \"50 mm\" }\nmass = \"350 g\"\n\
     port.IN = { role = \"in\", connector = \"jack-6.35-ts\", face = \"right\", offset = \"30 mm\", height = \"20 mm\" }\n\n\
     [plug.our-plug]\ntitle = \"our plug\"\nfits = [\"jack-6.35-ts\"]\nangle = \"straight\"\nwidth = \"14 mm\"\n";

#[test]
fn mutilated_files_of_a_shop_are_read_or_refused_in_their_lines() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let (count, first) = (number("BOARDWRIGHT_SOAK").unwrap_or(400), number("BOARDWRIGHT_SEED").unwrap_or(1));
    let mut told = Vec::new();
    for (name, read) in KINDS {
        let text = whole(name);
        let mut taken = 0;
        for seed in first..first + count {
            let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
            let text = mutilated(&text, &mut draw);
            let what = format!("{name}, seed {seed}");
            let once = read(&text).map_err(|error| said(&error, &what));
            assert_eq!(once, read(&text).map_err(|error| said(&error, &what)), "{what}");
            taken += u64::from(once.is_ok());
        }
        assert!(count / 20 < taken && taken < count, "{name}: {taken} of {count} were read");
        told.push(format!("{taken} of {count} {name} read"));
    }
    println!("soak: {}, the others refused in their lines", told.join(", "));
}
