//! What a document says arrives in the rig, with its places.

use document::{At, Job, read_text};
use finding::Field;
use quantity::{Length, Milliamps, Volts};
use rig::{Exit, Known, PortRole, Provenance, Sign};

use crate::refusals::told;
use crate::sample::SAMPLE;

fn sample() -> Job {
    read_text("rig.toml", SAMPLE, None).unwrap_or_else(|error| panic!("{}", told(&error)))
}

fn text_at<'a>(job: &'a Job, at: &At) -> &'a str {
    &job.files.0[at.file].text[at.start..at.end]
}

#[test]
fn values_carry_their_provenance() {
    let job = sample();
    let a1 = job.rig.device("A1").expect("A1");
    assert_eq!(a1.mass.from, Provenance::Measured);
    assert_eq!(a1.power.current.value, Some(Milliamps::of(45.0)));
    assert_eq!(a1.power.current.from, Provenance::Printed);
    let a2 = job.rig.device("A2").expect("A2");
    assert!(a2.mass.is_unknown());
    assert_eq!(a2.size.from, Provenance::Assumed);
    assert_eq!(job.rig.sources[0].lead.from, Provenance::Measured);
    assert_eq!(job.rig.sources[0].lead.value, Some(Length::from_mm(5000)));
}

#[test]
fn windows_signs_outlets_and_turns_arrive() {
    let job = sample();
    let a1 = job.rig.device("A1").expect("A1");
    let window = a1.power.volts.value.expect("window");
    assert_eq!((window.low(), window.high()), (Volts::of(9.0), Volts::of(18.0)));
    assert_eq!(a1.power.sign.value, Some(Sign::CentreNegative));
    let place = a1.place.as_ref().expect("place");
    assert_eq!((place.quarters, place.x), (1, Length::from_mm(412)));
    let brick = job.rig.device("SUP").expect("SUP");
    let outlet = brick.outlet("1").expect("outlet");
    assert_eq!(outlet.set.value, Some(Volts::of(9.0)), "an outlet with one setting has that one");
    assert!(brick.port("1").is_some(), "an outlet is a port too");
    let feed = a1.feed.as_ref().expect("feed");
    assert_eq!(feed.device_plug.exit, Some(Exit::Left));
    assert_eq!(feed.device_plug.plug.as_ref().map(|plug| plug.id.as_str()), Some("barrel-2.1-angled"));
}

#[test]
fn a_place_without_a_deck_is_on_the_first() {
    let job = sample();
    assert_eq!(job.rig.device("A2").and_then(|d| d.place.as_ref()).map(|p| p.deck.as_str()), Some("main"));
}

#[test]
fn stops_become_leads() {
    let job = sample();
    let run = &job.rig.runs[0];
    let steps: Vec<String> = run.steps().map(|(from, to)| format!("{from} > {to}")).collect();
    assert_eq!(steps, ["guitar > A1.IN", "A1.OUT > A2.IN", "A2.OUT > amp"]);
    let lead = &job.rig.leads[0];
    assert_eq!((lead.tag.as_deref(), lead.from_plug.exit), (Some("L07"), Some(Exit::Toe)));
}

#[test]
fn places_of_values_are_found() {
    let job = sample();
    let at = |field: Field| text_at(&job, &job.locate(&field)).to_owned();
    assert_eq!(at(Field::device("A1", "power.current")), "\"45 mA\"");
    assert_eq!(at(Field::device("A1", "mass")), "\"240 g\"");
    assert_eq!(at(Field::device("A2", "place.x")), "\"1/2 in\"");
    assert_eq!(at(Field::of("lead", "A1.OUT > A2.IN", "from_exit")), "\"toe\"");
    assert_eq!(at(Field::new(["board", "lid", "inside_height"])), "\"90 mm\"");
    // What is missing leads to the table that should hold it.
    assert_eq!(at(Field::device("A2", "power.current")), "{ type = \"none\" }");
    assert!(at(Field::device("A2", "serial")).starts_with("[[device]]"));
    // A lead without an entry leads to its run, a supply lead to its feed.
    assert_eq!(at(Field::of("lead", "A2.OUT > amp", "to_plug")), "[\"guitar\", \"A1\", \"A2.IN\", \"amp\"]");
    assert!(at(Field::of("lead", "SUP.1 > A1.DC", "to_plug")).starts_with("{ outlets"));
}

#[test]
fn a_kind_is_overridden_key_by_key() {
    let text = "format = 1\njob = { title = \"t\" }\n[[device]]\ntag = \"A1\"\nkind = \"compact-42x93x52\"\n[device.port.IN]\nz = \"470 kohm\"\n";
    let job = read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{}", told(&error)));
    let port = job.rig.device("A1").and_then(|device| device.port("IN")).expect("the kind's port");
    assert!(port.face.value.is_some(), "the kind's face stays");
    assert_eq!(port.z.value.map(quantity::Ohms::get), Some(470e3));
    let at = job.locate(&Field::device("A1", "port.IN.face"));
    assert_ne!(at.file, 0, "the face stands in the catalogue");
}

#[test]
fn settings_change_limits() {
    let settings = "name = \"Bench\"\n[limits]\nplug_clearance = \"3 mm\"\noutlet_load_look = \"75 %\"\n";
    let job =
        read_text("rig.toml", SAMPLE, Some(settings)).unwrap_or_else(|error| panic!("{}", told(&error)));
    assert_eq!(job.limits.plug_clearance, Length::from_mm(3));
    assert_eq!(job.limits.outlet_load_look, quantity::Ratio::of(0.75));
}

#[test]
fn the_shop_fills_in_how_devices_are_held() {
    let shop =
        "[fasten]\ntype = \"strip\"\ncount = 2\nlength = \"90 mm\"\nwidth = \"25 mm\"\nhooks = \"board\"\n";
    let text = SAMPLE.replacen("tag = \"A2\"", "tag = \"A2\"\nfasten = { type = \"screw\", count = 4 }", 1);
    let job = read_text("rig.toml", &text, Some(shop)).unwrap_or_else(|error| panic!("{}", told(&error)));
    let fasten = |tag: &str| job.rig.device(tag).and_then(|device| device.fasten.clone());
    let a1 = fasten("A1").expect("the shop's");
    assert_eq!(a1.kind.value, Some(rig::FastenKind::Strip));
    assert_eq!(a1.area().value, quantity::Area::new(45.0));
    assert_eq!(a1.strip(), Some(Length::from_mm(180)));
    let a2 = fasten("A2").expect("its own");
    assert_eq!((a2.kind.value, a2.count.value), (Some(rig::FastenKind::Screw), Some(4)));
    assert!(a2.length.is_unknown(), "the shop's strip is not mixed in");
    assert_eq!(a2.hooks.value, Some(rig::HookSide::Board));
}

#[test]
fn what_is_taken_away_is_not_there() {
    let text = SAMPLE.replacen(
        "tag = \"A2\"",
        "tag = \"B1\"\nkind = \"compact-66x122x50\"\nport.DC.absent = true\nswitch.FOOT.absent = true\n[[device]]\ntag = \"A2\"",
        1,
    );
    let job = read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{}", told(&error)));
    let b1 = job.rig.device("B1").expect("B1");
    let names: Vec<&str> = b1.ports.iter().map(|port| port.name.as_str()).collect();
    assert_eq!(names, ["IN", "OUT"]);
    assert!(b1.switches.is_empty());
}

#[test]
fn a_row_of_sockets_is_ports_and_a_port_by_hand_goes_before() {
    let text = "format = 1\njob = { title = \"t\" }\n[[device]]\ntag = \"STRIP\"\nrole = \"strip\"\n\
                sockets = { pattern = \"socket-f\", count = 2, face = \"front\", first = \"30 mm\", pitch = \"40.5 mm\", from = \"printed\" }\n\
                port.IN = { role = \"mains\", connector = \"gland-m16\" }\n\
                port.S2 = { offset = \"72 mm\", from = \"measured\" }\n";
    let job = read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{}", told(&error)));
    let strip = job.rig.device("STRIP").expect("the strip");
    let names: Vec<&str> = strip.ports.iter().map(|port| port.name.as_str()).collect();
    assert_eq!(names, ["IN", "S1", "S2"]);
    let [first, second] = [1, 2].map(|at| &strip.ports[at]);
    assert_eq!(first.offset, Known::new(Length::from_mm(30), Provenance::Printed));
    assert_eq!(second.offset, Known::new(Length::from_mm(72), Provenance::Measured));
    assert_eq!(second.role.value, Some(PortRole::Mains));
    assert!(second.may_stay_empty && second.height.is_unknown());
    let connector = second.connector.as_ref().expect("the pattern");
    assert!(connector.is_socket() && connector.has_earth_contact());
    assert_eq!((connector.id.as_str(), connector.letter()), ("socket-f", Some('F')));
    assert_eq!(connector.usual.as_deref().map(|plug| plug.id.as_str()), Some("plug-ef"));
}

#[test]
fn sockets_count_on_by_their_pitch() {
    let text = "format = 1\njob = { title = \"t\" }\n[[device]]\ntag = \"STRIP\"\nrole = \"strip\"\n\
                sockets = { pattern = \"socket-g\", count = 4, face = \"back\", first = \"30 mm\", pitch = \"40.5 mm\" }\n";
    let job = read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{}", told(&error)));
    let strip = job.rig.device("STRIP").expect("the strip");
    let offsets: Vec<Option<f64>> =
        strip.ports.iter().map(|port| port.offset.value.map(Length::as_mm)).collect();
    assert_eq!(offsets, [30.0, 70.5, 111.0, 151.5].map(Some));
}
