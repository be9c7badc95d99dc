//! Walks over small boards, to the end.

mod rows;
mod words;
