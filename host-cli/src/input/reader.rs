//! A recording read block by block.

use super::Info;
use super::planes::Planes;
use crate::error::Error;
use crate::interrupt;

/// How many bytes of samples a block holds unless the caller knows better.
const BLOCK: usize = 256 * 1024;

/// What can fill block after block.
pub(super) trait Blocks<T> {
    /// Fills the planes' memory and returns the number of frames; 0 is the end.
    fn read(&mut self, planes: &mut Planes<T>, info: &mut Info) -> Result<usize, Error>;

    /// Another that goes on `frames` later in the same recording, where that is no stream.
    fn fork(&self, frames: u64) -> Option<Box<dyn Blocks<T> + Send>> {
        let _ = frames;
        None
    }

    /// Leaves out frames; of those alone that fork.
    fn skip(&mut self, frames: u64) {
        let _ = frames;
    }
}

/// A recording whose samples arrive as `T`, with memory that does not grow with its length.
pub struct Reader<T> {
    info: Info,
    selected: Vec<usize>,
    body: Box<dyn Blocks<T> + Send>,
}

impl<T: Copy + Default> Reader<T> {
    pub(super) fn new(info: Info, selected: Vec<usize>, body: Box<dyn Blocks<T> + Send>) -> Self {
        Self { info, selected, body }
    }

    /// What is known of the recording.
    pub fn info(&self) -> &Info {
        &self.info
    }

    /// The recording's channels, counted from 0, in the order in which the planes hold them.
    pub fn selected(&self) -> &[usize] {
        &self.selected
    }

    /// Takes the notices that have come up since the last call, for the user to be told.
    ///
    /// Some come up on opening and some only at the end.
    pub fn take_notices(&mut self) -> Vec<String> {
        std::mem::take(&mut self.info.notices)
    }

    /// How many frames make a block of a good size.
    pub(crate) fn block(&self) -> usize {
        (BLOCK / (self.selected.len().max(1) * size_of::<T>())).max(64)
    }

    /// A block of a good size for [`Reader::read`]; any other of as many channels does too.
    pub fn planes(&self) -> Planes<T> {
        Planes::new(self.selected.len(), self.block())
    }

    /// Fills the block with the frames that follow and returns how many; 0 is the end.
    ///
    /// From a file the block comes full until the end; from a pipe or a device it holds what
    /// has arrived, one frame at least. A block with too few channels leaves out the last.
    ///
    /// # Errors
    ///
    /// Where the source cannot be read or its content breaks its format.
    pub fn read(&mut self, planes: &mut Planes<T>) -> Result<usize, Error> {
        planes.set_frames(0);
        let frames = self.body.read(planes, &mut self.info)?;
        planes.set_frames(frames);
        Ok(frames)
    }

    /// Notes the least and the largest value of each channel, as far as the first block with a
    /// negative one: where there is none, all of the recording is looked at. Not for streams, which
    /// come only once.
    pub(super) fn look(&mut self)
    where
        T: Into<i64>,
    {
        let (Some(mut values), mut planes) = (self.fork(0), self.planes()) else { return };
        // What is wrong with them is told where they are read.
        while !interrupt::came() && matches!(values.read(&mut planes), Ok(1..)) {
            let mut is_negative = false;
            for (values, &channel) in planes.channels().zip(&self.selected) {
                let Some(channel) = self.info.channels.get_mut(channel) else { continue };
                let ends = values.iter().fold(channel.seen, |ends, &value| {
                    let value: i64 = value.into();
                    let (least, most) = ends.unwrap_or((value, value));
                    Some((least.min(value), most.max(value)))
                });
                channel.seen = ends;
                is_negative |= ends.is_some_and(|(least, _)| least < 0);
            }
            if is_negative {
                return;
            }
        }
    }

    /// Another reader, which goes on `frames` later in the same recording; `None` where that is a
    /// stream, which comes only once.
    pub(crate) fn fork(&self, frames: u64) -> Option<Self> {
        let body = self.body.fork(frames)?;
        Some(Self { info: self.info.clone(), selected: self.selected.clone(), body })
    }

    /// Leaves out frames of a recording that can be read by several.
    pub(crate) fn skip(&mut self, frames: u64) {
        self.body.skip(frames);
    }
}
