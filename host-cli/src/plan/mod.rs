//! From options to the engine's configuration, and what to tell the user of it.

mod ask;
mod condition;
mod coupled;
mod coupling;
mod mark;
mod reach;
mod record;
mod sources;
mod words;

pub(crate) use condition::{Described, Description, Line, TimeKind, event_text};
pub use coupled::Coupled;
pub use mark::{Mark, Need};
pub use reach::Reach;
pub use record::{record_plan, record_words};
pub use sources::Sources;

use stillwave::{AnyComposition, Composition, Condition, Holdoff, Input, Sample};

use crate::args::TriggerArgs;
use crate::calibration::Calibration;
use crate::error::Error;
use ask::Ask;

/// A trigger as the engine takes it.
#[derive(Debug, Clone)]
pub struct TriggerPlan<T: Sample> {
    /// The condition.
    pub setup: Composition<T>,
    /// What comes after it.
    pub holdoff: Holdoff,
    sources: Sources,
    /// Levels that may have been meant otherwise, in words.
    slips: Vec<String>,
}

impl<T: Sample> TriggerPlan<T> {
    /// The trigger that `args` ask for, on the channels of `sources`.
    ///
    /// # Errors
    /// Options that do not go together, or quantities whose unit needs more to be known.
    pub fn new(args: &TriggerArgs, sources: Sources) -> Result<Self, Error> {
        let calibration = sources.calibration();
        let ask = Ask { args, calibration, channel: sources.index(), sources: &sources };
        let setup = condition::composition(&ask)?;
        let holdoff = match (args.holdoff, args.every) {
            (Some(time), _) => Holdoff::Samples(calibration.whole_samples("--holdoff", time)?),
            (None, Some(n)) => Holdoff::Every(n).validated()?,
            (None, None) => Holdoff::None,
        };
        let levels = [("--level", args.level), ("--low", args.low), ("--high", args.high)];
        let slips = levels
            .into_iter()
            .filter_map(|(option, level)| calibration.slip(option, level?))
            .collect();
        Ok(Self { setup, holdoff, sources, slips })
    }

    /// The condition, ready to run on the blocks that the sources are of.
    ///
    /// # Errors
    /// Settings that the engine does not take.
    pub fn condition(&self) -> Result<Coupled<AnyComposition<T>>, Error> {
        let built = self.setup.build();
        self.coupled(built.map_err(|error| self.sources.calibration().refused(error))?)
    }

    /// Another condition, that sees what this trigger's does.
    ///
    /// # Errors
    /// Too many channels.
    pub fn coupled<C: Condition<Sample = T>>(&self, condition: C) -> Result<Coupled<C>, Error> {
        Coupled::new(condition, &self.sources)
    }

    /// The number, from 1, of a channel as the condition counts them, and what its numbers mean.
    pub fn channel(&self, index: u8) -> (usize, &Calibration) {
        self.sources.channel(index)
    }

    /// The same for a board: its channels in the order of [`inputs`](Self::inputs), that to trigger
    /// on first.
    ///
    /// # Errors
    /// As [`TriggerPlan::new`], with the same options.
    pub fn for_board(&self, args: &TriggerArgs) -> Result<Self, Error> {
        Self::new(args, self.sources.clone().for_board())
    }

    /// What a condition [`for_board`](Self::for_board) sees as its channels.
    pub fn inputs(&self) -> Vec<Input> {
        self.sources.inputs()
    }

    /// Samples a second, where that is known.
    pub fn rate(&self) -> Option<f64> {
        self.sources.calibration().rate
    }

    /// The trigger in words, with every number as it is used.
    pub fn describe(&self) -> String {
        let calibration = self.sources.calibration();
        let what = self.setup.description().describe(&self.sources);
        let coupling = coupling::describe(self.sources.coupling(), calibration);
        let holdoff = match self.holdoff {
            Holdoff::None => String::new(),
            Holdoff::Samples(n) => format!(", holdoff {}", calibration.show_time(n as f64)),
            Holdoff::Every(n) => format!(", one event in {n}"),
        };
        format!("{what}{coupling}{holdoff}")
    }

    /// The levels, for a picture; none where they count from a mean, which has no place in one.
    pub fn marks(&self) -> Vec<Mark> {
        let mut marks = self.levels();
        let levels: Vec<f64> = marks.iter().filter(|m| !m.minor).map(|m| m.counts).collect();
        marks.retain(|mark| !(mark.minor && levels.contains(&mark.counts)));
        marks
    }

    /// How far a signal goes, beside the levels.
    pub fn reach(&self) -> Reach {
        Reach::new(self.levels())
    }

    /// The same as the marks, with what arms a level without hysteresis: the level itself.
    fn levels(&self) -> Vec<Mark> {
        if self.sources.coupling().removes_mean() {
            return Vec::new();
        }
        self.setup.description().marks(&self.sources)
    }

    /// Why nothing was found, where a level or the hysteresis is beyond the signal.
    pub fn unreached(&self, reach: &Reach) -> Vec<String> {
        let calibration = self.sources.calibration();
        let Some((marks, lowest, highest)) = reach.found() else { return Vec::new() };
        let show = |counts| calibration.show_level(counts);
        let of_converter = |mark: &Mark| {
            calibration.codes.is_none_or(|(low, high)| (low..=high).contains(&mark.counts))
        };
        let (minor, levels): (Vec<_>, Vec<_>) = marks.iter().partition(|mark| mark.minor);
        let is_beyond = |mark: &&&Mark| !(lowest..=highest).contains(&mark.counts);
        let any = || levels.iter().filter(|mark| mark.need == Need::Any);
        let lacks_all = any().all(|mark| is_beyond(&mark));
        let beyond = levels.iter().filter(|mark| match mark.need {
            Need::Each => is_beyond(mark),
            Need::Any => lacks_all,
            Need::None => false,
        });
        let notes: Vec<_> = beyond
            .clone()
            .filter(|mark| of_converter(mark))
            .map(|Mark { name, counts, .. }| {
                format!(
                    "the {name}, {}, is never crossed: the signal goes from {} to {}",
                    show(*counts),
                    show(lowest),
                    show(highest),
                )
            })
            .collect();
        if beyond.count() > 0 {
            return notes;
        }
        let arms = |mark: &&&Mark| match mark.name.as_str() {
            words::ARMS_BELOW => mark.counts <= lowest,
            words::ARMS_ABOVE => mark.counts >= highest,
            _ => false,
        };
        if levels.iter().all(|mark| mark.need == Need::None) {
            return Vec::new();
        }
        let never = minor.iter().filter(arms).map(|Mark { name, counts, .. }| {
            let below = name == words::ARMS_BELOW;
            let (edge, end) = if below { ("rising", lowest) } else { ("falling", highest) };
            let (why, remedy) = if levels.iter().any(|level| level.counts == *counts) {
                ("", if below { "a higher level" } else { "a lower level" })
            } else {
                ("with this hysteresis ", "a smaller --hysteresis")
            };
            format!(
                "no {edge} edge is armed: {why}the signal must first go past {}, and it goes to {}; \
                 give {remedy}",
                show(*counts),
                show(end),
            )
        });
        never.collect()
    }

    /// What may not be as the user thinks.
    pub fn warnings(&self) -> Vec<String> {
        let calibration = self.sources.calibration();
        let mut warnings = self.slips.clone();
        let Some((lowest, highest)) = calibration.codes else { return warnings };
        let levels = self.marks().into_iter().filter(|mark| !mark.minor);
        let beyond = levels.filter(|mark| !(lowest..=highest).contains(&mark.counts));
        warnings.extend(beyond.map(|Mark { name, counts, .. }| {
            format!(
                "the {name}, {}, is outside the converter's range of {} to {}; check it, --bits and \
                     --vref",
                calibration.show_level(counts),
                calibration.show_level(lowest),
                calibration.show_level(highest),
            )
        }));
        warnings
    }
}
