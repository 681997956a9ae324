//! Channels beside the one to trigger on, as they are typed.

use std::str::FromStr;

use clap::ValueEnum;

use crate::quantity::Level;

/// A channel from 1, a word on what it does, and its level: `2`, `2:falling`, `3:high@1.65V`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line<W> {
    /// The channel, from 1.
    pub channel: usize,
    /// What it does.
    pub word: Option<W>,
    /// The level; that of the trigger's channel where there is none.
    pub level: Option<Level>,
}

impl<W: ValueEnum> FromStr for Line<W> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (rest, level) = match text.split_once('@') {
            Some((rest, level)) => {
                (rest, Some(level.parse::<Level>().map_err(|error| error.to_string())?))
            }
            None => (text, None),
        };
        let (channel, word) = match rest.split_once(':') {
            Some((channel, word)) => (channel, Some(parse_word(word)?)),
            None => (rest, None),
        };
        let channel = channel.trim().parse().map_err(|_| {
            format!("\"{text}\" does not begin with a channel, such as 2 or 2@1.65V")
        })?;
        Ok(Self { channel, word, level })
    }
}

fn parse_word<W: ValueEnum>(word: &str) -> Result<W, String> {
    W::from_str(word.trim(), true).map_err(|_| {
        let variants = W::value_variants().iter().filter_map(ValueEnum::to_possible_value);
        let names: Vec<_> = variants.map(|value| value.get_name().to_owned()).collect();
        match names[..] {
            [] => format!("\"{word}\" behind the channel has no use here"),
            _ => format!("\"{word}\" is not {}", names.join(" or ")),
        }
    })
}

/// No word at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Nothing {}

impl ValueEnum for Nothing {
    fn value_variants<'a>() -> &'a [Self] {
        &[]
    }

    fn to_possible_value(&self) -> Option<clap::builder::PossibleValue> {
        match *self {}
    }
}

/// The sides of a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SideName {
    /// At or above the level
    High,
    /// Below the level
    Low,
}

/// What a channel of a pattern is or does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StateName {
    /// It is high
    High,
    /// It is low
    Low,
    /// It changes from low to high
    Rising,
    /// It changes from high to low
    Falling,
    /// It changes
    Either,
}

/// The directions of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SlopeName {
    /// Upward
    Rising,
    /// Downward
    Falling,
    /// Both
    Either,
}
