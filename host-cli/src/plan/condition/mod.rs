//! The conditions as people ask for them and as they are told of: one file each, and one list.

mod count;
mod delay;
mod dropout;
mod edge;
mod i2c;
mod interval;
mod pattern;
mod pulse;
mod qualified;
mod runt;
mod said;
mod sequence;
mod setup_hold;
mod spi;
mod transition;
mod uart;
mod video;
mod window;

pub(crate) use said::{Lasted, said};

use clap::ValueEnum;
use stillwave::{Composition, Qualifiable, Sample, Setup};

use super::{Ask, Mark, Need, Sources, words};
use crate::args::ConditionName;
use crate::error::Error;
use said::Said;

/// What a condition tells of itself.
pub(crate) trait Told {
    /// What it looks for, in a word.
    fn noun(&self) -> &'static str;

    /// It in words, with every number as it is used.
    fn describe(&self, sources: &Sources) -> String;

    /// It in words as part of another condition.
    fn describe_part(&self, sources: &Sources) -> String {
        self.describe(sources)
    }

    /// Its levels on the channel to trigger on, for a picture.
    fn marks(&self, sources: &Sources) -> Vec<Mark>;

    /// The options that say how long something must be at least, and at most, where these are not
    /// those of a comparison.
    fn bounds(&self) -> Option<[&'static str; 2]> {
        None
    }

    /// Whether every other one of its levels is one that the signal must not pass.
    fn avoids_every_other_level(&self) -> bool {
        false
    }
}

/// From one list, all that differs by condition.
macro_rules! conditions {
    (
        on the levels of one channel { $($single:ident $Single:ident,)* }
        on one channel { $($one:ident $One:ident,)* }
        on several { $($several:ident $Several:ident,)* }
    ) => {
        /// The options that a condition takes.
        fn options(condition: ConditionName) -> &'static [&'static str] {
            match condition {
                $(ConditionName::$Single => $single::OPTIONS,)*
                $(ConditionName::$One => $one::OPTIONS,)*
                $(ConditionName::$Several => $several::OPTIONS,)*
            }
        }

        /// What the options ask for, which are all of use.
        fn read<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
            let of: Qualifiable<T> = match ask.args.on {
                $(ConditionName::$Single => Setup::from($single::config(ask)?).into(),)*
                $(ConditionName::$One => $one::config(ask)?.into(),)*
                $(ConditionName::$Several => return Ok($several::config(ask)?.into()),)*
            };
            qualified::qualified(ask, of)
        }

        impl<T: Sample> Tells for Setup<T> {
            fn told(&self) -> &dyn Told {
                match self {
                    $(Self::$Single(config) => config,)*
                }
            }
        }

        impl<T: Sample> Tells for Qualifiable<T> {
            fn told(&self) -> &dyn Told {
                match self {
                    Self::Single(config) => config,
                    $(Self::$One(config) => config,)*
                }
            }
        }

        impl<T: Sample> Tells for Composition<T> {
            fn told(&self) -> &dyn Told {
                match self {
                    Self::Single(config) => config,
                    Self::Qualified(config) => config,
                    $(Self::$One(config) => config,)*
                    $(Self::$Several(config) => config,)*
                }
            }
        }
    };
}

conditions! {
    on the levels of one channel {
        edge Edge,
        pulse Pulse,
        interval Interval,
        dropout Dropout,
        transition Transition,
        runt Runt,
        window Window,
    }
    on one channel {
        delay Delay,
        count Count,
        sequence Sequence,
        uart Uart,
        video Video,
    }
    on several {
        pattern Pattern,
        setup_hold SetupHold,
        i2c I2c,
        spi Spi,
    }
}

/// One of several conditions, of which each tells of itself.
trait Tells {
    fn told(&self) -> &dyn Told;
}

impl<S: Tells> Told for S {
    fn noun(&self) -> &'static str {
        self.told().noun()
    }

    fn describe(&self, sources: &Sources) -> String {
        self.told().describe(sources)
    }

    fn describe_part(&self, sources: &Sources) -> String {
        self.told().describe_part(sources)
    }

    fn marks(&self, sources: &Sources) -> Vec<Mark> {
        self.told().marks(sources)
    }

    fn bounds(&self) -> Option<[&'static str; 2]> {
        self.told().bounds()
    }

    fn avoids_every_other_level(&self) -> bool {
        self.told().avoids_every_other_level()
    }
}

/// The condition that the options ask for.
///
/// # Errors
/// An option that is missing, or that the condition has no use for; quantities whose unit needs
/// more to be known.
pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let on = ask.args.on;
    if let Some(option) = ask.args.given().find(|option| !options(on).contains(option)) {
        let others = ConditionName::value_variants().iter();
        let others = others.filter(|other| options(**other).contains(&option));
        let others: Vec<_> = others.map(|other| format!("--on {}", other.name())).collect();
        return Err(Error::usage(
            format!("{option} has no use with --on {}", on.name()),
            format!("leave it out, or choose {}", others.join(" or ")),
        ));
    }
    read(ask)
}
