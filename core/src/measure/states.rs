//! The bins of a histogram that are a signal's two states.

use super::LevelMethod;
use super::histogram::{BINS, Binning, Stretch};
use crate::Sample;

/// The bins of each half's state, if it has one. It has its own stack frame, so that the counts
/// leave the stack before timing begins.
#[inline(never)]
pub(super) fn states<C, T: Sample>(
    method: LevelMethod,
    binning: &Binning<T>,
    samples: &[T],
) -> (Option<Stretch>, Option<Stretch>)
where
    C: Copy + From<u8> + core::ops::AddAssign + Into<usize>,
{
    let mut counts = [C::from(0); BINS];
    binning.count(samples, &mut counts);
    among(method, binning, &counts)
}

/// The same, from samples that have been counted.
pub(super) fn among<C, T: Sample>(
    method: LevelMethod,
    binning: &Binning<T>,
    counts: &[C; BINS],
) -> (Option<Stretch>, Option<Stretch>)
where
    C: Copy + Into<usize>,
{
    // An odd number of bins leaves the middle one to neither half.
    let last = binning.last();
    let half = last.div_ceil(2);
    let low = counts.get(..half).unwrap_or(&[]);
    let high = counts.get(last + 1 - half..=last).unwrap_or(&[]);
    // Each half from the outside inwards, so that both are treated alike.
    let mirrored = |Stretch { first, last: inner }| Stretch {
        first: last.saturating_sub(inner),
        last: last.saturating_sub(first),
    };
    match method {
        LevelMethod::Mode => (mode(low.iter()), mode(high.iter().rev()).map(mirrored)),
        LevelMethod::Shorth => (shorth(low.iter()), shorth(high.iter().rev()).map(mirrored)),
        LevelMethod::Mean | LevelMethod::Extremes | LevelMethod::Rest => {
            let all = Stretch { first: 0, last: half.saturating_sub(1) };
            (Some(all), Some(mirrored(all)))
        }
    }
}

/// The fullest bin, if it stands out; the first of equals, which is the outermost.
fn mode<'a, C>(counts: impl ExactSizeIterator<Item = &'a C>) -> Option<Stretch>
where
    C: Copy + Into<usize> + 'a,
{
    let bins = counts.len();
    let (mut fullest, mut mode, mut total) = (0, 0, 0);
    for (bin, &count) in counts.enumerate() {
        let count = count.into();
        // Together no more than the samples of a record.
        total += count;
        if count > fullest {
            (fullest, mode) = (count, bin);
        }
    }
    let average = total.checked_div(bins)?;
    let stands_out = fullest > average.saturating_mul(2).saturating_add(4);
    let mode = Stretch { first: mode, last: mode };
    (stands_out || fullest >= total - fullest).then_some(mode)
}

/// The shortest run of bins that holds half of all; of equals, the fullest, then the outermost.
fn shorth<'a, C>(counts: impl Iterator<Item = &'a C> + Clone) -> Option<Stretch>
where
    C: Copy + Into<usize> + 'a,
{
    let total: usize = counts.clone().map(|&count| count.into()).sum();
    let enough = total.div_ceil(2);
    // A run grows at its end, and is cut at its beginning while it still holds enough.
    let mut beginnings = counts.clone().map(|&count| count.into());
    let (mut first, mut held) = (0, 0);
    let mut beginning = beginnings.next()?;
    let mut shortest: Option<(usize, usize, Stretch)> = None;
    for (last, &count) in counts.enumerate() {
        held += count.into();
        while first < last && held - beginning >= enough {
            held -= beginning;
            first += 1;
            beginning = beginnings.next()?;
        }
        let length = last - first;
        let is_better = shortest.is_none_or(|(shortest, most, _)| {
            length < shortest || (length == shortest && held > most)
        });
        if held >= enough && is_better {
            shortest = Some((length, held, Stretch { first, last }));
        }
    }
    shortest.map(|(_, _, stretch)| stretch)
}
