//! `expect`: an expectation, drafted from a good recording.

use std::process::ExitCode;

use stillwave::Sample;

use crate::acquire::{ChannelPlan, Records, Seen};
use crate::args::ExpectArgs;
use crate::error::Error;
use crate::expect::Draft;
use crate::export::WholeFile;
use crate::input::Reader;
use crate::{interrupt, note, printed, report, with_reader};

/// Fewer records say little of how far values spread.
const FEW: u64 = 10;

pub(super) fn run(args: &ExpectArgs) -> Result<ExitCode, Error> {
    let channels = ChannelPlan::new(&args.job)?.or_trigger_alone();
    let recording = channels.open(&args.job.input)?;
    with_reader!(recording, reader => draft(args, &channels, reader))
}

fn draft<T: Sample>(
    args: &ExpectArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let mut records = Records::new(reader, channels, &args.job)?;
    let calibration = records.one_channel()?;
    // At once, before any work is done in vain.
    let file = match &args.out {
        Some(path) => Some((WholeFile::create(path, args.overwrite)?, path)),
        None => None,
    };
    let mut draft =
        Draft::<T>::new(records.shape, &calibration, args.states.config(&calibration)?)?;
    let outcome = records.each_seen(&mut |seen| {
        match seen {
            Seen::Event(event) => draft.event(event.at),
            Seen::Record(record) => draft.record(record, 0),
        }
        Ok(())
    })?;
    if outcome.counters.records == 0 {
        let (problem, remedy) = report::no_record(&outcome, records.shape, "learn from");
        return Err(Error::usage(format!("{}: {problem}", records.info().name), remedy));
    }
    let text = draft.text(&records.info().name, args.margin.0);
    if let Some((mut file, path)) = file {
        file.put(text.as_bytes())?;
        file.finish()?;
        printed::text(&report::record_heading(&records))?;
        printed::text(&report::record_summary(&outcome, &records.calibration))?;
        printed::text(&format!("written    {}", path.display()))?;
    } else {
        printed::text(text.trim_end())?;
    }
    let records = outcome.counters.records;
    if records < FEW {
        note::one(format_args!(
            "from fewer than {FEW} records it is hardly known how far values spread: others that are \
             good may not pass"
        ));
    }
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}
