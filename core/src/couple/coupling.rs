//! The configuration of a coupling.

use crate::ConfigError;

/// Which part of a signal a condition sees.
///
/// All but DC are filters of the first order, made by the bilinear transform (a Butterworth filter
/// of order 1): at the corner what passes is 1/√2 of what comes, on the far side of it a tenth at
/// ten times or a tenth of the corner.
///
/// A filter begins as if the signal had always been at its first sample, and begins so anew after
/// a gap; [`Corner::settling`] says how long what that did wrong can be seen. What comes out of it
/// is rounded to the nearest number of the sample's type.
///
/// ```
/// use stillwave::{Condition, Corner, Coupling, Edge, Block, Input, Inputs, Level, Slope};
/// // Rising through the mean, wherever that is: for u8 the mean stands at 128.
/// let edge = Edge::new(Slope::Rising, Level::<u8>::new(128, 4)?)?;
/// let ac = Coupling::Ac(Corner::new(100.0, 10e3)?);
/// let mut condition = Inputs::new(edge, [Input::Coupled { channel: 0, coupling: ac }])?;
/// let samples: Vec<u8> = (0..1000).map(|i| if i % 100 < 50 { 200 } else { 240 }).collect();
/// let event = condition.next(&Block::new(0, &[&samples])).unwrap();
/// assert_eq!(event.at.position, 150);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Coupling {
    /// All of it, with no filter at all.
    #[default]
    Dc,
    /// What is above the corner, about [`Sample::MIDDLE`](crate::Sample::MIDDLE): without the mean.
    /// The corner is below what the signal is about, say 10 Hz (common practice).
    Ac(Corner),
    /// The same filter, its corner above what disturbs: mains hum, a drift.
    LowReject(Corner),
    /// What is below the corner: without noise and spikes. It also delays what passes, by
    /// 1/(2π · corner) where that is far below the corner.
    HighReject(Corner),
}

impl Coupling {
    /// The corner, where there is a filter.
    pub const fn corner(self) -> Option<Corner> {
        match self {
            Self::Dc => None,
            Self::Ac(corner) | Self::LowReject(corner) | Self::HighReject(corner) => Some(corner),
        }
    }

    /// Whether the mean is taken away, so that levels count from
    /// [`Sample::MIDDLE`](crate::Sample::MIDDLE).
    pub const fn removes_mean(self) -> bool {
        matches!(self, Self::Ac(_) | Self::LowReject(_))
    }

    /// The coupling itself where its corner is in range.
    ///
    /// # Errors
    /// The errors of [`Corner::validated`].
    pub fn validated(self) -> Result<Self, ConfigError> {
        self.corner().map(Corner::validated).transpose().map(|_| self)
    }
}

/// The frequency at which a filter lets 1/√2 (−3 dB) pass, as the filter needs it.
///
/// With t = tan(π · corner / rate) it is t / (1 + t), in 1/2³² and rounded to nearest.
///
/// ```
/// use stillwave::Corner;
/// let corner = Corner::new(10.0, 500e3)?;
/// assert!((corner.hertz(500e3) - 10.0).abs() < 1e-4);
/// // 0.733 / 10 Hz
/// assert_eq!(corner.settling(), 36_647);
/// assert!(Corner::new(200e3, 500e3).is_err());
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Corner(u32);

/// The parts in one.
const ONE: f64 = 4_294_967_296.0;

/// The most parts of a corner: those of a quarter of the rate.
const MOST: u32 = (1 << 31) - 1;

impl Corner {
    /// A corner in hertz at a rate in samples a second.
    ///
    /// # Errors
    /// A corner above a quarter of the rate, or so far below that the filter would never settle
    /// (under a ten-thousand-millionth of it); a rate that is not above 0.
    pub fn new(hertz: f64, rate: f64) -> Result<Self, ConfigError> {
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(ConfigError::new("rate", rate, "above 0"));
        }
        if !(hertz >= rate * 1e-10 && hertz <= rate / 4.0) {
            let range = "above 0 and at most a quarter of the sample rate";
            return Err(ConfigError::new("corner", hertz, range));
        }
        let tangent = libm::tan(core::f64::consts::PI * hertz / rate);
        // The cast saturates, and the largest corner comes to a half, give or take a last bit.
        Self((libm::round(tangent / (1.0 + tangent) * ONE) as u32).clamp(1, MOST)).validated()
    }

    /// A corner by its [`parts`](Self::parts), 1 to 2147483647. Not checked:
    /// [`validated`](Self::validated) does it.
    pub const fn from_parts(parts: u32) -> Self {
        Self(parts)
    }

    /// t / (1 + t) in 1/2³².
    pub const fn parts(self) -> u32 {
        self.0
    }

    /// The corner itself where it is in range.
    ///
    /// # Errors
    /// Parts of 0, or of a half or more.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self.0 {
            1..=MOST => Ok(self),
            parts => Err(ConfigError::new("corner", parts.into(), "from 1 to 2147483647 parts")),
        }
    }

    /// The corner in hertz at a rate in samples a second.
    pub fn hertz(self, rate: f64) -> f64 {
        let part = f64::from(self.0) / ONE;
        libm::atan(part / (1.0 - part)) * rate / core::f64::consts::PI
    }

    /// After how many samples a step has passed through the filter but for a hundredth: 0.733
    /// periods of the corner.
    pub fn settling(self) -> u64 {
        let pole = 1.0 - 2.0 * f64::from(self.0) / ONE;
        if pole <= 0.01 { 1 } else { libm::ceil(libm::log(0.01) / libm::log(pole)) as u64 }
    }
}
