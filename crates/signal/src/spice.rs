//! The circuit of a state as a file for general simulators.

use std::fmt::Write;

use crate::model::{Circuit, Node, Part};

/// A circuit file: 1 V of EMF at one source, an alternating-current sweep from 20 Hz to 20 kHz at 48 points to the
/// decade, real and imaginary part printed at each sink.
///
/// Nodes are numbered as in [`Circuit::nodes`] and named in comments. A resistance of 10 TΩ to earth at every node
/// lets the simulator find a working point where only capacitors hold one.
pub fn spice(circuit: &Circuit, title: &str, source: usize) -> String {
    let mut out = String::new();
    let line = |out: &mut String, text: std::fmt::Arguments<'_>| {
        // Writing to a String does not fail.
        let _ = out.write_fmt(text);
        out.push('\n');
    };
    line(&mut out, format_args!("* {}", plain(title)));
    for (node, name) in circuit.nodes.iter().enumerate().skip(1) {
        line(&mut out, format_args!("* node {node}: {}", plain(name)));
    }
    for (index, terminal) in circuit.sources.iter().enumerate() {
        let volts = u8::from(index == source);
        let does = if index == source { "drives the circuit" } else { "stands still" };
        line(&mut out, format_args!("* {} {does}", plain(&terminal.id)));
        line(&mut out, format_args!("V{} {} 0 DC 0 AC {volts}", index + 1, terminal.node));
    }
    let mut spare = circuit.nodes.len();
    for (index, element) in circuit.elements.iter().enumerate() {
        let number = index + 1;
        let (a, b) = (element.a, element.b);
        line(&mut out, format_args!("* {}", plain(&element.name)));
        match element.part {
            Part::Resistor(ohms) => line(&mut out, format_args!("R{number} {a} {b} {ohms:e}")),
            Part::Capacitor(farads) => line(&mut out, format_args!("C{number} {a} {b} {farads:e}")),
            Part::Inductor(henries) => line(&mut out, format_args!("L{number} {a} {b} {henries:e}")),
            Part::Lossy { henries, ohms } => {
                line(&mut out, format_args!("L{number} {a} {b} {henries:e}"));
                line(&mut out, format_args!("R{number} {a} {b} {ohms:e}"));
            }
            Part::Transformer { turns, ohms } => {
                // The voltage of the primary over the turns, and the current that it gives over them again.
                let (wound, sensed) = (spare, spare + 1);
                spare += 2;
                let by = 1.0 / turns;
                line(&mut out, format_args!("Et{number} {wound} 0 {a} 0 {by:e}"));
                line(&mut out, format_args!("Vt{number} {wound} {sensed} DC 0 AC 0"));
                line(&mut out, format_args!("Rt{number} {sensed} {b} {ohms:e}"));
                line(&mut out, format_args!("Ft{number} {a} 0 Vt{number} {by:e}"));
            }
        }
    }
    for (index, stage) in circuit.stages.iter().enumerate() {
        // Inputs add: one controlled source for each, in series down to earth. A delay is a line without loss that ends
        // in its own impedance.
        line(&mut out, format_args!("* stage of {}", plain(&stage.device)));
        let number = index + 1;
        let gain = if stage.inverts { -stage.gain } else { stage.gain };
        let mut top: Node = stage.output;
        if 0.0 < stage.delay {
            let (near, far) = (spare, spare + 1);
            spare += 2;
            line(&mut out, format_args!("E{number}d {top} 0 {far} 0 1"));
            line(&mut out, format_args!("T{number} {near} 0 {far} 0 z0=1000 td={:e}", stage.delay));
            line(&mut out, format_args!("R{number}t {far} 0 1000"));
            top = near;
        }
        for (at, input) in stage.inputs.iter().enumerate() {
            let below = if at + 1 == stage.inputs.len() { 0 } else { spare };
            line(&mut out, format_args!("E{number}x{} {top} {below} {input} 0 {gain:e}", at + 1));
            if below != 0 {
                top = below;
                spare += 1;
            }
        }
        if stage.inputs.is_empty() {
            line(&mut out, format_args!("V{number}s {top} 0 0"));
        }
    }
    out.push_str(".options rshunt=1e13 numdgt=12\n.ac dec 48 20 20k\n");
    for terminal in &circuit.sinks {
        line(&mut out, format_args!("* {}", plain(&terminal.id)));
        line(&mut out, format_args!(".print ac vr({0}) vi({0})", terminal.node));
    }
    out.push_str(".end\n");
    out
}

/// Text from a document on one line of comment: nothing that ends it.
fn plain(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}
