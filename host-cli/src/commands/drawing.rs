//! Pictures: what they show, and where they go.

use std::io::IsTerminal;

use stillwave::{Sample, Scale};

use crate::acquire::Records;
use crate::args::{PictureArgs, ViewArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::printed;
use crate::view::{Mark, Meta, Picture, Size, Tally, Unit, terminal_size};

/// Draws to the files that are asked for, or else to the terminal.
pub(super) fn draw(args: &ViewArgs, picture: &impl Picture) -> Result<(), Error> {
    if !to_files(&args.picture, picture, true)? {
        to_terminal(picture, args.width, args.height)?;
    }
    Ok(())
}

/// Draws to the files that are asked for, if any; `tell` where they are.
pub(super) fn to_files(
    args: &PictureArgs,
    picture: &impl Picture,
    tell: bool,
) -> Result<bool, Error> {
    if let Some(path) = &args.png {
        picture.draw_png(path, Size::default(), args.overwrite)?;
    }
    if let Some(path) = &args.svg {
        picture.draw_svg(path, Size::default(), args.overwrite)?;
    }
    for path in args.png.iter().chain(&args.svg).filter(|_| tell) {
        printed::text(&format!("picture    {}", path.display()))?;
    }
    Ok(args.png.is_some() || args.svg.is_some())
}

/// Draws to the terminal, as wide as that is unless another width is wanted, with colours where it
/// has some.
pub(super) fn to_terminal(
    picture: &impl Picture,
    width: Option<u16>,
    height: u16,
) -> Result<(), Error> {
    let own = terminal_size().map(|(width, _)| width);
    let colour = std::io::stdout().is_terminal()
        && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
        && takes_escapes();
    let width = width.or(own).unwrap_or(100);
    printed::drawing(picture.draw_terminal(width, height, colour).trim_end())
}

/// Whether the terminal takes escape sequences: Windows' console does once asked, from Windows 10 on.
fn takes_escapes() -> bool {
    #[cfg(windows)]
    return ratatui::crossterm::ansi_support::supports_ansi();
    #[cfg(not(windows))]
    true
}

/// What is pictured: the recording, and which of its channels.
pub(super) fn title<T: Sample>(records: &Records<T>) -> String {
    let info = records.info();
    let channel = records.channels.first().copied().unwrap_or(0);
    let name = info.channels.get(channel).and_then(|c| c.name.clone());
    match (name, info.channels.len()) {
        (Some(name), _) => format!("{}, {name}", info.name),
        (None, 1) => info.name.clone(),
        (None, _) => format!("{}, channel {}", info.name, channel + 1),
    }
}

/// What the picture shows besides the records.
pub(super) fn meta<T: Sample>(records: &Records<T>, calibration: &Calibration) -> Meta {
    let info = records.info();
    let scale = calibration.scale.unwrap_or(Scale::VOLTS);
    // The levels belong to the trigger's channel: elsewhere they mean nothing.
    let marks = match records.trigger_in_record() {
        Some(_) => records
            .plan
            .marks()
            .into_iter()
            .map(|mark| Mark {
                name: mark.name,
                value: scale.volts(mark.counts),
                minor: mark.minor,
            })
            .collect(),
        None => Vec::new(),
    };
    Meta {
        title: title(records),
        condition: records.plan.describe(),
        rate: info.rate,
        unit: match calibration.scale {
            Some(_) => Unit::Volts,
            None => Unit::Counts,
        },
        before: records.shape.pre,
        after: records.shape.post,
        marks,
        tally: Tally::default(),
        mean_of: None,
    }
}
