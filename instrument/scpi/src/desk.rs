//! The commands. Standards are cited from memory.

#![expect(
    clippy::unnecessary_wraps,
    clippy::unused_self,
    clippy::needless_pass_by_value,
    reason = "as the parser's crate calls them"
)]

mod help;
mod record;

use microscpi::{Characters, Error};
use stillwave::measure::Measure;
use stillwave::{EdgeSlope, Slope};
use stillwave_app::Mode;

use crate::Instrument;
use crate::answer::{Number, Quoted};
use crate::format::{Block, Format};
use crate::status::{INIT_IGNORED, Status};
use crate::unit::Unit;
use crate::value::{DataWord, OnOff, OrderWord, Quantity, SlopeWord, SourceWord};

/// What one unit of a message has to do with.
pub(crate) struct Desk<'d, I> {
    instrument: &'d mut I,
    status: &'d mut Status,
    format: &'d mut Format,
    unit: &'d Unit,
    /// An answer of the same message waits.
    has_answer: bool,
}

type Answered<T> = Result<T, Error>;

// IEEE 488.2, 10: what every instrument has.
// SCPI-1999, volume 2: SYSTem 21, STATus 20, TRIGger 24, INITiate and ABORt 24, SENSe 18, FORMat 9,
// MEASure, READ and FETCh 3; a unit has FETCh for all three, and whether it is to measure anew.
#[microscpi::interface]
impl<I: Instrument> Desk<'_, I> {
    #[scpi(cmd = "*IDN?")]
    fn identity(&mut self) -> Answered<Characters<'static>> {
        Ok(Characters(concat!("Stillwave,Bench instrument,0,", env!("CARGO_PKG_VERSION"))))
    }

    #[scpi(cmd = "*RST")]
    fn reset(&mut self) -> Answered<()> {
        *self.format = Format::default();
        self.status.awaits_end = false;
        let reset = self.reset_settings();
        self.set_all(|settings| *settings = reset)?;
        Ok(self.instrument.stop()?)
    }

    #[scpi(cmd = "*TST?")]
    fn test(&mut self) -> Answered<u8> {
        Ok(0)
    }

    #[scpi(cmd = "*CLS")]
    fn clear(&mut self) -> Answered<()> {
        self.status.clear();
        Ok(())
    }

    #[scpi(cmd = "*ESE")]
    fn set_event_enable(&mut self, bits: Quantity) -> Answered<()> {
        self.status.event_enable = Self::bits(&bits, 255)? as u8;
        Ok(())
    }

    #[scpi(cmd = "*ESE?")]
    fn event_enable(&mut self) -> Answered<u8> {
        Ok(self.status.event_enable)
    }

    #[scpi(cmd = "*ESR?")]
    fn event(&mut self) -> Answered<u8> {
        Ok(self.status.take_event())
    }

    #[scpi(cmd = "*SRE")]
    fn set_service_enable(&mut self, bits: Quantity) -> Answered<()> {
        // Bit 6 is the summary itself (IEEE 488.2, 11.3.2.3).
        self.status.service_enable = Self::bits(&bits, 255)? as u8 & !(1 << 6);
        Ok(())
    }

    #[scpi(cmd = "*SRE?")]
    fn service_enable(&mut self) -> Answered<u8> {
        Ok(self.status.service_enable)
    }

    #[scpi(cmd = "*STB?")]
    fn status_byte(&mut self) -> Answered<u8> {
        Ok(self.status.byte(self.has_answer))
    }

    #[scpi(cmd = "*OPC")]
    fn tell_completion(&mut self) -> Answered<()> {
        self.status.awaits_end = true;
        self.note();
        Ok(())
    }

    #[scpi(cmd = "*OPC?")]
    async fn completion(&mut self) -> Answered<bool> {
        self.completed().await?;
        Ok(true)
    }

    #[scpi(cmd = "*WAI")]
    async fn wait(&mut self) -> Answered<()> {
        self.completed().await
    }

    #[scpi(cmd = "SYSTem:ERRor:[NEXT]?")]
    fn next_error(&mut self) -> Answered<(i16, &'static str)> {
        Ok(self.status.next_error())
    }

    #[scpi(cmd = "SYSTem:ERRor:COUNt?")]
    fn error_count(&mut self) -> Answered<usize> {
        Ok(self.status.error_count())
    }

    #[scpi(cmd = "SYSTem:VERSion?")]
    fn version(&mut self) -> Answered<Characters<'static>> {
        Ok(Characters(microscpi::SCPI_STD_VERSION))
    }

    #[scpi(cmd = "STATus:PRESet")]
    fn preset(&mut self) -> Answered<()> {
        self.status.preset();
        Ok(())
    }

    #[scpi(cmd = "STATus:OPERation:[EVENt]?")]
    fn operation(&mut self) -> Answered<u16> {
        Ok(self.status.operation.take_event())
    }

    #[scpi(cmd = "STATus:OPERation:CONDition?")]
    fn operation_condition(&mut self) -> Answered<u16> {
        Ok(self.status.operation.condition)
    }

    #[scpi(cmd = "STATus:OPERation:ENABle")]
    fn set_operation_enable(&mut self, bits: Quantity) -> Answered<()> {
        self.status.operation.enable = Self::bits(&bits, 65_535)? & 0x7FFF;
        Ok(())
    }

    #[scpi(cmd = "STATus:OPERation:ENABle?")]
    fn operation_enable(&mut self) -> Answered<u16> {
        Ok(self.status.operation.enable)
    }

    #[scpi(cmd = "STATus:QUEStionable:[EVENt]?")]
    fn questionable(&mut self) -> Answered<u16> {
        Ok(self.status.questionable.take_event())
    }

    #[scpi(cmd = "STATus:QUEStionable:CONDition?")]
    fn questionable_condition(&mut self) -> Answered<u16> {
        Ok(self.status.questionable.condition)
    }

    #[scpi(cmd = "STATus:QUEStionable:ENABle")]
    fn set_questionable_enable(&mut self, bits: Quantity) -> Answered<()> {
        self.status.questionable.enable = Self::bits(&bits, 65_535)? & 0x7FFF;
        Ok(())
    }

    #[scpi(cmd = "STATus:QUEStionable:ENABle?")]
    fn questionable_enable(&mut self) -> Answered<u16> {
        Ok(self.status.questionable.enable)
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:LEVel")]
    fn set_level(&mut self, level: Quantity) -> Answered<()> {
        let volts = level.within(&self.level_range())?;
        self.set_all(|settings| settings.level_mv = libm::round(volts * 1e3) as i32)
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:LEVel?")]
    fn level(&mut self) -> Answered<f64> {
        let now = f64::from(self.instrument.settings().level_mv) / 1e3;
        let range = self.level_range();
        Ok(self.limit_or(&range, now))
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:HYSTeresis")]
    fn set_hysteresis(&mut self, hysteresis: Quantity) -> Answered<()> {
        let volts = hysteresis.within(&Self::HYSTERESIS)?;
        self.set_all(|settings| settings.hysteresis_mv = libm::round(volts * 1e3) as u32)
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:HYSTeresis?")]
    fn hysteresis(&mut self) -> Answered<f64> {
        let now = f64::from(self.instrument.settings().hysteresis_mv) / 1e3;
        Ok(self.limit_or(&Self::HYSTERESIS, now))
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:HOLDoff")]
    fn set_holdoff(&mut self, holdoff: Quantity) -> Answered<()> {
        let seconds = holdoff.within(&Self::HOLDOFF)?;
        self.set_all(|settings| settings.holdoff_us = libm::round(seconds * 1e6) as u32)
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:HOLDoff?")]
    fn holdoff(&mut self) -> Answered<f64> {
        let now = f64::from(self.instrument.settings().holdoff_us) / 1e6;
        Ok(self.limit_or(&Self::HOLDOFF, now))
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:SLOPe")]
    fn set_slope(&mut self, slope: SlopeWord) -> Answered<()> {
        self.set_all(|settings| {
            settings.slope = match slope {
                SlopeWord::Positive => EdgeSlope::Rising,
                SlopeWord::Negative => EdgeSlope::Falling,
                SlopeWord::Either => EdgeSlope::Either,
            }
        })
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:SLOPe?")]
    fn slope(&mut self) -> Answered<Characters<'static>> {
        let word = match self.instrument.settings().slope {
            EdgeSlope::Rising => SlopeWord::Positive,
            EdgeSlope::Falling => SlopeWord::Negative,
            EdgeSlope::Either => SlopeWord::Either,
        };
        Ok(Characters(word.short()))
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:SOURce")]
    fn set_source(&mut self, source: SourceWord) -> Answered<()> {
        // A single record waits for its event.
        if self.is_single() && source == SourceWord::Immediate {
            return Err(Error::SettingsConflict);
        }
        self.set_all(|settings| {
            settings.mode = match (settings.mode, source) {
                (Mode::Single, _) => Mode::Single,
                (_, SourceWord::Internal) => Mode::Normal,
                (_, SourceWord::Immediate) => Mode::Auto,
            }
        })
    }

    #[scpi(cmd = "TRIGger:[SEQuence]:SOURce?")]
    fn source(&mut self) -> Answered<Characters<'static>> {
        Ok(Characters(match self.instrument.settings().mode {
            Mode::Auto => SourceWord::Immediate.short(),
            Mode::Normal | Mode::Single => SourceWord::Internal.short(),
        }))
    }

    #[scpi(cmd = "INITiate:CONTinuous")]
    fn set_continuous(&mut self, on: OnOff) -> Answered<()> {
        match (on.0, self.is_single()) {
            (true, single) => {
                if single {
                    self.set_all(|settings| settings.mode = Mode::Normal)?;
                }
                self.instrument.run()?;
            }
            // Idle at once: a change of mode drops the record under way, and the next would wait
            // for an event of its own.
            (false, false) => {
                self.set_all(|settings| settings.mode = Mode::Single)?;
                self.instrument.stop()?;
            }
            (false, true) => {}
        }
        Ok(())
    }

    #[scpi(cmd = "INITiate:CONTinuous?")]
    fn continuous(&mut self) -> Answered<bool> {
        Ok(!self.is_single())
    }

    #[scpi(cmd = "INITiate:[IMMediate]")]
    fn initiate(&mut self) -> Answered<()> {
        if self.instrument.is_running() {
            return Err(INIT_IGNORED);
        }
        Ok(self.instrument.run()?)
    }

    #[scpi(cmd = "ABORt")]
    fn abort(&mut self) -> Answered<()> {
        self.instrument.stop()?;
        // Where it goes on by itself it begins anew.
        if !self.is_single() {
            self.instrument.run()?;
        }
        Ok(())
    }

    #[scpi(cmd = "[SENSe]:SWEep:TIME")]
    fn set_sweep_time(&mut self, time: Quantity) -> Answered<()> {
        let seconds = time.within(&self.sweep())?;
        self.set_all(|settings| settings.time_us = Self::division_of(seconds))
    }

    #[scpi(cmd = "[SENSe]:SWEep:TIME?")]
    fn sweep_time(&mut self) -> Answered<f64> {
        let now = Self::sweep_of(self.instrument.settings().time_us);
        let range = self.sweep();
        Ok(self.limit_or(&range, now))
    }

    #[scpi(cmd = "[SENSe]:SWEep:POINts?")]
    fn sweep_points(&mut self) -> Answered<usize> {
        let arrangement = self.instrument.settings().arrangement(&self.instrument.front());
        arrangement.map(|arrangement| arrangement.shape.len()).or(Err(Error::SettingsConflict))
    }

    /// How many of them lie before the trigger.
    #[scpi(cmd = "[SENSe]:SWEep:OREFerence:POINts?")]
    fn sweep_before(&mut self) -> Answered<usize> {
        let arrangement = self.instrument.settings().arrangement(&self.instrument.front());
        arrangement.map(|arrangement| arrangement.shape.pre).or(Err(Error::SettingsConflict))
    }

    #[scpi(cmd = "[SENSe]:SWEep:TINTerval?")]
    fn sweep_interval(&mut self) -> Answered<Number> {
        Ok(Number(1.0 / f64::from(self.instrument.front().rate)))
    }

    #[scpi(cmd = "FORMat:[DATA]")]
    fn set_format(&mut self, data: DataWord) -> Answered<()> {
        let format = Format { data, ..*self.format };
        // 0 leaves the length to the instrument.
        let own = [0.0, f64::from(format.bits())];
        if !self.unit.length.is_none_or(|length| own.contains(&length)) {
            return Err(Error::IllegalParameterValue);
        }
        *self.format = format;
        Ok(())
    }

    #[scpi(cmd = "FORMat:[DATA]?")]
    fn format(&mut self) -> Answered<(Characters<'static>, u8)> {
        Ok((Characters(self.format.data.short()), self.format.bits()))
    }

    #[scpi(cmd = "FORMat:BORDer")]
    fn set_order(&mut self, order: OrderWord) -> Answered<()> {
        self.format.order = order;
        Ok(())
    }

    #[scpi(cmd = "FORMat:BORDer?")]
    fn order(&mut self) -> Answered<Characters<'static>> {
        Ok(Characters(self.format.order.short()))
    }

    #[scpi(cmd = "FETCh?")]
    async fn fetch(&mut self) -> Answered<Block<I::Samples>> {
        let samples = self.record().await?;
        Ok(Block { samples, format: *self.format, front: self.instrument.front() })
    }

    /// Why values of the record are questionable.
    #[scpi(cmd = "FETCh:QUEStionable?")]
    async fn doubts(&mut self) -> Answered<Quoted> {
        self.doubted().await
    }

    #[scpi(cmd = "FETCh:[VOLTage]:FREQuency?")]
    async fn frequency(&mut self) -> Answered<Number> {
        self.measured(Measure::Frequency).await
    }

    #[scpi(cmd = "FETCh:[VOLTage]:PERiod?")]
    async fn period(&mut self) -> Answered<Number> {
        self.measured(Measure::Period).await
    }

    /// In percent.
    #[scpi(cmd = "FETCh:[VOLTage]:DCYCle?")]
    async fn duty(&mut self) -> Answered<Number> {
        Ok(Number(self.measured(Measure::Duty).await?.0 * 100.0))
    }

    #[scpi(cmd = "FETCh:[VOLTage]:PWIDth?")]
    async fn positive_width(&mut self) -> Answered<Number> {
        self.measured(Measure::PositiveWidth).await
    }

    #[scpi(cmd = "FETCh:[VOLTage]:NWIDth?")]
    async fn negative_width(&mut self) -> Answered<Number> {
        self.measured(Measure::NegativeWidth).await
    }

    #[scpi(cmd = "FETCh:[VOLTage]:RISE:TIME?")]
    async fn rise_time(&mut self) -> Answered<Number> {
        self.measured(Measure::RiseTime).await
    }

    #[scpi(cmd = "FETCh:[VOLTage]:FALL:TIME?")]
    async fn fall_time(&mut self) -> Answered<Number> {
        self.measured(Measure::FallTime).await
    }

    /// In percent.
    #[scpi(cmd = "FETCh:[VOLTage]:RISE:OVERshoot?")]
    async fn rise_overshoot(&mut self) -> Answered<Number> {
        self.overshoot(Slope::Rising).await
    }

    /// In percent.
    #[scpi(cmd = "FETCh:[VOLTage]:FALL:OVERshoot?")]
    async fn fall_overshoot(&mut self) -> Answered<Number> {
        self.overshoot(Slope::Falling).await
    }

    /// The mean.
    #[scpi(cmd = "FETCh:VOLTage:[DC]?")]
    async fn mean(&mut self) -> Answered<Number> {
        self.measured(Measure::Mean).await
    }

    /// RMS without the mean.
    #[scpi(cmd = "FETCh:VOLTage:AC?")]
    async fn ac_rms(&mut self) -> Answered<Number> {
        self.measured(Measure::AcRms).await
    }

    /// Between the states; from peak to peak where the signal rests in none.
    #[scpi(cmd = "FETCh:VOLTage:AMPLitude?")]
    async fn amplitude(&mut self) -> Answered<Number> {
        self.measured(Measure::Amplitude).await
    }

    #[scpi(cmd = "FETCh:VOLTage:HIGH?")]
    async fn high(&mut self) -> Answered<Number> {
        self.measured(Measure::High).await
    }

    #[scpi(cmd = "FETCh:VOLTage:LOW?")]
    async fn low(&mut self) -> Answered<Number> {
        self.measured(Measure::Low).await
    }

    #[scpi(cmd = "FETCh:VOLTage:MAXimum?")]
    async fn maximum(&mut self) -> Answered<Number> {
        self.measured(Measure::Maximum).await
    }

    #[scpi(cmd = "FETCh:VOLTage:MINimum?")]
    async fn minimum(&mut self) -> Answered<Number> {
        self.measured(Measure::Minimum).await
    }

    #[scpi(cmd = "FETCh:VOLTage:PTPeak?")]
    async fn peak_to_peak(&mut self) -> Answered<Number> {
        self.measured(Measure::PeakToPeak).await
    }
}
