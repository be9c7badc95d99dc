//! What a change and a job cost: the right things, none for nothing, and the same before and after leads are cut.

use change::{Became, RevisionChange, Side, compare};
use design::{Design, Shelf, Stock};
use estimate::{Amount, Need};
use quantity::Length;

const BASE: &str = "cabin-board-corrected";

fn text() -> String {
    let path = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(BASE);
    std::fs::read_to_string(path.join("rig.toml")).expect("it reads")
}

/// The example with parts of its text replaced; what is to be replaced must be there.
fn with(pairs: &[(&str, &str)]) -> Design {
    let text = pairs.iter().fold(text(), |text, (old, new)| {
        assert!(text.contains(old), "the example has no {old}");
        text.replacen(old, new, 1)
    });
    let read = document::read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{error:?}"));
    design::derive(read.rig, read.limits)
}

fn changed(before: &Design, after: &Design) -> RevisionChange {
    compare(&Side { design: before, findings: &[] }, &Side { design: after, findings: &[] })
}

fn units(change: &RevisionChange, operation: &str) -> u32 {
    change.acts.iter().filter(|act| act.operation == operation).map(|act| act.units).sum()
}

const A2: &str = "tag = \"A2\"\ntitle = \"clean boost\"\nkind = \"compact-42x93x52\"";
const A6: &str = "[[device]]\ntag = \"A6\"\ntitle = \"second tuner\"\nkind = \"compact-42x93x52\"\n\n[[run]]\nname = \"main\"";

/// A device that is swapped or new is taken in, fastened, tested and billed by its own tag, not by that of its kind.
#[test]
fn another_device_is_billed_and_tested_as_itself() {
    let boost = "title = \"clean boost\"";
    let old = with(&[(boost, &format!("{boost}\nserial = \"0311\""))]);
    let other = format!("{boost}\nserial = \"0417\"");
    let serial = (boost, other.as_str());
    let noted = ("tag = \"A3\"", "tag = \"A3\"\nserial = \"88\"");
    assert!(
        changed(&old, &with(&[(boost, &format!("{boost}\nserial = \"0311\"")), noted]))
            .fresh_devices()
            .is_empty()
    );
    let swap = (A2, "tag = \"A2\"\ntitle = \"other boost\"\nkind = \"compact-66x122x56\"");
    for (name, edit, tag, in_tests) in [
        ("another kind", swap, "A2", vec!["end:A2", "draw:A2"]),
        ("another one of its kind", serial, "A2", vec!["end:A2", "draw:A2"]),
        ("one more of a kind", ("[[run]]\nname = \"main\"", A6), "A6", vec![]),
    ] {
        let new = with(&[edit]);
        let change = changed(&old, &new);
        assert_eq!(change.fresh_devices(), [tag], "{name}");
        assert_eq!(units(&change, "change-intake"), 1, "{name}");
        for test in &in_tests {
            assert!(change.tests.iter().any(|id| id == test), "{name}: {test} in {:?}", change.tests);
        }
        let about_others = ["draw:A1", "draw:A3", "end:A4"];
        assert!(
            !change.tests.iter().any(|id| about_others.contains(&id.as_str())),
            "{name}: {:?}",
            change.tests
        );
        let devices: Vec<&Need> =
            change.needs.iter().filter(|need| need.group == estimate::BillGroup::Devices).collect();
        assert!(devices.iter().all(|need| need.serves == tag), "{name}: {devices:?}");
    }
}

/// Whose a device is decides whether it is charged: pedals are the player's and supplies ours, where nobody says.
#[test]
fn what_is_charged_follows_the_owner() {
    let supply = "tag = \"SUP\"\ntitle = \"thin supply\"";
    for (device, owner, theirs) in [
        ("A2", None, true),
        ("A2", Some("player"), true),
        ("A2", Some("Dorrit Halse"), true),
        ("A2", Some("workshop"), false),
        ("A2", Some("Tarnwick Bench"), false),
        ("SUP", None, false),
        ("SUP", Some("workshop"), false),
        ("SUP", Some("player"), true),
    ] {
        let line = if device == "SUP" { supply } else { A2 };
        let owned = owner.map_or(line.to_owned(), |owner| format!("{line}\nowner = \"{owner}\""));
        let design = with(&[(line, &owned)]);
        let needs = design::needs(&design);
        let need = needs.iter().find(|need| need.serves == device && need.key != "adaptor").expect("a need");
        assert_eq!(need.theirs, theirs, "{device} of {owner:?}");
    }
}

/// A lead without a length is named, in the bill of a job and of a change.
#[test]
fn leads_without_a_length_are_named() {
    let old = with(&[]);
    assert!(design::needs(&old).iter().all(|need| need.open.is_none()));
    let new = with(&[("place = { deck = \"main\", x = \"352 mm\", y = \"56 mm\" }", "")]);
    let unknown: Vec<&str> = new
        .leads
        .iter()
        .filter(|lead| lead.cut.value.is_none() && lead.making == design::Making::Made)
        .map(|lead| lead.tag.as_str())
        .collect();
    assert!(2 <= unknown.len(), "{unknown:?}");
    let open = |needs: &[Need]| -> String {
        needs.iter().filter_map(|need| need.open.clone()).collect::<Vec<_>>().join("; ")
    };
    let words = open(&design::needs(&new));
    assert!(unknown.iter().all(|tag| words.contains(tag) || words.contains('–')), "{words}");
    let fresh = with(&[("[[run]]\nname = \"main\"", A6), ("\"A2\", \"A3\"", "\"A2\", \"A6\", \"A3\"")]);
    let change = changed(&old, &fresh);
    assert!(open(&change.needs).contains("not known"), "{:?}", change.needs);
}

/// A device that moves takes its own leads with it; the others stay where they lie, and nobody is charged for them.
#[test]
fn leads_that_nobody_touches_are_not_charged() {
    let old = with(&[]).laid();
    let new = with(&[("x = \"413 mm\", y = \"2 mm\"", "x = \"414 mm\", y = \"3 mm\"")]).laid();
    let change = changed(&old, &new);
    let mut charged = 0;
    for lead in &change.leads {
        let own = lead.name.contains("A1.");
        let free = matches!(lead.became, Became::Stays | Became::Redrawn { .. });
        assert!(own || free, "{}: {:?}", lead.name, lead.became);
        charged += u32::from(!free);
    }
    assert!(0 < charged && units(&change, "change-plug") <= charged, "{change:?}");
}

/// Nothing that has no way, or whose twist is not decided, is said to stay or to reach.
#[test]
fn what_cannot_be_known_is_said_and_makes_the_sum_a_lower_bound() {
    let old = with(&[]).laid();
    // Another device stands right in front of the jacks of A2.
    let walled = "place = { deck = \"main\", x = \"352 mm\", y = \"56 mm\" }";
    for (x, y) in [(310, 56), (394, 56), (312, 50)] {
        let wall = format!(
            "{walled}\n\n[[device]]\ntag = \"W\"\ntitle = \"wall\"\nrole = \"other\"\n\
             size = {{ width = \"41 mm\", depth = \"93 mm\", height = \"89 mm\" }}\n\
             place = {{ deck = \"main\", x = \"{x} mm\", y = \"{y} mm\" }}"
        );
        let new = with(&[(walled, &wall)]).laid();
        for lead in changed(&old, &new).leads {
            let after = new.leads.iter().find(|other| other.name == lead.name).expect("it is there");
            let was = old.leads.iter().find(|other| other.name == lead.name).expect("it was there");
            if was.laid && !after.laid {
                let is_open = matches!(lead.became, Became::Unclear { .. } | Became::Redrawn { .. });
                assert!(is_open, "{}: {:?}", lead.name, lead.became);
            }
        }
    }
    // An exit that is taken out leaves the twist open.
    let exits = text().matches("to_exit = \"toe\"").count();
    assert!(0 < exits);
    let open = with(&[("exit = \"left\", outlet_exit = \"right\"", "outlet_exit = \"right\"")]);
    let change = changed(&with(&[]), &open);
    for lead in &change.leads {
        let (Some(a), Some(b)) = (&lead.before, &lead.after) else { continue };
        assert!(lead.became != Became::Stays || a.turned == b.turned, "{}", lead.name);
        if matches!(lead.became, Became::Unclear { .. }) {
            let need = change.needs.iter().find(|need| need.serves == lead.tag()).expect("it is named");
            assert_eq!(need.key, "lead-not-decided");
        }
    }
}

/// Booking a cut plan writes lengths into the document and changes no price: neither work nor parts.
#[test]
fn a_job_costs_the_same_before_and_after_its_leads_are_cut() {
    let before = with(&[]).laid();
    let shelf = Shelf::default();
    let plans = design::cut_plans(&before, &shelf);
    let cut = design::cut_by(&before, &shelf, &plans);
    assert!(3 < cut.len());
    let edit = design::cut_edit(&before.rig, &cut, true);
    let after = document::edit::apply(&text(), &edit).expect("it is written");
    let read = document::read_text("rig.toml", &after, None).expect("it reads");
    let after = design::derive(read.rig, read.limits).laid();
    assert!(after.leads.iter().any(|lead| lead.made));
    let acts = |design: &Design| {
        let acts = design::acts(design).into_iter().map(|act| (act.operation, act.units, act.minutes));
        acts.collect::<Vec<_>>()
    };
    assert!(acts(&before).iter().any(|act| act.0 == "string"), "the example has lengths to check");
    assert_eq!(acts(&before), acts(&after));
    let wanted = |design: &Design| {
        design::needs(design).iter().map(|need| (need.key.clone(), need.wanted())).collect::<Vec<_>>()
    };
    assert_eq!(wanted(&before), wanted(&after));
}

/// Reels and offcuts cover the pieces that can be cut from them, not metres.
#[test]
fn stock_covers_pieces_and_not_metres() {
    let design = with(&[]).laid();
    let needs = design::needs(&design);
    let key = "patch-4";
    let need = needs.iter().find(|need| need.key == key).expect("cable");
    let whole = need.to_get().units() / 1_000_000;
    let pieces: Vec<i64> = design
        .leads
        .iter()
        .filter(|lead| lead.cable.as_ref().is_some_and(|cable| cable.id == key))
        .filter(|lead| lead.making == design::Making::Made)
        .filter_map(|lead| lead.cut.value)
        .map(|cut| cut.nm() / 1_000_000)
        .collect();
    let (longest, shortest) = (*pieces.iter().max().expect("leads"), *pieces.iter().min().expect("leads"));
    let stock =
        |id: usize, mm: Option<i64>, reel| Stock { cable: key.to_owned(), id: format!("R{id}"), mm, reel };
    let short: Vec<Stock> = (0..40).map(|id| stock(id, Some(shortest - 1), true)).collect();
    let of = |cable: Vec<Stock>| {
        let mut shelf = Shelf { cable, cut: Vec::new() };
        let needs = design::needs_from(&design, &mut shelf);
        let need = needs.into_iter().find(|need| need.key == key).expect("cable");
        (need.from_stock.map_or(-1, |amount| amount.units() / 1_000_000), shelf)
    };
    for (name, cable, covered) in [
        ("nothing there", vec![], 0),
        ("metres in pieces that are too short", short, 0),
        ("an endless reel", vec![stock(0, None, true)], whole),
        ("a long reel", vec![stock(0, Some(50_000), true)], whole),
        ("an offcut for the shortest lead", vec![stock(0, Some(shortest), false)], shortest),
        ("a reel for the longest lead", vec![stock(0, Some(longest), true)], longest),
    ] {
        let (got, _) = of(cable);
        if name.starts_with("a reel") {
            // Several short ones may go on it as well.
            assert!(0 < got && got <= covered, "{name}: {got} of {covered}");
        } else {
            assert_eq!(got, covered, "{name}");
        }
    }
    // What one job takes, the next does not find.
    let (got, left) = of(vec![stock(0, Some(whole), true)]);
    assert_eq!(got, whole);
    assert_eq!(left.cable[0].mm, Some(0));
    assert_eq!(need.needed.with(0), Amount::Length(Length::ZERO));
}
