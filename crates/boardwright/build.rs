//! Builds again when an example changes: the examples are embedded.

fn main() {
    println!("cargo::rerun-if-changed=../../examples");
}
