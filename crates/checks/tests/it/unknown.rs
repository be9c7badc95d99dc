//! A value that is unknown never silences a rule.

use std::collections::BTreeSet;

use finding::{Finding, Identity, Severity};
use rig::{Known, PlugSpec, Rig};

use crate::build::found;
use crate::cases::firing;

type Removal = (String, Box<dyn Fn(&mut Rig)>);

macro_rules! forget {
    ($out:ident, $index:ident, $tag:ident: $($name:literal => $($path:ident).+;)*) => {$(
        $out.push((format!("{}.{}", $tag, $name), Box::new(move |rig: &mut Rig| rig.devices[$index].$($path).+ = Default::default())));
    )*};
}

/// Every value of every device that a document may leave out, one by one.
fn removals(rig: &Rig) -> Vec<Removal> {
    let mut out: Vec<Removal> = Vec::new();
    for (index, device) in rig.devices.iter().enumerate() {
        let tag = device.tag.clone();
        forget! { out, index, tag:
            "size" => size;
            "knobs" => knobs;
            "bracket" => bracket;
            "mass" => mass;
            "place" => place;
            "feed" => feed;
            "total" => total;
            "power.type" => power.nature;
            "power.volts" => power.volts;
            "power.current" => power.current;
            "power.surge" => power.surge;
            "power.sign" => power.sign;
            "power.class" => power.class;
            "power.positive_ground" => power.positive_ground;
            "signal.bypass" => signal.bypass;
            "signal.passive" => signal.passive;
            "signal.inverts" => signal.inverts;
            "signal.latency" => signal.latency;
            "signal.gain" => signal.gain;
            "signal.max_input" => signal.max_input;
            "signal.coil" => signal.coil;
            "signal.aerial" => signal.aerial;
            "signal.tails" => signal.tails;
            "signal.transformer" => signal.transformer;
        }
        // An input that is not low says by itself that no bare pickup is wanted: it is forgotten with the wish.
        out.push((
            format!("{tag}.signal.bare_pickup"),
            Box::new(move |rig| {
                let device = &mut rig.devices[index];
                device.signal.bare_pickup = Known::default();
                device.ports.iter_mut().for_each(|port| port.z = Known::default());
            }),
        ));
        if device.treadle.is_some() {
            out.push((
                format!("{tag}.treadle"),
                Box::new(move |rig| rig.devices[index].treadle = Some(Known::default())),
            ));
        }
        for port in 0..device.ports.len() {
            let name = format!("{tag}.port.{}", device.ports[port].name);
            let mut on = |key: &str, change: fn(&mut rig::Port)| {
                out.push((
                    format!("{name}.{key}"),
                    Box::new(move |rig: &mut Rig| change(&mut rig.devices[index].ports[port])),
                ));
            };
            on("role", |port| {
                // An outlet's role is not written; it is an outlet by its list.
                if port.role.value != Some(rig::PortRole::Outlet) {
                    port.role = Known::default();
                }
            });
            on("connector", |port| port.connector = None);
            on("face", |port| port.face = Known::default());
            on("offset", |port| port.offset = Known::default());
            on("height", |port| port.height = Known::default());
            on("z", |port| port.z = Known::default());
            on("phantom_safe", |port| port.phantom_safe = Known::default());
            on("may_stay_empty", |port| port.may_stay_empty = false);
        }
        for outlet in 0..device.outlets.len() {
            let name = format!("{tag}.outlet.{}", device.outlets[outlet].name);
            let mut on = |key: &str, change: fn(&mut rig::Outlet)| {
                out.push((
                    format!("{name}.{key}"),
                    Box::new(move |rig: &mut Rig| change(&mut rig.devices[index].outlets[outlet])),
                ));
            };
            on("type", |outlet| outlet.nature = Known::default());
            on("set", |outlet| outlet.set = Known::default());
            on("sign", |outlet| outlet.sign = Known::default());
            on("isolation", |outlet| outlet.isolation = Known::default());
            on("parallel", |outlet| outlet.parallel = Known::default());
            on("series", |outlet| outlet.series = Known::default());
            on("setting.current", |outlet| {
                outlet.settings.iter_mut().for_each(|setting| setting.current = Known::default());
            });
        }
        for bank in 0..device.banks.len() {
            let change = move |rig: &mut Rig| rig.devices[index].banks[bank].current = Known::default();
            out.push((format!("{tag}.bank"), Box::new(change)));
        }
        if device.feed.is_some() {
            let feed = move |rig: &mut Rig, change: fn(&mut rig::Feed)| {
                change(rig.devices[index].feed.as_mut().expect("the case is whole"));
            };
            out.push((
                format!("{tag}.feed.plug"),
                Box::new(move |rig| feed(rig, |feed| feed.device_plug = PlugSpec::default())),
            ));
            out.push((
                format!("{tag}.feed.outlet_plug"),
                Box::new(move |rig| feed(rig, |feed| feed.outlet_plug = PlugSpec::default())),
            ));
        }
    }
    for index in 0..rig.sources.len() {
        out.push((
            "source.electrics.kind".into(),
            Box::new(move |rig| rig.sources[index].pickup.kind = Known::default()),
        ));
        out.push((
            "source.electrics.resistance".into(),
            Box::new(move |rig| rig.sources[index].pickup.resistance = Known::default()),
        ));
        out.push(("source.plug".into(), Box::new(move |rig| rig.sources[index].plug = None)));
    }
    for index in 0..rig.sinks.len() {
        out.push(("sink.z".into(), Box::new(move |rig| rig.sinks[index].z = Known::default())));
        out.push(("sink.phantom".into(), Box::new(move |rig| rig.sinks[index].phantom = Known::default())));
        out.push(("sink.plug".into(), Box::new(move |rig| rig.sinks[index].plug = None)));
    }
    out.push(("board.mass".into(), Box::new(|rig| rig.board.mass = Known::default())));
    out.push((
        "board.lid".into(),
        Box::new(|rig| {
            if let Some(lid) = &mut rig.board.lid {
                lid.inside_height = Known::default();
            }
        }),
    ));
    out.push((
        "board.case".into(),
        Box::new(|rig| {
            if let Some(case) = &mut rig.board.case {
                case.inside_width = Known::default();
            }
        }),
    ));
    out.push((
        "board.deck.clear_below".into(),
        Box::new(|rig| rig.board.decks[0].clear_below = Known::default()),
    ));
    out.push(("run.plug".into(), Box::new(|rig| rig.runs.iter_mut().for_each(|run| run.plug = None))));
    out.push((
        "lead.plugs".into(),
        Box::new(|rig| {
            for lead in &mut rig.leads {
                lead.from_plug = PlugSpec::default();
                lead.to_plug = PlugSpec::default();
            }
            rig.runs.iter_mut().for_each(|run| run.plug = None);
        }),
    ));
    out.push(("job.mains".into(), Box::new(|rig| rig.job.mains = None)));
    out
}

fn identities(findings: &[Finding], keep: impl Fn(&Finding) -> bool) -> BTreeSet<Identity> {
    findings.iter().filter(|finding| keep(finding)).map(Finding::identity).collect()
}

/// Every value that some rule asks for.
fn lacks(findings: &[Finding]) -> BTreeSet<finding::Field> {
    findings.iter().flat_map(|finding| finding.lacks.iter().cloned()).collect()
}

/// In an ordinary run every seventh value is forgotten, another seventh with each seed; the long run forgets them all.
#[test]
fn forgetting_one_value_never_hides_a_stop() {
    let long = std::env::var_os("BOARDWRIGHT_SOAK").is_some();
    let seed: usize = std::env::var("BOARDWRIGHT_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(0);
    let stride = if long { 1 } else { 7 };
    let mut at = seed % stride;
    let mut wrong = Vec::new();
    let mut tried = 0;
    for case in firing() {
        let before = found(case.rig.clone());
        let stop = |finding: &Finding| finding.severity == Severity::Stop;
        let stops = identities(&before, stop);
        let open = lacks(&before);
        if stops.is_empty() {
            continue;
        }
        for (name, remove) in removals(&case.rig) {
            at += 1;
            if !at.is_multiple_of(stride) {
                continue;
            }
            let mut rig = case.rig.clone();
            remove(&mut rig);
            let after = found(rig);
            tried += 1;
            let gone: Vec<_> = stops.difference(&identities(&after, stop)).cloned().collect();
            let new_stop = identities(&after, stop).difference(&stops).next().is_some();
            let new_open = lacks(&after).difference(&open).next().is_some();
            if !gone.is_empty() && !new_stop && !new_open {
                wrong.push(format!("{}: without {name} nothing is said of {gone:?}", case.says));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(3000 / stride < tried, "{tried}");
    println!("soak: {tried} values forgotten, one by one, none hides a stop");
}
