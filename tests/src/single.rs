//! Conditions on one channel beyond edges and pulses, each with a signal to find it in.

use crate::dice::Dice;
use crate::engine::comparison;
use crate::kind::Kind;
use crate::oracle::{self, Detector, Edge, Either, Found, What, When, Width};
use crate::plan::lengths;
use crate::signal::recipe;
use proptest::prelude::*;
use stillwave::{
    Band, DropoutConfig, EdgeSlope, IntervalConfig, Level, PulseConfig, PulsePolarity, RuntConfig,
    Setup, Span, Stay, TransitionConfig, WindowConfig, WindowWhen,
};

/// What to look for. Times are in 1/65536 of a sample, but for those in samples: a dropout's, and
/// a window's stay that should be longer.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub enum Asked {
    Pulse(Width),
    Interval(Width),
    Dropout(u64),
    Transition(Width),
    Runt(Option<Width>),
    Window { inside: bool, when: When },
}

/// Which way, where there is one: upwards is rising and positive.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Way {
    Up,
    Down,
    Either,
}

/// A condition and a signal. What has one level has the lower.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Single<T: Kind> {
    pub asked: Asked,
    pub way: Way,
    pub low: T::Wide,
    pub high: T::Wide,
    pub hysteresis: T::Wide,
    /// Samples lost before the first: where positions begin.
    pub start: u64,
    pub samples: Vec<T>,
    pub lengths: Vec<usize>,
}

/// Whichever of two finds something.
struct Pair<N>([Box<dyn Detector<N>>; 2]);

impl<N: Copy> Detector<N> for Pair<N> {
    fn sample(&mut self, position: u64, x: N) -> Option<Found> {
        match self.0.each_mut().map(|detector| detector.sample(position, x)) {
            [Some(a), Some(b)] => panic!("{a:?} and {b:?} exclude each other"),
            [a, b] => a.or(b),
        }
    }

    fn gap(&mut self) {
        self.0.iter_mut().for_each(|detector| detector.gap());
    }
}

impl<T: Kind> Single<T> {
    /// What the engine looks for, on a channel.
    pub fn setup(&self, channel: u8) -> Setup<T> {
        let &Self { low, high, hysteresis, .. } = self;
        let level = Level { level: low, hysteresis, channel };
        let band = Band { low, high, hysteresis, channel };
        let (slope, polarity) = match self.way {
            Way::Up => (EdgeSlope::Rising, PulsePolarity::Positive),
            Way::Down => (EdgeSlope::Falling, PulsePolarity::Negative),
            Way::Either => (EdgeSlope::Either, PulsePolarity::Either),
        };
        match self.asked {
            Asked::Pulse(width) => {
                Setup::Pulse(PulseConfig { polarity, level, width: comparison(width) })
            }
            Asked::Interval(time) => {
                Setup::Interval(IntervalConfig { slope, level, time: comparison(time) })
            }
            Asked::Dropout(after) => Setup::Dropout(DropoutConfig { slope, level, after }),
            Asked::Transition(time) => {
                Setup::Transition(TransitionConfig { slope, band, time: comparison(time) })
            }
            Asked::Runt(width) => {
                Setup::Runt(RuntConfig { polarity, band, width: width.map(comparison) })
            }
            Asked::Window { inside, when } => {
                let stay = match when {
                    When::Goes if inside => {
                        return Setup::Window(WindowConfig { band, when: WindowWhen::Enters });
                    }
                    When::Goes => {
                        return Setup::Window(WindowConfig { band, when: WindowWhen::Leaves });
                    }
                    When::StaysLonger(samples) => Stay::LongerThan(samples),
                    When::StaysShorter(parts) => Stay::ShorterThan(Span::from_parts(parts)),
                };
                let stays = if inside { WindowWhen::StaysInside } else { WindowWhen::StaysOutside };
                Setup::Window(WindowConfig { band, when: stays(stay) })
            }
        }
    }

    /// What the oracle looks for.
    pub fn detector(&self) -> Box<dyn Detector<T::Exact>> {
        match (self.way, self.asked) {
            (Way::Either, Asked::Dropout(after)) => {
                let (level, back) = (T::exact_level(self.low), T::exact_level(self.hysteresis));
                Box::new(oracle::Dropout::new(Either::new(level, back), after))
            }
            (
                Way::Either,
                Asked::Pulse(_) | Asked::Interval(_) | Asked::Transition(_) | Asked::Runt(_),
            ) => Box::new(Pair([self.one_way(true), self.one_way(false)])),
            (way, _) => self.one_way(way == Way::Up),
        }
    }

    fn one_way(&self, up: bool) -> Box<dyn Detector<T::Exact>> {
        let [low, high, back] = [self.low, self.high, self.hysteresis].map(T::exact_level);
        match self.asked {
            Asked::Pulse(width) => Box::new(oracle::Pulse::new(up, low, back, width)),
            Asked::Interval(time) => Box::new(oracle::Interval::new(up, low, back, time)),
            Asked::Dropout(after) => {
                Box::new(oracle::Dropout::new(Edge::new(up, low, back), after))
            }
            Asked::Transition(time) => {
                Box::new(oracle::Transition::new(up, (low, high), back, time))
            }
            Asked::Runt(width) => Box::new(oracle::Runt::new(up, (low, high), back, width)),
            Asked::Window { inside, when } => {
                Box::new(oracle::Window::new((low, high), back, inside, when))
            }
        }
    }

    /// What there is in the signal, taken as one stream from its start.
    pub fn events(&self) -> Vec<Found> {
        let mut detector = self.detector();
        let samples = self.samples.iter().enumerate();
        samples.filter_map(|(at, x)| detector.sample(at as u64, x.exact())).collect()
    }

    /// The times, in 1/65536 of a sample, of all events that `asked` would find.
    fn times(&self, asked: Asked) -> Vec<u64> {
        let events = Self { asked, ..self.clone() }.events();
        let time = |found: Found| match found.what {
            What::Interval { time, .. }
            | What::Transition { time, .. }
            | What::Runt { width: time, .. }
            | What::Positive(time)
            | What::Negative(time)
            | What::Stayed { time, .. } => Some(time),
            _ => None,
        };
        events.into_iter().filter_map(time).collect()
    }
}

/// A bound at or next to one of `times`, or any other.
fn bound(dice: &mut Dice, times: &[u64]) -> u64 {
    let other = [0, 1, 100 << 16, dice.below(40 << 16), u64::MAX];
    let times = if times.is_empty() || dice.below(8) == 0 { &other } else { times };
    dice.pick(times).saturating_add(dice.below(3)).saturating_sub(1)
}

/// As [`bound`], in whole samples.
fn whole_bound(dice: &mut Dice, times: &[u64]) -> u64 {
    let samples: Vec<u64> = times.iter().map(|time| time.div_ceil(65536)).collect();
    match bound(dice, &samples) {
        large @ 0x1_0000..0xffff_ffff => large >> 16,
        small => small,
    }
}

fn width(dice: &mut Dice, times: &[u64]) -> Width {
    let (a, b) = (bound(dice, times), bound(dice, times));
    let (a, b) = (a.min(b), a.max(b));
    let choices =
        [Width::ShorterThan(a), Width::LongerThan(a), Width::Within(a, b), Width::Outside(a, b)];
    dice.pick(&choices)
}

const ANY: Width = Width::Within(0, u64::MAX);

fn ask_pulse<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    Asked::Pulse(width(dice, &case.times(Asked::Pulse(ANY))))
}

fn ask_interval<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    Asked::Interval(width(dice, &case.times(Asked::Interval(ANY))))
}

fn ask_dropout<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    let times = case.times(Asked::Interval(ANY));
    Asked::Dropout(whole_bound(dice, &times).max(1))
}

fn ask_transition<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    Asked::Transition(width(dice, &case.times(Asked::Transition(ANY))))
}

fn ask_runt<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    let times = case.times(Asked::Runt(None));
    let width = width(dice, &times);
    Asked::Runt((dice.below(3) > 0).then_some(width))
}

fn ask_window<T: Kind>(case: &Single<T>, dice: &mut Dice) -> Asked {
    let inside = dice.below(2) == 0;
    let times = case.times(Asked::Window { inside, when: When::StaysShorter(u64::MAX) });
    let choices = [
        When::Goes,
        When::StaysLonger(whole_bound(dice, &times)),
        When::StaysShorter(bound(dice, &times)),
    ];
    Asked::Window { inside, when: dice.pick(&choices) }
}

/// Two levels in order, often near each other, and a hysteresis that leaves an inside.
fn levels<T: Kind>(dice: &mut Dice) -> (T::Wide, T::Wide, T::Wide) {
    loop {
        let (a, hysteresis) = (T::level(dice), T::hysteresis(dice));
        let steps = dice.below(40) as i32 - 20;
        let b =
            if dice.below(3) == 0 { T::level(dice) } else { T::near(a, hysteresis, steps).widen() };
        let (low, high) = if a < b { (a, b) } else { (b, a) };
        let band = Band::<T> { low, high, hysteresis, channel: 0 };
        if (Setup::Window(WindowConfig { band, when: WindowWhen::Enters })).build().is_ok() {
            return (low, high, hysteresis);
        }
    }
}

/// A signal that goes from one level's neighbourhood to the other's and back, in runs.
fn mixed<T: Kind>(dice: &mut Dice, near_low: &[T], near_high: &[T]) -> Vec<T> {
    let (mut sources, mut mixed) = ([near_low.iter(), near_high.iter()], Vec::new());
    while mixed.len() < near_low.len().max(near_high.len()) {
        let longest = 1 << dice.below(9);
        let run = 1 + dice.below(longest) as usize;
        mixed.extend(sources[dice.below(2) as usize].by_ref().take(run));
        if sources.iter().any(|source| source.len() == 0) {
            break;
        }
    }
    mixed.extend(sources.into_iter().flatten());
    mixed
}

fn cases<T: Kind>(
    ask: impl Fn(&Single<T>, &mut Dice) -> Asked + Copy,
) -> impl Strategy<Value = Single<T>> {
    let recipes = (recipe(5, 300), recipe(5, 300));
    (any::<u64>(), recipes, lengths()).prop_map(move |(seed, recipes, lengths)| {
        let mut dice = Dice::new(seed);
        let (low, high, hysteresis) = levels::<T>(&mut dice);
        let near_low = recipes.0.samples::<T>(low, hysteresis);
        let near_high = recipes.1.samples::<T>(high, hysteresis);
        let mut case = Single {
            asked: Asked::Dropout(1),
            way: dice.pick(&[Way::Up, Way::Down, Way::Either]),
            low,
            high,
            hysteresis,
            start: dice.pick(&[0, 0, (1 << 32) - 500, (1 << 53) - 500, (1 << 63) - 500]),
            samples: mixed(&mut dice, &near_low, &near_high),
            lengths,
        };
        case.asked = ask(&case, &mut dice);
        case
    })
}

/// Pulses, of either polarity too.
pub fn pulses<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_pulse)
}

/// Intervals.
pub fn intervals<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_interval)
}

/// Dropouts.
pub fn dropouts<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_dropout)
}

/// Transitions.
pub fn transitions<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_transition)
}

/// Runts.
pub fn runts<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_runt)
}

/// Windows.
pub fn windows<T: Kind>() -> impl Strategy<Value = Single<T>> {
    cases(ask_window)
}
