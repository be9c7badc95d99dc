//! Walks over small boards, to the end.

mod beside;
mod cards;
mod chain;
mod rows;
mod words;
