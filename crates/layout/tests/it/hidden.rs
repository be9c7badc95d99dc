//! Hidden layouts: a board is cut up into devices that fit on it by construction, and the search is to find room for them.

use layout::{Config, NeverCancelled, NoProgress, solve};
use quantity::Length;

use crate::boards::{self, Dice};

/// The share of the board that the devices cover, in percent.
const FILL: u64 = 85;
/// Of so many in a hundred everything must be placed.
const PLACED: u64 = 95;

/// Ten boards; the soak gives two hundred.
fn seeds() -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(10)
}

/// A part of the board in millimetres: left, front, width, depth.
type Part = [u64; 4];

/// The board cut through from edge to edge, again and again, where the dice say.
fn cut_up(dice: &mut Dice, board: Part, count: usize) -> Vec<Part> {
    let mut parts = vec![board];
    while parts.len() < count {
        // The largest is cut, across its longer side.
        let largest = (0..parts.len()).max_by_key(|at| parts[*at][2] * parts[*at][3]).unwrap_or(0);
        let [x, y, width, depth] = parts.swap_remove(largest);
        let share = 35 + dice.below(31);
        if depth < width {
            let left = width * share / 100;
            parts.extend([[x, y, left, depth], [x + left, y, width - left, depth]]);
        } else {
            let front = depth * share / 100;
            parts.extend([[x, y, width, front], [x, y + front, width, depth - front]]);
        }
    }
    parts
}

/// The document of a board with the devices cut from it, none of them placed, and the area that they cover in hundredths.
fn document(seed: u64) -> (String, f64) {
    let mut dice = Dice(seed);
    let (width, depth) = (400 + 10 * dice.below(60), 250 + 10 * dice.below(25));
    let count = 8 + usize::try_from(dice.below(9)).unwrap_or(0);
    let mut parts = cut_up(&mut dice, [0, 0, width, depth], count);
    // What is cut away is taken from each side of every part alike, in millimetres.
    let covered = |parts: &[Part]| parts.iter().map(|part| part[2] * part[3]).sum::<u64>();
    let whole = width * depth;
    for step in 0.. {
        if covered(&parts) * 100 <= whole * FILL {
            break;
        }
        let at = step % parts.len();
        let side = 2 + usize::from(parts[at][2] < parts[at][3]);
        parts[at][side] -= 1;
    }
    let mut text = format!(
        "format = 1\n[job]\ntitle = \"hidden\"\n[board]\ntitle = \"own\"\n[board.deck.main]\nsize = {{ width = \"{width} mm\", depth = \"{depth} mm\" }}\n"
    );
    for (number, [_, _, width, depth]) in parts.iter().enumerate() {
        text += &format!(
            "[[device]]\ntag = \"H{number}\"\nrole = \"other\"\nsize = {{ width = \"{width} mm\", depth = \"{depth} mm\", height = \"40 mm\" }}\npower = {{ type = \"none\" }}\n"
        );
    }
    let share = f64::from(u32::try_from(covered(&parts) * 10_000 / whole).unwrap_or(0)) / 100.0;
    (text, share)
}

#[test]
fn what_was_cut_from_a_board_is_placed_on_it() {
    let (mut placed, mut all, mut not) = (0, 0, Vec::new());
    for seed in seeds() {
        let (text, share) = document(seed);
        assert!((84.0..=85.0).contains(&share), "seed {seed}: {share} % of the board");
        let input = boards::input(&boards::read(&text));
        assert!(input.rig.devices.iter().all(|device| device.place.is_none()));
        let config = Config { relax: false, ..Config::standard() };
        let outcome = solve(&input, &config, &NoProgress, &NeverCancelled);
        // The judge has said so; here the corners are looked at once more, by nothing but their numbers.
        if outcome.feasible {
            assert_eq!(overlaps(&outcome.rig), Vec::<String>::new(), "seed {seed}");
            placed += 1;
        } else {
            not.push(seed);
        }
        all += 1;
    }
    if std::env::var_os("BOARDWRIGHT_SOAK").is_some() {
        println!(
            "soak: {placed} of {all} hidden layouts at {FILL} % of the board placed, not those of {not:?}"
        );
    }
    assert!(all * PLACED <= placed * 100, "{placed} of {all} placed, not those of {not:?}");
}

/// Devices that share room, or that stand over the edge.
fn overlaps(rig: &rig::Rig) -> Vec<String> {
    let plan = |device: &rig::Device| {
        let place = device.place.as_ref().expect("it is placed");
        let size = device.size.value.expect("its size is known");
        let turned = place.quarters % 2 == 1;
        let (wide, deep) = if turned { (size.depth, size.width) } else { (size.width, size.depth) };
        [place.x, place.y, place.x + wide, place.y + deep]
    };
    let deck = rig.board.decks[0].extent();
    let mut out = Vec::new();
    for (number, device) in rig.devices.iter().enumerate() {
        let a = plan(device);
        if a[0] < Length::ZERO || a[1] < Length::ZERO || deck.width < a[2] || deck.depth < a[3] {
            out.push(format!("{} over the edge", device.tag));
        }
        for other in &rig.devices[..number] {
            let b = plan(other);
            if a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3] {
                out.push(format!("{} and {}", device.tag, other.tag));
            }
        }
    }
    out
}
