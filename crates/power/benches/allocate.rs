//! b.
fn main(){}
