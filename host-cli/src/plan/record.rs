//! What a record is.

use stillwave::{Mode, RecordShape};

use crate::args::{ModeName, RecordArgs};
use crate::calibration::Calibration;
use crate::error::Error;

/// The shape and mode of records that `args` ask for.
///
/// # Errors
/// As [`Calibration::whole_samples`]; a record of no samples, or of too many.
pub fn record_plan(
    args: &RecordArgs,
    calibration: &Calibration,
    channels: usize,
) -> Result<(RecordShape, Mode), Error> {
    let post = calibration.whole_samples("--post", args.post)?;
    let pre = match args.pre {
        Some(pre) => calibration.whole_samples("--pre", pre)?,
        None => post / 10,
    };
    let most = MOST_SAMPLES / channels.max(1) as u64;
    if pre.saturating_add(post) > most {
        return Err(Error::usage(
            format!("a record of {} samples is too long", pre.saturating_add(post)),
            format!("--pre and --post may be {most} samples together"),
        ));
    }
    let shape = RecordShape::new(pre as usize, post as usize)?;
    let mode = match args.mode {
        ModeName::Normal => Mode::Normal,
        ModeName::Single => Mode::Single,
        ModeName::Auto => Mode::Auto {
            after: match args.auto_after {
                Some(time) => calibration.whole_samples("--auto-after", time)?,
                None => 2 * shape.len() as u64,
            },
        }
        .validated()?,
    };
    if args.auto_after.is_some() && args.mode != ModeName::Auto {
        return Err(Error::usage("--auto-after has no use here", "add --mode auto"));
    }
    Ok((shape, mode))
}

/// What a record is in whole samples, where that is not what `args` say: a part of a sample was
/// rounded up, or a time to wait was chosen.
pub fn record_words(
    args: &RecordArgs,
    calibration: &Calibration,
    shape: RecordShape,
    mode: Mode,
) -> Option<String> {
    let times = [Some(args.post), args.pre, args.auto_after];
    let is_rounded = times.into_iter().flatten().any(|time| {
        time.in_samples(calibration.rate).is_some_and(|samples| samples.fract() != 0.0)
    });
    let chosen = matches!(mode, Mode::Auto { .. }) && args.auto_after.is_none();
    if !is_rounded && !chosen {
        return None;
    }
    let show = |samples: u64| calibration.show_time(samples as f64);
    let forced = match mode {
        Mode::Auto { after } => format!(", one forced after {} without", show(after)),
        _ => String::new(),
    };
    let [pre, post] = [shape.pre, shape.post].map(|samples| show(samples as u64));
    Some(format!("{pre} before, {post} after{forced}"))
}

/// Records are held in memory: so many samples, over all channels, are 16 MB.
const MOST_SAMPLES: u64 = 4_000_000;
