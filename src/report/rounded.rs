//! JSON whose numbers carry no more than six decimals.

use std::io::Write;

use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::{Formatter, PrettyFormatter};

/// Indented JSON, ending in a line break.
pub(super) fn json<T: Serialize>(value: &T) -> Result<String, serde_json::Error> {
    let mut text = Vec::new();
    value.serialize(&mut Serializer::with_formatter(&mut text, Rounded::default()))?;
    Ok(String::from_utf8_lossy(&text).into_owned() + "\n")
}

/// Indented, with rounded numbers.
#[derive(Default)]
struct Rounded<'a>(PrettyFormatter<'a>);

type Written = std::io::Result<()>;

impl Formatter for Rounded<'_> {
    fn write_f64<W: ?Sized + Write>(&mut self, to: &mut W, value: f64) -> Written {
        // 0 and not −0.
        self.0.write_f64(to, (value * 1e6).round() / 1e6 + 0.0)
    }
    fn begin_array<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.begin_array(to)
    }
    fn end_array<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.end_array(to)
    }
    fn begin_array_value<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> Written {
        self.0.begin_array_value(to, first)
    }
    fn end_array_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.end_array_value(to)
    }
    fn begin_object<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.begin_object(to)
    }
    fn end_object<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.end_object(to)
    }
    fn begin_object_key<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> Written {
        self.0.begin_object_key(to, first)
    }
    fn begin_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.begin_object_value(to)
    }
    fn end_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Written {
        self.0.end_object_value(to)
    }
}
