//! Dropout: the signal has stopped.
//!
//! ```text
//! level ──•───•───•───────────      no edge for a time T since the last:
//!        ╱ ╲ ╱ ╲ ╱ ╲         !      fires then, while the signal is quiet
//!      _╱   ╲   ╱   ╲________!_
//!                 ◄── T ────►
//! ```

use super::{Configuration, DelayConfig, EdgeConfig, EdgeSlope, Relaxed, configuration};
use super::{Deadline, Lookahead};
use crate::{
    Block, Comparison, Condition, ConfigError, Event, EventKind, Level, Sample, Slope, Span,
};

configuration! {
    /// Fires when there is no edge for a time: [`Dropout`].
    pub struct DropoutConfig<T: Sample> {
        /// The slope of the edges.
        pub slope: EdgeSlope,
        /// The level.
        pub level: Level<T>,
        /// The time without an edge, in samples.
        pub after: u64,
    }
}

impl<T: Sample> Configuration<T> for DropoutConfig<T> {
    type Condition = Dropout<<EdgeConfig<T> as Configuration<T>>::Condition>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        let Self { slope, level, after } = self;
        Dropout::new(EdgeConfig { slope, level }.build()?, after)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        self.slope.each(|slope| each(slope, self.level));
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let edge = EdgeConfig { slope: self.slope, level: self.level }.into();
        let time = Comparison::LongerThan(Span::samples(self.after));
        Some(Relaxed::timed(DelayConfig { from: edge, to: edge, time: Comparison::ANY }, time))
    }
}

/// Fires when an edge, or any other event that it watches, has not come for a time T.
///
/// After an event at position p it fires at exactly p + T, unless another event comes at p + T or
/// before; T then runs from that one. It fires once, as soon as the sample at p + T is there, and
/// again only after another event. It never fires before the first event of the stream, or before
/// the first event after a gap.
///
/// ```
/// use stillwave::{Block, Condition, Dropout, Edge, EventKind, Instant, Level, Slope, Span};
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(100, 50)?)?;
/// let mut dropout = Dropout::new(edge, 5)?;
/// let samples: [u8; 12] = [0, 200, 200, 0, 0, 200, 200, 0, 0, 0, 0, 0];
/// let channels = [&samples[..]];
/// let event = dropout.next(&Block::new(0, &channels)).unwrap();
/// assert_eq!(event.at, Instant::at(5 + 5));
/// // The last edge was half way between samples 4 and 5.
/// assert_eq!(event.kind, EventKind::Dropout { time: Span::from_parts(5 * 65536 + 32768) });
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Dropout<C> {
    edges: C,
    after: u64,
    next_edge: Lookahead<Event>,
    deadline: Deadline,
}

impl<C: Condition> Dropout<C> {
    /// Fires when there has been no event of `edges` for `after` samples. `edges` is an
    /// [`Edge`](crate::Edge), an [`EitherEdge`](crate::EitherEdge) or another condition.
    ///
    /// # Errors
    /// `after` is 0.
    pub fn new(edges: C, after: u64) -> Result<Self, ConfigError> {
        if after == 0 {
            return Err(ConfigError::new("after", 0.0, "1 sample or more"));
        }
        let (next_edge, deadline) = Default::default();
        Ok(Self { edges, after, next_edge, deadline })
    }

    fn forget(&mut self) {
        (self.next_edge, self.deadline) = Default::default();
    }
}

impl<C: Condition> Condition for Dropout<C> {
    type Sample = C::Sample;

    #[inline]
    fn next(&mut self, block: &Block<'_, C::Sample>) -> Option<Event> {
        loop {
            let Self { edges, next_edge, .. } = self;
            let edge = next_edge.peek(|| edges.next(block));
            if let Some((at, time)) = self.deadline.run_out(edge.map(|e| e.at), block.end()) {
                return Some(Event { at, kind: EventKind::Dropout { time } });
            }
            self.deadline.set(self.next_edge.take()?.at, self.after);
        }
    }

    #[inline]
    fn for_each(
        &mut self,
        block: &Block<'_, C::Sample>,
        mut accept: impl FnMut(u64) -> bool,
        mut f: impl FnMut(Event),
    ) {
        let Self { edges, after, next_edge, deadline } = self;
        let mut run_out = |deadline: &mut Deadline, next| {
            if let Some((at, time)) = deadline.run_out(next, block.end())
                && accept(at.position)
            {
                f(Event { at, kind: EventKind::Dropout { time } });
            }
        };
        let mut on_edge = |edge: Event| {
            run_out(deadline, Some(edge.at));
            deadline.set(edge.at, *after);
        };
        if let Some(held) = next_edge.take() {
            on_edge(held);
        }
        edges.for_each(block, |_| true, on_edge);
        run_out(deadline, None);
    }

    fn gap(&mut self) {
        self.edges.gap();
        self.forget();
    }

    fn reset(&mut self) {
        self.edges.reset();
        self.forget();
    }
}
