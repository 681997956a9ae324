//! Memory for samples, in pages of the kind that numpy asks for.

use std::marker::PhantomData;
use std::ops::{Deref, DerefMut};

use bytemuck::Pod;
use memmap2::MmapMut;

/// A slice in huge pages, where the system has them: from small ones a core reads large memory more
/// slowly, and all that is compared has to stand in the same.
pub struct Buffer<T> {
    memory: MmapMut,
    len: usize,
    item: PhantomData<T>,
}

impl<T: Pod> Buffer<T> {
    /// So many zeros.
    ///
    /// # Panics
    /// Where there is not so much memory.
    pub fn zeros(len: usize) -> Self {
        let memory = MmapMut::map_anon(len.max(1) * size_of::<T>()).expect("memory enough");
        #[cfg(target_os = "linux")]
        if let Err(error) = memory.advise(memmap2::Advice::HugePage) {
            eprintln!("no huge pages: {error}");
        }
        Self { memory, len, item: PhantomData }
    }
}

impl<T: Pod> Deref for Buffer<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &bytemuck::cast_slice(&self.memory)[..self.len]
    }
}

impl<T: Pod> DerefMut for Buffer<T> {
    fn deref_mut(&mut self) -> &mut [T] {
        &mut bytemuck::cast_slice_mut(&mut self.memory)[..self.len]
    }
}
