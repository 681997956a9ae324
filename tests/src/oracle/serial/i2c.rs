//! I²C: data changing while the clock stays high is a start or a stop; data as the clock rises is a
//! bit, and nine bits are a byte with its acknowledgement.

use super::Said;
use crate::oracle::Number;
use crate::oracle::many::{Seen, Side, Sight, Watcher};

/// A bus.
#[allow(missing_docs)]
pub struct I2c<N> {
    pub clock: Side<N>,
    pub data: Side<N>,
    /// The bits since the start or the last byte, and the bytes before, while there is a transfer.
    pub transfer: Option<(Vec<bool>, usize)>,
}

impl<N: Number> Watcher<N> for I2c<N> {
    fn frame(&mut self, position: u64, frame: &[N]) -> Vec<Sight> {
        let clock = self.clock.frame(frame);
        let data = self.data.frame(frame).filter(|(changed, _)| *changed);
        let (high, one) = (self.clock.high == Some(true), self.data.high);
        let sight = |lead, said| vec![Sight { position, lead, what: Seen::Said(said) }];
        match (clock, data) {
            (None, Some((_, lead))) if high && one == Some(true) => {
                self.transfer = None;
                sight(lead, Said::Stop)
            }
            (None, Some((_, lead))) if high => {
                self.transfer = Some((vec![], 0));
                sight(lead, Said::Start)
            }
            (Some((true, lead)), _) if high => {
                let (Some((bits, bytes)), Some(one)) = (&mut self.transfer, one) else {
                    return vec![];
                };
                bits.push(one);
                if bits.len() < 9 {
                    return vec![];
                }
                let value = bits[..8].iter().fold(0, |value, &one| 2 * value + u8::from(one));
                let acknowledged = !bits[8];
                bits.clear();
                *bytes += 1;
                sight(
                    lead,
                    match bytes {
                        1 => {
                            Said::Address { address: value / 2, read: value % 2 == 1, acknowledged }
                        }
                        _ => Said::Data { value, acknowledged },
                    },
                )
            }
            _ => vec![],
        }
    }

    fn gap(&mut self) {
        self.clock.gap();
        self.data.gap();
        self.transfer = None;
    }
}
