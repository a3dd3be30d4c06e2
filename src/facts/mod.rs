//! What can be known about one peg, worked out from the survey and the
//! region: the values that rules read. Each fact knows the observations it
//! came from; a fact that nobody observed knows what to find out.

mod around;
mod fact;
mod flow;
mod flow_side;
mod forecast;
mod ground;
mod hazards;
mod levels;
mod near;
mod need;
mod quality;
mod registry;
mod safety;
mod sector;
mod shared;
mod sheet;
mod side;
mod site;
mod table;
mod travel;
mod water;
mod way_down;
mod work;

#[cfg(test)]
mod tests;

pub use around::Around;
pub use fact::{AskKind, Fact, FactSource, Missing, Value};
pub use flow::{GroundwaterFlow, LevelPlane, PossibleFlow, SourceSide, UpGradient};
pub use forecast::{
    BoresForecast, DesignWanted, Forecast, LevelForecast, MethodWorth, ObservedSwing, QualityForecast,
    RefusalForecast, SiteWorth, WellInForecast, WellPlan,
};
pub use registry::{FACTS, FORECASTS, FactDef, Form, def};
pub use shared::Shared;
pub use site::{Site, SiteFacts};
pub use table::FactTable;
pub use travel::{SourceTravel, Travel};
