//! Builds again when a catalogue file changes: the catalogue is embedded.

fn main() {
    println!("cargo::rerun-if-changed=../../catalogue");
}
