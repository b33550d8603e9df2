//! The stemwise command.
fn main() {}
