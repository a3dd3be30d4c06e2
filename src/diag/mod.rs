//! What is wrong with an input, as data: where, what was found, what was
//! expected and how to mend it. Problems are collected and returned; only
//! the edge ([`crate::cli`]) prints them.

mod file;
mod origin;
mod problem;
mod render;
mod source;
mod suggest;

pub use file::{read_file, read_own_text};
pub use origin::Origin;
pub use problem::{Level, Problem, Problems};
pub use render::render;
pub use source::Sources;
pub use suggest::nearest_word;
