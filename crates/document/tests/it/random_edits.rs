//! Edits of random typed changes on random documents: each can be made, what is read again says what the changes
//! said, comments stay, and one pass over all changes is the same as one pass for each.

use std::collections::BTreeMap;

use document::edit::apply;
use finding::{Cells, Change, Edit, Field, Value};
use proptest::prelude::*;
use quantity::{Length, Quantity};
use toml_edit::{DocumentMut, Item, TableLike};

use crate::refusals::told;

/// A document without a lead of its own and without `[leads]`. `forms` says of each device how it is written.
fn rig(forms: &[(bool, bool, bool)]) -> String {
    let mut text = String::from(
        "# c-top\nformat = 1\n\n# c-job\n[job]\n# c-title\ntitle = \"t\" # c-behind\n# c-player\nplayer = \"p\"\n\n\
         [source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\n[sink.amp]\nkind = \"amp\"\n# c-board\n[board]\nkind = \"frame-480x190\"\n",
    );
    if forms.len().is_multiple_of(2) {
        text += "# c-riser\n[board.deck.main.riser.R1]\n# c-x\nx = \"1 in\"\ny = \"0 mm\"\nwidth = \"100 mm\"\ndepth = \"50 mm\"\nheight = \"20 mm\"\n";
    }
    text += "# c-brick\n[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n";
    for (index, (placed, header, feeds)) in forms.iter().enumerate() {
        text += &format!(
            "\n# c-device-{index}\n[[device]]\ntag = \"D{index}\" # c-tag-{index}\n# c-kind-{index}\nkind = \"compact-73x129x59\"\n"
        );
        if *placed {
            text += &format!("# c-place-{index}\nplace = {{ x = \"1/2 in\", y = \"{index} mm\" }}\n");
        }
        if *feeds && *header {
            text += "[device.feed]\n";
            text += &format!("# c-outlets-{index}\noutlets = [\n  \"SUP.1\", # c-near-{index}\n]\n");
        } else if *feeds {
            text += "feed = { outlets = [\"SUP.2\"] }\n";
        }
        if *header {
            text += &format!(
                "# c-port-{index}\n[device.port.AUX]\n# c-role-{index}\nrole = \"expression\"\nface = \"back\"\n"
            );
        }
    }
    text += "\n[[run]]\nname = \"main\"\n# c-stops\nstops = [\n  \"guitar\", # c-first\n  \"D0\",\n  # c-last\n  \"amp\",\n]\n";
    text + "# c-state\n[[state]]\nname = \"loud\"\nengaged = [\"D0\"]\n# c-end\n"
}

/// The devices of a rig, and two more that no rig has yet.
const TAGS: [&str; 5] = ["D0", "D1", "D2", "N0", "N1"];

fn text() -> impl Strategy<Value = String> {
    "[a-z\"\\\\'#= é\\[\\]{}]{1,9}"
}

fn mm() -> impl Strategy<Value = Value> {
    (0i64..900).prop_map(|mm| Length::from_mm(mm).into())
}

fn table(keys: &'static [&'static str]) -> impl Strategy<Value = Value> {
    prop::collection::vec(mm(), keys.len()).prop_map(|values| Value::table(keys.iter().copied().zip(values)))
}

/// A change of a device that may be new.
fn of_device() -> BoxedStrategy<Change> {
    let tag = || prop::sample::select(&TAGS[..]);
    let place = (table(&["x", "y"]), 0i64..4, any::<bool>()).prop_map(|(place, turn, under)| {
        let Value::Table(mut cells) = place else { return place };
        if 0 < turn {
            cells.push(("turn".into(), (90 * turn).into()));
        }
        if under {
            cells.push(("under".into(), under.into()));
        }
        Value::Table(cells)
    });
    let mass = prop_oneof![
        (1i64..900).prop_map(|g| Value::from(format!("{g} g"))),
        (1i64..900).prop_map(|g| Value::given(format!("{g} g"), "measured")),
        Just(Value::given("", "unknown")),
    ];
    let feed = (1usize..5, any::<bool>()).prop_map(|(outlet, crossing)| {
        let outlets = Value::list([format!("SUP.{outlet}")]);
        Value::table([("outlets", outlets)].into_iter().chain(crossing.then(|| ("crossing", true.into()))))
    });
    let port = |key: &'static str, value: BoxedStrategy<Value>| {
        (tag(), prop::sample::select(vec!["AUX", "EXP"]), value).prop_map(move |(tag, port, value)| {
            Change::set(Field::device(tag, "port").below(port).below(key), value)
        })
    };
    let role = prop::sample::select(vec!["expression", "control"]).prop_map(Value::from).boxed();
    let set = |key: &'static str, value: BoxedStrategy<Value>| {
        (tag(), value).prop_map(move |(tag, value)| Change::set(Field::device(tag, key), value))
    };
    prop_oneof![
        set("title", text().prop_map(Value::from).boxed()),
        set("mass", mass.boxed()),
        set("place", place.boxed()),
        set("feed", feed.boxed()),
        set("size", table(&["width", "depth", "height"]).boxed()),
        port("role", role),
        port("offset", mm().boxed()),
        (tag(), prop::sample::select(vec!["place", "feed", "mass", "title", "note"]))
            .prop_map(|(tag, key)| Change::remove(Field::device(tag, key))),
        prop::sample::select(vec!["N0", "N1"]).prop_map(|tag| Change::remove(Field::of("device", tag, ""))),
        prop::sample::select(vec!["N0", "N1"]).prop_map(|tag| Change::add(Field::of("device", tag, ""))),
    ]
    .boxed()
}

/// A change of a lead's row, which is made where it is missing.
fn of_lead() -> BoxedStrategy<Change> {
    let number = || prop::sample::select(vec![0usize, 1]);
    let at = |number: usize, key: &str| Field::lead(["guitar > D0.IN", "D0.OUT > amp"][number], key);
    let ties = prop::collection::vec((0i64..400, 0i64..150), 0..3)
        .prop_map(|ties| Value::list(ties.iter().map(|(x, y)| format!("{x} mm, {y} mm"))));
    prop_oneof![
        number().prop_map(move |n| Change::set(at(n, "tag"), format!("L0{}", n + 1))),
        (number(), prop::sample::select(vec!["toe", "left", "up"]))
            .prop_map(move |(n, exit)| Change::set(at(n, "from_exit"), exit)),
        (number(), 1i64..5000).prop_map(move |(n, cut)| Change::set(at(n, "cut"), Length::from_mm(cut))),
        (number(), ties).prop_map(move |(n, ties)| Change::set(at(n, "ties"), ties)),
        (number(), any::<bool>()).prop_map(move |(n, is)| Change::set(at(n, "crossed"), is)),
        (number(), prop::sample::select(vec!["", "cut", "ties"]))
            .prop_map(move |(n, key)| Change::remove(at(n, key))),
    ]
    .boxed()
}

fn of_the_rest() -> BoxedStrategy<Change> {
    let rows = prop::collection::vec(text(), 0..4).prop_map(|texts| {
        let rows = texts.into_iter().enumerate();
        Value::Rows(
            rows.map(|(n, text)| vec![("id".into(), format!("R{n}").into()), ("text".into(), text.into())])
                .collect(),
        )
    });
    let names = |max: usize| {
        prop::sample::subsequence(vec!["D0"], 0..=1)
            .prop_flat_map(move |names| (Just(names), 0..=max).prop_map(|(names, _)| names))
    };
    prop_oneof![
        rows.prop_map(|rows| Change::set(Field::new(["brief", "requirements"]), rows)),
        text().prop_map(|text| Change::set(Field::new(["job", "player"]), text)),
        Just(Change::remove(Field::new(["job", "player"]))),
        (1i64..900).prop_map(|g| Change::set(Field::new(["mass", "case, \"big\""]), format!("{g} g"))),
        Just(Change::remove(Field::new(["mass", "case, \"big\""]))),
        text().prop_map(|text| Change::set(Field::new(["source", "voice", "title"]), text)),
        Just(Change::remove(Field::of("source", "voice", ""))),
        names(1).prop_map(|names| Change::set(Field::of("state", "quiet", "engaged"), Value::list(names))),
        names(1).prop_map(|names| Change::set(Field::of("state", "loud", "engaged"), Value::list(names))),
        prop::sample::select(vec!["quiet", "loud"])
            .prop_map(|name| Change::remove(Field::of("state", name, ""))),
        names(1).prop_map(|names| {
            let stops = ["guitar"].into_iter().chain(names).chain(["amp"]);
            Change::set(Field::run("main", "stops"), Value::list(stops))
        }),
        // A number that is retired is on no lead: those of leads begin with a zero.
        prop::collection::vec("L[1-9][0-9]", 0..3)
            .prop_map(|tags| Change::set(Field::new(["leads", "retired"]), tags)),
        Just(Change::set(
            Field::new(["leads", "signal"]),
            Value::table([("cable", Value::from("patch-4")), ("plug", "jack-flat".into())])
        )),
        (prop::sample::select(vec!["R1", "R2"]), table(&["x", "y", "width", "depth", "height"])).prop_map(
            |(name, riser)| Change::set(Field::new(["board", "deck", "main", "riser", name]), riser)
        ),
    ]
    .boxed()
}

/// What the changes, one after the other, leave said: values by address, nothing where something went.
fn left_said(changes: &[Change]) -> BTreeMap<Vec<String>, Option<Value>> {
    fn say(said: &mut BTreeMap<Vec<String>, Option<Value>>, at: &[String], to: &Value) {
        match to {
            Value::Table(cells) => {
                for (key, value) in cells {
                    say(said, &[at, std::slice::from_ref(key)].concat(), value);
                }
            }
            value => {
                // What holds it is there again.
                said.retain(|other, gone| !(at.starts_with(other) && gone.is_none()));
                said.insert(at.to_vec(), Some(value.clone()));
            }
        }
    }
    let mut said = BTreeMap::new();
    for change in changes {
        let at = change.field().parts().to_vec();
        match change {
            Change::Set { to, .. } => {
                said.retain(|other: &Vec<String>, _| !other.starts_with(&at));
                say(&mut said, &at, to);
            }
            Change::Remove { .. } => {
                said.retain(|other: &Vec<String>, _| !other.starts_with(&at));
                said.insert(at, None);
            }
            Change::Add { .. } => said.retain(|other, gone| !(at.starts_with(other) && gone.is_none())),
            Change::Rename { .. } => {}
        }
    }
    said
}

/// What stands at an address, found without the editor.
fn found(document: &DocumentMut, parts: &[String]) -> Option<Item> {
    let mut item = document.as_item().clone();
    let mut list: Option<&str> = None;
    for part in parts {
        item = match (&item, list.take()) {
            (Item::ArrayOfTables(rows), Some(list)) => {
                let word = |row: &toml_edit::Table, key: &str| {
                    row.get(key).and_then(Item::as_str).unwrap_or_default().to_owned()
                };
                let is_it = |row: &&toml_edit::Table| match list {
                    "device" => word(row, "tag") == *part,
                    "lead" => format!("{} > {}", word(row, "from"), word(row, "to")) == *part,
                    _ => word(row, "name") == *part,
                };
                Item::Table(rows.iter().find(is_it)?.clone())
            }
            (item, _) => item.as_table_like()?.get(part)?.clone(),
        };
        if item.is_array_of_tables() {
            list = Some(part);
        }
    }
    Some(item)
}

fn says(item: &Item, value: &Value) -> bool {
    let cells = |row: &dyn TableLike, cells: &Cells| {
        row.len() == cells.len()
            && cells.iter().all(|(key, value)| row.get(key).is_some_and(|item| says(item, value)))
    };
    match value {
        Value::Text(text) => {
            let is = item.as_table_like().and_then(|table| table.get("is"));
            let there = is.unwrap_or(item).as_str();
            // Inches that were there stay inches where that is exact.
            let same = || there.is_some_and(|there| Length::parse(there).ok() == Length::parse(text).ok());
            there == Some(text) || (Length::parse(text).is_ok() && same())
        }
        Value::Flag(flag) => item.as_bool() == Some(*flag),
        Value::Whole(number) => item.as_integer() == Some(*number),
        Value::Given { from, .. } if from == "unknown" => item.as_str() == Some("unknown"),
        Value::Given { is, from, note } => item.as_table_like().is_some_and(|table| {
            let told = table.get("note").and_then(Item::as_str);
            table.get("is").is_some_and(|item| says(item, is))
                && table.get("from").and_then(Item::as_str) == Some(from)
                && note.as_deref().is_none_or(|note| told == Some(note))
        }),
        Value::List(texts) => item.as_array().is_some_and(|array| {
            array.iter().map(toml_edit::Value::as_str).eq(texts.iter().map(|text| Some(text.as_str())))
        }),
        Value::Table(table) => item.as_table_like().is_some_and(|there| cells(there, table)),
        Value::Rows(rows) => item.as_array().is_some_and(|array| {
            array.len() == rows.len()
                && array
                    .iter()
                    .zip(rows)
                    .all(|(there, row)| there.as_inline_table().is_some_and(|there| cells(there, row)))
        }),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_edits_say_what_they_said(
        forms in prop::collection::vec(any::<(bool, bool, bool)>(), 1..4),
        changes in prop::collection::vec(prop_oneof![3 => of_device(), 2 => of_lead(), 3 => of_the_rest()], 1..14),
    ) {
        let before = rig(&forms);
        let edit = Edit::new("random", changes.clone());
        let after = apply(&before, &edit).unwrap_or_else(|error| panic!("{error}\n{before}"));
        let one_by_one = changes.iter().try_fold(before.clone(), |text, change| {
            apply(&text, &Edit::new("one", [change.clone()]))
        });
        prop_assert_eq!(one_by_one.as_ref(), Ok(&after));
        if let Err(error) = document::read_text("rig.toml", &after, None) {
            prop_assert!(false, "{}\n{after}", told(&error));
        }
        let document: DocumentMut = after.parse().expect("TOML");
        for (at, value) in left_said(&changes) {
            let there = found(&document, &at);
            match value {
                None => prop_assert!(there.is_none(), "{at:?} is still there\n{after}"),
                Some(value) => {
                    prop_assert!(there.is_some_and(|there| says(&there, &value)), "{at:?} {value:?}\n{after}");
                }
            }
        }
        for comment in before.split('#').skip(1) {
            let comment = comment.split('\n').next().unwrap_or_default().trim();
            let kept = after.lines().any(|line| line.contains(comment));
            prop_assert!(kept, "{comment} is lost\n{before}\n---\n{after}");
        }
    }
}
