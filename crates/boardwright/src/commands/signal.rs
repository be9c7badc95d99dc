//! `boardwright signal`.

use anyhow::bail;
use design::Design;
use rig::State;
use signal::verify::{Breach, What};

use crate::args::{OutcomeFormat, Signal};
use crate::loaded::{Loaded, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Signal) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let mut input = loaded.design.signal_input();
    let asked = options.state.as_deref().map(|names| chosen(&loaded.design, names)).transpose()?;
    if let Some(state) = &asked {
        // Those that are answered for anyhow are not asked for twice.
        let is_there = state.name == signal::EVERYTHING_OFF
            || loaded.design.rig.states.is_empty()
                && signal::everything_on(&input, &loaded.design.signal_config())
                    .iter()
                    .any(|whole| whole.name == state.name)
            || loaded.design.rig.states.iter().any(|other| other.name == state.name);
        if !is_there {
            input.states.push(state.clone());
        }
    }
    let config = loaded.design.signal_config();
    let outcome = signal::solve(&input, &config);
    // What is shown is judged by a second solver: the network is built once for both, and solved apart.
    let breaches = signal::verify::verify(&input, &config, &outcome).breaches;
    shell::agreed(&breaches.iter().map(breach_words).collect::<Vec<_>>(), "written")?;
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&signal::json(&outcome, &input, &config))? + "\n",
        OutcomeFormat::Text => {
            let name = asked.as_ref().map(|state| state.name.as_str());
            super::signal_text::told(
                &outcome,
                &signal::answers(&input, &config, &outcome),
                name,
                super::signal_text::Limits {
                    junction_loss: loaded.design.limits.junction_loss_stop.get(),
                    load: loaded.design.limits.parallel_load_look.get(),
                },
            )
        }
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

/// `bass to house at 4000 Hz in state solo: −3.0 dB, the second check finds −4.0 dB`.
fn breach_words(breach: &Breach) -> String {
    let state = match &breach.what {
        What::Reference => ", straight into the amp".to_owned(),
        What::State(name) | What::Beyond(name) => format!(" in state {name}"),
        What::Edge(on) if on.is_empty() => ", everything bypassed".to_owned(),
        What::Edge(on) => format!(" with {} engaged", on.join(", ")),
    };
    let [said, found] = [breach.said_db, breach.found_db].map(|db| format!("{db:.3} dB").replace('-', "−"));
    format!(
        "{} to {} at {:.0} Hz{state}: {said}, the second check finds {found}",
        breach.source, breach.sink, breach.hertz
    )
}

/// The circuit file of one state.
pub(crate) fn circuit(loaded: &Loaded, names: &[String], source: Option<&str>) -> anyhow::Result<String> {
    let state = chosen(&loaded.design, names)?;
    let input = loaded.design.signal_input();
    let circuit = signal::circuit(&input, &loaded.design.signal_config(), &state.engaged);
    if circuit.sources.is_empty() {
        bail!("the rig has no source, so there is no circuit");
    }
    let driven = match source {
        None => 0,
        Some(name) => match circuit.sources.iter().position(|source| source.id == name) {
            Some(at) => at,
            None => {
                let all: Vec<&str> = circuit.sources.iter().map(|source| source.id.as_str()).collect();
                bail!("`{name}` is no source that a circuit is driven by; there are {}", all.join(", "));
            }
        },
    };
    Ok(signal::spice(&circuit, &loaded.design.rig.job.title, driven))
}

/// The state that is asked for: by its name, as everything off or on, or by the devices, or loops as `TAG.loop`, that are
/// on. Any state that an answer names can be asked for so.
pub(crate) fn chosen(design: &Design, names: &[String]) -> anyhow::Result<State> {
    let state = named(design, names)?;
    if !signal::can_be(&design.signal_input(), &design.signal_config(), &state.engaged) {
        bail!("{}: {}", state.name, signal::WhyNot::Excluded.words());
    }
    Ok(state)
}

fn named(design: &Design, names: &[String]) -> anyhow::Result<State> {
    let asked = names.join(",");
    let names: Vec<String> = names.iter().map(|name| name.trim().to_owned()).collect();
    let whole = names.join(",");
    let made = |name: &str, engaged: Vec<String>| Ok(State { name: name.to_owned(), engaged });
    if let Some(state) = design.rig.states.iter().find(|state| [&whole, &asked].contains(&&state.name)) {
        return Ok(state.clone());
    }
    let is_off = [signal::EVERYTHING_OFF, signal::EVERYTHING_BYPASSED].contains(&whole.as_str());
    if names.iter().all(String::is_empty) || is_off {
        return made(signal::EVERYTHING_OFF, Vec::new());
    }
    if whole.starts_with(signal::EVERYTHING_ON) {
        let all = signal::everything_on(&design.signal_input(), &design.signal_config());
        // A name with commas comes in parts.
        let same = |own: &str| own.replace(", ", ",") == whole;
        if let Some(found) = all.iter().find(|one| same(&one.name)) {
            return made(&found.name, found.engaged.clone());
        }
        let names: Vec<&str> = all.iter().map(|one| one.name.as_str()).collect();
        bail!("{whole}: {}; there are {}", signal::WhyNot::Excluded.words(), names.join("; "));
    }
    known(design, &names)?;
    made(&whole, names.iter().filter(|name| !name.is_empty()).cloned().collect())
}

/// Names of devices, or of loops as `TAG.loop`, and as `TAG.loop out` where what is on in one does not put it in.
fn known(design: &Design, names: &[String]) -> anyhow::Result<()> {
    let is_loop = |name: &str| {
        name.rsplit_once('.').is_some_and(|(tag, circuit)| {
            design.rig.device(tag).is_some_and(|device| device.loops.iter().any(|one| one.name == circuit))
        })
    };
    let is_known = |name: &str| {
        design.rig.device(name).is_some() || is_loop(name) || signal::loop_out(name).is_some_and(is_loop)
    };
    // What has no switch of its own is no state; what is always on is on in every one.
    let switches = signal::switches(&design.signal_input(), &design.signal_config());
    let has_none = |name: &&String| {
        let device = design.rig.device(name).filter(|_| !switches.contains(*name));
        let plays = |device: &rig::Device| matches!(device.role, rig::Role::Pedal | rig::Role::Other);
        device.is_some_and(|device| !plays(device) || !device.loops.is_empty())
    };
    if let Some(name) = names.iter().find(has_none) {
        let loops: Vec<String> = design
            .rig
            .device(name)
            .into_iter()
            .flat_map(|device| device.loops.iter().map(|one| format!("{name}.{}", one.name)))
            .collect();
        match loops.as_slice() {
            [] => bail!("`{name}` has nothing to switch: name the devices that are on"),
            loops => bail!("`{name}` is switched by its loops: name those that are in, {}", loops.join(", ")),
        }
    }
    match names.iter().find(|name| !name.is_empty() && !is_known(name)) {
        Some(name) => bail!(
            "`{name}` is not a state or device of this rig, nor a loop of one as `TAG.loop` (or `TAG.loop out`); \
             `everything bypassed` and `everything on` are states too"
        ),
        None => Ok(()),
    }
}
