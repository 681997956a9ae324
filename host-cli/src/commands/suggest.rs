//! `suggest`: a trigger that suits the recording, and why.

use std::process::ExitCode;

use stillwave::Sample;
use stillwave::suggest::{Means, beside, suggest};

use crate::args::{Cli, Command, SuggestArgs, from_one};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{self, Info, Reader};
use crate::plan::{Sources, TriggerPlan, record_plan};
use crate::report::{self, SuggestionReport};
use crate::suggest::{Held, Options, nothing_moves, reasons};
use crate::{interrupt, note, printed, setup, with_reader};

/// Does the command.
///
/// # Errors
/// Options that do not fit the recording; a recording that cannot be read.
pub(super) fn run(args: &SuggestArgs) -> Result<ExitCode, Error> {
    let mut channels = Vec::new();
    for &number in &args.channel {
        let channel = from_one("--channel", number)?;
        if !channels.contains(&channel) {
            channels.push(channel);
        }
    }
    if args.save_setup.is_some() && channels.len() > 1 {
        return Err(Error::usage(
            "--save-setup keeps the trigger of one channel",
            "name one with --channel",
        ));
    }
    let recording = input::open(&args.input.file, &args.input.open_options(Some(channels))?)?;
    with_reader!(recording, reader => look(args, reader))
}

fn look<T: Sample>(args: &SuggestArgs, mut reader: Reader<T>) -> Result<ExitCode, Error> {
    let info = reader.info().clone();
    let first = reader.selected().first().copied().unwrap_or(0);
    let watched = Calibration::new(&args.scale, &info, first)?;
    let held = Held::new(&args.input, &mut reader, &watched)?;
    let mut out = SuggestionReport::new(printed::Text, args.report.format);
    for (index, &channel) in held.channels().iter().enumerate() {
        let calibration = Calibration::new(&args.scale, &info, channel)?;
        let means = Means { filters: calibration.rate.is_some() };
        let found = suggest::<T, _>(&mut held.signal(index), means)?;
        if interrupt::came() {
            return Ok(interrupt::status());
        }
        out.heading(&info, channel)?;
        let Some(proposal) = found.proposal else {
            let says = nothing_moves(&found.overview, &calibration);
            out.nothing(channel, &found.overview, &says, &calibration)?;
            if args.save_setup.is_some() {
                return Err(Error::usage(says, "there is no setup to save"));
            }
            continue;
        };
        let options = Options::new(&proposal, &calibration);
        let mut words = vec!["stillwave".to_owned(), "view".to_owned()];
        let file = args.input.file.display().to_string();
        // What begins like an option is to be read as a file.
        let is_like_an_option = file.len() > 1 && file.starts_with('-');
        words.push(if is_like_an_option { format!("./{file}") } else { file });
        words.extend(args.typed.iter().cloned());
        if channel > 0 {
            words.extend(["--channel".to_owned(), (channel + 1).to_string()]);
        }
        words.extend(options.words());
        let beside = beside::<T, _>(&mut held.signal(index), &proposal)?;
        if interrupt::came() {
            return Ok(interrupt::status());
        }
        let reasons = reasons(&proposal, beside.as_ref(), &found.overview, &options, &calibration);
        out.proposal(channel, &proposal, &options, &reasons, &words, &calibration)?;
        if let Some(path) = &args.save_setup {
            words.extend(["--save-setup".to_owned(), path.display().to_string()]);
            if args.overwrite {
                words.push("--overwrite".to_owned());
            }
            save::<T>(&setup::of_words(&words)?, &info, channel)?;
        }
        if proposal.jitter.sampling > 0.2 {
            note::one("edges fall between samples: a higher rate would show where");
        }
    }
    report::quality_notes(&held.read);
    Ok(interrupt::status())
}

/// Saves the setup of a command that has been put together.
fn save<T: Sample>(cli: &Cli, info: &Info, channel: usize) -> Result<(), Error> {
    let Command::View(view) = &cli.command else { return Ok(()) };
    let job = &view.job;
    let calibration = Calibration::new(&job.scale, info, channel)?;
    let sources = Sources::new::<T>(&job.trigger, &job.scale, info, &[channel])?;
    let plan = TriggerPlan::<T>::new(&job.trigger, sources)?;
    let (shape, _) = record_plan(&job.record, &calibration, 1)?;
    setup::save(&job.trigger, &plan, Some(shape))
}
