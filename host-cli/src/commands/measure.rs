//! `measure`: what every record comes to.

use std::io::{BufWriter, Write};
use std::process::ExitCode;

use stillwave::Sample;

use crate::acquire::{ChannelPlan, Records};
use crate::args::{MeasureArgs, ReportFormat};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Reader;
use crate::measured::{self, Measurer};
use crate::report::{self, MeasurementReport, Place};
use crate::{interrupt, note, with_reader};

pub(super) fn run(args: &MeasureArgs) -> Result<ExitCode, Error> {
    let channels = ChannelPlan::new(&args.job)?.or_trigger_alone();
    let recording = channels.open(&args.job.input)?;
    with_reader!(recording, reader => measure(args, &channels, reader))
}

fn measure<T: Sample>(
    args: &MeasureArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let mut records = Records::new(reader, channels, &args.job)?;
    let for_people = args.report.format == ReportFormat::Table;
    let failed = |source| Error::output("standard output", source);
    if for_people {
        super::print(&records.heading())?;
    }
    let quantities = if args.all { &measured::QUANTITIES[..] } else { measured::usual() };
    let mut measurers: Vec<(usize, Calibration, Measurer)> = records
        .channels
        .iter()
        .zip(&records.calibrations)
        .map(|(&channel, calibration)| {
            Ok((channel + 1, *calibration, Measurer::new(quantities, calibration)?))
        })
        .collect::<Result<_, Error>>()?;
    let out = BufWriter::new(std::io::stdout().lock());
    let mut report = MeasurementReport::new(out, args.report.format, quantities);
    let outcome = records.each(|record| {
        for (index, (channel, calibration, measurer)) in measurers.iter_mut().enumerate() {
            let samples = record.channel(index);
            let found = measurer.measure(samples);
            let place = Place {
                record: record.number,
                channel: *channel,
                crossing: record.at.samples(),
                triggered: record.event.is_some(),
            };
            report.write(&place, &found, calibration).map_err(failed)?;
        }
        Ok(())
    })?;
    report.finish().and_then(|mut out| out.flush()).map_err(failed)?;
    if for_people {
        super::print(&format!("\n{}", report::record_summary(&outcome, &records.calibration)))?;
    }
    if outcome.counters.records == 0 {
        note::one("there is no record to measure; see what a scan finds, or add --mode auto");
    }
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}
