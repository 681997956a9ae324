//! Whether a signal rests in one half of its range.

use super::super::histogram::Stretch;

/// The counts of one half of a histogram, from the outside inwards.
#[derive(Clone, Copy)]
pub(super) struct Half<'a, C> {
    counts: &'a [C],
    /// The outermost bin is the last one.
    from_top: bool,
}

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
}

impl<'a, C: Copy + Into<u32>> Half<'a, C> {
    pub(super) fn new(counts: &'a [C], from_top: bool) -> Self {
        Self { counts, from_top }
    }

    #[inline]
    fn at(&self, bin: usize) -> u32 {
        let bin = if self.from_top { self.counts.len().wrapping_sub(bin + 1) } else { bin };
        self.counts.get(bin).map_or(0, |&count| count.into())
    }

    pub(super) fn total(&self) -> u32 {
        self.counts.iter().map(|&count| count.into()).sum()
    }

    /// The fullest window that begins in some bins, and what it holds; of equals the outermost.
    pub(super) fn fullest(&self, from: usize, to: usize, window: usize) -> (usize, u32) {
        let mut held: u32 = (from..from + window).map(|bin| self.at(bin)).sum();
        let (mut first, mut most) = (from, held);
        for bin in from + 1..to {
            // What it holds is at least what leaves it.
            held = held + self.at(bin + window - 1) - self.at(bin - 1);
            if held > most {
                (first, most) = (bin, held);
            }
        }
        (first, most)
    }

    /// The bins of the level that the signal rests at, from the outside; `None` where it does not.
    #[inline(never)]
    pub(super) fn rest(&self, search: Search) -> Option<Stretch> {
        let bins = self.counts.len();
        let window = search.window.min(bins);
        let ends = bins - window + 1;
        let (fullest, most) = self.fullest(0, ends, window);
        // The first that holds 30 % of it.
        let mut first = 0;
        let mut held: u32 = (0..window).map(|bin| self.at(bin)).sum();
        while first < fullest && held / 3 < most / 10 {
            held = held + self.at(first + window) - self.at(first);
            first += 1;
        }
        let (first, held) = self.fullest(first, (first + search.reach + 1).min(ends), window);
        let total = self.total();
        let share = if first == 0 { search.share_at_edge } else { search.share };
        // 2.5 times what it would hold of samples that are spread evenly, but no more than 90 %.
        let even = (250 * window as u32).checked_div(bins as u32).unwrap_or(0).min(90);
        let is_flat = u64::from(held) * 100 >= u64::from(total) * u64::from(share.max(even));
        if !is_flat || held == 0 {
            return None;
        }
        let inner = search.inner.min(window);
        let (first, _) = self.fullest(first, first + window - inner + 1, inner);
        let last = (first + inner - 1 + search.more).min(bins - 1);
        Some(self.upright(Stretch { first: first.saturating_sub(search.more), last }))
    }

    /// The outermost bin that holds a sample.
    pub(super) fn outermost(&self) -> u32 {
        (0..self.counts.len()).position(|bin| self.at(bin) > 0).unwrap_or(0) as u32
    }

    /// How many samples lie outside a place, in 1/16; places in 1/16 of a bin from the outside.
    fn outside(&self, place: u32) -> u64 {
        let (whole, part) = ((place / 16) as usize, place % 16);
        let full: u32 = (0..whole).map(|bin| self.at(bin)).sum();
        (u64::from(full) << 4) + u64::from(self.at(whole)) * u64::from(part)
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
    pub(super) fn peak(&self, noise: u32) -> u32 {
        let crowd = u64::from(128 + self.total() / 2);
        if self.outside(noise / 2) > crowd {
            return 0;
        }
        let is_inside = |place: u32| {
            let [at, near, far] = [0, noise, 3 * noise].map(|u| self.outside(place + u));
            at * far * 1000 >= near * (223 * far + 400 * near)
        };
        // From well inside outwards, since single samples far outside say little.
        let (total, mut place) = (u64::from(self.total()) << 4, 0);
        while self.outside(place) * 4 < total {
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

    /// At most so many samples at the edge, then empty bins, at least so many: how many samples,
    /// and the first bin after the empty ones. Of several such, the innermost.
    pub(super) fn apart(&self, most: u32, empty: usize) -> Option<(u32, usize)> {
        let (mut samples, mut since, mut found) = (0, 0, None);
        for bin in 0..self.counts.len() {
            let count = self.at(bin);
            if count == 0 {
                since += 1;
                continue;
            }
            if since >= empty && samples > 0 {
                found = Some((samples, bin));
            }
            samples += count;
            since = 0;
            if samples > most {
                break;
            }
        }
        found
    }

    /// The same bins counted from the bottom of the half's own counts.
    fn upright(&self, Stretch { first, last }: Stretch) -> Stretch {
        if !self.from_top {
            return Stretch { first, last };
        }
        let end = self.counts.len().saturating_sub(1);
        Stretch { first: end.saturating_sub(last), last: end.saturating_sub(first) }
    }
}
