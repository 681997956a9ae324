//! `scan`: the events of a recording, one a line.

use std::io::{BufWriter, Write};
use std::ops::ControlFlow;
use std::process::ExitCode;

use stillwave::{Sample, Trigger};

use crate::args::{ReportFormat, ScanArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{self, Reader};
use crate::plan::{Sources, TriggerPlan};
use crate::report::{self, EventReport};
use crate::{interrupt, note, printed, setup, stream, with_reader};

/// Does the command.
///
/// # Errors
/// Options that do not fit the recording; a recording that cannot be read.
pub(super) fn run(args: &ScanArgs) -> Result<ExitCode, Error> {
    let channels = args.trigger.channels()?;
    let channel = channels[0];
    let options = args.input.open_options(Some(channels))?;
    let recording = input::open(&args.input.file, &options)?;
    with_reader!(recording, reader => scan(args, channel, reader))
}

fn scan<T: Sample>(
    args: &ScanArgs,
    channel: usize,
    mut reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let calibration = Calibration::new(&args.scale, reader.info(), channel)?;
    let sources = Sources::new::<T>(&args.trigger, &args.scale, reader.info(), reader.selected())?;
    let plan = TriggerPlan::<T>::new(&args.trigger, sources)?;
    setup::save(&args.trigger, &plan, None)?;
    let mut trigger = Trigger::new(plan.condition()?, plan.holdoff)?;
    note::all(plan.warnings());

    let for_people = args.report.format == ReportFormat::Table;
    let mut out = BufWriter::new(printed::Text);
    let failed = |source| Error::output("standard output", source);
    if for_people {
        let heading = report::heading(reader.info(), channel, &plan.describe());
        writeln!(out, "{heading}").map_err(failed)?;
    }
    let mut report = EventReport::new(out, args.report.format, calibration);
    let mut reach = plan.reach();
    let read = stream::blocks(&mut reader, &calibration, 0, &mut |channels| {
        let mut result = Ok(());
        trigger.push_channels(channels, |event| {
            if result.is_ok() {
                result = report.write(&event);
            }
        });
        if trigger.events() == 0 {
            reach.push(channels.first().copied().unwrap_or(&[]));
        }
        result.map_err(failed).map(|()| ControlFlow::Continue(()))
    })?;
    let mut out = report.into_inner();
    if for_people {
        let summary =
            report::scan_summary(&read, &calibration, trigger.events(), trigger.held_off());
        writeln!(out, "{summary}").map_err(failed)?;
    }
    out.flush().map_err(failed)?;
    drop(out);
    if trigger.events() == 0 {
        note::all(plan.unreached(&reach));
    }
    report::quality_notes(&read);
    Ok(interrupt::status())
}
