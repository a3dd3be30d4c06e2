//! What a well gives in a day.

/// Litres a day at a flow of so many litres a second over so many hours:
/// 3600·q·t. E.g. 0.145 L/s over 12 h are 6.25 m³, enough for 250 people at
/// 25 L (MacDonald, Barker & Davies 2008).
pub fn litres_per_day(flow_lps: f64, hours_per_day: f64) -> f64 {
    const SECONDS_PER_HOUR: f64 = 3600.0;
    flow_lps * SECONDS_PER_HOUR * hours_per_day
}

#[cfg(test)]
mod tests {
    use super::litres_per_day;

    #[test]
    fn a_days_pumping_agrees_with_the_published_example() {
        assert!((litres_per_day(0.144_676, 12.0) - 6250.0).abs() < 0.1);
    }
}
