//! Walks over small boards, to the end.

mod cards;
mod chain;
mod rows;
mod words;
