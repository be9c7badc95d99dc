//! Examples and random rigs: `arrange`, `leads` and `check` never contradict one another on one document.

use std::path::PathBuf;

use crate::held::{arranged, read};

/// Random rigs tried; the soak gives larger numbers.
fn seeds() -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(60)
}

/// A throw of dice (splitmix64, Steele, Lea and Flood, OOPSLA 2014).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % end.max(1)
    }

    pub(crate) fn pick<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[usize::try_from(self.below(list.len() as u64)).unwrap_or(0)]
    }
}

const BOARDS: [&str; 6] =
    ["frame-480x190", "frame-600x320", "flat-560x330", "two-deck-760x480", "risers-900x420", "riser-950x380"];
const PEDALS: [&str; 8] = [
    "compact-42x93x52",
    "compact-66x122x50",
    "compact-66x122x56",
    "compact-73x129x59",
    "low-93x51x60",
    "medium-103x120x60",
    "large-146x121x60",
    "treadle-102x252x80",
];

/// A chain of pedals that names neither leads nor plugs nor exits; a few are locked, a few have no place.
fn random(seed: u64) -> String {
    let mut dice = Dice(seed);
    let board = dice.pick(&BOARDS);
    let count = 2 + dice.below(4);
    let mut text = format!(
        "format = 1\n[job]\ntitle = \"random\"\n[source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\n[sink.amp]\nkind = \"amp\"\nlead = \"3 m\"\n[board]\nkind = \"{board}\"\n[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n"
    );
    let deck = if board.starts_with("two-deck") { "front" } else { "main" };
    for index in 0..count {
        let kind = dice.pick(&PEDALS);
        text += &format!("[[device]]\ntag = \"D{index}\"\nkind = \"{kind}\"\n");
        if index < 4 && !kind.starts_with("treadle") && dice.below(3) != 0 {
            text += &format!("feed = {{ outlets = [\"SUP.{}\"] }}\n", index + 1);
        }
        match dice.below(8) {
            0 => {
                let (x, y) = (20 + dice.below(250), 5 + dice.below(30));
                text += &format!(
                    "place = {{ deck = \"{deck}\", x = \"{x} mm\", y = \"{y} mm\", locked = true }}\n"
                );
            }
            1 | 2 => {
                let (x, y) = (20 + 80 * index, 5 + dice.below(20));
                text += &format!("place = {{ deck = \"{deck}\", x = \"{x} mm\", y = \"{y} mm\" }}\n");
            }
            _ => {}
        }
    }
    let stops: Vec<String> = (0..count).map(|index| format!("\"D{index}\"")).collect();
    text + &format!("[[run]]\nname = \"main\"\nstops = [\"guitar\", {}, \"amp\"]\n", stops.join(", "))
}

#[test]
fn no_random_rig_is_told_two_things() {
    let (mut fit, mut not) = (0_u64, Vec::new());
    for seed in seeds() {
        let name = format!("seed {seed}");
        let arranged = arranged(&name, &read(&random(seed)), 3_000);
        if arranged.fits() {
            fit += 1;
        } else {
            not.push(seed);
        }
    }
    assert!(not.len() as u64 <= fit, "most of them fit: {fit}, not {not:?}");
}

#[test]
fn no_example_is_told_two_things() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the examples are there")
        .filter_map(|entry| Some(entry.ok()?.path()).filter(|path| path.join("rig.toml").is_file()))
        .collect();
    names.sort();
    assert!(12 <= names.len(), "{names:?}");
    for path in names {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default().to_owned();
        let job = document::read(&path, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        let arranged = arranged(&name, &job, 20_000);
        // What was corrected by hand can be arranged.
        assert!(!name.ends_with("-corrected") || arranged.fits(), "{name}: {:?}", arranged.bars());
    }
}
