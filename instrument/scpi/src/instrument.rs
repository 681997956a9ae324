//! What is spoken to.

use stillwave_app::{FrontEnd, Settings};

/// The instrument has gone, and does nothing that is asked of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Missing;

/// An instrument, wherever it is. Waiting is asynchronous, so that a board's other work goes on; on
/// a PC [`pause`](Self::pause) may simply block.
#[allow(async_fn_in_trait, reason = "one thread, one executor")]
pub trait Instrument {
    /// A record's samples.
    type Samples: AsRef<[u16]>;

    /// Its converter.
    fn front(&self) -> FrontEnd;

    /// Samples in its longest record.
    fn longest(&self) -> usize;

    /// What is set, with all that was last asked for.
    fn settings(&self) -> Settings;

    /// Whether a record is waited for or on its way.
    fn is_running(&self) -> bool;

    /// Changes what is set, with all that was last asked for; records that began before are not
    /// given any more. Nobody else changes anything meanwhile.
    ///
    /// # Errors
    /// Where the instrument has gone.
    fn change(&mut self, change: impl Fn(&mut Settings)) -> Result<(), Missing>;

    /// Runs from now on, or waits anew for a single record.
    ///
    /// # Errors
    /// Where the instrument has gone.
    fn run(&mut self) -> Result<(), Missing>;

    /// Stops.
    ///
    /// # Errors
    /// Where the instrument has gone.
    fn stop(&mut self) -> Result<(), Missing>;

    /// How many records have begun.
    fn begun(&self) -> u64;

    /// The last record, if it was made with what is set and begun after so many others.
    fn record(&self, after: u64) -> Option<Self::Samples>;

    /// The time in ms, from any origin.
    fn milliseconds(&self) -> u64;

    /// Waits for news, some ms at most; `false` where none can come any more.
    async fn pause(&mut self) -> bool;
}
