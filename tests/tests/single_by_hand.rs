//! Intervals, dropouts, transitions, runts and windows on signals short enough to be worked out on
//! paper. The engine and the oracle must both give what the paper says.

use stillwave::{
    Band, DropoutConfig, Holdoff, RuntConfig, Setup, Trigger, WindowConfig, WindowWhen,
};
use stillwave_tests::engine::found;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::{Found, What, When, Width};
use stillwave_tests::single::{Asked, Single, Way};

/// One sample, in 1/65536.
const SA: u64 = 65536;
const ANY: Width = Width::Within(0, u64::MAX);

/// The condition's levels: low, high and hysteresis.
type Levels<W> = (W, W, W);

/// Events of engine and oracle, which are the same.
fn events<T: Kind>(
    asked: Asked,
    way: Way,
    (low, high, hysteresis): Levels<T::Wide>,
    samples: &[T],
) -> Vec<Found> {
    let (samples, lengths) = (samples.to_vec(), vec![1]);
    let case = Single { asked, way, low, high, hysteresis, start: 0, samples, lengths };
    let condition = case.setup(0).build().unwrap();
    let mut trigger = Trigger::new(condition, Holdoff::None).unwrap();
    let mut events = Vec::new();
    trigger.push(&case.samples, |event| events.push(found(event)));
    assert_eq!(events, case.events());
    events
}

fn positions<T: Kind>(asked: Asked, way: Way, levels: Levels<T::Wide>, samples: &[T]) -> Vec<u64> {
    events(asked, way, levels, samples).iter().map(|found| found.position).collect()
}

#[test]
fn an_interval_runs_from_crossing_to_crossing_and_every_edge_begins_one() {
    // Rising through 10: half before 1, at 4, a quarter before 6.
    let samples = [0, 20, 0, 0, 10, 6, 15, 0];
    let levels = (10, 255, 3);
    let found = events::<u8>(Asked::Interval(ANY), Way::Up, levels, &samples);
    let interval = |time| What::Interval { rising: true, time };
    let fifteen = 65536 * 5 / 9;
    assert_eq!(
        found,
        [
            Found { position: 4, lead: 0, what: interval(3 * SA + SA / 2) },
            Found { position: 6, lead: fifteen, what: interval(2 * SA - u64::from(fifteen)) },
        ]
    );
    // One that does not count still ends where the next begins.
    let long = Asked::Interval(Width::LongerThan(2 * SA));
    assert_eq!(positions::<u8>(long, Way::Up, levels, &samples), [4]);
    let short = Asked::Interval(Width::ShorterThan(2 * SA));
    assert_eq!(positions::<u8>(short, Way::Up, levels, &samples), [6]);
    // Of either slope: each by itself.
    let square = [0, 20, 20, 0, 20, 20, 0];
    let both = events::<u8>(Asked::Interval(ANY), Way::Either, (10, 255, 0), &square);
    let kinds: Vec<_> = both.iter().map(|found| (found.position, found.what)).collect();
    let falling = What::Interval { rising: false, time: 3 * SA };
    assert_eq!(kinds, [(4, interval(3 * SA)), (6, falling)]);
}

#[test]
fn a_dropout_comes_at_its_time_and_once() {
    let quiet = [0, 20, 0, 0, 0, 0, 0, 0, 0];
    let levels = (10, 255, 0);
    let found = events::<u8>(Asked::Dropout(3), Way::Up, levels, &quiet);
    let time = 3 * SA + SA / 2;
    assert_eq!(found, [Found { position: 4, lead: 0, what: What::Dropout { time } }]);
    // The sample at that time must be there, and no more.
    assert_eq!(positions::<u8>(Asked::Dropout(3), Way::Up, levels, &quiet[..5]), [4]);
    assert_eq!(positions::<u8>(Asked::Dropout(3), Way::Up, levels, &quiet[..4]), []);
    // Never, without an edge.
    assert_eq!(positions::<u8>(Asked::Dropout(1), Way::Up, levels, &[20, 20, 0, 0, 0]), []);
    // A time beyond all positions never comes.
    assert_eq!(positions::<u8>(Asked::Dropout(u64::MAX), Way::Up, levels, &quiet), []);
}

#[test]
fn an_edge_at_the_very_time_of_a_dropout_comes_in_time() {
    let levels = (10, 255, 0);
    // Edges at 1, 4 and 8.
    let samples = [0, 20, 0, 0, 20, 0, 0, 0, 20, 0, 0];
    assert_eq!(positions::<u8>(Asked::Dropout(3), Way::Up, levels, &samples), [7]);
    assert_eq!(positions::<u8>(Asked::Dropout(2), Way::Up, levels, &samples), [3, 6, 10]);
    // Either slope: edges at 1, 2, 4, 5, 8 and 9.
    assert_eq!(positions::<u8>(Asked::Dropout(2), Way::Either, levels, &samples), [7]);
}

#[test]
fn a_transition_runs_from_level_to_level() {
    // Up: through 20 half after 0, through 80 half after 3. Down: within one step, 0.8 to 0.2.
    let ramp = [0, 40, 60, 70, 90, 100, 0];
    let levels = (20, 80, 0);
    let found = events::<u8>(Asked::Transition(ANY), Way::Either, levels, &ramp);
    let up = What::Transition { rising: true, time: 3 * SA };
    let (first, second) = (52428, 13107);
    let down = What::Transition { rising: false, time: u64::from(first - second) };
    assert_eq!(
        found,
        [
            Found { position: 4, lead: 32768, what: up },
            Found { position: 6, lead: second, what: down },
        ]
    );
    let faster = |parts| Asked::Transition(Width::ShorterThan(parts));
    assert_eq!(positions::<u8>(faster(3 * SA), Way::Up, levels, &ramp), []);
    assert_eq!(positions::<u8>(faster(3 * SA + 1), Way::Up, levels, &ramp), [4]);
}

#[test]
fn a_transition_that_turns_back_begins_anew() {
    let levels = (20, 80, 5);
    let lasts = |samples: &[u8]| {
        let found = events::<u8>(Asked::Transition(ANY), Way::Up, levels, samples);
        found.iter().map(|found| found.what).collect::<Vec<_>>()
    };
    let up = |time| What::Transition { rising: true, time };
    // Back to 15 is within the hysteresis, back to 14 is not.
    assert_eq!(lasts(&[0, 20, 15, 50, 80]), [up(3 * SA)]);
    assert_eq!(lasts(&[0, 20, 14, 20, 80]), [up(SA)]);
    // Once over, it is over until the signal has been below again, wherever it goes meanwhile.
    assert_eq!(lasts(&[0, 20, 80, 20, 80, 15, 80, 14, 80]).len(), 2);
    // From between the levels, or from above, there is none.
    assert_eq!(lasts(&[15, 20, 80]), []);
    assert_eq!(lasts(&[50, 80]), []);
}

#[test]
fn a_runt_does_not_reach_the_second_level() {
    let levels = (20, 80, 5);
    let runts = |way, samples: &[u8]| positions::<u8>(Asked::Runt(None), way, levels, samples);
    // 79 is not there, 80 is; 14 is the end, 15 is not.
    assert_eq!(runts(Way::Up, &[0, 50, 79, 15, 14, 50, 80, 50, 0, 20, 0]), [4, 10]);
    // Under way when the stream begins: no runt.
    assert_eq!(runts(Way::Up, &[50, 0, 0]), []);
    // The mirror: through 80, not to 20; over at 86, not at 85.
    assert_eq!(runts(Way::Down, &[100, 50, 21, 85, 86, 50, 20, 50, 100, 80, 100]), [4, 10]);
    // From the bottom to the middle and back, from the top to the middle and back.
    assert_eq!(runts(Way::Either, &[0, 50, 0, 100, 50, 100]), [2, 5]);
    // The width is that of a pulse: up through 20 at 1, down through 15 one half before 4.
    let samples = [0, 20, 20, 30, 0];
    let width = 3 * SA - SA / 2;
    let found = events::<u8>(Asked::Runt(None), Way::Up, levels, &samples);
    let what = What::Runt { positive: true, width };
    assert_eq!(found, [Found { position: 4, lead: 32768, what }]);
    let bound = |width| !runts_of(width, levels, &samples).is_empty();
    assert!(bound(Width::Within(width, width)) && !bound(Width::LongerThan(width)));
}

fn runts_of(width: Width, levels: Levels<i32>, samples: &[u8]) -> Vec<u64> {
    positions::<u8>(Asked::Runt(Some(width)), Way::Up, levels, samples)
}

#[test]
fn a_window_is_left_past_its_levels_and_entered_past_the_hysteresis() {
    let levels = (20, 80, 10);
    let goes = |inside| Asked::Window { inside, when: When::Goes };
    // 80 and 20 are inside, 81 and 19 are not; 71 and 29 are not back, 70 and 30 are.
    let samples = [50, 80, 81, 71, 70, 20, 19, 29, 30];
    assert_eq!(positions::<u8>(goes(false), Way::Up, levels, &samples), [2, 6]);
    assert_eq!(positions::<u8>(goes(true), Way::Up, levels, &samples), [4, 8]);
    // From over the top into the lower hysteresis is not inside; from there up is, through 30.
    let over_and_back = [50, 100, 25, 40];
    let found = events::<u8>(goes(true), Way::Up, levels, &over_and_back);
    let lead = 65536 * 10 / 15;
    assert_eq!(found, [Found { position: 3, lead, what: What::Went { inside: true } }]);
    // Where it begins is neither; within the hysteresis it is not known yet.
    assert_eq!(positions::<u8>(goes(false), Way::Up, levels, &[100, 25, 100]), []);
    assert_eq!(positions::<u8>(goes(false), Way::Up, levels, &[25, 100, 50, 100]), [3]);
    assert_eq!(positions::<u8>(goes(true), Way::Up, levels, &[25, 50, 25]), []);
    // One step right through the window, when every sample is outside.
    assert_eq!(positions::<u8>(goes(true), Way::Up, levels, &[50, 0, 100, 0]), []);
}

#[test]
fn a_window_takes_every_level_there_is() {
    let goes = |inside| Asked::Window { inside, when: When::Goes };
    let ends = [0, 255, 0, 255];
    assert_eq!(positions::<u8>(goes(false), Way::Up, (-1, 254, 0), &ends), [1, 3]);
    assert_eq!(positions::<u8>(goes(false), Way::Up, (0, 255, 0), &ends), []);
    assert_eq!(positions::<u8>(goes(false), Way::Up, (1, 300, 0), &ends), [2]);
    assert_eq!(positions::<u8>(goes(true), Way::Up, (256, 300, 0), &ends), []);
    assert_eq!(positions::<i32>(goes(true), Way::Up, (i64::MIN, i64::MAX, 0), &[0, 1]), []);
    // The next number after a level is past it.
    let (high, past) = (1.0_f32, 1.0_f32.next_up());
    let samples = [0.0, high, past, f32::INFINITY, high, f32::NAN, -past];
    let left = events::<f32>(goes(false), Way::Up, (-high, high, 0.0), &samples);
    // Where the sample before is not a number, the crossing is at the sample.
    let at = |position, lead| Found { position, lead, what: What::Went { inside: false } };
    assert_eq!(left, [at(2, 65536), at(6, 0)]);
}

#[test]
fn a_stay_is_longer_before_it_ends_and_shorter_when_it_ends() {
    let levels = (20, 80, 0);
    let stays = |inside, when| Asked::Window { inside, when };
    let longer = |n| stays(true, When::StaysLonger(n));
    // Inside from half before 1 up to one tenth before 4.
    let samples = [0, 40, 50, 79, 89, 89, 89];
    let found = events::<u8>(longer(2), Way::Up, levels, &samples);
    let what = What::Stayed { inside: true, time: 2 * SA + SA / 2 };
    assert_eq!(found, [Found { position: 3, lead: 0, what }]);
    // Gone at that very sample: not longer.
    assert_eq!(positions::<u8>(longer(3), Way::Up, levels, &samples), []);
    // Longer than nothing is at the entry.
    assert_eq!(positions::<u8>(longer(0), Way::Up, levels, &samples), [1]);
    assert_eq!(positions::<u8>(longer(u64::MAX), Way::Up, levels, &samples), []);
    // 2.6 samples, by interpolation.
    let lead = 65536 * 9 / 10;
    let time = 3 * SA + SA / 2 - u64::from(lead);
    let shorter = |parts| stays(true, When::StaysShorter(parts));
    let found = events::<u8>(shorter(time + 1), Way::Up, levels, &samples);
    assert_eq!(found, [Found { position: 4, lead, what: What::Stayed { inside: true, time } }]);
    assert_eq!(positions::<u8>(shorter(time), Way::Up, levels, &samples), []);
    // A stay under way when the stream begins does not count; outside counts likewise.
    assert_eq!(positions::<u8>(longer(1), Way::Up, levels, &[50, 50, 50, 50]), []);
    let outside = stays(false, When::StaysLonger(1));
    assert_eq!(positions::<u8>(outside, Way::Up, levels, &[99, 50, 10, 99, 10, 10]), [3]);
}

#[test]
fn a_gap_ends_what_was_under_way() {
    let cases = [
        (Asked::Interval(ANY), vec![0, 99, 0], vec![99, 0, 99, 0, 99], vec![104]),
        (Asked::Dropout(3), vec![0, 99, 0], vec![0, 0, 0, 99, 0, 0, 0], vec![106]),
        (Asked::Transition(ANY), vec![0, 50], vec![99, 0, 50, 99], vec![103]),
        (Asked::Runt(None), vec![0, 50], vec![0, 50, 0], vec![102]),
        (
            Asked::Window { inside: true, when: When::StaysLonger(2) },
            vec![0, 50],
            vec![50, 50, 50, 0, 50, 50, 50],
            vec![106],
        ),
    ];
    for (asked, before, after, expected) in cases {
        let case = Single::<u8> {
            asked,
            way: Way::Up,
            low: 20,
            high: 80,
            hysteresis: 0,
            start: 0,
            samples: vec![],
            lengths: vec![1],
        };
        let mut trigger = Trigger::new(case.setup(0).build().unwrap(), Holdoff::None).unwrap();
        let mut positions = Vec::new();
        trigger.push(&before, |event| positions.push(event.at.position));
        trigger.gap(100 - before.len() as u64);
        trigger.push(&after, |event| positions.push(event.at.position));
        assert_eq!(positions, expected, "{asked:?}");
    }
}

#[test]
fn what_could_never_fire_is_refused() {
    let refused = |setup: Setup<u8>| setup.build().unwrap_err().to_string();
    let band = Band { low: 20, high: 80, hysteresis: 30, channel: 0 };
    let window = |band| Setup::Window(WindowConfig { band, when: WindowWhen::Enters });
    assert!(window(band).build().is_ok());
    let narrow = Band { hysteresis: 31, ..band };
    assert_eq!(refused(window(narrow)), "hysteresis is 31: it must be at most half the band");
    let flat = Band { low: 80, ..band };
    assert_eq!(refused(window(flat)), "high is 80: it must be over low");
    let level = band.lower();
    let slope = stillwave::EdgeSlope::Rising;
    let at_once = Setup::Dropout(DropoutConfig { slope, level, after: 0 });
    assert_eq!(refused(at_once), "after is 0: it must be 1 sample or more");
    let below = Band { hysteresis: -1, ..band };
    let runt = Setup::Runt(RuntConfig {
        polarity: stillwave::PulsePolarity::Either,
        band: below,
        width: None,
    });
    assert_eq!(refused(runt), "hysteresis is -1: it must be 0 or more");
}
