//! The binary: parse arguments, call a command, print.

fn main() {}
