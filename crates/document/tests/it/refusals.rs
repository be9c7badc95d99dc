//! Input that cannot be read: each message pinned, with its place.

use document::{ReadError, read_text};

use crate::sample::SAMPLE;

/// A slip: its name, what of the sample is replaced, and by what.
const SLIPS: &[(&str, &str, &str)] = &[
    ("not toml", "format = 1", "format = = 1"),
    ("format of the future", "format = 1", "format = 2"),
    ("no format", "format = 1", ""),
    ("unknown key", "title = \"Small board\"", "titel = \"Small board\""),
    ("unknown table", "[brief]", "[breif]"),
    ("bare number", "mass = \"950 g\"", "mass = 950"),
    ("bare fraction", "mass = \"950 g\"", "mass = 0.95"),
    ("not a number", "mass = \"950 g\"", "mass = nan"),
    ("infinite", "mass = \"950 g\"", "mass = inf"),
    ("number without unit", "mass = \"950 g\"", "mass = \"950\""),
    ("wrong unit", "mass = \"950 g\"", "mass = \"950 mm\""),
    ("too large", "mass = \"950 g\"", "mass = \"1e400 g\""),
    ("below zero", "mass = \"950 g\"", "mass = \"-950 g\""),
    ("minus zero", "thickness = \"10 mm\"", "thickness = \"-0 mm\""),
    ("empty quantity", "mass = \"950 g\"", "mass = \"\""),
    ("word nearly right", "bypass = \"hard\"", "bypass = \"herd\""),
    ("word not known", "bypass = \"hard\"", "bypass = \"sometimes\""),
    ("turn", "turn = 90", "turn = 45"),
    ("switch", "under = true", "under = \"yes\""),
    ("count", "carriers = 2", "carriers = -2"),
    ("text", "player = \"Maren Tolvik\"", "player = 7"),
    ("tag with a point", "tag = \"A2\"", "tag = \"A.2\""),
    ("tag twice", "tag = \"A2\"", "tag = \"A1\""),
    ("tag missing", "tag = \"A2\"", ""),
    ("provenance", "from = \"printed\"", "from = \"guessed\""),
    ("origin without value", "mass = { is = \"240 g\", from", "mass = { from"),
    ("origin with another key", "from = \"measured\", date", "from = \"measured\", when"),
    ("reversed window", "9 V to 18 V", "18 V to 9 V"),
    ("kind", "tag = \"A2\"", "tag = \"A2\"\nkind = \"compact-42x93x25\""),
    ("plug", "from_plug = \"jack-flat\"", "from_plug = \"jack-flatt\""),
    ("pickup", "pickup = \"single-coil\"", "pickup = \"twin-coil\""),
    ("deck", "deck = \"main\"", "deck = \"upper\""),
    ("outlet", "outlets = [\"SUP.1\"]", "outlets = [\"SUP.4\"]"),
    ("brick", "outlets = [\"SUP.1\"]", "outlets = [\"SUB.1\"]"),
    ("pair of one", "outlets = [\"SUP.1\"]", "type = \"series-pair\", outlets = [\"SUP.1\"]"),
    ("stop", "\"A2.IN\", \"amp\"", "\"A3\", \"amp\""),
    ("port", "\"A2.IN\", \"amp\"", "\"A2.INN\", \"amp\""),
    ("no way out", "\"A2.IN\", \"amp\"", "\"SUP\", \"amp\""),
    (
        "a jack twice",
        "stops = [\"guitar\", \"A1\", \"A2.IN\", \"amp\"]",
        "stops = [\"guitar\", \"A1.IN\", \"A1.OUT\", \"A1.IN\", \"A1.OUT\", \"amp\"]",
    ),
    ("one stop", "stops = [\"guitar\", \"A1\", \"A2.IN\", \"amp\"]", "stops = [\"guitar\"]"),
    ("lead to a whole device", "to = \"A2.IN\"", "to = \"A2\""),
    ("state", "engaged = [\"A1\"]", "engaged = [\"A9\"]"),
    ("two of a name", "[sink.amp]", "[sink.A1]"),
    ("deck without outline", "size = { width = \"480 mm\", depth = \"7 1/2 in\" }", ""),
    ("setting", "under = true }\n[device.outlet.1]", "under = true }\n[device.outlet.1]\nset = \"12 V\""),
    ("list wanted", "stops = [\"guitar\", \"A1\", \"A2.IN\", \"amp\"]", "stops = \"guitar\""),
    ("table wanted", "place = { x = \"1/2 in\", y = \"0 mm\" }", "place = \"left\""),
    ("half a place", "place = { x = \"1/2 in\", y = \"0 mm\" }", "place = { x = \"1/2 in\" }"),
];

/// Problems as text: place, message, help.
pub(crate) fn told(error: &ReadError) -> String {
    let ReadError::Problems { problems, files } = error else { return format!("{error}") };
    let mut out = String::new();
    for problem in problems {
        out.push_str(&format!("{}: {}\n", files.place(&problem.at), problem.message));
        if let Some(help) = &problem.help {
            out.push_str(&format!("    {help}\n"));
        }
    }
    out
}

#[test]
fn every_slip_is_told() {
    let mut out = String::new();
    for (name, found, instead) in SLIPS {
        assert!(SAMPLE.contains(found), "{name}: the sample has `{found}`");
        let text = SAMPLE.replacen(found, instead, 1);
        let told = match read_text("rig.toml", &text, None) {
            Ok(_) => "reads\n".to_owned(),
            Err(error) => told(&error),
        };
        out.push_str(&format!("# {name}\n{told}\n"));
    }
    insta::assert_snapshot!(out);
}

#[test]
fn settings_are_read_as_strictly() {
    let mut out = String::new();
    for settings in [
        "[limits]\nplug_clearence = \"3 mm\"\n",
        "[limits]\nplug_clearance = \"3 V\"\n",
        "[limits]\nplug_clearance = 3\n",
        "[limit]\nplug_clearance = \"3 mm\"\n",
        "[limits]\nweight_lead = \"-50 %\"\n",
        "[limits]\nweight_looks = \"1000000 %\"\n",
        "[limits]\nplug_clearance = \"-2 mm\"\n",
    ] {
        let error = read_text("rig.toml", SAMPLE, Some(settings)).expect_err("refused");
        out.push_str(&told(&error));
    }
    insta::assert_snapshot!(out);
}

/// Foam gives, and a board may stand over its edge.
#[test]
fn some_settings_may_be_below_zero() {
    let job = read_text("rig.toml", SAMPLE, Some("[limits]\nlid_foam_stop = \"-4 mm\"\n")).expect("it reads");
    assert_eq!(job.limits.lid_foam_stop, quantity::Length::from_mm(-4));
}

#[test]
fn one_jack_that_sends_and_returns_has_three_contacts() {
    let text = "format = 1\n[job]\ntitle = \"t\"\n[[device]]\ntag = \"A1\"\nport.INS = { role = \"send\", connector = \"jack-6.35-ts\" }\n\
                insert.L = { send = \"INS\", return = \"INS\" }\n";
    let Err(ReadError::Problems { problems, files }) = read_text("rig.toml", text, None) else {
        panic!("it is refused")
    };
    let told: Vec<String> =
        problems.iter().map(|problem| format!("{}: {}", files.place(&problem.at), problem.message)).collect();
    assert_eq!(
        told,
        ["rig.toml:7:12: insert L is on one jack, and INS is jack-6.35-ts, which has 2 contacts"]
    );
}

/// What is said of a lead or a run and cannot hold is refused, with what to write instead.
#[test]
fn entries_that_contradict_themselves_are_refused() {
    let rig = |more: &str| {
        format!(
            "format = 1\n[job]\ntitle = \"t\"\n[leads]\nretired = [\"L05\"]\n[[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\n\
             [[device]]\ntag = \"A2\"\nkind = \"compact-66x122x50\"\n{more}"
        )
    };
    let told = |more: &str| -> Vec<String> {
        match read_text("rig.toml", &rig(more), None) {
            Err(ReadError::Problems { problems, .. }) => {
                problems.into_iter().map(|problem| problem.message).collect()
            }
            _ => Vec::new(),
        }
    };
    let lead = |more: &str| format!("[[lead]]\nfrom = \"A1.OUT\"\nto = \"A2.IN\"\n{more}");
    assert_eq!(told(&lead("tag = \"L04\"\n")), [""; 0]);
    assert_eq!(told(&lead("tag = \"L05\"\n")), ["the number L05 is retired"]);
    for (key, value) in [
        ("legs", "{ \"A1.OUT\" = \"80 mm\" }"),
        ("joint", "\"120 mm, 80 mm\""),
        ("exits", "{ \"A1.OUT\" = \"toe\" }"),
        ("plugs", "{ \"A1.OUT\" = \"jack-flat\" }"),
    ] {
        let entry = lead(&format!("{key} = {value}\n"));
        assert_eq!(told(&entry), [format!("a lead of two ends has no `{key}`")], "{key}");
    }
    let run = |stops: &str| format!("[[run]]\nname = \"main\"\nstops = [{stops}]\n");
    assert_eq!(told(&run("")), ["run `main` has no stop; a run needs two or more"]);
    assert_eq!(told(&run("\"A1\"")), ["run `main` has one stop; a run needs two or more"]);
    assert!(told(&run("\"A1\", \"A1\"")).contains(&"the run stops at `A1` twice running".to_owned()));
}
