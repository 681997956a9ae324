//! A condition to look for, the signal to find it in, and how the signal is handed over.

use crate::dice::Dice;
use crate::engine::{AnyCondition, comparison};
use crate::kind::Kind;
use crate::oracle::{Detector, Edge, Either, Hold, Pulse, What, Width};
use crate::plan::{lengths, lost};
use crate::signal::recipe;
use proptest::prelude::*;
use stillwave::{Level, Polarity, Slope};

/// What to look for.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub enum Asked {
    Edge { rising: bool },
    Either,
    Pulse { positive: bool, width: Width },
}

/// A condition and a signal.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Case<T: Kind> {
    pub asked: Asked,
    pub hold: Hold,
    pub level: T::Wide,
    pub hysteresis: T::Wide,
    /// Samples lost before the first: where positions begin.
    pub start: u64,
    pub samples: Vec<T>,
    pub lengths: Vec<usize>,
}

impl<T: Kind> Case<T> {
    /// What the engine looks for, on a channel.
    ///
    /// # Panics
    /// Where the engine refuses what every case may ask.
    pub fn condition(&self, channel: u8) -> AnyCondition<T> {
        let level = Level::new(self.level, self.hysteresis).expect("a level").on_channel(channel);
        AnyCondition(match self.asked {
            Asked::Edge { rising } => {
                let slope = if rising { Slope::Rising } else { Slope::Falling };
                Box::new(stillwave::Edge::new(slope, level).expect("an edge"))
            }
            Asked::Either => Box::new(stillwave::EitherEdge::new(level).expect("an edge")),
            Asked::Pulse { positive, width } => {
                let polarity = if positive { Polarity::Positive } else { Polarity::Negative };
                let pulse = stillwave::Pulse::new(polarity, level, comparison(width));
                Box::new(pulse.expect("a pulse"))
            }
        })
    }

    /// What the oracle looks for.
    pub fn detector(&self) -> Box<dyn Detector<T::Exact>> {
        let (level, back) = (T::exact_level(self.level), T::exact_level(self.hysteresis));
        match self.asked {
            Asked::Edge { rising } => Box::new(Edge::new(rising, level, back)),
            Asked::Either => Box::new(Either::new(level, back)),
            Asked::Pulse { positive, width } => Box::new(Pulse::new(positive, level, back, width)),
        }
    }

    /// Every width that a pulse of the signal has.
    fn widths(&self, positive: bool) -> Vec<u64> {
        let all = Asked::Pulse { positive, width: Width::Within(0, u64::MAX) };
        let mut detector = Self { asked: all, ..self.clone() }.detector();
        let samples = self.samples.iter().enumerate();
        samples
            .filter_map(|(at, x)| detector.sample(at as u64, x.exact()))
            .filter_map(|found| match found.what {
                What::Positive(width) | What::Negative(width) => Some(width),
                _ => None,
            })
            .collect()
    }

    /// Looks for pulses, with bounds at or next to widths that there are.
    fn ask_for_pulses(&mut self, dice: &mut Dice) {
        let positive = dice.below(2) == 0;
        let mut widths = self.widths(positive);
        widths.push(dice.below(100 << 16));
        let mut bound = || dice.pick(&widths).saturating_add(dice.below(3)).saturating_sub(1);
        let (a, b) = (bound(), bound());
        let (a, b) = (a.min(b), a.max(b));
        let choices = [
            Width::ShorterThan(a),
            Width::LongerThan(a),
            Width::Within(a, b),
            Width::Outside(a, b),
        ];
        self.asked = Asked::Pulse { positive, width: dice.pick(&choices) };
    }
}

/// Where positions begin: at the start, or just before they pass what 32 bits, a double or a
/// signed number hold.
fn start(dice: &mut Dice) -> u64 {
    let end = dice.pick(&[1_u64 << 32, 1 << 53, 1 << 63]);
    if dice.below(3) == 0 { end - dice.below(900) } else { 0 }
}

/// How many events to hold off.
pub fn hold() -> impl Strategy<Value = Hold> {
    prop_oneof![
        2 => Just(Hold::None),
        1 => (0..400_u64).prop_map(Hold::Samples),
        1 => prop_oneof![lost(), Just(u64::MAX)].prop_map(Hold::Samples),
        1 => (1..6_u32).prop_map(Hold::Every),
    ]
}

/// Edges of any slope, in up to `stretches` stretches of up to `longest` samples.
pub fn edges<T: Kind>(stretches: usize, longest: u16) -> impl Strategy<Value = Case<T>> {
    (any::<u64>(), recipe(stretches, longest), lengths(), hold()).prop_map(
        |(seed, recipe, lengths, hold)| {
            let mut dice = Dice::new(seed);
            let (level, hysteresis) = (T::level(&mut dice), T::hysteresis(&mut dice));
            let edge = |rising| Asked::Edge { rising };
            let asked = dice.pick(&[edge(true), edge(false), Asked::Either]);
            let samples = recipe.samples(level, hysteresis);
            Case { asked, hold, level, hysteresis, start: start(&mut dice), samples, lengths }
        },
    )
}

/// As [`edges`], for pulses.
pub fn pulses<T: Kind>(stretches: usize, longest: u16) -> impl Strategy<Value = Case<T>> {
    (edges(stretches, longest), any::<u64>()).prop_map(|(mut case, seed)| {
        case.ask_for_pulses(&mut Dice::new(seed));
        case
    })
}
