//! What one circuit does from a source to a sink, and whether it inverts.

use crate::complex::Complex;
use crate::ladder::Sweep;
use crate::model::{Circuit, Model, Variant};
use crate::state::respond;

/// Where the sign of a signal is told, in hertz: above what couplings turn, below what cables turn. Common practice, no source.
const MIDDLE_HZ: (f64, f64) = (100.0, 2_000.0);

/// The response of a circuit from a source to a sink, by name; `None` where it has no such source or sink, or nothing arrives.
pub fn response(circuit: &Circuit, source: &str, sink: &str, sweep: &Sweep) -> Option<Vec<Complex>> {
    let from = circuit.sources.iter().position(|terminal| terminal.id == source)?;
    let to = circuit.sinks.iter().position(|terminal| terminal.id == sink)?;
    let model = Model {
        nodes: circuit.nodes.clone(),
        fixed: Variant { elements: circuit.elements.clone(), stages: circuit.stages.clone() },
        sources: circuit.sources.clone(),
        sinks: circuit.sinks.clone(),
        ..Model::new()
    };
    respond(&model, &[], from, to, sweep)
}

/// Whether a circuit inverts from a source to a sink against a response at the same frequencies, delays left out; `None` where
/// nothing arrives.
pub fn inverts(
    circuit: &Circuit,
    source: &str,
    sink: &str,
    straight: &[Complex],
    sweep: &Sweep,
) -> Option<bool> {
    let mut prompt = circuit.clone();
    for stage in &mut prompt.stages {
        stage.delay = 0.0;
    }
    let own = response(&prompt, source, sink, sweep)?;
    let alike = own.iter().zip(straight).zip(&sweep.hertz);
    let middle = alike.filter(|(_, hertz)| (MIDDLE_HZ.0..MIDDLE_HZ.1).contains(*hertz));
    let sum: f64 = middle
        .map(|((a, b), _)| (a.re * b.re + a.im * b.im) / (a.size() * b.size()).max(f64::MIN_POSITIVE))
        .sum();
    Some(sum < 0.0)
}
