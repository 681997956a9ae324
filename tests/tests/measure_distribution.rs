//! How values are spread: every one is counted, in the bin whose edges hold it.

use proptest::prelude::*;
use stillwave::measure::{Distribution, Running};

#[test]
fn edges_hold_a_value_that_is_no_multiple_of_a_width() {
    for value in [345_137_033_532.029_05, 1.1, -7e-13, 5e-324, -9.9e299] {
        let mut found = Distribution::default();
        found.push(Ok(value));
        let bin = found.bins().find(|bin| bin.count == 1).unwrap();
        assert!(bin.low <= value && value < bin.high, "{value} in {bin:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_value_is_lost_and_each_is_in_its_bin(
        values in prop::collection::vec(prop_oneof![
            -10.0..10.0_f64, 1e-9..1e-6_f64, Just(5.0), Just(0.0), -1e12..1e12_f64,
            Just(-1e-310), Just(-1e299),
        ], 0..80),
    ) {
        let mut found = Distribution::default();
        let mut running = Running::default();
        for &value in &values {
            found.push(Ok(value));
            if value.abs() < 1e300 {
                running.push(Ok(value));
            }
        }
        prop_assert_eq!(found.count(), running.count());
        prop_assert_eq!(found.count() + found.missing(), values.len() as u64);
        for bin in found.bins() {
            let within = |x: &&f64| x.abs() < 1e300 && bin.low <= **x && **x < bin.high;
            prop_assert_eq!(values.iter().filter(within).count(), bin.count as usize);
        }
        if let (Ok(least), Ok(greatest)) = (running.minimum(), running.maximum())
            && greatest - least > (1e-6 * greatest.abs().max(least.abs())).max(1e-270)
        {
            let (first, last) = (found.bins().next().unwrap(), found.bins().last().unwrap());
            prop_assert!(last.high - first.low <= 4.1 * (greatest - least));
        }
    }
}
