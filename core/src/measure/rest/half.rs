//! Whether a signal rests in one half of its range.

use super::super::histogram::Stretch;

/// Steps of σ/8 in which the peak is still sought further out.
const MISSES: u32 = 4;

/// What to look for.
#[derive(Clone, Copy)]
pub(super) struct Search {
    /// The window's width, in bins, and how far beyond the first full one the fullest is sought.
    pub(super) window: usize,
    pub(super) reach: usize,
    /// What a flat window holds of the half's samples, in %; and where it touches the edge.
    pub(super) share: u32,
    pub(super) share_at_edge: u32,
    /// The width of what the level is the mean of, in bins.
    pub(super) inner: usize,
    /// By how much it is widened to either side, so that chance in noise matters less.
    pub(super) more: usize,
    /// The most samples that may stand apart.
    pub(super) most_apart: u32,
}

/// What one end of a histogram shows; bins are counted from the outside inwards.
#[derive(Clone, Copy)]
pub(super) struct End {
    /// The bins of the level that the signal rests at.
    pub(super) rest: Option<Stretch>,
    /// Its peak without noise, in 1/16 of a bin; `None` where noise is finer than bins.
    pub(super) peak: Option<u32>,
    /// The first bin that holds a sample.
    pub(super) outermost: u32,
    /// Samples that stand apart: how many, and the first bin after the gap.
    pub(super) apart: Option<(u32, usize)>,
}

/// Looks at a histogram from one end, of which `size` bins are one half; `noise` in 1/16 of a bin.
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

/// The fullest window, and what it holds; of equals the first.
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

/// The bins of the level that the signal rests at; `None` where it does not.
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

/// Some bins from one on, as far as there are.
fn part(counts: &[u16], from: usize, bins: usize) -> &[u16] {
    let rest = counts.get(from..).unwrap_or(&[]);
    rest.get(..bins).unwrap_or(rest)
}

/// How many samples lie outside a place, in 1/16; places in 1/16 of a bin.
#[inline(never)]
fn outside(counts: &[u16], place: u32) -> u64 {
    let (whole, rest) = ((place / 16) as usize, place % 16);
    let last = counts.get(whole).map_or(0, |&count| u32::from(count));
    (u64::from(total(part(counts, 0, whole))) << 4) + u64::from(last * rest)
}

/// The peak of a signal that does not rest, in noise of a deviation; in 1/16 of a bin from the
/// outside.
///
/// At a distance u inside the peak, n(u) samples lie farther out: about a power of u, √u for a
/// sine, u for a triangle, more where few cycles reach the peak. Noise of deviation σ takes some
/// of them beyond it: n(0) is then 0.44, 0.37 and 0.32 of n(σ), which is 0.52, 0.36 and 0.26 of
/// n(3σ). So the place sought is where the first ratio is 0.22 + 0.4 times the second one.
///
/// Where a good part of the samples lie together at the very outside, what was taken for noise
/// is none: it would leave few there.
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

/// At most so many samples at the end, then empty bins, at least so many: how many samples, and the
/// first bin after the empty ones. Of several such, the innermost.
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
