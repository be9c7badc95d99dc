//! Boards made for tests: the examples as shipped, and random ones of catalogue kinds.

use std::path::PathBuf;

use document::Job;
use layout::Input;

/// The folder of an example.
pub(crate) fn example(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

/// The examples as first drawn; each has a corrected twin.
pub(crate) const EXAMPLES: [&str; 7] = [
    "baritone-ambient",
    "cabin-board",
    "church-bass",
    "session-two-deck",
    "theatre-pit",
    "two-voice-acoustic",
    "wet-dry-touring",
];

/// Reads an example.
pub(crate) fn job(name: &str) -> Job {
    document::read(&example(name), None).expect("an example reads")
}

/// What is to be arranged of a job, with the plugs and boards of the catalogue.
pub(crate) fn input(job: &Job) -> Input {
    Input::from_rig(&job.rig, &job.limits)
        .with_stock(job.catalogue.plugs())
        .with_boards(job.catalogue.boards())
}

/// A throw of dice (splitmix64, Steele, Lea and Flood, OOPSLA 2014): the search has its own, so that neither leans on the
/// other.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % end.max(1)
    }

    fn pick<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[usize::try_from(self.below(list.len() as u64)).unwrap_or(0)]
    }
}

const BOARDS: [&str; 6] =
    ["frame-480x190", "frame-600x320", "flat-560x330", "two-deck-760x480", "risers-900x420", "riser-950x380"];
const PEDALS: [&str; 9] = [
    "compact-42x93x52",
    "compact-66x122x56",
    "compact-73x129x59",
    "low-93x51x60",
    "medium-103x120x60",
    "medium-120x120x60",
    "medium-118x120x58",
    "large-146x121x60",
    "treadle-102x252x80",
];
const PLUGS: [&str; 4] = ["jack-flat", "jack-angled", "jack-narrow", "jack-straight"];

/// The document of a random board: a chain of pedals with a supply, some of them locked where they are.
pub(crate) fn random(seed: u64) -> String {
    let mut dice = Dice(seed);
    let count = 2 + dice.below(9);
    let kinds: Vec<&str> = (0..count).map(|_| dice.pick(&PEDALS)).collect();
    let board = dice.pick(&BOARDS);
    board_of(&mut dice, board, &kinds)
}

/// The document of a chain of `count` pedals on a board of two decks that grows with it.
pub(crate) fn chain(count: usize) -> String {
    let mut dice = Dice(count as u64);
    let kinds: Vec<&str> = (0..count).map(|_| dice.pick(&PEDALS[..6])).collect();
    // Half the board is left to plugs and leads.
    let side = 130 * count + 500;
    let shape = format!(
        "[board]\ntitle = \"grown\"\n[board.deck.main]\nsize = {{ width = \"{side} mm\", depth = \"380 mm\" }}\nthickness = \"9 mm\"\nclear_below = \"60 mm\"\n"
    );
    document_of(&mut dice, &shape, &kinds, false)
}

fn board_of(dice: &mut Dice, board: &str, kinds: &[&str]) -> String {
    let lid = if dice.below(3) == 0 { "lid = { inside_height = \"110 mm\" }\n" } else { "" };
    document_of(dice, &format!("[board]\nkind = \"{board}\"\n{lid}"), kinds, true)
}

fn document_of(dice: &mut Dice, board: &str, kinds: &[&str], locks: bool) -> String {
    let mut text = format!(
        "format = 1\n[job]\ntitle = \"random\"\n[source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\nplug = \"{}\"\n[sink.amp]\nkind = \"amp\"\nlead = \"5 m\"\nplug = \"{}\"\n{board}",
        dice.pick(&PLUGS),
        dice.pick(&PLUGS)
    );
    text += &format!("[leads]\nsignal = {{ cable = \"patch-4\", plug = \"{}\" }}\n", dice.pick(&PLUGS));
    text += "dc = { cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }\n";
    text += "[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n";
    for (index, kind) in kinds.iter().enumerate() {
        text += &format!("[[device]]\ntag = \"D{index}\"\nkind = \"{kind}\"\n");
        if index < 5 && !kind.starts_with("treadle") {
            text += &format!("feed = {{ outlets = [\"SUP.{}\"] }}\n", index + 1);
        }
        if locks && dice.below(6) == 0 {
            let (x, y) = (20 + dice.below(250), 5 + dice.below(50));
            let deck = if board.contains("two-deck") { "front" } else { "main" };
            text +=
                &format!("place = {{ deck = \"{deck}\", x = \"{x} mm\", y = \"{y} mm\", locked = true }}\n");
        }
    }
    let stops: Vec<String> = (0..kinds.len()).map(|index| format!("\"D{index}\"")).collect();
    text += &format!("[[run]]\nname = \"main\"\nstops = [\"guitar\", {}, \"amp\"]\n", stops.join(", "));
    text
}

/// Reads a document of ours.
pub(crate) fn read(text: &str) -> Job {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => job,
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    }
}
