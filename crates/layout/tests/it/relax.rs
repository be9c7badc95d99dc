//! What does not fit: why, and what would help, tried by applying it.

use layout::{Config, Input, NeverCancelled, NoProgress, Outcome, solve};

use crate::boards;

fn solved(input: &Input) -> Outcome {
    solve(input, &Config { moves: 240_000, ..Config::standard() }, &NoProgress, &NeverCancelled)
}

/// What is told of an outcome that does not fit.
fn told(outcome: &Outcome) -> String {
    let mut out = format!("{}\n", outcome.proof.as_deref().unwrap_or("not proven"));
    for relaxation in &outcome.relaxations {
        out += &format!("{}: {}\n", relaxation.kind, relaxation.name);
    }
    out
}

/// Applies each relaxation that an edit writes; hands back how many there are.
fn applied(name: &str, job: &document::Job, outcome: &Outcome) -> usize {
    let mut works = 0;
    for relaxation in &outcome.relaxations {
        let Some(edit) = &relaxation.edit else { continue };
        let text = document::edit::apply(job.text(), edit).expect("the edit applies");
        let again = boards::read(&text);
        let breaches = layout::verify::verify(&again.rig, &again.rig, &again.limits);
        assert_eq!(breaches, [], "{name}: {}", relaxation.name);
        works += 1;
    }
    works
}

#[test]
fn every_relaxation_works_when_applied() {
    let mut works = 0;
    for name in ["cabin-board", "wet-dry-touring"] {
        let job = boards::job(name);
        let input = boards::input(&job).unplaced();
        let outcome = solved(&input);
        assert!(!outcome.feasible && !outcome.relaxations.is_empty(), "{name}");
        works += applied(name, &job, &outcome);
    }
    assert!(0 < works, "one of them at least is written by an edit");
}

#[test]
fn a_board_that_is_too_small_says_why_and_what_would_do() {
    // Three pedals of 73 mm on 200 mm by 130 mm: side by side they want 219 mm and their plugs.
    let small = "format = 1\n[job]\ntitle = \"small\"\n[board]\ntitle = \"small\"\n[board.deck.main]\nsize = { width = \"200 mm\", depth = \"130 mm\" }\n";
    let devices: String = ["D0", "D1", "D2"]
        .map(|tag| format!("[[device]]\ntag = \"{tag}\"\nkind = \"compact-73x129x59\"\n"))
        .concat();
    let job = boards::read(&format!("{small}{devices}"));
    let outcome = solved(&boards::input(&job));
    assert!(!outcome.feasible);
    insta::assert_snapshot!(told(&outcome));
    // The board is the job's own: another size of it can be written.
    assert_eq!(applied("small", &job, &outcome), outcome.relaxations.len());
    for relaxation in outcome.relaxations.iter().filter(|relaxation| relaxation.kind == "board") {
        // The kind stands last in the name; on it the same devices fit.
        let kind = relaxation.name.trim_start_matches("board ");
        let larger = boards::read(&format!(
            "format = 1\n[job]\ntitle = \"larger\"\n[board]\nkind = \"{kind}\"\n{devices}"
        ));
        assert!(solved(&boards::input(&larger)).feasible);
    }
}

#[test]
fn a_device_that_nothing_can_help_is_named() {
    let job = boards::read(
        "format = 1\n[job]\ntitle = \"wide\"\n[board]\nkind = \"frame-480x190\"\n[[device]]\ntag = \"BIG\"\nkind = \"multi-300x185x75\"\nsize = { width = \"500 mm\", depth = \"185 mm\", height = \"75 mm\" }\n",
    );
    let outcome = solved(&boards::input(&job));
    assert!(
        outcome.proof.as_deref().is_some_and(|proof| proof
            == "BIG has no place on the empty board: it is 500 mm wide, and on main there are 480 mm"),
        "{:?}",
        outcome.proof
    );
}

#[test]
fn what_is_packed_exactly_is_not_called_impossible() {
    // Two pedals side by side fill a deck to the millimetre: no proof may be given, and the search finds it.
    let job = boards::read(
        "format = 1\n[job]\ntitle = \"tight\"\n[board]\ntitle = \"tight\"\n[board.deck.main]\nsize = { width = \"146 mm\", depth = \"129 mm\" }\n[[device]]\ntag = \"A\"\nkind = \"compact-73x129x59\"\n[[device]]\ntag = \"B\"\nkind = \"compact-73x129x59\"\n",
    );
    let outcome = solved(&boards::input(&job));
    assert_eq!(outcome.proof, None);
    assert!(outcome.feasible, "{:?}", outcome.breaches);
}

#[test]
fn what_is_turned_too_and_fits_neither_way_is_told_for_both() {
    // A brick may be turned, and hung where the clear height is known; here it is too long either way.
    let job = boards::read(
        "format = 1\n[job]\ntitle = \"long\"\n[board]\ntitle = \"own\"\n[board.deck.main]\nsize = { width = \"300 mm\", depth = \"200 mm\" }\n[[device]]\ntag = \"PSU\"\nrole = \"brick\"\nsize = { width = \"320 mm\", depth = \"90 mm\", height = \"40 mm\" }\n",
    );
    let outcome = solved(&boards::input(&job));
    assert_eq!(
        outcome.proof.as_deref(),
        Some(
            "PSU has no place on the empty board: it is 320 mm wide, and on main there are 300 mm; turned by 90° it is 320 mm deep, and on main there are 200 mm"
        )
    );
    // It is said at once: nothing is sought for long where nothing can be.
    assert!(outcome.moves <= 240_000 / 40, "{}", outcome.moves);
}

#[test]
fn an_adaptor_in_a_strip_is_in_the_way_for_the_search_too() {
    // The strip is locked under the rear deck, and the adaptor in it would reach through: the search must not take that for
    // a placement that fits.
    let job = boards::read(
        "format = 1\n[job]\ntitle = \"adaptor\"\nmains = { volts = \"230 V\", hertz = \"50 Hz\" }\n[board]\nkind = \"two-deck-760x480\"\n[[device]]\ntag = \"VIB\"\nkind = \"large-146x121x60\"\npower = { type = \"ac\", volts = \"9 V\", current = \"800 mA\" }\nfeed = { type = \"adaptor\", outlets = [\"STR.S2\"], plug = \"barrel-2.1-angled\", adaptor = { size = { width = \"60 mm\", depth = \"50 mm\", height = \"75 mm\" }, prongs = \"plug-c\", prongs_left = \"22 mm\", prongs_up = \"58 mm\", lies = \"upside-down\", lead = \"1.8 m\" } }\n[[device]]\ntag = \"STR\"\nrole = \"strip\"\nsize = { width = \"260 mm\", depth = \"60 mm\", height = \"45 mm\" }\npower = { type = \"mains\", volts = \"230 V\" }\nsockets = { pattern = \"socket-f\", count = 5, face = \"front\", first = \"40 mm\", pitch = \"45 mm\", height = \"22 mm\" }\nport.IN = { role = \"mains\", connector = \"fixed\", face = \"left\", offset = \"30 mm\", height = \"22 mm\" }\nplace = { deck = \"rear\", x = \"250 mm\", y = \"60 mm\", under = true, locked = true }\n",
    );
    let input = boards::input(&job);
    let config = Config { moves: 4_000, relax: false, ..Config::standard() };
    let outcome = solve(&input, &config, &NoProgress, &NeverCancelled);
    assert!(!outcome.feasible, "the adaptor reaches through the deck");
    assert_eq!(outcome.first_fit, None);
    // On the front deck there is room for it.
    let mut input = input;
    for device in &mut input.rig.devices {
        device.place = None;
    }
    let free = solve(&input, &config, &NoProgress, &NeverCancelled);
    assert!(free.feasible && free.first_fit.is_some(), "{:?}", free.breaches);
}
