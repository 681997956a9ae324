//! Records as they are sent. Standards are cited from memory.

use microscpi::{Error, Response, Write};
use stillwave_app::FrontEnd;

use crate::answer::Number;
use crate::value::{DataWord, OrderWord};

/// How a record is sent.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Format {
    pub(crate) data: DataWord,
    pub(crate) order: OrderWord,
}

impl Default for Format {
    fn default() -> Self {
        Self { data: DataWord::Unsigned, order: OrderWord::Normal }
    }
}

impl Format {
    /// Bits a number; 0 for as many digits as there are.
    pub(crate) fn bits(self) -> u8 {
        match self.data {
            DataWord::Ascii => 0,
            DataWord::Unsigned => 16,
            DataWord::Real => 32,
        }
    }
}

/// A record on its way: codes or volts, in a block of definite length (IEEE 488.2, 8.7.9), or volts
/// in digits.
pub(crate) struct Block<S> {
    pub(crate) samples: S,
    pub(crate) format: Format,
    pub(crate) front: FrontEnd,
}

impl<S: AsRef<[u16]>> Response for Block<S> {
    fn write_response(&self, f: &mut impl Write) -> Result<(), Error> {
        let samples = self.samples.as_ref();
        let volts = |code: u16| self.front.scale.volts(f64::from(code));
        let swapped = self.format.order == OrderWord::Swapped;
        let head = |f: &mut _, length| block_head(f, length);
        match self.format.data {
            DataWord::Ascii => {
                for (index, &code) in samples.iter().enumerate() {
                    if index > 0 {
                        f.write_char(',')?;
                    }
                    Number(volts(code)).write_response(f)?;
                }
                Ok(())
            }
            DataWord::Unsigned => {
                head(f, 2 * samples.len())?;
                samples.iter().try_for_each(|&code| {
                    let bytes = if swapped { code.to_le_bytes() } else { code.to_be_bytes() };
                    f.write_bytes(&bytes)
                })
            }
            DataWord::Real => {
                head(f, 4 * samples.len())?;
                samples.iter().try_for_each(|&code| {
                    let number = volts(code) as f32;
                    let bytes = if swapped { number.to_le_bytes() } else { number.to_be_bytes() };
                    f.write_bytes(&bytes)
                })
            }
        }
    }
}

/// `#`, how many digits the length has, the length in bytes.
fn block_head(f: &mut impl Write, length: usize) -> Result<(), Error> {
    let digits = length.checked_ilog10().unwrap_or(0) + 1;
    if digits > 9 {
        return Err(Error::TooMuchData);
    }
    write!(f, "#{digits}{length}")
}
