"""Random signals through the filters of the first order that SciPy makes."""

import numpy
from scipy.signal import butter, lfilter, lfilter_zi

TYPES = ["u1", "i1", "u2", "i2", "u4", "i4", "f4"]
# As parts of the sample rate.
CORNERS = [1e-5, 0.003, 0.08, 0.25]
LENGTH = 200


def make():
    """For every sample type a signal through a low-pass and a high-pass of every corner."""
    generator = numpy.random.default_rng(20250211)
    return [vector(generator, kind, corner) for kind in TYPES for corner in CORNERS]


def vector(generator, kind, corner):
    dtype = numpy.dtype(kind)
    samples = signal(generator, dtype)
    return {
        "type": kind,
        "corner": corner,
        "samples": samples.tolist(),
        "low": passed(samples, corner, "low"),
        "high": passed(samples, corner, "high"),
    }


def signal(generator, dtype):
    """A slow wave with noise and steps, from end to end of the type."""
    time = numpy.arange(LENGTH)
    unit = 0.5 + 0.3 * numpy.sin(time * 0.05 + generator.random()) + 0.1 * generator.random(LENGTH)
    unit[LENGTH // 3 : LENGTH // 2] = generator.integers(0, 2, 1)
    unit[LENGTH // 2 : LENGTH // 2 + 9] = generator.random(9)
    if dtype.kind == "f":
        return (10 * unit - 5).astype(dtype).astype(numpy.float64)
    least, greatest = numpy.iinfo(dtype).min, numpy.iinfo(dtype).max
    return (least + (float(greatest) - least) * unit).round().astype(dtype).astype(numpy.float64)


def passed(samples, corner, which):
    """What passes if the signal has always been at its first sample."""
    b, a = butter(1, corner, which, fs=1.0)
    begin = lfilter_zi(b, a) * samples[0]
    return [round(float(y), 7) for y in lfilter(b, a, samples, zi=begin)[0]]
