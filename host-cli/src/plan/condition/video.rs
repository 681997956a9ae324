//! `--on video`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::args::{FieldName, PolarityName, StandardName};
use crate::error::Error;
use stillwave::{Sample, Side, VideoConfig, VideoField, VideoFormat, VideoStandard, VideoWhen};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--level", "--polarity", "--standard", "--line", "--field"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<VideoConfig<T>, Error> {
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
    Ok(VideoConfig { level: ask.level()?, format: VideoFormat { sync, ..format }, when })
}

impl<T: Sample> Description<T> for VideoConfig<T> {
    fn noun(&self) -> &'static str {
        "line or field"
    }

    fn describe(&self, sources: &Sources) -> String {
        let what = match self.when {
            VideoWhen::AnyLine => "any line".to_owned(),
            VideoWhen::Line(line) => format!("line {line}"),
            VideoWhen::AnyField => "either field".to_owned(),
            VideoWhen::Field(field) => format!("{} field", field_name(field)),
        };
        let lines = self.format.standard.lines();
        let line = sources.level_in_words(&self.level);
        format!("{what} of a picture of {lines} lines on {line}")
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::line_marks(&self.level)
    }
}

pub(super) fn event_text(line: u16, field: VideoField) -> EventText {
    let field = field_name(field);
    let label = format!("line {line} {field} field");
    EventText { line: Some(line), field: Some(field), ..EventText::new("video", label) }
}

/// What a field of a picture is called.
fn field_name(field: VideoField) -> &'static str {
    match field {
        VideoField::First => "odd",
        VideoField::Second => "even",
    }
}
