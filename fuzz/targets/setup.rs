//! Setup files: what is read becomes a trigger that runs, and written and read again it is the same.

#![no_main]

use std::ffi::OsString;
use std::path::Path;

use libfuzzer_sys::fuzz_target;
use stillwave::Trigger;
use stillwave_cli::args::{Cli, Command};
use stillwave_cli::calibration::Calibration;
use stillwave_cli::error::Error;
use stillwave_cli::plan::{Sources, TriggerPlan, record_plan};
use stillwave_cli::setup;
use stillwave_fuzz::{files, recorded};

/// The trigger in words after a short run, and the setup file that the options make.
fn run(path: &Path) -> Result<(String, String), Error> {
    let kept = files::no_file("kept.toml");
    let words = ["stillwave", "capture", &recorded::path(), "--out", "x"].map(OsString::from);
    let more = ["--setup".into(), path.into(), "--save-setup".into(), kept.into()];
    let words: Vec<OsString> = words.into_iter().chain(more).collect();
    let (Cli { command }, setup) = setup::of_line(&words)?;
    let Command::Capture(args) = command else { panic!("another command") };
    let job = &args.job;
    (|| {
        let channels = job.trigger.channels()?;
        let channel = channels[0];
        let Some(mut reader) = recorded::reader(Some(channels)) else {
            return Err(Error::usage("no such channel", "name another"));
        };
        let calibration = Calibration::new(&job.scale, reader.info(), channel)?;
        let sources =
            Sources::new::<i16>(&job.trigger, &job.scale, reader.info(), reader.selected())?;
        let plan = TriggerPlan::<i16>::new(&job.trigger, sources)?;
        let mut trigger = Trigger::new(plan.condition()?, plan.holdoff)?;
        plan.warnings();
        // Records of any length are a matter of memory, not of the file.
        let _ = record_plan(&job.record, &calibration, 1);
        let mut planes = reader.planes();
        reader.read(&mut planes)?;
        let samples: Vec<&[i16]> = planes.channels().collect();
        let mut last = 0;
        trigger.push_channels(&samples, |event| {
            assert!(last <= event.at.position && event.at.lead <= 1 << 16);
            last = event.at.position;
        });
        assert!(trigger.events() >= trigger.held_off());
        let said = format!("{}, {} events", plan.describe(), trigger.events());
        Ok((said, job.trigger.file.text.clone()))
    })()
    .map_err(|error| setup.locate(error))
}

fuzz_target!(|text: &[u8]| {
    match run(&files::file("x.toml", text)) {
        Ok((said, kept)) => {
            let again = run(&files::file("again.toml", kept.as_bytes()));
            let (said_again, kept_again) = again.unwrap_or_else(|error| panic!("{error}\n{kept}"));
            assert_eq!(said, said_again, "{kept}");
            assert_eq!(kept, kept_again);
        }
        Err(error) => files::judged(&error),
    }
});
