//! Screens that join two earthed ends.

use design::{Design, Unsaid, judged};
use finding::{Evidence, Field, Finding, Severity};
use rig::{ConnectorFamily, Known, Port, PortRef, Rig, Role};

use crate::asked::{Asked, port_field};
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "earth-loop";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "screens that join two earthed ends",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[16, 17],
    limits: &[],
    page: Page {
        what: "Screens of all signal leads as a graph, broken where a port is lifted or a device isolates its outputs \
               by a transformer, joined by a panel's wall where its jacks are not insulated and by negatives that share an outlet or a bank. Two ends that are earthed through their mains and stand in one piece of it close a \
               loop through the earth.",
        why: "Current in that loop flows through the screens and is heard as hum.",
        source: "IEC 61000-5-2 describes earth loops; what a loop picks up is Faraday's law; costs of cures, the field \
                 of 0.1 µT and a metre between a lead and the mains leads are common practice, no source",
        example: "The amp and the desk are both earthed, and the preamp's XLR carries its screen to the desk.",
        remedy: "lift the screen of a balanced lead at one end, or put a transformer there; the finding names the least \
                 that opens all loops; the protective earth stays as it is",
    },
    check,
};

/// An end that may stand on the protective earth.
#[derive(Debug, Clone, PartialEq)]
struct Meets {
    id: String,
    earthed: Known<bool>,
    field: Field,
}

/// Ends that stand in one piece of the screens in some use, with what the engine says of that use.
struct Group<'a> {
    ends: Vec<Meets>,
    found: &'a shields::UseOutcome,
}

impl Group<'_> {
    fn names(&self) -> Vec<&str> {
        self.ends.iter().map(|end| end.id.as_str()).collect()
    }
}

/// The groups over all uses that count, each set of ends once.
fn meeting<'a>(rig: &Rig, input: &shields::Input, outcome: &'a shields::Outcome) -> Vec<Group<'a>> {
    let end = |at: &usize| {
        let id = input.ends[*at].id.clone();
        let (earthed, field) = match rig.sink(&id) {
            Some(sink) => (sink.earthed, Field::of("sink", &id, "earthed")),
            None => {
                let earthed = rig.device(&id).map(|brick| brick.power.earthed).unwrap_or_default();
                (earthed, Field::device(&id, "power").below("earthed"))
            }
        };
        Meets { id, earthed, field }
    };
    let mut out: Vec<Group<'_>> = Vec::new();
    for found in judged(outcome) {
        for group in &found.meeting {
            let mut ends: Vec<Meets> = group.iter().map(end).collect();
            ends.sort_by(|a, b| a.id.cmp(&b.id));
            if out.iter().all(|known| known.ends != ends) {
                out.push(Group { ends, found });
            }
        }
    }
    out.sort_by(|a, b| a.names().cmp(&b.names()));
    out
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let [input, unsure] = [Unsaid::Insulated, Unsaid::Bonded].map(|unsaid| design.shield_input(unsaid));
    let config = design.shield_config();
    let [outcome, or] = [&input, &unsure].map(|input| shields::solve(input, &config));
    let certain = meeting(rig, &input, &outcome);
    // Jacks of which nobody knows whether they are insulated may join the rest.
    let perhaps = meeting(rig, &unsure, &or);
    let mut out = Vec::new();
    for group in &certain {
        let mut asked = Asked::default();
        for end in &group.ends {
            asked.value(end.earthed, end.field.clone());
        }
        let names = group.names();
        let earthed = group.ends.iter().filter(|end| end.earthed.value == Some(true)).count();
        if earthed < 2 {
            out.extend(asked.cannot_judge(
                ID,
                &format!("whether {} close an earth loop", list(&names)),
                names,
            ));
            continue;
        }
        let mut finding = Finding::new(
            ID,
            Severity::Stop,
            format!("{} are earthed and their screens meet on the board", list(&names)),
        )
        .about(names.clone())
        .with(Evidence::words(found_words(earthed, &names, group.found, &config), "one"))
        .assuming(asked.assumed);
        if let Some(words) = remedy(&group.found.cure) {
            finding = finding.remedy(words);
        }
        for end in &group.ends {
            finding = finding.at(end.field.clone(), "");
        }
        out.push(finding);
    }
    for group in perhaps.iter().filter(|group| !certain.iter().any(|known| known.ends == group.ends)) {
        let mut asked = Asked::default();
        for panel in rig.by_tag().into_iter().filter(|device| device.role == Role::Panel) {
            for port in panel.ports.iter().filter(|port| port.insulated.is_unknown() && carries_signal(port))
            {
                asked.lack(port_field(&PortRef::new(&panel.tag, &port.name), "insulated"));
            }
        }
        let names = group.names();
        out.extend(asked.cannot_judge(
            ID,
            &format!("whether the panel joins the earths of {}", list(&names)),
            names,
        ));
    }
    out
}

/// How many ends meet, and by which leads, with what each loop picks up.
fn found_words(
    earthed: usize,
    names: &[&str],
    found: &shields::UseOutcome,
    config: &shields::Config,
) -> String {
    let mut out = format!("{earthed} earthed ends on one screen");
    for one in found.loops.iter().filter(|one| names.contains(&one.ends[0].as_str())) {
        let ways: Vec<&str> = one.joins.iter().map(String::as_str).collect();
        out.push_str(&format!("; {} by {}", picked_up(one, config), list(&ways)));
    }
    out
}

/// What a loop picks up: `about 1.9 mV at 50 Hz in 0.1 µT, over 6.0 m²`.
fn picked_up(one: &shields::EarthLoop, config: &shields::Config) -> String {
    const MICRO: f64 = 1e6;
    let micro = one.volts * MICRO;
    let volts = if micro < 1000.0 { format!("{micro:.0} µV") } else { format!("{:.1} mV", micro / 1000.0) };
    format!(
        "about {volts} at {:.0} Hz in {:.1} µT, over {:.1} m²",
        config.hertz,
        config.tesla * MICRO,
        one.area_m2
    )
}

/// The least that opens every loop, as something to do; the protective earth is never part of it.
fn remedy(cure: &shields::Cure) -> Option<String> {
    if cure.is_impossible {
        return Some(
            "two earthed ends are bonded on the board: insulate the panel's jacks; the protective earth stays".to_owned(),
        );
    }
    let steps = cure.steps.iter().map(|step| format!("at {}: {}", step.join, step.kind.words()));
    let steps: Vec<String> = steps.collect();
    (!steps.is_empty()).then(|| format!("{}; the protective earth stays as it is", steps.join("; ")))
}

fn carries_signal(port: &Port) -> bool {
    let mains = port.connector.as_ref().is_some_and(|connector| connector.family == ConnectorFamily::Mains);
    !mains && port.role.value.is_none_or(|role| role.takes_signal() || role.gives_signal())
}
