//! Three ways to solve a circuit agree: the walk along ladders, nodal analysis, and the verifier.

use signal::{Config, Sweep, network, nodal, respond, verify};

use crate::rigs::{Lot, draw};

#[test]
fn walk_nodal_analysis_and_verifier_agree() {
    let mut lot = Lot::new(7);
    let mut compared = 0;
    for seed in 1000..1120 {
        let drawn = draw(seed, 8);
        let model = network(&drawn.input(), &Config::default());
        let mut state = model.at_rest();
        for (switch, position) in state.iter_mut().enumerate() {
            *position = u8::try_from(lot.below(model.switches[switch].positions.len())).expect("small");
        }
        let circuit = model.circuit(&state);
        let sweep = Sweep::new(vec![lot.pick(&[20.0, 137.0, 1000.0]), lot.pick(&[4000.0, 20_000.0])]);
        for sink in 0..model.sinks.len() {
            let walked = respond(&model, &state, 0, sink, &sweep);
            for (k, hertz) in sweep.hertz.iter().enumerate() {
                let plain =
                    nodal::voltages(&circuit, 0, *hertz).expect("it has an answer")[model.sinks[sink].node];
                let (re, im) =
                    verify::voltages(&circuit, 0, *hertz).expect("it has an answer")[model.sinks[sink].node];
                let Some(walked) = &walked else {
                    assert!(plain.size() < 1e-12 && libm::hypot(re, im) < 1e-12, "seed {seed}: {plain:?}");
                    continue;
                };
                for (other_re, other_im, who) in [(plain.re, plain.im, "nodal"), (re, im, "verifier")] {
                    let apart = libm::hypot(walked[k].re - other_re, walked[k].im - other_im);
                    // A plug of a milliohm beside loads of megohms takes nine of sixteen figures from a sum of admittances.
                    assert!(apart < 1e-7 * walked[k].size(), "seed {seed}, {hertz} Hz, {who}: {apart}");
                }
                compared += 1;
            }
        }
    }
    assert!(200 < compared, "{compared}");
}
