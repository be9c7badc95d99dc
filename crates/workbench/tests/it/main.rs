//! The workbench without a browser: requests in process.

mod cures;
mod edits;
mod fields;
mod guards;
mod hostile;
mod leads;
mod names;
mod serving;
mod size;
mod web;
