//! `measure`: what every record comes to.

use std::io::{BufWriter, Write};
use std::process::ExitCode;

use stillwave::Sample;
use stillwave::measure::Distribution;

use super::{drawing, histogram};

use crate::acquire::{ChannelPlan, Records};
use crate::args::{MeasureArgs, ReportFormat};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Reader;
use crate::measured::{self, Measurer, Quantity};
use crate::report::{self, MeasurementReport, Place};
use crate::{interrupt, note, printed, with_reader};

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
        printed::text(&report::record_heading(&records))?;
    }
    let quantities = if args.all { &measured::QUANTITIES[..] } else { measured::usual() };
    let spread_of = spread_of(args)?;
    let mut spread = Distribution::default();
    let mut measurers: Vec<(usize, Calibration, Measurer)> = records
        .channels
        .iter()
        .zip(&records.calibrations)
        .map(|(&channel, calibration)| {
            Ok((
                channel + 1,
                *calibration,
                Measurer::new(
                    quantities.iter().chain(spread_of),
                    calibration,
                    args.states.config(calibration)?,
                )?
                .with_uncertainty(),
            ))
        })
        .collect::<Result<_, Error>>()?;
    let out = BufWriter::new(printed::Text);
    let mut report =
        MeasurementReport::new(out, args.report.format, quantities, args.states.references.0);
    let outcome = records.each(|record| {
        for (index, (channel, calibration, measurer)) in measurers.iter_mut().enumerate() {
            let samples = record.channel(index);
            let found = measurer.measure(samples);
            if let Some(quantity) = spread_of.filter(|_| index == 0) {
                spread.push((quantity.of)(&found));
            }
            let place = Place {
                record: record.number + 1,
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
        printed::text(&format!("\n{}", report::record_summary(&outcome, &records.calibration)))?;
    }
    if let Some(quantity) = spread_of {
        let (title, condition) = (drawing::title(&records), records.plan.describe());
        let calibration = records.calibrations.first().copied().unwrap_or(records.calibration);
        match histogram::chart(&spread, quantity, &calibration, title, condition) {
            Some(chart) => {
                if !drawing::to_files(&args.picture, &chart, for_people)? && for_people {
                    drawing::to_terminal(&chart, None, 20)?;
                }
            }
            None => note::one(format_args!("no record has a value of {}", quantity.name)),
        }
    }
    if outcome.counters.records == 0 {
        report::no_record_note(&outcome, records.shape, "measure");
    }
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}

/// The quantity of `--histogram`.
fn spread_of(args: &MeasureArgs) -> Result<Option<&'static Quantity>, Error> {
    let Some(name) = &args.histogram else {
        if args.picture.png.is_some() || args.picture.svg.is_some() {
            return Err(Error::usage("there is nothing to draw", "add --histogram NAME"));
        }
        return Ok(None);
    };
    let quantity = measured::find(name).and_then(|index| measured::QUANTITIES.get(index));
    let names = || measured::QUANTITIES.iter().map(|q| q.key).collect::<Vec<_>>().join(", ");
    quantity.map(Some).ok_or_else(|| {
        Error::usage(
            format!("--histogram: there is no quantity \"{name}\""),
            format!("name one of {}", names()),
        )
    })
}
