//! The words of the command line, named as the tool's own options:
//!
//! | word | value |
//! |---|---|
//! | `on=` | `edge` (the default) or `pulse` |
//! | `slope=` | `rising` (the default), `falling`, `either` |
//! | `polarity=` | `positive` (the default), `negative`, `either` |
//! | `level=`, `hysteresis=` | counts |
//! | `shorter-than=`, `longer-than=` | 1/65536 of a sample |
//! | `within=`, `outside=` | two of them, `A..B` |
//! | `holdoff=` | samples |
//! | `every=` | accept every n-th event |
//! | `rate=` | samples a second |
//! | `block=` | samples handed to the engine at once |
//! | `file=` | a host file of u16, little-endian; without it the recording in flash |
//! | `channels=` | how many channels the file has, sample by sample: 1 to 4 |
//! | `to=` | a host file for the events; without it standard output |
//! | `setup=` | any condition of the engine's catalogue: its `Setup` as JSON, without spaces |
//! | `composition=` | a host file with any condition at all: a `Composition` as JSON |
//! | `coupling=` | what of the signal the condition sees: a `Coupling` as JSON, without spaces |
//! | `decimate=` | no trigger, but a decimator: `HOW:STEP:TYPE`, see [`differential::decimation`]; an output a line |
//!
//! With `setup=` and `composition=` the events are written as the engine's own `Event` in JSON, for
//! comparisons with an engine elsewhere.

use core::str::FromStr;

use heapless::String;
use semihosting::experimental::env;
use serde::Deserialize;
use stillwave::{
    Comparison, Composition, Coupling, EdgeConfig, EdgeSlope, Holdoff, Level, PulseConfig,
    PulsePolarity, Setup, Span,
};

use crate::limits::{BLOCK, CHANNELS, Path};
use crate::{error::Error, line::Style, source};

/// Room for all words together; the emulator's limit for each path is shorter.
const WORDS: usize = 1024;

/// All settings of a run.
pub(crate) struct Options {
    pub(crate) condition: Composition<u16>,
    pub(crate) channels: usize,
    pub(crate) coupling: Coupling,
    pub(crate) style: Style,
    pub(crate) holdoff: Holdoff,
    pub(crate) block: usize,
    pub(crate) decimate: Option<String<32>>,
    pub(crate) file: Option<Path>,
    pub(crate) to: Option<Path>,
}

/// Reads the words that the emulator was given.
pub(crate) fn from_command_line() -> Result<Options, Error> {
    let words = env::args::<WORDS>().map_err(Error::CommandLine)?;
    // The first is the program's own name.
    parse((&words).skip(1).map(|word| word.map_err(|_| Error::UnknownWord)))
}

fn parse<'a>(words: impl Iterator<Item = Result<&'a str, Error>>) -> Result<Options, Error> {
    let (mut on, mut slope, mut polarity) = ("edge", "rising", "positive");
    let (mut level, mut hysteresis, mut holdoff) = (2048, 0, Holdoff::None);
    let (mut rate, mut block) = (None, 1024);
    let (mut width, mut file, mut to, mut catalogued) = (None, None, None, None);
    let (mut coupling, mut decimate) = (Coupling::Dc, None);
    let (mut composed, mut channels) = (None, 1);

    for word in words {
        let (name, value) = word?.split_once('=').ok_or(Error::UnknownWord)?;
        match name {
            "on" => on = value,
            "slope" => slope = value,
            "polarity" => polarity = value,
            "level" => level = number("level", value)?,
            "hysteresis" => hysteresis = number("hysteresis", value)?,
            "holdoff" => holdoff = Holdoff::Samples(number("holdoff", value)?),
            "every" => holdoff = Holdoff::Every(number("every", value)?),
            "shorter-than" => width = Some(Comparison::ShorterThan(span("shorter-than", value)?)),
            "longer-than" => width = Some(Comparison::LongerThan(span("longer-than", value)?)),
            "within" => {
                let (shortest, longest) = spans("within", value)?;
                width = Some(Comparison::within(shortest, longest)?);
            }
            "outside" => {
                let (shortest, longest) = spans("outside", value)?;
                width = Some(Comparison::outside(shortest, longest)?);
            }
            "rate" => rate = Some(number("rate", value)?),
            "block" => block = number("block", value)?,
            "file" => file = Some(path("file", value)?),
            "setup" => catalogued = Some(json(value).ok_or(Error::BadValue("setup"))?),
            "composition" => composed = Some(composition(&path("composition", value)?)?),
            "channels" => channels = number("channels", value)?,
            "coupling" => coupling = json(value).ok_or(Error::BadValue("coupling"))?,
            "decimate" => {
                decimate = Some(String::try_from(value).map_err(|_| Error::BadValue("decimate"))?);
            }
            "to" => to = Some(path("to", value)?),
            _ => return Err(Error::UnknownWord),
        }
    }

    let level = Level::new(level, hysteresis)?;
    let (condition, style) = match (composed, catalogued) {
        (Some(composition), _) => (composition, Style::Engine),
        (None, Some(setup)) => (Composition::Single(setup), Style::Engine),
        (None, None) => {
            let setup = simple(on, slope, polarity, level, width)?;
            (Composition::Single(setup), Style::Tool { rate })
        }
    };
    if !(1..=CHANNELS).contains(&channels) {
        return Err(Error::BadValue("channels"));
    }
    if !(1..=BLOCK).contains(&block) {
        return Err(Error::Block);
    }
    Ok(Options { condition, channels, coupling, style, holdoff, block, decimate, file, to })
}

fn slope_of(value: &str) -> Result<EdgeSlope, Error> {
    match value {
        "rising" => Ok(EdgeSlope::Rising),
        "falling" => Ok(EdgeSlope::Falling),
        "either" => Ok(EdgeSlope::Either),
        _ => Err(Error::BadValue("slope")),
    }
}

fn polarity_of(value: &str) -> Result<PulsePolarity, Error> {
    match value {
        "positive" => Ok(PulsePolarity::Positive),
        "negative" => Ok(PulsePolarity::Negative),
        "either" => Ok(PulsePolarity::Either),
        _ => Err(Error::BadValue("polarity")),
    }
}

/// The condition of `on=` and the words that go with it.
fn simple(
    on: &str,
    slope: &str,
    polarity: &str,
    level: Level<u16>,
    width: Option<Comparison>,
) -> Result<Setup<u16>, Error> {
    match on {
        "edge" => Ok(Setup::Edge(EdgeConfig { slope: slope_of(slope)?, level })),
        "pulse" => {
            let width = width.ok_or(Error::NoWidth)?;
            Ok(Setup::Pulse(PulseConfig { polarity: polarity_of(polarity)?, level, width }))
        }
        _ => Err(Error::BadValue("on")),
    }
}

fn number<N: FromStr>(name: &'static str, value: &str) -> Result<N, Error> {
    value.parse().map_err(|_| Error::BadValue(name))
}

fn span(name: &'static str, value: &str) -> Result<Span, Error> {
    number(name, value).map(Span::from_parts)
}

fn spans(name: &'static str, value: &str) -> Result<(Span, Span), Error> {
    let (shortest, longest) = value.split_once("..").ok_or(Error::BadValue(name))?;
    Ok((span(name, shortest)?, span(name, longest)?))
}

fn json<'a, V: Deserialize<'a>>(value: &'a str) -> Option<V> {
    serde_json_core::from_str(value).ok().map(|(value, _)| value)
}

fn composition(path: &Path) -> Result<Composition<u16>, Error> {
    let mut text = [0; 4096];
    let text = source::read_whole(path, &mut text)?;
    let read = serde_json_core::from_slice(text).map_err(|_| Error::BadValue("composition"))?;
    Ok(read.0)
}

fn path(name: &'static str, value: &str) -> Result<Path, Error> {
    let mut path = Path::new();
    path.extend_from_bytes(value.as_bytes()).map_err(|_| Error::BadValue(name))?;
    Ok(path)
}
