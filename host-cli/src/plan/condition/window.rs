//! `--on window`.

use super::{Ask, Description, EventText, Mark, Need, Sources, words};
use crate::args::WhenName;
use crate::error::Error;
use stillwave::{Sample, Stay, WindowConfig, WindowEvent, WindowWhen};

pub(super) const OPTIONS: &[&str] =
    &["--while", "--low", "--high", "--when", "--shorter-than", "--longer-than"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<WindowConfig<T>, Error> {
    let ways = "--when enters, leaves, stays-inside or stays-outside";
    let when = match ask.args.when.ok_or_else(|| ask.missing("--when", ways))? {
        WhenName::Enters => passage(ask, WindowWhen::Enters)?,
        WhenName::Leaves => passage(ask, WindowWhen::Leaves)?,
        WhenName::StaysInside => WindowWhen::StaysInside(ask.stay()?),
        WhenName::StaysOutside => WindowWhen::StaysOutside(ask.stay()?),
        WhenName::Stays => return Err(ask.missing("the side to stay on", ways)),
    };
    Ok(WindowConfig { band: ask.band()?, when })
}

/// What takes no time.
fn passage(ask: &Ask<'_>, when: WindowWhen) -> Result<WindowWhen, Error> {
    if ask.args.shorter_than.is_some() || ask.args.longer_than.is_some() {
        return Err(Error::usage(
            "--shorter-than and --longer-than have no use without a stay",
            "leave them out, or choose --when stays-inside or stays-outside",
        ));
    }
    Ok(when)
}

impl<T: Sample> Description<T> for WindowConfig<T> {
    fn noun(&self) -> &'static str {
        "stay"
    }

    fn describe(&self, sources: &Sources) -> String {
        let calibration = sources.calibration();
        let stays = |side: &str, stay| {
            let time = match stay {
                Stay::LongerThan(samples) => {
                    format!("longer than {}", calibration.show_time(samples as f64))
                }
                Stay::ShorterThan(bound) => {
                    format!("shorter than {}", words::span(bound, calibration))
                }
            };
            format!("staying {side} for {time}: a window")
        };
        let what = match self.when {
            WindowWhen::Enters => "entering a window".to_owned(),
            WindowWhen::Leaves => "leaving a window".to_owned(),
            WindowWhen::StaysInside(stay) => stays("inside", stay),
            WindowWhen::StaysOutside(stay) => stays("outside", stay),
        };
        format!("{what} {}", words::band(&self.band, calibration))
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        let passes = matches!(self.when, WindowWhen::Enters | WindowWhen::Leaves);
        words::window_marks(&self.band, if passes { Need::Any } else { Need::None })
    }
}

pub(super) fn event_text(what: WindowEvent) -> EventText {
    let passage = |what, label| EventText { what: Some(what), ..EventText::new("window", label) };
    let stay = |what, label, time| EventText {
        what: Some(what),
        ..EventText::lasting("window", label, time)
    };
    match what {
        WindowEvent::Entered => passage("entered", "window entered"),
        WindowEvent::Left => passage("left", "window left"),
        WindowEvent::StayedInside { time } => stay("stayed-inside", "inside window", time),
        WindowEvent::StayedOutside { time } => stay("stayed-outside", "outside window", time),
    }
}
