//! The workbench in a real browser, doing what a person does. Waits are for conditions, never for time.
//!
//! Wants `chromium` and `chromedriver` (or `CHROMIUM` and `CHROMEDRIVER`), and axe-core under the target folder:
//! `npm install --prefix target/browser axe-core@4`, or its file in `AXE_CORE`. `cargo xtask test` sees to it.

mod access;
mod arrange;
mod browser;
mod change;
mod deck;
mod gear;
mod hands;
mod job;
mod leads;
mod looks;
mod panel;
mod path;
mod person;
mod photo;
mod power;
#[path = "../it/recorded.rs"]
mod recorded;
mod refused;
#[expect(dead_code, reason = "drawn for more than one crate's tests")]
#[path = "../../../photo/tests/it/scene.rs"]
mod scene;
mod sheet;
mod shop;
mod test;
mod together;
mod typed;
mod whole;
