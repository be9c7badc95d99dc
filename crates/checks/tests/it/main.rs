//! The rules on small rigs: each fires, is silent, and says what it could not check.

mod bench_order;
mod build;
mod cases;
mod examples;
mod feeds;
mod few;
mod instead;
mod laid;
mod later;
mod leads;
mod limits;
mod made;
mod mechanism;
mod network;
mod numbers;
mod order;
mod ports;
mod seams;
mod strips;
mod table;
mod unknown;
mod wishes;
mod written;
