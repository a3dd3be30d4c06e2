//! What was observed around one peg, as typed values that each know the file
//! and line they came from. `None` always means "not observed".

mod beside;
mod cells;
mod datum;
pub mod entry;
mod faults;
mod file_options;
mod fold;
pub mod grid;
mod hazard_kind;
mod hazard_words;
pub mod keys;
mod method;
mod model;
mod place_of;
pub mod plain;
mod plot;
mod plot_ring;
mod position;
mod raw;
mod read;
mod repeats;
mod sections;
mod seen;
pub mod shapes;
mod spots;
mod stage;
pub mod table;
mod table_options;
mod toml_record;
mod toml_table;
mod toml_text;
mod toml_value;
pub mod words;

pub use datum::{Datum, DatumError};
pub use hazard_kind::{HazardKind, HazardKindError};
pub use keys::RecordKind;
pub use method::Method;
pub use model::*;
pub use plot::Plot;
pub use position::{Accuracy, Frame, LonLat, LonLatError, Position, Shape};
pub use raw::{Cell, CellValue, RawRecord};
pub use read::read_survey;
pub use seen::Seen;
pub use stage::Stage;
pub use table_options::{DateOrder, DecimalMark, TableFile};
