//! `--on video`.

use stillwave::{Composition, Sample, Side, VideoField, VideoFormat, VideoStandard, VideoWhen};

use super::super::Ask;
use crate::args::{FieldName, PolarityName, StandardName};
use crate::error::Error;

pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let video = &ask.args.video;
    let standard = match video.standard {
        Some(StandardName::Lines625) => VideoStandard::Lines625,
        Some(StandardName::Lines525) => VideoStandard::Lines525,
        None => return Err(ask.missing("--standard", "--standard 625/50 or 525/60")),
    };
    let rate = ask.calibration.rate.ok_or_else(|| {
        Error::usage("--standard needs to know the sample rate, and the recording has none", {
            "add --rate"
        })
    })?;
    let sync = match ask.args.polarity {
        None | Some(PolarityName::Negative) => Side::Low,
        Some(PolarityName::Positive) => Side::High,
        Some(PolarityName::Either) => {
            return Err(Error::usage("--polarity either: the pulses of a picture go one way", {
                "choose negative, or positive for an inverted signal"
            }));
        }
    };
    let format = VideoFormat::new(standard, rate).map_err(|_| {
        Error::usage(format!("a rate of {rate} samples a second is too low for a picture"), {
            "sample at 1 MS/s or faster"
        })
    })?;
    let last = standard.lines();
    let when = match (video.line, video.field) {
        (Some(line), _) if !(1..=last).contains(&line) => {
            return Err(Error::usage(
                format!("--line {line}: there is no such line"),
                format!("choose one from 1 to {last}"),
            ));
        }
        (Some(line), _) => VideoWhen::Line(line),
        (None, Some(FieldName::Any)) => VideoWhen::AnyField,
        (None, Some(FieldName::Odd)) => VideoWhen::Field(VideoField::First),
        (None, Some(FieldName::Even)) => VideoWhen::Field(VideoField::Second),
        (None, None) => VideoWhen::AnyLine,
    };
    Ok(Composition::Video { level: ask.level()?, format: VideoFormat { sync, ..format }, when })
}

/// What of a picture is waited for, in words.
pub(super) fn describe(when: VideoWhen, standard: VideoStandard) -> String {
    let what = match when {
        VideoWhen::AnyLine => "any line".to_owned(),
        VideoWhen::Line(line) => format!("line {line}"),
        VideoWhen::AnyField => "either field".to_owned(),
        VideoWhen::Field(VideoField::First) => "odd field".to_owned(),
        VideoWhen::Field(VideoField::Second) => "even field".to_owned(),
    };
    format!("{what} of a picture of {} lines", standard.lines())
}
