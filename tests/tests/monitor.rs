//! Every clipped sample and every one that is not finite is counted, however the stream is cut.

use proptest::prelude::*;
use stillwave::{Monitor, Quality};
use stillwave_tests::dice::Dice;
use stillwave_tests::engine::Desk;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{clipped, non_finite};
use stillwave_tests::plan::{Step, lengths, plan};
use stillwave_tests::signal::recipe;

#[derive(Clone, Debug)]
struct Watched<T> {
    lowest: T,
    highest: T,
    samples: Vec<T>,
    lengths: Vec<usize>,
}

fn watched<T: Kind>() -> impl Strategy<Value = Watched<T>> {
    (any::<u64>(), recipe(5, 300), lengths()).prop_map(|(seed, recipe, lengths)| {
        let mut dice = Dice::new(seed);
        let (level, hysteresis) = (T::level(&mut dice), T::hysteresis(&mut dice));
        let corners = T::corners(level, hysteresis);
        let (a, b) = (dice.pick(&corners), dice.pick(&corners));
        let (lowest, highest) = if a < b { (a, b) } else { (b, a) };
        // A converter has more than one code.
        let (lowest, highest) = if lowest < highest { (lowest, highest) } else { (T::MIN, T::MAX) };
        Watched { lowest, highest, samples: recipe.samples(level, hysteresis), lengths }
    })
}

fn counts<T: Kind>(watched: &Watched<T>) -> Result<(), TestCaseError> {
    let Watched { lowest, highest, samples, lengths } = watched;
    let mut monitor = Monitor::new(*lowest, *highest).unwrap();
    let mut desk = Desk::default();
    for step in plan::<()>(samples.len(), lengths, &[]) {
        if let Step::Block(range) = step {
            monitor.push(desk.lay(&samples[range]));
        }
    }
    let exact: Vec<_> = samples.iter().map(|x| x.exact()).collect();
    let expected = Quality {
        clipped: clipped(&exact, lowest.exact(), highest.exact()),
        non_finite: non_finite(&exact),
    };
    prop_assert_eq!(monitor.quality(), expected);
    Ok(())
}

for_every_type!(nothing_goes_uncounted: counts over watched, 1000);

#[test]
fn what_is_clipped_and_what_is_no_number() {
    let mut monitor = Monitor::new(-1.0_f32, 1.0).unwrap();
    let infinite = [f32::INFINITY, f32::NEG_INFINITY];
    monitor.push(&[-1.5, -1.0, -0.5, f32::NAN, 0.5, 1.0, f32::MAX, infinite[0], infinite[1]]);
    assert_eq!(monitor.quality(), Quality { clipped: 4, non_finite: 3 });
}
