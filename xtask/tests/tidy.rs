//! The tree is tidy: the same checks as `cargo xtask tidy`, run with all other tests.

#[test]
fn the_tree_is_tidy() {
    let root = xtask::tree::root().expect("tests run inside the project");
    let remarks = xtask::tidy::remarks(&root).expect("the tree can be read");
    let told: Vec<String> = remarks.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "\n{}", told.join("\n"));
}
