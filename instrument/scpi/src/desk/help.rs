//! What several commands need.

use microscpi::{Error, ErrorHandler};
use stillwave_app::{DIVISIONS_ACROSS, FARTHEST_MV, HOLDOFFS_US, Mode, Settings, TIMES_US};

use super::{Answered, Desk};
use crate::Instrument;
use crate::format::Format;
use crate::status::{Status, TIME_OUT, WAITING};
use crate::unit::Unit;
use crate::value::{self, Quantity, Range};

const FARTHEST: f64 = FARTHEST_MV as f64 / 1e3;

impl<I> ErrorHandler for Desk<'_, I> {
    fn handle_error(&mut self, error: Error) {
        self.status.error(match error {
            Error::UnexpectedNumberOfParameters if self.unit.values == 0 => Error::MissingParameter,
            Error::UnexpectedNumberOfParameters => Error::ParameterNotAllowed,
            error => error,
        });
    }
}

impl<'d, I: Instrument> Desk<'d, I> {
    pub(super) const HYSTERESIS: Range = Range {
        unit: value::Unit::Volt,
        least: 0.0,
        most: FARTHEST,
        default: Settings::DEFAULT.hysteresis_mv as f64 / 1e3,
    };
    pub(super) const HOLDOFF: Range = Range {
        unit: value::Unit::Second,
        least: 0.0,
        most: HOLDOFFS_US[HOLDOFFS_US.len() - 1] as f64 / 1e6,
        default: Settings::DEFAULT.holdoff_us as f64 / 1e6,
    };

    pub(crate) fn new(
        instrument: &'d mut I,
        status: &'d mut Status,
        format: &'d mut Format,
        unit: &'d Unit,
        has_answer: bool,
    ) -> Self {
        Self { instrument, status, format, unit, has_answer }
    }

    /// Looks at what has become true.
    pub(crate) fn note(&mut self) {
        let waiting = if self.instrument.is_running() { WAITING } else { 0 };
        self.status.operation.note(waiting);
        if self.status.awaits_end && !self.is_pending() {
            self.status.complete();
        }
    }

    /// After the parser: whether it has read all of the unit.
    pub(crate) fn finish(self, all: bool) {
        if !all {
            // It waits for more of a block, which no command takes.
            self.status.error(Error::BlockDataNotAllowed);
        }
    }

    pub(super) fn is_single(&self) -> bool {
        self.instrument.settings().mode == Mode::Single
    }

    /// Whether an operation that ends by itself is under way.
    fn is_pending(&self) -> bool {
        self.is_single() && self.instrument.is_running()
    }

    pub(super) async fn completed(&mut self) -> Answered<()> {
        while self.is_pending() {
            if !self.instrument.pause().await {
                return Err(TIME_OUT);
            }
        }
        Ok(())
    }

    /// Sets what is different.
    pub(super) fn set_all(&mut self, change: impl Fn(&mut Settings)) -> Answered<()> {
        let before = self.instrument.settings();
        let mut settings = before;
        change(&mut settings);
        if settings != before {
            self.instrument.change(change)?;
        }
        Ok(())
    }

    /// What `*RST` sets: the knobs as at first, as far as the converter and the memory reach, and
    /// no record before it is asked for.
    pub(super) fn reset_settings(&self) -> Settings {
        Settings {
            level_mv: libm::round(self.level_range().default * 1e3) as i32,
            time_us: Self::division_of(self.sweep().default),
            mode: Mode::Single,
            ..Settings::DEFAULT
        }
    }

    /// Of a query: the limit that it asks for, or else what is.
    pub(super) fn limit_or(&self, range: &Range, now: f64) -> f64 {
        self.unit.limit.map_or(now, |limit| range.end(limit))
    }

    pub(super) fn bits(bits: &Quantity, most: u16) -> Answered<u16> {
        let range =
            Range { unit: value::Unit::None, least: 0.0, most: f64::from(most), default: 0.0 };
        Ok(libm::rint(bits.within(&range)?) as u16)
    }

    /// The levels that a signal can pass: what the converter can say, in whole millivolts.
    pub(super) fn level_range(&self) -> Range {
        let front = self.instrument.front();
        let [low, high] = [0, front.highest].map(|code| front.scale.volts(f64::from(code)) * 1e3);
        let least = (libm::ceil(low.min(high)) / 1e3).max(-FARTHEST);
        let most = (libm::floor(low.max(high)) / 1e3).min(FARTHEST);
        let default = (f64::from(Settings::DEFAULT.level_mv) / 1e3).max(least).min(most);
        Range { unit: value::Unit::Volt, least, most, default }
    }

    /// How long a record may be.
    pub(super) fn sweep(&self) -> Range {
        let longest = self.instrument.front().longest_division(self.instrument.longest());
        let within = |time_us| {
            let settings = Settings { time_us, ..Settings::DEFAULT };
            Self::sweep_of(settings.within_reach(longest).time_us)
        };
        Range {
            unit: value::Unit::Second,
            least: Self::sweep_of(TIMES_US[0]),
            most: within(u32::MAX),
            default: within(Settings::DEFAULT.time_us),
        }
    }

    pub(super) fn sweep_of(division_us: u32) -> f64 {
        f64::from(division_us) * f64::from(DIVISIONS_ACROSS) / 1e6
    }

    /// The whole number of µs that is long enough.
    pub(super) fn division_of(seconds: f64) -> u32 {
        let microseconds = seconds * 1e6 / f64::from(DIVISIONS_ACROSS);
        libm::ceil(microseconds - 1e-6) as u32
    }
}
