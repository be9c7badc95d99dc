//! The script stays small.

#[test]
fn all_script_together_is_under_sixty_kilobytes() {
    let bytes = workbench::script_bytes();
    assert!(5_000 < bytes && bytes < 60_000, "{bytes} bytes");
}
