//! The rules and regions that come with the binary.

include!(concat!(env!("OUT_DIR"), "/built_in.rs"));
