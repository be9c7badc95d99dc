//! The workbench without a browser: requests in process.

mod cures;
mod edits;
mod guards;
mod hostile;
mod size;
mod speed;
mod web;
