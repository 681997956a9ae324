//! Conditions on several channels, and signals for them in which things often meet.

use crate::cases::{Asked, Case};
use crate::dice::Dice;
use crate::engine::{AnyCondition, comparison, found};
use crate::kind::Kind;
use crate::oracle::many::{
    Count, Delay, Must, On, Pattern, Qualified, Seen, Sequence, SetupHold, Side, Sight, Since,
    Until, Watcher,
};
use crate::oracle::serial::Said;
use crate::oracle::{Hold, Width};
use crate::plan::lengths;
use crate::scene::Scene;
use crate::signal::{Recipe, recipe};
use proptest::collection::vec;
use proptest::prelude::*;
use stillwave::{
    Composition, CountConfig, CountSince, DelayConfig, EdgeConfig, EdgeSlope, Event, EventKind,
    I2cEvent, Level, LineState, PatternConfig, PatternEvent, PatternLine, PatternWhen, PulseConfig,
    PulsePolarity, QualifiedConfig, SequenceConfig, Setup, SetupHoldConfig, Span, Stay, UartEvent,
    Wait,
};

/// A condition on one channel.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Part<T: Kind> {
    pub asked: Asked,
    pub level: T::Wide,
    pub hysteresis: T::Wide,
    pub channel: u8,
}

/// What to look for; the parts are those of the case, in order.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub enum Many {
    /// From part 0 to part 1.
    Delay(Width),
    /// Of part 0.
    CountFromStart(u32),
    CountFromQuiet(u32, u64),
    /// Since part 1.
    CountFromOther(u32),
    /// Part 0, then part 1, with part 2 as the reset if there is to be one.
    Sequence {
        delay: u64,
        events: u32,
        timeout: Option<u64>,
        reset: bool,
    },
    /// Part 0 while the channel of part 1 is on a side.
    Qualified {
        high: bool,
    },
    /// The time from part 0 to part 1, while the channel of part 0 is on a side.
    QualifiedDelay {
        bounds: Width,
        high: bool,
    },
    /// Part 0 is the clock, part 1 the data.
    SetupHold {
        setup: u64,
        hold: u64,
    },
    /// The channels of all parts.
    Pattern(Vec<Must>, Until),
}

/// A condition on several channels, and their signals.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct ManyCase<T: Kind> {
    pub many: Many,
    pub parts: Vec<Part<T>>,
    pub channels: Vec<Vec<T>>,
    pub lengths: Vec<usize>,
}

impl<T: Kind> Part<T> {
    fn case(&self) -> Case<T> {
        let (samples, lengths) = (vec![], vec![1]);
        let Self { asked, level, hysteresis, .. } = *self;
        Case { asked, hold: Hold::None, level, hysteresis, start: 0, samples, lengths }
    }

    fn level(&self) -> Level<T> {
        Level::new(self.level, self.hysteresis).expect("a level").on_channel(self.channel)
    }

    fn condition(&self) -> AnyCondition<T> {
        self.case().condition(self.channel)
    }

    /// What the engine looks for, out of its catalogue.
    pub fn setup(&self) -> Setup<T> {
        let level = self.level();
        match self.asked {
            Asked::Edge { rising: true } => {
                Setup::Edge(EdgeConfig { slope: EdgeSlope::Rising, level })
            }
            Asked::Edge { rising: false } => {
                Setup::Edge(EdgeConfig { slope: EdgeSlope::Falling, level })
            }
            Asked::Either => Setup::Edge(EdgeConfig { slope: EdgeSlope::Either, level }),
            Asked::Pulse { positive, width } => {
                let polarity =
                    if positive { PulsePolarity::Positive } else { PulsePolarity::Negative };
                Setup::Pulse(PulseConfig { polarity, level, width: comparison(width) })
            }
        }
    }

    fn on(&self) -> On<T::Exact> {
        On { detector: self.case().detector(), channel: self.channel.into() }
    }

    fn side(&self) -> Side<T::Exact> {
        let (level, hysteresis) = (T::exact_level(self.level), T::exact_level(self.hysteresis));
        Side::new(level, hysteresis, self.channel.into())
    }
}

impl<T: Kind> Scene<T> for ManyCase<T> {
    fn condition(&self) -> AnyCondition<T> {
        let part = |i: usize| self.parts[i].condition();
        let span = Span::from_parts;
        AnyCondition(match self.many {
            Many::Delay(bounds) => Box::new(
                stillwave::Delay::new(part(0), part(1), comparison(bounds)).expect("a delay"),
            ),
            Many::CountFromStart(n) => {
                Box::new(stillwave::Count::since_start(part(0), n).expect("a count"))
            }
            Many::CountFromQuiet(n, quiet) => {
                Box::new(stillwave::Count::since_quiet(part(0), n, quiet).expect("a count"))
            }
            Many::CountFromOther(n) => {
                Box::new(stillwave::Count::since(part(0), n, part(1)).expect("a count"))
            }
            Many::Sequence { delay, events, timeout, reset } => {
                let wait = Wait { delay, events, timeout };
                if reset {
                    let sequence = stillwave::Sequence::with_reset(part(0), part(1), part(2), wait);
                    Box::new(sequence.expect("a sequence"))
                } else {
                    let sequence = stillwave::Sequence::new(part(0), part(1), wait);
                    Box::new(sequence.expect("a sequence"))
                }
            }
            Many::Qualified { high } => {
                let (gate, side) = (self.parts[1].level(), side(high));
                Box::new(stillwave::Qualified::new(part(0), gate, side).expect("a gate"))
            }
            Many::QualifiedDelay { bounds, high } => {
                let delay = stillwave::Delay::new(part(0), part(1), comparison(bounds));
                let (gate, side) = (self.parts[0].level(), side(high));
                let delay = delay.expect("a delay");
                Box::new(stillwave::Qualified::new(delay, gate, side).expect("a gate"))
            }
            Many::SetupHold { setup, hold } => {
                Box::new(stillwave::SetupHold::new(part(0), part(1), span(setup), span(hold)))
            }
            Many::Pattern(ref musts, until) => {
                let pattern =
                    stillwave::Pattern::<_, 5>::new(self.lines(musts), pattern_when(until));
                Box::new(pattern.expect("a pattern"))
            }
        })
    }

    fn watcher(&self) -> Box<dyn Watcher<T::Exact>> {
        let part = |i: usize| self.parts[i].on();
        let count =
            |n, since| Count { of: part(0), n, since, counted: 0, begun: false, last: None };
        match self.many {
            Many::Delay(bounds) => {
                Box::new(Delay { from: part(0), to: part(1), bounds, begin: None })
            }
            Many::CountFromStart(n) => Box::new(count(n, Since::Start)),
            Many::CountFromQuiet(n, quiet) => Box::new(count(n, Since::Quiet(quiet))),
            Many::CountFromOther(n) => Box::new(count(n, Since::Other(part(1)))),
            Many::Sequence { delay, events, timeout, reset } => Box::new(Sequence {
                first: part(0),
                then: part(1),
                reset: reset.then(|| part(2)),
                delay,
                n: events,
                timeout,
                begin: None,
                counted: 0,
            }),
            Many::Qualified { high } => {
                Box::new(Qualified { of: Box::new(part(0)), gate: self.parts[1].side(), high })
            }
            Many::QualifiedDelay { bounds, high } => {
                let delay = Delay { from: part(0), to: part(1), bounds, begin: None };
                Box::new(Qualified { of: Box::new(delay), gate: self.parts[0].side(), high })
            }
            Many::SetupHold { setup, hold } => Box::new(SetupHold {
                clock: part(0),
                data: part(1),
                setup,
                hold,
                last_edge: None,
                last_change: None,
            }),
            Many::Pattern(ref musts, until) => {
                let sides = self.parts.iter().map(Part::side);
                let lines = musts.iter().copied().zip(sides).collect();
                Box::new(Pattern { lines, until, now: None, since: None })
            }
        }
    }

    fn channels(&self) -> &[Vec<T>] {
        &self.channels
    }

    fn lengths(&self) -> &[usize] {
        &self.lengths
    }
}

impl<T: Kind> ManyCase<T> {
    /// What the engine looks for, out of its catalogue.
    pub fn composition(&self) -> Composition<T> {
        let part = |i: usize| self.parts[i].setup();
        let count = |events, since| Composition::Count(CountConfig { of: part(0), events, since });
        let span = Span::from_parts;
        match self.many {
            Many::Delay(bounds) => Composition::Delay(DelayConfig {
                from: part(0),
                to: part(1),
                time: comparison(bounds),
            }),
            Many::CountFromStart(n) => count(n, CountSince::Start),
            Many::CountFromQuiet(n, quiet) => count(n, CountSince::Quiet(quiet)),
            Many::CountFromOther(n) => count(n, CountSince::Other(part(1))),
            Many::Sequence { delay, events, timeout, reset } => {
                Composition::Sequence(SequenceConfig {
                    first: part(0),
                    then: part(1),
                    wait: Wait { delay, events, timeout },
                    reset: reset.then(|| part(2)),
                })
            }
            Many::Qualified { high } => {
                let (gate, side) = (self.parts[1].level(), side(high));
                Composition::Qualified(QualifiedConfig { of: part(0).into(), gate, side })
            }
            Many::QualifiedDelay { bounds, high } => {
                let time = comparison(bounds);
                let of = DelayConfig { from: part(0), to: part(1), time }.into();
                let (gate, side) = (self.parts[0].level(), side(high));
                Composition::Qualified(QualifiedConfig { of, gate, side })
            }
            Many::SetupHold { setup, hold } => {
                let (setup, hold) = (span(setup), span(hold));
                Composition::SetupHold(SetupHoldConfig {
                    clock: part(0),
                    data: part(1),
                    setup,
                    hold,
                })
            }
            Many::Pattern(ref musts, until) => Composition::Pattern(PatternConfig {
                lines: self.lines(musts),
                when: pattern_when(until),
            }),
        }
    }

    /// The channels of a pattern, amid others that are ignored.
    fn lines<const N: usize>(&self, musts: &[Must]) -> [PatternLine<T>; N] {
        let mut lines = [PatternLine::default(); N];
        for ((line, part), must) in lines.iter_mut().zip(&self.parts).zip(musts) {
            *line = PatternLine { state: state(*must), level: part.level() };
        }
        lines
    }

    /// Every time that the oracle measures in the signals.
    fn times(&self) -> Vec<u64> {
        let mut watcher = self.watcher();
        let seen = (0..self.channels[0].len()).flat_map(|i| {
            let frame: Vec<_> = self.channels.iter().map(|channel| channel[i].exact()).collect();
            watcher.frame(i as u64, &frame)
        });
        let time = |sight: Sight| match sight.what {
            Seen::Delay(time) | Seen::Stayed(time) | Seen::Setup(time) | Seen::Hold(time) => {
                Some(time)
            }
            _ => None,
        };
        seen.filter_map(time).collect()
    }

    /// A bound at or next to a time that there is, measured with `widest` bounds; or at an end.
    fn bound(&mut self, dice: &mut Dice, widest: Many) -> u64 {
        self.many = widest;
        let mut times = self.times();
        times.extend([0, 1, 65536, dice.below(40 << 16), u64::MAX]);
        dice.pick(&times).saturating_add(dice.below(3)).saturating_sub(1)
    }
}

fn pattern_when(until: Until) -> PatternWhen {
    match until {
        Until::Enters => PatternWhen::Enters,
        Until::Leaves => PatternWhen::Leaves,
        Until::Longer(samples) => PatternWhen::Stays(Stay::LongerThan(samples)),
        Until::Shorter(parts) => PatternWhen::Stays(Stay::ShorterThan(Span::from_parts(parts))),
    }
}

fn side(high: bool) -> stillwave::Side {
    if high { stillwave::Side::High } else { stillwave::Side::Low }
}

fn state(must: Must) -> LineState {
    match must {
        Must::Be { high: true } => LineState::High,
        Must::Be { high: false } => LineState::Low,
        Must::Become { high: true } => LineState::Rising,
        Must::Become { high: false } => LineState::Falling,
        Must::Change => LineState::Either,
    }
}

/// An event of the engine.
pub fn seen(event: Event) -> Sight {
    let what = match event.kind {
        EventKind::Delay { time } => Seen::Delay(time.parts()),
        EventKind::Count { events } => Seen::Count(events),
        EventKind::Sequence { time } => Seen::Sequence(time.parts()),
        EventKind::Pattern { what: PatternEvent::Entered } => Seen::Entered,
        EventKind::Pattern { what: PatternEvent::Left } => Seen::Left,
        EventKind::Pattern { what: PatternEvent::Stayed { time } } => Seen::Stayed(time.parts()),
        EventKind::Setup { time } => Seen::Setup(time.parts()),
        EventKind::Hold { time } => Seen::Hold(time.parts()),
        EventKind::Uart { what } => Seen::Said(match what {
            UartEvent::Start => Said::Start,
            UartEvent::Character { value } => Said::Character(value),
            UartEvent::FramingError { value } => Said::BadFrame(value),
            UartEvent::ParityError { value } => Said::BadParity(value),
            UartEvent::Break { time } => Said::Break(time.parts()),
        }),
        EventKind::I2c { what } => Seen::Said(match what {
            I2cEvent::Start => Said::Start,
            I2cEvent::Stop => Said::Stop,
            I2cEvent::Address { address, read, acknowledged } => {
                Said::Address { address, read, acknowledged }
            }
            I2cEvent::Data { value, acknowledged } => Said::Data { value, acknowledged },
        }),
        EventKind::Spi { word } => Seen::Said(Said::Word(word)),
        _ => Seen::Single(found(event).what),
    };
    Sight { position: event.at.position, lead: event.at.lead, what }
}

/// Channels with signals, and as many parts.
#[derive(Clone, Debug)]
struct Raw {
    recipes: Vec<Recipe>,
    lengths: Vec<usize>,
    seed: u64,
}

fn raw(parts: usize, stretches: usize, longest: u16) -> impl Strategy<Value = Raw> {
    (vec(recipe(stretches, longest), parts), lengths(), any::<u64>())
        .prop_map(|(recipes, lengths, seed)| Raw { recipes, lengths, seed })
}

/// Channels of one length, in stretches of which one often does what another does, or did just
/// before: so that events meet at a sample, at one instant, or nearly.
fn channels<T: Kind>(raw: &Raw, parts: &[Part<T>], dice: &mut Dice) -> Vec<Vec<T>> {
    let signals = raw.recipes.iter().zip(parts);
    let mut channels: Vec<Vec<T>> =
        signals.map(|(recipe, part)| recipe.samples(part.level, part.hysteresis)).collect();
    let length = channels.iter().map(Vec::len).max().unwrap_or(0);
    for channel in &mut channels {
        *channel = channel.iter().copied().cycle().take(length).collect();
    }
    let mut at = 0;
    while at < length {
        let end = (at + 1 + dice.below(200) as usize).min(length);
        let from = dice.below(channels.len() as u64) as usize;
        let to = dice.below(channels.len() as u64) as usize;
        let shift = dice.below(3) as usize;
        if dice.below(2) == 0 && at >= shift {
            let stretch = channels[from][at - shift..end - shift].to_vec();
            channels[to][at..end].copy_from_slice(&stretch);
        }
        at = end;
    }
    channels
}

fn parts<T: Kind>(number: usize, dice: &mut Dice) -> Vec<Part<T>> {
    let (level, hysteresis) = (T::level(dice), T::hysteresis(dice));
    let share = dice.below(4) > 0;
    (0..number)
        .map(|i| {
            let edge = |rising| Asked::Edge { rising };
            let pulse = Asked::Pulse {
                positive: dice.below(2) == 0,
                width: Width::ShorterThan(dice.below(20 << 16)),
            };
            let asked = dice.pick(&[edge(true), edge(false), Asked::Either, pulse]);
            let channel = if dice.below(5) == 0 { 0 } else { i as u8 };
            let (level, hysteresis) =
                if share { (level, hysteresis) } else { (T::level(dice), T::hysteresis(dice)) };
            Part { asked, level, hysteresis, channel }
        })
        .collect()
}

/// Any condition on several channels.
pub fn many<T: Kind>(stretches: usize, longest: u16) -> impl Strategy<Value = ManyCase<T>> {
    (2..=5_usize).prop_flat_map(move |n| raw(n, stretches, longest)).prop_map(|raw| {
        let mut dice = Dice::new(raw.seed);
        let parts = parts(raw.recipes.len(), &mut dice);
        let channels = channels(&raw, &parts, &mut dice);
        let many = Many::CountFromStart(1);
        let mut case = ManyCase { many, parts, channels, lengths: raw.lengths };
        case.many = ask(&mut case, &mut dice);
        case
    })
}

fn ask<T: Kind>(case: &mut ManyCase<T>, dice: &mut Dice) -> Many {
    let events = dice.pick(&[1, 1, 2, 3, 5]);
    let (some, more) = (dice.below(10), dice.below(100));
    let choices = [0, 0, 1, 1, 2, 3, some, some, more, dice.below(1000), u64::MAX];
    let samples = dice.pick(&choices);
    match dice.below(9) {
        0 => {
            let all = Many::Delay(Width::Within(0, u64::MAX));
            let (a, b) = (case.bound(dice, all.clone()), case.bound(dice, all));
            let (a, b) = (a.min(b), a.max(b));
            Many::Delay(dice.pick(&[
                Width::ShorterThan(a),
                Width::LongerThan(a),
                Width::Within(a, b),
                Width::Outside(a, b),
            ]))
        }
        1 => Many::CountFromStart(events),
        2 => Many::CountFromQuiet(events, samples),
        3 => Many::CountFromOther(events),
        4 => Many::Qualified { high: dice.below(2) == 0 },
        5 => {
            let all = Many::SetupHold { setup: u64::MAX, hold: u64::MAX };
            let (setup, hold) = (case.bound(dice, all.clone()), case.bound(dice, all));
            Many::SetupHold { setup, hold }
        }
        6 | 7 => ask_for_a_pattern(case, dice, samples),
        _ => {
            let least = samples.max(1).saturating_add(1);
            let later = least.saturating_add(dice.below(50));
            let timeout = dice.pick(&[None, Some(least), Some(later), Some(u64::MAX)]);
            let timeout = timeout.filter(|&timeout| timeout > samples);
            let reset = case.parts.len() > 2 && dice.below(2) == 0;
            Many::Sequence { delay: samples, events, timeout, reset }
        }
    }
}

fn ask_for_a_pattern<T: Kind>(case: &mut ManyCase<T>, dice: &mut Dice, samples: u64) -> Many {
    let lines = 1 + dice.below(case.parts.len() as u64) as usize;
    let momentary = dice.below(3) == 0;
    let (low, high) = (Must::Be { high: false }, Must::Be { high: true });
    let (falls, rises) = (Must::Become { high: false }, Must::Become { high: true });
    let mut musts: Vec<_> = (0..lines).map(|_| dice.pick(&[low, high])).collect();
    if momentary {
        for _ in 0..=dice.below(2) {
            musts[dice.below(lines as u64) as usize] = dice.pick(&[falls, rises, Must::Change]);
        }
        return Many::Pattern(musts, Until::Enters);
    }
    let all = Many::Pattern(musts.clone(), Until::Shorter(u64::MAX));
    let bound = case.bound(dice, all);
    let choices = [Until::Enters, Until::Leaves, Until::Longer(samples), Until::Shorter(bound)];
    Many::Pattern(musts, dice.pick(&choices))
}
