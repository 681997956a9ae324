//! The constants that the tool writes for firmware (`data/setups/`, which a test of the tool holds
//! to what it writes) compile, and make conditions.

use stillwave::{Composition, Condition, Holdoff, Inputs, Setup, Trigger};

/// Modules of constants, and a list of the conditions in them.
macro_rules! constants {
    ($($name:ident $file:literal),*) => {
        $(
            mod $name {
                #![allow(dead_code, unreachable_pub, clippy::unreadable_literal)]
                include!(concat!("../data/setups/", $file, ".rs"));
            }
        )*
        fn all() -> Vec<(&'static str, Composition<u16>)> {
            vec![$(($file, Composition::from($name::CONDITION))),*]
        }
    };
}

constants! {
    edge "edge",
    coupled "coupled",
    pulse "pulse",
    interval "interval",
    dropout "dropout",
    transition "transition",
    runt "runt",
    window "window",
    delay "delay",
    count "count",
    gated "gated",
    sequence "sequence",
    pattern "pattern",
    setup_hold "setup-hold",
    uart "uart",
    i2c "i2c",
    spi "spi",
    video "video"
}

#[test]
fn every_constant_makes_a_condition() {
    for (name, composition) in all() {
        assert!(composition.build().is_ok(), "{name}");
    }
    assert_eq!(all().len(), 18);
}

/// As the comment at the end of each file has it.
#[test]
fn constants_make_a_trigger() {
    let condition = Inputs::new(coupled::CONDITION.build().unwrap(), coupled::INPUTS).unwrap();
    let mut trigger = Trigger::new(condition, coupled::HOLDOFF).unwrap();
    // 1 kHz at 1 MS/s, through the mean of 2000: every third of 19 edges: the
    // signal begins at what the filter takes for the mean.
    let wave: Vec<u16> = (0..20_000).map(|n| if n % 1000 < 500 { 1000 } else { 3000 }).collect();
    let silent = vec![0_u16; wave.len()];
    let mut found = 0;
    trigger.push_channels(&[&silent, &wave], |_| found += 1);
    assert_eq!((found, trigger.events()), (6, 19));
    assert_eq!(edge::SHAPE.len(), 22);
    assert_eq!(edge::HOLDOFF, Holdoff::Samples(20));
    let edge: Setup<u16> = edge::CONDITION;
    assert!(edge.build().unwrap().next(&stillwave::Block::new(0, &[&silent])).is_none());
}
