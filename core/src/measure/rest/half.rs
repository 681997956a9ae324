//! Decides whether a signal rests in one half of its range.

use super::super::histogram::Stretch;

/// The number of steps of σ/8 without success before the search for the peak further out ends.
const MISSES: u32 = 4;

/// The parameters of the search.
#[derive(Clone, Copy)]
pub(super) struct Search {
    /// The width of the window in bins, and how far beyond the first full window the fullest is
    /// searched.
    pub(super) window: usize,
    pub(super) reach: usize,
    /// The least share of the half's samples in a flat window, in %; and if it touches the edge.
    pub(super) share: u32,
    pub(super) share_at_edge: u32,
    /// The number of bins whose samples' mean is the level.
    pub(super) inner: usize,
    /// The widening of these bins to either side, so that chance in the noise matters less.
    pub(super) more: usize,
    /// The largest number of samples that may count as outliers.
    pub(super) most_apart: u32,
}

/// The findings at one end of a histogram. Bins are counted from the outside inwards.
#[derive(Clone, Copy)]
pub(super) struct End {
    /// The bins of the level at which the signal rests.
    pub(super) rest: Option<Stretch>,
    /// The peak without noise, in 1/16 of a bin; `None` if the noise is finer than bins.
    pub(super) peak: Option<u32>,
    /// The first bin that holds a sample.
    pub(super) outermost: u32,
    /// Outliers: how many, and the first bin after the gap.
    pub(super) apart: Option<(u32, usize)>,
}

/// Analyses a histogram from one end, where `size` bins are one half; `noise` is in 1/16 of a bin.
#[inline(never)]
pub(super) fn end(counts: &[u16], size: usize, search: &Search, noise: u32) -> End {
    let half = counts.get(..size).unwrap_or(&[]);
    let total = total(half);
    let empty = (counts.len() * 3 / 25).max(1);
    End {
        rest: rest(half, total, search),
        peak: (noise > 8).then(|| peak(half, total, noise)),
        outermost: half.iter().position(|&count| count > 0).unwrap_or(0) as u32,
        apart: apart(counts, search.most_apart, empty),
    }
}

#[inline(never)]
pub(super) fn total(counts: &[u16]) -> u32 {
    counts.iter().map(|&count| u32::from(count)).sum()
}

/// The position of the fullest window and its number of samples; the first of equals.
#[inline(never)]
pub(super) fn fullest(counts: &[u16], window: usize) -> (usize, u32) {
    let (before, after) = counts.split_at_checked(window).unwrap_or((counts, &[]));
    let mut held = total(before);
    let (mut first, mut most) = (0, held);
    for (bin, (&enters, &leaves)) in after.iter().zip(counts).enumerate() {
        // What it holds is at least what leaves it.
        held = held + u32::from(enters) - u32::from(leaves);
        if held > most {
            (first, most) = (bin + 1, held);
        }
    }
    (first, most)
}

/// The bins of the level at which the signal rests; `None` if it does not rest.
fn rest(half: &[u16], total: u32, search: &Search) -> Option<Stretch> {
    let bins = half.len();
    let window = search.window.min(bins);
    let (fullest_at, most) = fullest(half, window);
    // The first that holds 30 % of it.
    let mut from = 0;
    let mut held = self::total(half.get(..window)?);
    while from < fullest_at && held * 10 < most * 3 {
        held = held + u32::from(*half.get(from + window)?) - u32::from(*half.get(from)?);
        from += 1;
    }
    let (first, held) = fullest(part(half, from, window + search.reach), window);
    let first = from + first;
    let share = if first == 0 { search.share_at_edge } else { search.share };
    // 2.5 times what it would hold of samples that are spread evenly, but no more than 90 %.
    let even = (250 * window as u32).checked_div(bins as u32).unwrap_or(0).min(90);
    let is_flat = u64::from(held) * 100 >= u64::from(total) * u64::from(share.max(even));
    if !is_flat || held == 0 {
        return None;
    }
    let inner = search.inner.min(window);
    let first = first + fullest(part(half, first, window), inner).0;
    let last = (first + inner - 1 + search.more).min(bins - 1);
    Some(Stretch { first: first.saturating_sub(search.more), last })
}

/// At most `bins` bins from `from` on, as far as there are any.
fn part(counts: &[u16], from: usize, bins: usize) -> &[u16] {
    let rest = counts.get(from..).unwrap_or(&[]);
    rest.get(..bins).unwrap_or(rest)
}

/// The number of samples outside a place, in 1/16; places are in 1/16 of a bin.
#[inline(never)]
fn outside(counts: &[u16], place: u32) -> u64 {
    let (whole, rest) = ((place / 16) as usize, place % 16);
    let last = counts.get(whole).map_or(0, |&count| u32::from(count));
    (u64::from(total(part(counts, 0, whole))) << 4) + u64::from(last * rest)
}

/// The peak of a signal that does not rest, in noise of a deviation; in 1/16 of a bin from the
/// outside.
///
/// At a distance u inside the peak, n(u) samples are farther out. n is about a power of u: √u for a
/// sine, u for a triangle, more where few cycles reach the peak. Noise of deviation σ moves some of
/// them beyond the peak: n(0) is then 0.44, 0.37 and 0.32 of n(σ), which is 0.52, 0.36 and 0.26 of
/// n(3σ). The peak is therefore where the first ratio is 0.22 + 0.4 times the second one.
///
/// If many samples are together at the very outside, what was taken for noise is not noise: noise
/// would leave few there.
#[inline(never)]
fn peak(half: &[u16], total: u32, noise: u32) -> u32 {
    let crowd = u64::from(128 + total / 2);
    if outside(half, noise / 2) > crowd {
        return 0;
    }
    let is_inside = |place: u32| {
        let [at, near, far] = [0, noise, 3 * noise].map(|u| outside(half, place + u));
        at * far * 1000 >= near * (223 * far + 400 * near)
    };
    // From well inside outwards, since single samples far outside say little.
    let (total, mut place) = (u64::from(total) << 4, 0);
    while outside(half, place) * 4 < total {
        place += 16;
    }
    let step = (noise / 8).max(1);
    let (mut found, mut misses) = (place, 0);
    while let Some(next) = place.checked_sub(step)
        && misses < MISSES
    {
        place = next;
        misses += 1;
        if is_inside(place) {
            (found, misses) = (place, 0);
        }
    }
    found + noise / 16
}

/// Finds at most `most` samples at the end followed by at least `empty` empty bins: the number of
/// samples, and the first bin after the empty ones. Of several such places, the innermost counts.
fn apart(counts: &[u16], most: u32, empty: usize) -> Option<(u32, usize)> {
    let (mut samples, mut since, mut found) = (0, 0, None);
    for (bin, &count) in counts.iter().enumerate() {
        if count == 0 {
            since += 1;
            continue;
        }
        if since >= empty && samples > 0 {
            found = Some((samples, bin));
        }
        samples += u32::from(count);
        since = 0;
        if samples > most {
            break;
        }
    }
    found
}
