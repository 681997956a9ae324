//! `capture`: a record of the samples around each event, on disk.

use std::process::ExitCode;

use stillwave::Sample;

use crate::acquire::{ChannelPlan, Records};
use crate::args::{CaptureArgs, RecordFormat};
use crate::error::Error;
use crate::export::{OwnedRecord, Samples, Store};
use crate::input::Reader;
use crate::{interrupt, printed, report, with_reader};

pub(super) fn run(args: &CaptureArgs) -> Result<ExitCode, Error> {
    let channels = ChannelPlan::new(&args.job)?;
    let recording = channels.open(&args.job.input)?;
    with_reader!(recording, reader => capture(args, &channels, reader))
}

fn capture<T: Sample>(
    args: &CaptureArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error>
where
    Samples: From<Vec<T>>,
{
    let mut records = Records::new(reader, channels, &args.job)?;
    printed::text(&report::record_heading(&records))?;
    let mut store =
        Store::new(&args.out, args.save_as, RecordFormat::Wav, records.context(args.overwrite))?;
    let scales = records.scales();
    let outcome = records.each(|record| store.put(&OwnedRecord::from(record).in_volts(&scales)))?;
    let written = store.finish()?;
    printed::text(&report::record_summary(&outcome, &records.calibration))?;
    if let Some(written) = written {
        printed::text(&format!("written    {written}"))?;
    }
    if outcome.counters.records == 0 {
        report::no_record_note(&outcome, records.shape, "write");
    }
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}
