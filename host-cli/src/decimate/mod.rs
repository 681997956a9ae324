//! Decimation of recordings: options → the engine's decimators, one for each channel.

mod kept;
mod pipe;

pub use kept::Kept;
pub use pipe::Pipe;

use crate::args::{DecimateArgs, HowName};
use crate::error::Error;
use crate::export::Samples;

/// The decimator that the options ask for.
///
/// # Errors
/// Options out of range, or that do not go together.
pub fn pipe<T: Kept>(args: &DecimateArgs) -> Result<Pipe<T>, Error>
where
    Samples: From<Vec<T>>,
{
    check(args)?;
    let step = args.by;
    match args.how {
        HowName::Every => pipe::every(step),
        HowName::Minmax => pipe::envelope(step),
        HowName::Boxcar => T::boxcar(step),
        HowName::Cic => T::cic(args.order.unwrap_or(3), step),
        HowName::Fir => T::fir(step, args.attenuation.unwrap_or(60.0)),
    }
}

fn check(args: &DecimateArgs) -> Result<(), Error> {
    for (given, option, how) in [
        (args.order.is_some(), "--order", HowName::Cic),
        (args.attenuation.is_some(), "--attenuation", HowName::Fir),
    ] {
        if given && args.how != how {
            let name = if how == HowName::Cic { "cic" } else { "fir" };
            return Err(Error::usage(
                format!("{option} is of no use here"),
                format!("leave it out, or add --how {name}"),
            ));
        }
    }
    if args.by == 0 {
        return Err(Error::usage("--by is 0", "give 1 or more"));
    }
    Ok(())
}
