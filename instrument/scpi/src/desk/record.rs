//! Records: waited for, measured. Standards are cited from memory.

use core::fmt::Write as _;

use microscpi::Error;
use stillwave::Slope;
use stillwave::measure::{Config, Doubt, Measure, Measurements, Meter};

use super::{Answered, Desk};
use crate::Instrument;
use crate::answer::{Number, Quoted};
use crate::status::{FREQUENCY, TIME, TIME_OUT, VOLTAGE};

/// How long a record is waited for beside its own length, ms: less than computers wait for an answer
/// (2 s is common), so that none comes when nobody waits any more.
const PATIENCE: u64 = 1_500;

impl<I: Instrument> Desk<'_, I> {
    /// The last record, or the one that is under way. `READ` and `MEASure` begin a new one.
    pub(super) async fn record(&mut self) -> Answered<I::Samples> {
        let after = if self.unit.anew { self.begin()? } else { 0 };
        let since = self.instrument.milliseconds();
        let sweep = Self::sweep_of(self.instrument.settings().time_us);
        let patience = PATIENCE + libm::ceil(sweep * 1e3) as u64;
        loop {
            if let Some(samples) = self.instrument.record(after) {
                return Ok(samples);
            }
            if !self.instrument.is_running() {
                return Err(Error::DataCorruptOrStale);
            }
            let waited = self.instrument.milliseconds().saturating_sub(since);
            if waited >= patience || !self.instrument.pause().await {
                return Err(TIME_OUT);
            }
        }
    }

    /// A record from now on; how many have begun before it.
    fn begin(&mut self) -> Answered<u64> {
        let begun = self.instrument.begun();
        if self.is_single() && self.instrument.is_running() {
            self.instrument.stop()?;
        }
        // One that runs waits anew: the event of the record under way came before.
        self.instrument.run()?;
        Ok(begun)
    }

    fn meter(&mut self, samples: &[u16]) -> Answered<Meter> {
        let highest = self.instrument.front().highest;
        let clipped = samples.iter().any(|&x| x == 0 || x >= highest);
        self.status.questionable.note(if clipped { VOLTAGE } else { 0 });
        let end_codes = Some((0.0, f64::from(highest)));
        Meter::new(Config { end_codes, ..Config::default() }).or(Err(Error::SystemError))
    }

    /// What the record measures, in volts, seconds and hertz.
    async fn found(&mut self) -> Answered<Measurements> {
        let record = self.record().await?;
        let samples = record.as_ref();
        let front = self.instrument.front();
        let found = self.meter(samples)?.measure(samples).scaled(front.scale);
        found.timed(f64::from(front.rate)).or(Err(Error::SystemError))
    }

    /// A quantity. What is doubtful about it becomes a questionable condition.
    pub(super) async fn measured(&mut self, measure: Measure) -> Answered<Number> {
        let found = self.found().await?;
        let value = match measure {
            Measure::Amplitude => found.amplitude.or(found.peak_to_peak),
            measure => found.of(measure),
        };
        if found.doubts.about(measure).any(Doubt::may_be_off) {
            let condition = self.status.questionable.condition;
            self.status.questionable.note(condition | questionable(measure));
        }
        Ok(Number(value.unwrap_or(f64::NAN)))
    }

    /// All that is doubtful about the record's values, in words.
    pub(super) async fn doubted(&mut self) -> Answered<Quoted> {
        let doubts = self.found().await?.doubts;
        let mut text = Quoted::default();
        for (index, doubt) in doubts.all().enumerate() {
            let between = if index > 0 { "; " } else { "" };
            // What is beyond its room is left out.
            let _ = match doubt {
                Doubt::ThirdLevel(volts) => {
                    write!(text.0, "{between}rests at a third level, about {volts:.3} V")
                }
                doubt => write!(text.0, "{between}{doubt}"),
            };
        }
        Ok(text)
    }

    /// In percent of the amplitude.
    pub(super) async fn overshoot(&mut self, slope: Slope) -> Answered<Number> {
        let record = self.record().await?;
        let samples = record.as_ref();
        let found = self.meter(samples)?.edge_shape(samples, slope).overshoot;
        Ok(Number(found.map_or(f64::NAN, |share| share * 100.0)))
    }
}

/// The bit of the questionable condition that a quantity has (SCPI-1999, volume 1, 9.4).
fn questionable(measure: Measure) -> u16 {
    match measure {
        Measure::Frequency => FREQUENCY,
        Measure::Period
        | Measure::Duty
        | Measure::PositiveWidth
        | Measure::NegativeWidth
        | Measure::RiseTime
        | Measure::FallTime => TIME,
        Measure::Minimum
        | Measure::Maximum
        | Measure::PeakToPeak
        | Measure::Mean
        | Measure::Rms
        | Measure::AcRms
        | Measure::Low
        | Measure::High
        | Measure::Amplitude
        | Measure::LowReference
        | Measure::MidReference
        | Measure::HighReference => VOLTAGE,
    }
}
