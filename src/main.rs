//! The program: hands the command line to `cli`.

fn main() {}
