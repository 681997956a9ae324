//! The configuration of a coupling.

use crate::ConfigError;

/// The part of a signal that a condition sees.
///
/// All couplings except DC are filters of the first order, made by the bilinear transform (a
/// Butterworth filter of order 1). At the corner, 1/√2 of the input passes; at ten times or a tenth
/// of the corner, on the rejected side, a tenth passes.
///
/// A filter starts as if the signal had always been at its first sample, and restarts so after a
/// gap. [`Corner::settling`] says how long the error of that start is visible. The output is
/// rounded to the nearest number of the sample's type.
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
    /// The whole signal, unfiltered.
    #[default]
    Dc,
    /// The part above the corner, about [`Sample::MIDDLE`](crate::Sample::MIDDLE): without the
    /// mean. The corner is below the frequencies of interest, for example 10 Hz (common practice).
    Ac(Corner),
    /// The same filter with a corner above the disturbance: mains hum, drift.
    LowReject(Corner),
    /// The part below the corner: without noise and spikes. It also delays what passes, by 1/(2π ·
    /// corner) for frequencies far below the corner.
    HighReject(Corner),
}

impl Coupling {
    /// The corner, if there is a filter.
    pub const fn corner(self) -> Option<Corner> {
        match self {
            Self::Dc => None,
            Self::Ac(corner) | Self::LowReject(corner) | Self::HighReject(corner) => Some(corner),
        }
    }

    /// Whether the mean is removed, so that levels count from
    /// [`Sample::MIDDLE`](crate::Sample::MIDDLE).
    pub const fn removes_mean(self) -> bool {
        matches!(self, Self::Ac(_) | Self::LowReject(_))
    }

    /// Returns the coupling unchanged if its corner is in range.
    ///
    /// # Errors
    /// The errors of [`Corner::validated`].
    pub fn validated(self) -> Result<Self, ConfigError> {
        self.corner().map(Corner::validated).transpose().map(|_| self)
    }
}

/// The frequency at which a filter passes 1/√2 (−3 dB), in the form that the filter needs.
///
/// With t = tan(π · corner / rate), it is t / (1 + t), in 1/2³² and rounded to nearest.
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

/// The number of parts in 1.
const ONE: f64 = 4_294_967_296.0;

/// The largest number of parts: the corner is then a quarter of the rate.
const MOST: u32 = (1 << 31) - 1;

impl Corner {
    /// Makes a corner in hertz, at a rate in samples a second.
    ///
    /// # Errors
    /// A corner above a quarter of the rate, or so far below the rate that the filter would never
    /// settle (under a ten-thousand-millionth of it); a rate that is not above 0.
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

    /// Makes a corner from its [`parts`](Self::parts), 1 to 2147483647. They are not checked here;
    /// [`validated`](Self::validated) checks them.
    pub const fn from_parts(parts: u32) -> Self {
        Self(parts)
    }

    /// t / (1 + t) in 1/2³².
    pub const fn parts(self) -> u32 {
        self.0
    }

    /// Returns the corner unchanged if it is in range.
    ///
    /// # Errors
    /// Parts are 0, or a half or more.
    pub fn validated(self) -> Result<Self, ConfigError> {
        match self.0 {
            1..=MOST => Ok(self),
            parts => Err(ConfigError::new("corner", parts.into(), "from 1 to 2147483647 parts")),
        }
    }

    /// The corner in hertz, at a rate in samples a second.
    pub fn hertz(self, rate: f64) -> f64 {
        let part = f64::from(self.0) / ONE;
        libm::atan(part / (1.0 - part)) * rate / core::f64::consts::PI
    }

    /// The number of samples after which a step has passed through the filter up to one hundredth:
    /// 0.733 periods of the corner.
    pub fn settling(self) -> u64 {
        let pole = 1.0 - 2.0 * f64::from(self.0) / ONE;
        if pole <= 0.01 { 1 } else { libm::ceil(libm::log(0.01) / libm::log(pole)) as u64 }
    }
}
