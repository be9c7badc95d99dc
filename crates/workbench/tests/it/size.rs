//! The script stays small.

#[test]
fn all_script_together_is_under_forty_kilobytes() {
    let bytes = workbench::script_bytes();
    assert!(5_000 < bytes && bytes < 40_000, "{bytes} bytes");
}
