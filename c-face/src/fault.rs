//! Which setting is wrong.

use core::ffi::c_char;

use stillwave::ConfigError;

/// A setting out of its range.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveFault {
    /// Its value.
    pub value: f64,
    /// Its name, ended by a 0.
    pub parameter: [c_char; 32],
    /// What it must be, ended by a 0.
    pub range: [c_char; 96],
}

impl StillwaveFault {
    pub(crate) fn new(parameter: &str, value: f64, range: &str) -> Self {
        Self { value, parameter: text(parameter), range: text(range) }
    }
}

impl From<ConfigError> for StillwaveFault {
    fn from(error: ConfigError) -> Self {
        Self::new(error.parameter, error.value, error.range)
    }
}

/// As much as there is room for, and a 0.
fn text<const N: usize>(text: &str) -> [c_char; N] {
    let mut out = [0; N];
    let room = N.saturating_sub(1);
    for (to, from) in out.iter_mut().take(room).zip(text.bytes()) {
        *to = from as c_char;
    }
    out
}
