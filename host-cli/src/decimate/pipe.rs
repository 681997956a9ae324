//! A decimator of the engine, whatever its type.

use stillwave::Sample;
use stillwave::decimate::{Decimator, Envelope, Every, Grid};

use crate::error::Error;
use crate::export::Samples;
use crate::quantity::counted;

/// Takes the samples of a channel, or `None` at their end; gives what comes out, a run for each of
/// [`Pipe::parts`].
type Run<T> = Box<dyn FnMut(Option<&[T]>) -> Vec<Samples> + Send>;

/// A decimator for one channel, and what it does to it.
pub struct Pipe<T> {
    run: Run<T>,
    /// What becomes of a channel: an ending to its name each.
    pub parts: &'static [&'static str],
    /// Where outputs are.
    pub grid: Grid,
    /// How many times larger outputs are.
    pub gain: f64,
    /// What was done, for people.
    pub what: String,
    /// What a low pass keeps.
    pub bands: Option<Bands>,
}

/// What a low pass keeps.
#[derive(Debug, Clone, Copy)]
pub struct Bands {
    /// The end of the pass band, in parts of the rate.
    pub pass: f64,
    /// How it ripples, in dB.
    pub ripple: f64,
    /// The beginning of the stop band.
    pub stop: f64,
    /// How far down it is, in dB.
    pub attenuation: f64,
}

impl<T: Sample> Pipe<T> {
    /// One of a decimator whose outputs become samples by `convert`.
    pub(super) fn new<D, O>(
        mut decimator: D,
        convert: impl Fn(&D, D::Output) -> O + Send + 'static,
        gain: f64,
        what: String,
    ) -> Self
    where
        D: Decimator<Input = T> + Send + 'static,
        Samples: From<Vec<O>>,
    {
        let grid = decimator.grid();
        let run = move |samples: Option<&[T]>| {
            let mut outputs = Vec::new();
            decimator.push(samples.unwrap_or(&[]), |output| outputs.push(output));
            let outputs = outputs.into_iter().map(|output| convert(&decimator, output));
            vec![outputs.collect::<Vec<O>>().into()]
        };
        Self { run: Box::new(run), parts: &[""], grid, gain, what, bands: None }
    }

    /// Takes the next samples.
    pub fn push(&mut self, samples: &[T]) -> Vec<Samples> {
        (self.run)(Some(samples))
    }

    /// What is left at the end.
    pub fn finish(&mut self) -> Vec<Samples> {
        (self.run)(None)
    }
}

pub(super) fn every<T: Sample>(step: u32) -> Result<Pipe<T>, Error>
where
    Samples: From<Vec<T>>,
{
    let of = counted(step.into(), "sample");
    let what = format!("one of {of}, as it is");
    Ok(Pipe::new(Every::<T>::new(step)?, |_, x| x, 1.0, what))
}

pub(super) fn envelope<T: Sample>(step: u32) -> Result<Pipe<T>, Error>
where
    Samples: From<Vec<T>>,
{
    let of = counted(step.into(), "sample");
    let mut envelope = Envelope::<T>::new(step)?;
    let grid = envelope.grid();
    let run = move |samples: Option<&[T]>| {
        let (mut least, mut largest) = (Vec::new(), Vec::new());
        let mut add = |extent: stillwave::decimate::Extent<T>| {
            least.push(extent.minimum);
            largest.push(extent.maximum);
        };
        match samples {
            Some(samples) => envelope.push(samples, add),
            None => envelope.finish().into_iter().for_each(&mut add),
        }
        vec![least.into(), largest.into()]
    };
    Ok(Pipe {
        run: Box::new(run),
        parts: &[" minimum", " maximum"],
        grid,
        gain: 1.0,
        what: format!("the least and the largest of {of}"),
        bands: None,
    })
}
