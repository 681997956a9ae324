#!/usr/bin/env python3
"""Measurements by NumPy and SciPy, of signals made at random: writes measured.json.

    python3 -m venv /tmp/stillwave-data
    /tmp/stillwave-data/bin/pip install numpy==2.4.6 scipy==1.17.1
    /tmp/stillwave-data/bin/python measured.py
"""

import json
import pathlib

import numpy
import scipy.optimize
import scipy.signal

HERE = pathlib.Path(__file__).parent
WINDOWS = {
    "rectangular": "boxcar",
    "hann": "hann",
    "blackman-harris": "blackmanharris",
    "flat-top": "flattop",
}


def main():
    generator = numpy.random.default_rng(20261125)
    vectors = {
        "spectra": [spectrum(generator, name, n) for name in WINDOWS for n in (64, 256)],
        "levels": [levels(generator, *case) for case in ((10, 400), (60, 3000), (300, 20000))],
        "sines": [sine(generator, noise) for noise in (0.0, 1.0, 40.0)],
        "peaks": [peaks(generator, bins) for bins in ((20,), (20, 61), (31, 90, 111))],
    }
    lines = [f"{json.dumps(key)}: {json.dumps(value)}" for key, value in vectors.items()]
    (HERE / "measured.json").write_text("{\n" + ",\n".join(lines) + "\n}\n")


def spectrum(generator, name, n):
    """The power of each bin by rfft, of samples about their mean as they are weighed."""
    samples = generator.integers(-3000, 3000, n)
    weights = scipy.signal.get_window(WINDOWS[name], n, fftbins=True)
    power = powers(samples - numpy.average(samples, weights=weights), weights)
    return {"window": name, "samples": samples.tolist(), "power": power.tolist()}


def powers(samples, weights):
    power = numpy.abs(numpy.fft.rfft(samples * weights)) ** 2 / (len(samples) * (weights**2).sum())
    power[1:-1] *= 2
    return power


def levels(generator, noise, swing):
    """A noisy square wave: the mode of either half of its histogram, and the mean of that bin."""
    n = 2000
    square = numpy.where(numpy.arange(n) % 100 < 40, swing, 0) - 1000
    samples = (square + generator.normal(0, noise, n)).round().astype(int)
    # Bins a power of two wide, at most one for four samples and at most 256.
    least, most = int(samples.min()), min(256, n // 4)
    width = 1
    while (int(samples.max()) - least) // width >= most:
        width *= 2
    bins = (int(samples.max()) - least) // width + 1
    counts, edges = numpy.histogram(samples, bins=bins, range=(least, least + bins * width))
    half = bins // 2
    low = int(numpy.argmax(counts[:half]))
    high = bins - 1 - int(numpy.argmax(counts[::-1][:half]))
    means = [samples[(samples >= edges[k]) & (samples < edges[k + 1])].mean() for k in (low, high)]
    middle = (least + int(samples.max())) / 2
    halves = [samples[samples < middle], samples[samples > middle]]
    return {
        "samples": samples.tolist(),
        "low": means[0],
        "high": means[1],
        "shorth": [shorth(half, width) for half in halves],
    }


def shorth(samples, width):
    """The mean of the shortest half: of the shortest interval that holds half of the samples.

    The definition is that of the robust estimators' literature (Andrews et al., "Robust Estimates
    of Location", 1972; Rousseeuw and Leroy, 1987), which NIST TN 2036 applies to the two halves of
    a waveform's histogram; all of these were read at second hand.

    An engine that cuts at bins of some width takes an interval that is longer by at most two bins
    than the shortest. So these are the least and the greatest mean of such intervals.
    """
    ordered = numpy.sort(samples)
    held = (len(ordered) + 1) // 2
    lengths = ordered[held - 1 :] - ordered[: len(ordered) - held + 1]
    nearly = numpy.flatnonzero(lengths <= lengths.min() + 2 * width)
    means = [float(ordered[first : first + held].mean()) for first in nearly]
    return [min(means), max(means)]


def sine(generator, noise):
    """Three parameters by lstsq, four by minimising what lstsq leaves."""
    n = 500
    time = numpy.arange(n)
    clean = 1500.0 * numpy.cos(2 * numpy.pi * 0.0371 * time + 0.4) + 2048.25
    samples = (clean + generator.normal(0, noise, n)).round().astype(int)

    def fit(frequency):
        angle = 2 * numpy.pi * frequency * time
        matrix = numpy.column_stack([numpy.cos(angle), numpy.sin(angle), numpy.ones(n)])
        terms, rest, _, _ = numpy.linalg.lstsq(matrix, samples, rcond=None)
        return terms, float(rest[0])

    found = scipy.optimize.minimize_scalar(
        lambda frequency: fit(frequency)[1], bracket=(0.0370, 0.0371, 0.0372), tol=1e-12
    )
    answers = {}
    for name, frequency in (("three", 0.0371), ("four", float(found.x))):
        (cosine, sine, offset), rest = fit(frequency)
        answers[name] = {
            "frequency": frequency,
            "amplitude": float(numpy.hypot(cosine, sine)),
            "phase": float(numpy.arctan2(-sine, cosine)),
            "offset": float(offset),
            "residual_rms": float(numpy.sqrt(rest / n)),
        }
    return {"samples": samples.tolist(), **answers}


def peaks(generator, bins):
    """The strongest peak of a spectrum by find_peaks."""
    n = 256
    time = numpy.arange(n)
    sizes = [9000.0 / (1 + k) for k in range(len(bins))]
    wave = sum(size * numpy.sin(2 * numpy.pi * b * time / n + b) for size, b in zip(sizes, bins))
    samples = (wave + generator.normal(0, 30, n)).round().astype(int)
    weights = scipy.signal.get_window("blackmanharris", n, fftbins=True)
    power = powers(samples - numpy.average(samples, weights=weights), weights)
    found, _ = scipy.signal.find_peaks(power, height=power.max() / 100)
    strongest = max(found, key=lambda k: power[k])
    return {"samples": samples.tolist(), "peaks": found.tolist(), "strongest": int(strongest)}


if __name__ == "__main__":
    main()
