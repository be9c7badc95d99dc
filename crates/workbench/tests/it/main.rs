//! The workbench without a browser: requests in process.

mod building;
mod change;
mod cures;
mod edits;
mod entered;
mod fault;
mod fields;
mod first;
mod guards;
mod hostile;
mod joining;
mod leads;
mod names;
mod orders;
mod planned;
mod recorded;
mod serving;
mod shop;
mod size;
mod tested;
mod told;
mod web;
