//! Small documents, read and solved as `check`, `signal` and the papers do.

use design::Design;
use signal::{Outcome, Way};

/// Nothing flows through it.
pub(crate) const NO_POT: &str = "1000000 MΩ";

/// What the two plugs of a lead add, 15 pF each.
pub(crate) const PLUGS_PF: f64 = 30.0;

pub(crate) fn design(text: &str) -> Design {
    let job = document::read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{error}\n{text}"));
    design::derive(job.rig, job.limits)
}

/// A source with these electrics into an amp, by a lead that makes so many picofarads with its plugs at 100 pF a metre.
pub(crate) fn straight(electrics: &str, lead_pf: f64, input: &str) -> Design {
    let millimetres = ((lead_pf - PLUGS_PF) * 10.0).max(1.0).round();
    design(&format!(
        "format = 1\njob = {{ title = \"t\" }}\n\
         [source.guitar]\nelectrics = {{ {electrics} }}\nlead = \"{millimetres} mm\"\ncable = \"instrument\"\n\
         [sink.amp]\nz = \"{input}\"\nlead = \"{millimetres} mm\"\ncable = \"instrument\"\n\
         [[run]]\nname = \"main\"\nstops = [\"guitar\", \"amp\"]\n"
    ))
}

/// A coil without pots, in ohms, henries and picofarads.
pub(crate) fn coil(ohms: f64, henries: f64, picofarads: f64) -> String {
    with_pot(ohms, henries, picofarads, NO_POT)
}

/// The same with a volume pot, full up.
pub(crate) fn with_pot(ohms: f64, henries: f64, picofarads: f64, pot: &str) -> String {
    format!(
        "type = \"coil\", resistance = \"{ohms} Ω\", inductance = \"{henries} H\", capacitance = \"{picofarads} pF\", \
         volume_pot = \"{pot}\", tone_pot = \"{NO_POT}\", tone_capacitor = \"1 nF\""
    )
}

/// An EMF behind a resistance.
pub(crate) fn active(ohms: f64) -> String {
    format!("type = \"active\", resistance = \"{ohms} Ω\"")
}

/// The only way of signal.
pub(crate) fn way(outcome: &Outcome) -> &Way {
    let [way] = outcome.ways.as_slice() else { panic!("{} ways, {:?}", outcome.ways.len(), outcome.notes) };
    way
}

/// The level with everything off against the EMF, in dB: between the frequencies that the engine answers for by the
/// polynomial of Lagrange through the losses at ten of them, which for coils are nearly one.
pub(crate) fn level(outcome: &Outcome, hertz: f64) -> f64 {
    let losses: Vec<f64> = way(outcome).states[0].response.iter().map(|value| 1.0 / value.square()).collect();
    let at = &outcome.frequencies;
    let after = at.partition_point(|other| *other < hertz);
    let first = after.saturating_sub(5).min(at.len() - 10);
    let term = |i: usize| {
        let others = (first..first + 10).filter(|j| *j != i);
        others.fold(losses[i], |product, j| product * (hertz - at[j]) / (at[i] - at[j]))
    };
    -10.0 * libm::log10((first..first + 10).map(term).sum())
}

/// Where the level lies 3.0103 dB from that at another frequency, between two.
pub(crate) fn corner(outcome: &Outcome, base: f64, mut from: f64, mut to: f64) -> f64 {
    let wanted = level(outcome, base) - 10.0 * libm::log10(2.0);
    let is_above = |hertz: f64| wanted < level(outcome, hertz);
    let begins = is_above(from);
    assert_ne!(begins, is_above(to), "no corner between {from} and {to} Hz");
    for _ in 0..60 {
        let middle = (from * to).sqrt();
        if is_above(middle) == begins { from = middle } else { to = middle }
    }
    from
}

pub(crate) fn near(found: f64, wanted: f64, by: f64) {
    assert!((found - wanted).abs() <= by, "found {found}, wanted {wanted} within {by}");
}
