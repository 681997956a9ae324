//! Recordings that are being read: no output may take their place.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The files that are open, by their real names; as often as they are.
static OPEN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// A regular file that is read.
pub(super) struct OpenFile {
    pub(super) file: File,
    real: Option<PathBuf>,
}

impl OpenFile {
    pub(super) fn new(file: File, path: &Path) -> Self {
        let real = path.canonicalize().ok();
        if let Some(real) = &real {
            OPEN.lock().unwrap_or_else(PoisonError::into_inner).push(real.clone());
        }
        Self { file, real }
    }
}

impl Drop for OpenFile {
    fn drop(&mut self) {
        let mut open = OPEN.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(index) = open.iter().position(|path| Some(path) == self.real.as_ref()) {
            open.swap_remove(index);
        }
    }
}

/// Whether a file, or the file behind a link, is being read.
pub fn is_being_read(path: &Path) -> bool {
    path.canonicalize()
        .is_ok_and(|real| OPEN.lock().unwrap_or_else(PoisonError::into_inner).contains(&real))
}
