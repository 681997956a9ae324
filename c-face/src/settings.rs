//! Settings, all in one structure: what a condition does not need is passed over.

use stillwave::{
    AnyCondition, Band, Comparison, DropoutConfig, EdgeConfig, EdgeSlope, Holdoff, IntervalConfig,
    Level, Mode, PulseConfig, PulsePolarity, RecordShape, RuntConfig, Setup, Span, Stay,
    TransitionConfig, Trigger, WindowConfig, WindowWhen,
};

use crate::StillwaveFault;

/// The signal passes the level.
pub const STILLWAVE_EDGE: u32 = 0;
/// A pulse through the level ends whose width compares as asked.
pub const STILLWAVE_PULSE: u32 = 1;
/// The time from an edge to the next of the same slope compares as asked.
pub const STILLWAVE_INTERVAL: u32 = 2;
/// There was no edge for `after` samples.
pub const STILLWAVE_DROPOUT: u32 = 3;
/// The time from one level to the other compares as asked.
pub const STILLWAVE_TRANSITION: u32 = 4;
/// A pulse passes the first level and does not reach the second.
pub const STILLWAVE_RUNT: u32 = 5;
/// The signal enters or leaves the window between the levels, or stays inside or outside.
pub const STILLWAVE_WINDOW: u32 = 6;

/// Upwards; of a pulse or runt: positive.
pub const STILLWAVE_RISING: u32 = 0;
/// Downwards; of a pulse or runt: negative.
pub const STILLWAVE_FALLING: u32 = 1;
/// Both.
pub const STILLWAVE_EITHER: u32 = 2;

/// The window is entered.
pub const STILLWAVE_ENTERS: u32 = 0;
/// The window is left.
pub const STILLWAVE_LEAVES: u32 = 1;
/// The signal is inside for longer than `after` samples, or for shorter than `time`.
pub const STILLWAVE_STAYS_INSIDE: u32 = 2;
/// The signal is outside for longer than `after` samples, or for shorter than `time`.
pub const STILLWAVE_STAYS_OUTSIDE: u32 = 3;

/// Any time at all.
pub const STILLWAVE_ANY_TIME: u32 = 0;
/// Shorter than `time` (<).
pub const STILLWAVE_SHORTER: u32 = 1;
/// Longer than `time` (>); of a stay in a window: than `after`.
pub const STILLWAVE_LONGER: u32 = 2;
/// From `time` to `time_to`, both included.
pub const STILLWAVE_WITHIN: u32 = 3;
/// Shorter than `time` or longer than `time_to`.
pub const STILLWAVE_OUTSIDE: u32 = 4;

/// A record an event.
pub const STILLWAVE_NORMAL: u32 = 0;
/// As normal; where no event starts a record for `auto_after` samples, one is forced.
pub const STILLWAVE_AUTO: u32 = 1;
/// One record, then stop.
pub const STILLWAVE_SINGLE: u32 = 2;

/// What to wait for, and what to record. Levels are in counts, where samples are 0 to 65535; `time`
/// and `time_to` are in 1/65536 of a sample, all other lengths of time in samples.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveSettings {
    /// The time to compare with, in 1/65536 of a sample.
    pub time: u64,
    /// The end of a range of times, in 1/65536 of a sample: at least `time`.
    pub time_to: u64,
    /// For a dropout, and for a stay in a window that is to be longer: samples; for a dropout 1 or
    /// more.
    pub after: u64,
    /// An event at least so many samples after the last accepted one is accepted; 0: every one.
    pub holdoff: u64,
    /// STILLWAVE_AUTO: samples since the last record, without an event that starts another, before
    /// one is forced; 1 or more.
    pub auto_after: u64,
    /// Accept every n-th event; 0 and 1: every one. Not together with `holdoff`.
    pub every: u32,
    /// STILLWAVE_EDGE to STILLWAVE_WINDOW.
    pub condition: u32,
    /// STILLWAVE_RISING, STILLWAVE_FALLING or STILLWAVE_EITHER; for a window STILLWAVE_ENTERS to
    /// STILLWAVE_STAYS_OUTSIDE.
    pub way: u32,
    /// STILLWAVE_ANY_TIME to STILLWAVE_OUTSIDE; for a stay in a window STILLWAVE_SHORTER or
    /// STILLWAVE_LONGER.
    pub comparison: u32,
    /// The level, or the lower of two: any, also where no sample gets to.
    pub level: i32,
    /// The upper of two levels (transition, runt, window): over `level`.
    pub upper_level: i32,
    /// How far the signal must go back beyond a level before it can cross it again: 0 or more, for a
    /// window at most half of it.
    pub hysteresis: i32,
    /// STILLWAVE_NORMAL, STILLWAVE_AUTO or STILLWAVE_SINGLE.
    pub mode: u32,
    /// Samples of a record before the event.
    pub pre: u32,
    /// Samples of a record from the event on; with `pre` 1 or more, and at most as many as there is
    /// memory for.
    pub post: u32,
}

impl Default for StillwaveSettings {
    /// A rising edge through the middle of 12 bits; records of 256 samples, half of them before it.
    fn default() -> Self {
        Self {
            time: 0,
            time_to: 0,
            after: 0,
            holdoff: 0,
            auto_after: 0,
            every: 0,
            condition: STILLWAVE_EDGE,
            way: STILLWAVE_RISING,
            comparison: STILLWAVE_ANY_TIME,
            level: 2048,
            upper_level: 0,
            hysteresis: 0,
            mode: STILLWAVE_NORMAL,
            pre: 128,
            post: 128,
        }
    }
}

impl StillwaveSettings {
    /// The trigger.
    pub(crate) fn trigger(&self) -> Result<Trigger<AnyCondition<u16>>, StillwaveFault> {
        let holdoff = match (self.holdoff, self.every) {
            (0, 0 | 1) => Holdoff::None,
            (samples, 0 | 1) => Holdoff::Samples(samples),
            (0, every) => Holdoff::Every(every),
            (_, every) => return Err(wrong("every", every, "0 or 1 beside a holdoff")),
        };
        Ok(Trigger::new(self.setup()?.build()?, holdoff)?)
    }

    /// The shape of records.
    pub(crate) fn shape(&self) -> Result<RecordShape, StillwaveFault> {
        Ok(RecordShape::new(self.pre as usize, self.post as usize)?)
    }

    /// When records start.
    pub(crate) fn mode(&self) -> Result<Mode, StillwaveFault> {
        match self.mode {
            STILLWAVE_NORMAL => Ok(Mode::Normal),
            STILLWAVE_AUTO => Ok(Mode::Auto { after: self.auto_after }),
            STILLWAVE_SINGLE => Ok(Mode::Single),
            other => Err(wrong("mode", other, "from STILLWAVE_NORMAL to STILLWAVE_SINGLE")),
        }
    }

    fn setup(&self) -> Result<Setup<u16>, StillwaveFault> {
        let level = || Level::new(self.level, self.hysteresis);
        let band = || Band::new(self.level, self.upper_level, self.hysteresis);
        let any = Comparison::ANY;
        let time = || self.comparison().map(|time| time.unwrap_or(any));
        Ok(match self.condition {
            STILLWAVE_EDGE => Setup::Edge(EdgeConfig { slope: self.slope()?, level: level()? }),
            STILLWAVE_PULSE => Setup::Pulse(PulseConfig {
                polarity: self.polarity()?,
                level: level()?,
                width: time()?,
            }),
            STILLWAVE_INTERVAL => Setup::Interval(IntervalConfig {
                slope: self.slope()?,
                level: level()?,
                time: time()?,
            }),
            STILLWAVE_DROPOUT => Setup::Dropout(DropoutConfig {
                slope: self.slope()?,
                level: level()?,
                after: self.after,
            }),
            STILLWAVE_TRANSITION => Setup::Transition(TransitionConfig {
                slope: self.slope()?,
                band: band()?,
                time: time()?,
            }),
            STILLWAVE_RUNT => {
                let width = self.comparison()?;
                Setup::Runt(RuntConfig { polarity: self.polarity()?, band: band()?, width })
            }
            STILLWAVE_WINDOW => Setup::Window(WindowConfig { band: band()?, when: self.window()? }),
            other => {
                return Err(wrong("condition", other, "from STILLWAVE_EDGE to STILLWAVE_WINDOW"));
            }
        })
    }

    fn slope(&self) -> Result<EdgeSlope, StillwaveFault> {
        match self.way {
            STILLWAVE_RISING => Ok(EdgeSlope::Rising),
            STILLWAVE_FALLING => Ok(EdgeSlope::Falling),
            STILLWAVE_EITHER => Ok(EdgeSlope::Either),
            other => Err(wrong("way", other, "from STILLWAVE_RISING to STILLWAVE_EITHER")),
        }
    }

    fn polarity(&self) -> Result<PulsePolarity, StillwaveFault> {
        Ok(match self.slope()? {
            EdgeSlope::Rising => PulsePolarity::Positive,
            EdgeSlope::Falling => PulsePolarity::Negative,
            EdgeSlope::Either => PulsePolarity::Either,
        })
    }

    fn window(&self) -> Result<WindowWhen, StillwaveFault> {
        let stay = || match self.comparison {
            STILLWAVE_SHORTER => Ok(Stay::ShorterThan(Span::from_parts(self.time))),
            STILLWAVE_LONGER => Ok(Stay::LongerThan(self.after)),
            other => Err(wrong("comparison", other, "STILLWAVE_SHORTER or STILLWAVE_LONGER")),
        };
        match self.way {
            STILLWAVE_ENTERS => Ok(WindowWhen::Enters),
            STILLWAVE_LEAVES => Ok(WindowWhen::Leaves),
            STILLWAVE_STAYS_INSIDE => Ok(WindowWhen::StaysInside(stay()?)),
            STILLWAVE_STAYS_OUTSIDE => Ok(WindowWhen::StaysOutside(stay()?)),
            other => Err(wrong("way", other, "from STILLWAVE_ENTERS to STILLWAVE_STAYS_OUTSIDE")),
        }
    }

    fn comparison(&self) -> Result<Option<Comparison>, StillwaveFault> {
        let [time, time_to] = [self.time, self.time_to].map(Span::from_parts);
        Ok(Some(match self.comparison {
            STILLWAVE_ANY_TIME => return Ok(None),
            STILLWAVE_SHORTER => Comparison::ShorterThan(time),
            STILLWAVE_LONGER => Comparison::LongerThan(time),
            STILLWAVE_WITHIN => Comparison::within(time, time_to)?,
            STILLWAVE_OUTSIDE => Comparison::outside(time, time_to)?,
            other => {
                let range = "from STILLWAVE_ANY_TIME to STILLWAVE_OUTSIDE";
                return Err(wrong("comparison", other, range));
            }
        }))
    }
}

fn wrong(parameter: &str, value: u32, range: &str) -> StillwaveFault {
    StillwaveFault::new(parameter, value.into(), range)
}
