//! Which setting is wrong.

use core::ffi::c_char;

use stillwave::ConfigError;

/// A setting out of its range.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct StillwaveFault {
    /// Its value.
    pub value: f64,
    /// Its name, ended by a 0: that of a field of StillwaveSettings, `pre + post` for the two
    /// together, or `length` for that of the memory.
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
        let ConfigError { parameter, value, range, .. } = error;
        // The engine's names where they are not those of the fields here.
        match parameter {
            "high" => Self::new("upper_level", value, "over level"),
            "upper bound" => Self::new("time_to", value * 65_536.0, "time or more"),
            "auto time" => Self::new("auto_after", value, range),
            "record length" => Self::new("pre + post", value, range),
            "buffer" => Self::new("length", value, "pre + post or more"),
            _ => Self::new(parameter, value, range),
        }
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
