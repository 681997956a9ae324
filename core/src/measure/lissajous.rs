//! Two channels drawn over each other: the ellipse of two sines of the same frequency.
//!
//! ```text
//!        ╭────╮ ─ ─ ymax        y
//!     ╭──╯   ╭╯                 ▲
//!   ╭─╯    ╭─╯                  │
//!   │    ╭─╯ ─ ─ y(x = 0)       └──► x
//!   ╰────╯
//! ```

use super::Reason;
use super::linear::solve;
use super::number::real;
use super::statistics::Sums;
use crate::Sample;

/// Channels this strongly correlated draw a line, so that no ellipse can be found.
const LINE: f64 = 0.999_999;

/// The ellipse through the points (x, y) of two channels, with the phase between them.
///
/// The fit is by least squares, of the conic a·u² + b·uv + c·v² + d·u + e·v = 1 in u and v, which
/// are the channels less their mean and over their RMS about it. For two sines x = A cos ωt and y =
/// B cos(ωt − φ): |sin φ| = y(x = 0)/ymax, about the centre (textbook). The direction in which the
/// ellipse is drawn gives the sign.
///
/// The example has a phase of a quarter turn:
///
/// ```
/// use stillwave::measure::Lissajous;
/// let wave = |lag: f64| -> Vec<f32> {
///     (0..100).map(|i| (f64::from(i) * 0.2 - lag).cos() as f32).collect()
/// };
/// let found = Lissajous::of(&wave(0.0), &wave(std::f64::consts::FRAC_PI_2))?;
/// assert!((found.phase - 90.0).abs() < 0.01 && (found.sine() - 1.0).abs() < 1e-6);
/// # Ok::<(), stillwave::measure::Reason>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Lissajous {
    /// The phase by which y lags x, in degrees: −180 to 180.
    pub phase: f64,
    /// The centre, in counts of x and y.
    pub centre: (f64, f64),
    /// How far the ellipse reaches from the centre along x and y: the amplitudes of the sines, in
    /// counts.
    pub amplitudes: (f64, f64),
    /// The RMS distance of the points from the ellipse, as a fraction of its size: near 0 for two
    /// sines.
    pub residual: f64,
}

impl Lissajous {
    /// Fits the ellipse through the samples of two channels, as far as both have them.
    ///
    /// ```
    /// use stillwave::measure::Lissajous;
    /// let wave = |i: i32, lag: f64| (1000.0 * (f64::from(i) * 0.1 - lag.to_radians()).cos()) as i16;
    /// let x: Vec<i16> = (0..200).map(|i| wave(i, 0.0)).collect();
    /// let y: Vec<i16> = (0..200).map(|i| wave(i, 30.0) / 2).collect();
    /// let found = Lissajous::of(&x, &y)?;
    /// assert!((found.phase - 30.0).abs() < 0.1 && (found.amplitudes.1 - 500.0).abs() < 1.0);
    /// # Ok::<(), stillwave::measure::Reason>(())
    /// ```
    ///
    /// # Errors
    /// [`Reason::Empty`] for no samples, [`Reason::TooShort`] for fewer than 8;
    /// [`Reason::NotFinite`]; [`Reason::OneLevel`] if a channel does not change;
    /// [`Reason::NotConverged`] if the points are on no ellipse.
    pub fn of<T: Sample, U: Sample>(x: &[T], y: &[U]) -> Result<Self, Reason> {
        let count = x.len().min(y.len());
        let (x, y) = (x.get(..count).unwrap_or(&[]), y.get(..count).unwrap_or(&[]));
        let (across, up) = (Sums::of(x)?.statistics(), Sums::of(y)?.statistics());
        if count < 8 {
            return Err(Reason::TooShort);
        }
        if !(across.ac_rms > 0.0 && up.ac_rms > 0.0) {
            return Err(Reason::OneLevel);
        }
        let points = x.iter().zip(y).map(move |(&x, &y)| {
            ((real(x) - across.mean) / across.ac_rms, (real(y) - up.mean) / up.ac_rms)
        });
        let together = points.clone().map(|(u, v)| u * v).sum::<f64>() / count as f64;
        let shape = if libm::fabs(together) > LINE {
            Shape::line(together)
        } else {
            Shape::of(points.clone())?
        };
        let residual = shape.residual(points.clone());
        let (cosine, sine) =
            (shape.cosine, libm::sqrt((1.0 - shape.cosine * shape.cosine).max(0.0)));
        let lag = libm::atan2(sine, cosine).to_degrees();
        Ok(Self {
            phase: if turning(points) < 0.0 { -lag } else { lag },
            centre: (
                across.mean + shape.centre.0 * across.ac_rms,
                up.mean + shape.centre.1 * up.ac_rms,
            ),
            amplitudes: (shape.amplitudes.0 * across.ac_rms, shape.amplitudes.1 * up.ac_rms),
            residual,
        })
    }

    /// |sin φ|: the height at which the ellipse passes its middle, over the height it reaches.
    pub fn sine(&self) -> f64 {
        libm::fabs(libm::sin(self.phase.to_radians()))
    }

    /// A point of the ellipse at `turn`, from 0 to 1 around it.
    pub fn point(&self, turn: f64) -> (f64, f64) {
        let angle = core::f64::consts::TAU * turn;
        (
            self.centre.0 + self.amplitudes.0 * libm::cos(angle),
            self.centre.1 + self.amplitudes.1 * libm::cos(angle - self.phase.to_radians()),
        )
    }
}

/// An ellipse of normed channels.
struct Shape {
    centre: (f64, f64),
    amplitudes: (f64, f64),
    cosine: f64,
}

impl Shape {
    /// A line, up or down.
    fn line(together: f64) -> Self {
        let root = core::f64::consts::SQRT_2;
        let cosine = if together > 0.0 { 1.0 } else { -1.0 };
        Self { centre: (0.0, 0.0), amplitudes: (root, root), cosine }
    }

    #[allow(clippy::many_single_char_names)] // as the conic's terms are called
    fn of(points: impl Iterator<Item = (f64, f64)>) -> Result<Self, Reason> {
        let (mut matrix, mut right) = ([[0.0; 5]; 5], [0.0; 5]);
        for (u, v) in points {
            let columns = [u * u, u * v, v * v, u, v];
            for ((row, right), x) in matrix.iter_mut().zip(&mut right).zip(columns) {
                for (sum, y) in row.iter_mut().zip(columns) {
                    *sum += x * y;
                }
                *right += x;
            }
        }
        let [a, b, c, d, e] = solve(matrix, right).ok_or(Reason::NotConverged)?;
        // Over 0 for an ellipse; written so that what is not a number fails too.
        let bend = 4.0 * a * c - b * b;
        let is_ellipse = bend > 0.0 && a > 0.0;
        if !is_ellipse {
            return Err(Reason::NotConverged);
        }
        let centre = ((b * e - 2.0 * c * d) / bend, (b * d - 2.0 * a * e) / bend);
        // The same conic about its centre equals this instead of 1.
        let size = 1.0 - 0.5 * (d * centre.0 + e * centre.1);
        if !(size > 0.0 && size.is_finite()) {
            return Err(Reason::NotConverged);
        }
        let amplitudes = (libm::sqrt(4.0 * c * size / bend), libm::sqrt(4.0 * a * size / bend));
        let cosine = -b / (2.0 * libm::sqrt(a * c));
        Ok(Self { centre, amplitudes, cosine: cosine.clamp(-1.0, 1.0) })
    }

    /// The RMS of what (u/A)² − 2uv cos φ/AB + (v/B)² is other than sin² φ, by half.
    fn residual(&self, points: impl Iterator<Item = (f64, f64)>) -> f64 {
        let sine = 1.0 - self.cosine * self.cosine;
        let (mut squares, mut count) = (0.0, 0.0);
        for (u, v) in points {
            let (u, v) =
                ((u - self.centre.0) / self.amplitudes.0, (v - self.centre.1) / self.amplitudes.1);
            let off = u * u - 2.0 * u * v * self.cosine + v * v - sine;
            squares += off * off;
            count += 1.0;
        }
        libm::sqrt(squares / count) / 2.0
    }
}

/// Twice the area run through, positive where y lags x.
fn turning(points: impl Iterator<Item = (f64, f64)>) -> f64 {
    let mut last: Option<(f64, f64)> = None;
    let mut area = 0.0;
    for (u, v) in points {
        if let Some((before_u, before_v)) = last.replace((u, v)) {
            area += before_u * v - u * before_v;
        }
    }
    area
}
