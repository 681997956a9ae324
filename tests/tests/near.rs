//! Near misses: a relaxed condition finds all that the condition finds, swings are the same for
//! every way of handing a signal over, and nothing is counted twice.

use proptest::prelude::*;
use stillwave::near::{LevelMisses, Relaxed, Swing, Swings, TimeMisses};
use stillwave::{Comparison, Composition, Event, Holdoff, Instant, Level, Slope, Span, Trigger};
use stillwave_tests::cases::{Case, edges};
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::plan::{Step, actions, plan};
use stillwave_tests::single::{self, Asked, Single};

fn timed<T: Kind>() -> impl Strategy<Value = Single<T>> {
    prop_oneof![
        single::pulses::<T>(),
        single::intervals::<T>(),
        single::transitions::<T>(),
        single::runts::<T>(),
    ]
}

fn events<T: Kind>(case: &Single<T>, composition: &Composition<T>) -> Vec<Event> {
    let mut trigger = Trigger::new(composition.build().unwrap(), Holdoff::None).unwrap();
    let mut events = Vec::new();
    for step in plan::<()>(case.samples.len(), &case.lengths, &[]) {
        if let Step::Block(range) = step {
            trigger.push(&case.samples[range], |event| events.push(event));
        }
    }
    events
}

/// Of all that the relaxed condition finds, what is as asked is what the condition finds.
fn relaxed<T: Kind>(case: &Single<T>) -> Result<(), TestCaseError> {
    let composition = Composition::Single(case.setup(0));
    let Some(Relaxed { setup, time }) = Relaxed::of(&composition) else {
        prop_assert!(matches!(case.asked, Asked::Runt(None)));
        return Ok(());
    };
    let asked = time.unwrap();
    let mut misses = TimeMisses::new(asked).unwrap();
    let mut candidates = events(case, &setup);
    for event in &candidates {
        misses.see(event.at, event.kind.time().unwrap());
    }
    prop_assert_eq!(misses.seen(), candidates.len() as u64);
    prop_assert!(misses.nearest().is_sorted_by_key(|miss| miss.lacked));
    candidates.retain(|event| asked.holds(event.kind.time().unwrap()));
    prop_assert_eq!(misses.held(), candidates.len() as u64);
    prop_assert_eq!(events(case, &composition), candidates);
    Ok(())
}

/// A dropout is a gap between edges that is longer than the time, or the last of the stream.
fn dropouts<T: Kind>(case: &Single<T>) -> Result<(), TestCaseError> {
    let composition = Composition::Single(case.setup(0));
    let relaxed = Relaxed::of(&composition).unwrap();
    let asked = relaxed.time.unwrap();
    let gaps = events(case, &relaxed.setup);
    // To a sample: a dropout counts from position to position.
    let surely = |time: Span| asked.holds(Span::from_parts(time.parts().saturating_sub(65_536)));
    let maybe = |time: Span| asked.holds(Span::from_parts(time.parts().saturating_add(65_536)));
    let count = |which: &dyn Fn(Span) -> bool| {
        gaps.iter().filter(|gap| which(gap.kind.time().unwrap())).count()
    };
    let found = events(case, &composition).len();
    prop_assert!((count(&surely)..=count(&maybe) + 1).contains(&found));
    Ok(())
}

/// Swings of all samples at once.
fn swings_uncut<T: Kind>(samples: &[T], least: T::Wide) -> Vec<Swing<T>> {
    let mut swings = Swings::new(least);
    let mut found = Vec::new();
    swings.push(7, samples, |swing| found.push(swing));
    found
}

fn swings<T: Kind>(case: &Case<T>) -> Result<(), TestCaseError> {
    let whole = swings_uncut(&case.samples, case.hysteresis);
    let mut cut = Swings::new(case.hysteresis);
    let (mut found, mut position) = (Vec::new(), 7);
    for step in plan::<()>(case.samples.len(), &case.lengths, &[]) {
        if let Step::Block(range) = step {
            cut.push(position, &case.samples[range.clone()], |swing| found.push(swing));
            position += range.len() as u64;
        }
    }
    prop_assert_eq!(&found, &whole);
    // They alternate, hang together, and end where they say.
    for pair in whole.windows(2) {
        prop_assert!(pair[0].to == pair[1].from && pair[0].at < pair[1].at);
        prop_assert!((pair[0].to > pair[0].from) != (pair[1].to > pair[1].from));
    }
    for swing in &whole {
        prop_assert!(case.samples[(swing.at - 7) as usize] == swing.to);
    }
    // Every swing in one direction is counted once.
    let level = Level { level: case.level, hysteresis: case.hysteresis, channel: 0 };
    for slope in [Slope::Rising, Slope::Falling] {
        let mut misses = LevelMisses::new(slope, level).unwrap();
        for swing in &whole {
            misses.see(*swing);
        }
        let these = |swing: &&Swing<T>| (swing.to > swing.from) == (slope == Slope::Rising);
        let counted = misses.passed() + misses.short() + misses.unarmed() + misses.beyond();
        prop_assert_eq!(counted, whole.iter().filter(these).count() as u64);
        prop_assert_eq!(misses.nearest_short().is_some(), misses.short() > 0);
        prop_assert_eq!(misses.nearest_unarmed().is_some(), misses.unarmed() > 0);
    }
    Ok(())
}

/// Swings do not reach over a gap, and forget all at a reset: as if each stretch were pushed by
/// itself, but that a gap leaves what a turn is, an eighth of all that has been covered.
fn broken_swings<T: Kind>(
    (case, acts): &(Case<T>, Vec<(usize, bool)>),
) -> Result<(), TestCaseError> {
    let mut cut = Swings::new(case.hysteresis);
    let (mut found, mut position) = (Vec::new(), case.start);
    let (mut whole, mut expected) = (Swings::new(case.hysteresis), Vec::new());
    let mut stretch = Vec::new();
    let mut of_stretch = |whole: &mut Swings<T>, stretch: &mut Vec<T>, end: u64| {
        whole.push(end - stretch.len() as u64, stretch, |swing| expected.push(swing));
        stretch.clear();
    };
    for step in plan(case.samples.len(), &case.lengths, acts) {
        match step {
            Step::Block(range) => {
                cut.push(position, &case.samples[range.clone()], |swing| found.push(swing));
                position += range.len() as u64;
                stretch.extend_from_slice(&case.samples[range]);
            }
            Step::Act(reset) => {
                of_stretch(&mut whole, &mut stretch, position);
                if reset {
                    cut.reset();
                    whole = Swings::new(case.hysteresis);
                } else {
                    cut.gap();
                    whole.gap();
                    position += 7;
                }
                prop_assert_eq!(cut.last(), None);
            }
        }
    }
    of_stretch(&mut whole, &mut stretch, position);
    prop_assert_eq!(found, expected);
    prop_assert_eq!((cut.last(), cut.covered()), (whole.last(), whole.covered()));
    Ok(())
}

fn broken_signals<T: Kind>() -> impl Strategy<Value = (Case<T>, Vec<(usize, bool)>)> {
    (edges(6, 300), actions(any::<bool>(), 5, 1500))
}

fn signals<T: Kind>() -> impl Strategy<Value = Case<T>> {
    edges(6, 300)
}

for_every_type!(what_is_as_asked_of_the_relaxed: relaxed over timed, 200);
for_every_type!(dropouts_are_gaps: dropouts over dropout_cases, 64);
for_every_type!(swings_are_the_same: swings over signals, 100);
for_every_type!(swings_end_at_gaps_and_resets: broken_swings over broken_signals, 100);

fn dropout_cases<T: Kind>() -> impl Strategy<Value = Single<T>> {
    single::dropouts()
}

/// How far each time is from each kind of bound.
#[test]
fn what_times_lack() {
    let span = Span::samples;
    let parts = |samples: u64, parts: u64| Span::from_parts((samples << 16) + parts);
    for (asked, time, lack) in [
        (Comparison::ShorterThan(span(5)), span(4), None),
        (Comparison::ShorterThan(span(5)), span(5), Some((false, parts(0, 1)))),
        (Comparison::LongerThan(span(5)), span(3), Some((true, parts(2, 1)))),
        (Comparison::Within(span(5), span(7)), span(4), Some((true, span(1)))),
        (Comparison::Within(span(5), span(7)), span(9), Some((false, span(2)))),
        (Comparison::Outside(span(2), span(9)), span(3), Some((false, parts(1, 1)))),
        (Comparison::Outside(span(2), span(9)), span(8), Some((true, parts(1, 1)))),
    ] {
        assert_eq!(asked.lack(time), lack, "{asked:?} {time:?}");
    }
}

#[test]
fn only_the_nearest_are_kept() {
    let mut misses = TimeMisses::new(Comparison::LongerThan(Span::samples(100))).unwrap();
    for n in 0..50 {
        misses.see(Instant::at(n), Span::samples(n * 7 % 50));
    }
    let nearest: Vec<u64> = misses.nearest().iter().map(|miss| miss.time.parts() >> 16).collect();
    assert_eq!(nearest, [49, 48, 47, 46, 45, 44, 43, 42]);
    assert_eq!((misses.too_short(), misses.too_long(), misses.held()), (50, 0, 0));
}
