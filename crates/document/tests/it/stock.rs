//! The shop's cable: read with its faults, added to, taken from.

use document::{CutLead, Held, ReadError, Taken, add_cut_leads, add_to_stock, read_stock, take_from_stock};
use quantity::Length;

fn held(name: &str, mm: Option<i64>, reel: bool) -> Held {
    Held { name: name.into(), cable: "patch-4".into(), length: mm.map(Length::from_mm), reel }
}

/// A stock with a comment, a measured reel, an endless one and two offcuts.
pub(crate) fn stock() -> String {
    let all = [held("R1", Some(25_000), true), held("R2", None, true), held("O1", Some(640), false)];
    let text = all.iter().fold("# the drawer\n".to_owned(), |text, held| add_to_stock(&text, held));
    add_to_stock(&text, &held("O \"2\"", Some(300), false))
}

#[test]
fn what_is_added_is_read_again() {
    let text = stock();
    assert!(text.starts_with("# the drawer\n\n[[reel]]\n"), "{text}");
    let read = read_stock("stock.toml", &text).expect("it is whole");
    let read = read.held;
    let names: Vec<&str> = read.iter().map(|held| held.name.as_str()).collect();
    assert_eq!(names, ["R1", "R2", "O1", "O \"2\""]);
    assert_eq!(read[0], held("R1", Some(25_000), true));
    assert_eq!(read[1].length, None);
}

#[test]
fn what_is_cut_is_taken_and_scrap_goes() {
    let cut = |name: &str, mm| Taken { name: name.into(), length: Length::from_mm(mm) };
    let taken = [cut("R1", 1_250), cut("R2", 900), cut("O1", 400), cut("O \"2\"", 150)];
    let after = take_from_stock(&stock(), &taken, Length::from_mm(200)).expect("it is TOML");
    let left = read_stock("stock.toml", &after).expect("it is whole");
    // 150 mm of the second offcut are too short to keep.
    let wanted = [held("R1", Some(23_750), true), held("R2", None, true), held("O1", Some(240), false)];
    assert_eq!(left.held, wanted);
    assert!(after.starts_with("# the drawer\n"), "{after}");
}

#[test]
fn faults_are_told_with_their_place() {
    let cases = [
        ("[[offcut]]\nname = \"O1\"\ncable = \"patch-4\"\n", "an offcut must say how long it is"),
        ("[[reel]]\nname = \"R1\"\ncable = \"patch-4\"\nlength = \"0 mm\"\n", "a length must be above zero"),
        ("[[reel]]\nname = \"R1\"\ncable = \"patch-4\"\nlenght = \"5 m\"\n", "lenght"),
        (
            "[[reel]]\nname = \"R1\"\ncable = \"x\"\n[[offcut]]\nname = \"R1\"\ncable = \"x\"\nlength = \"1 m\"\n",
            "two reels or offcuts are called `R1`",
        ),
        ("[[reel]]\nname = 5\n", "name"),
    ];
    for (text, wanted) in cases {
        let Err(ReadError::Problems { problems, .. }) = read_stock("stock.toml", text) else {
            panic!("{text} is read");
        };
        assert!(problems.iter().any(|problem| problem.message.contains(wanted)), "{text}: {problems:?}");
    }
}

#[test]
fn leads_that_are_cut_are_written_down() {
    let cut = |lead: &str, cable: Option<&str>, mm| CutLead {
        job: "church-bass".into(),
        lead: lead.into(),
        cable: cable.map(str::to_owned),
        length: Length::from_mm(mm),
    };
    let all = [cut("A1.OUT to B1.IN", Some("patch-4"), 240), cut("B1.OUT to \"X\"", None, 1_310)];
    let after = add_cut_leads(&stock(), &all);
    let read = read_stock("stock.toml", &after).expect("it is whole");
    assert_eq!(read.cut, all);
    assert_eq!(read.held, read_stock("stock.toml", &stock()).expect("it is whole").held);
    assert!(after.starts_with("# the drawer\n"), "{after}");
}
