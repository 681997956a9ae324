//! `explain`: why a condition fired, or did not.

use std::fmt::Write as _;
use std::ops::ControlFlow;
use std::process::ExitCode;

use stillwave::Sample;

use crate::args::{ExplainArgs, ExplainFormat};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::explain::{Explainer, Explanation};
use crate::input::{self, Reader};
use crate::plan::{Sources, TriggerPlan};
use crate::view::{self, Size};
use crate::{interrupt, note, printed, report, setup, stream, with_reader};

/// Does the command.
///
/// # Errors
/// Options that do not fit the recording; a recording that cannot be read.
pub(super) fn run(args: &ExplainArgs) -> Result<ExitCode, Error> {
    let channels = args.trigger.channels()?;
    let channel = channels[0];
    let options = args.input.open_options(Some(channels))?;
    let recording = input::open(&args.input.file, &options)?;
    with_reader!(recording, reader => explain(args, channel, reader))
}

fn explain<T: Sample>(
    args: &ExplainArgs,
    channel: usize,
    mut reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let calibration = Calibration::new(&args.scale, reader.info(), channel)?;
    let sources = Sources::new::<T>(&args.trigger, &args.scale, reader.info(), reader.selected())?;
    let plan = TriggerPlan::<T>::new(&args.trigger, sources)?;
    setup::save(&args.trigger, &plan, None)?;
    note::all(plan.warnings());
    let heading = report::heading(reader.info(), channel, &plan.describe());
    let mut explainer = Explainer::new(plan)?;
    let read = stream::blocks(&mut reader, &calibration, 0, &mut |channels| {
        explainer.push(channels);
        Ok(ControlFlow::Continue(()))
    })?;
    let explanation = explainer.finish();
    if args.format == ExplainFormat::Json {
        let json = serde_json::to_string(&explanation).map_err(std::io::Error::other);
        printed::text(&json.map_err(|source| Error::output("standard output", source))?)?;
    } else {
        printed::text(&heading)?;
        printed::text(&words(&explanation, args.png.is_none()))?;
    }
    if let (Some(path), Some(histogram)) = (&args.png, &explanation.histogram) {
        histogram.draw_png(path, Size { width: 1000, height: 480 }, args.overwrite)?;
        if args.format == ExplainFormat::Table {
            printed::text(&format!("picture    {}", path.display()))?;
        }
    } else if args.png.is_some() {
        note::one("there is nothing to make a histogram of");
    }
    report::quality_notes(&read);
    Ok(interrupt::status())
}

fn words(explanation: &Explanation, with_histogram: bool) -> String {
    let mut text = format!("why        {}", explanation.cause);
    for detail in &explanation.details {
        let _ = write!(text, "\n           {detail}");
    }
    if let Some(suggestion) = &explanation.suggestion {
        let _ = write!(text, "\ntry        {suggestion}");
    }
    if let Some(time) = &explanation.time
        && time.nearest.len() > 1
    {
        let nearest = time.nearest.iter().map(|near| near.position.to_string());
        let nearest: Vec<_> = nearest.collect();
        let _ = write!(text, "\nnearest    at samples {}", nearest.join(", "));
    }
    if with_histogram && let Some(histogram) = &explanation.histogram {
        let columns = view::terminal_size().map_or(100, |(width, _)| usize::from(width.min(100)));
        let _ = write!(text, "\n\n{}", histogram.draw_terminal(columns).trim_end());
    }
    text
}
