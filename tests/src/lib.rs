//! Shared by the tests: plain oracles of the trigger rules, signals that reach every corner of
//! them, and what feeds both the oracle and the engine.

pub mod cases;
pub mod decimators;
pub mod dice;
pub mod differential;
pub mod engine;
pub mod family;
pub mod kind;
pub mod multi;
pub mod oracle;
pub mod plan;
pub mod recording;
pub mod scene;
pub mod serial;
pub mod signal;
pub mod single;
pub mod sound;
pub mod stream;

/// Runs a property for every sample type: a module of seven tests, `check::<T>` over
/// `strategy::<T>()`.
#[macro_export]
macro_rules! for_every_type {
    ($name:ident: $check:ident over $strategy:ident, $cases:expr) => {
        mod $name {
            use proptest::prelude::*;
            $crate::for_every_type!(@ $check, $strategy, $cases,
                u8_samples u8, i8_samples i8, u16_samples u16, i16_samples i16,
                u32_samples u32, i32_samples i32, f32_samples f32);
        }
    };
    (@ $check:ident, $strategy:ident, $cases:expr, $($test:ident $kind:ty),*) => {
        proptest! {
            // A failure prints its smallest case; what it teaches goes into a test of its own.
            #![proptest_config(ProptestConfig {
                cases: $cases,
                failure_persistence: None,
                ..ProptestConfig::default()
            })]
            $(
                #[test]
                fn $test(case in super::$strategy::<$kind>()) {
                    super::$check::<$kind>(&case)?;
                }
            )*
        }
    };
}
