"""Random signals through SciPy's filters, and the weights and responses of its designs."""

import numpy
from scipy.signal import decimate, dlti, firwin, freqz, kaiser_beta, lfilter, upfirdn

LENGTH = 400


def make():
    generator = numpy.random.default_rng(20260401)
    noise = generator.integers(0, 4096, LENGTH)
    wave = 2048 + 1500 * numpy.sin(numpy.arange(LENGTH) * 0.07) + generator.normal(0, 20, LENGTH)
    samples = wave.round().astype(int)
    samples[200:260] = noise[200:260]
    return {
        "samples": samples.tolist(),
        "boxcar": [boxcar(samples, step) for step in (2, 7, 16)],
        "cic": [cic(samples, order, step) for order, step in ((1, 5), (2, 8), (3, 8), (4, 3), (5, 4))],
        "fir": [fir(samples, step, attenuation) for step, attenuation in ((2, 40.0), (4, 60.0), (8, 50.0))],
    }


def whole(values):
    """Sums of whole numbers, which a double holds exactly."""
    rounded = numpy.rint(values)
    assert numpy.abs(values - rounded).max() < 1e-6
    return rounded.astype(int).tolist()


def boxcar(samples, step):
    sums = lfilter(numpy.ones(step), 1.0, samples)
    return {"step": step, "outputs": whole(sums[step - 1 :: step])}


def cic(samples, order, step):
    """`order` times the same moving sum, then one of `step`, from the first that is whole."""
    sums = samples
    for _ in range(order):
        sums = lfilter(numpy.ones(step), 1.0, sums)
    return {"order": order, "step": step, "outputs": whole(sums[order * (step - 1) :: step])}


def fir(samples, step, attenuation):
    """As the engine designs it: 5 dB more than stated, between 0.8 and 1.2 of half the new rate."""
    low, high = 0.8 * 0.5 / step, min(1.2 * 0.5 / step, 0.5)
    count = int(numpy.ceil((attenuation + 5 - 7.95) / (2.285 * 2 * numpy.pi * (high - low)) + 1)) | 1
    window = ("kaiser", kaiser_beta(attenuation + 5))
    taps = firwin(count, (low + high) / 2, window=window, fs=1.0)
    frequencies = [0.0, low / 2, low, (low + high) / 2, high, 0.45]
    response = abs(freqz(taps, worN=frequencies, fs=1.0)[1])
    # Raw: from the first sample on; whole from the last weight on.
    outputs = upfirdn(taps, samples[: LENGTH], down=1)[count - 1 : LENGTH : step]
    # `decimate` keeps samples 0, step, ...: those in the middle of whole outputs are ours.
    kept = decimate(samples.astype(float), step, ftype=dlti(taps, 1.0))
    middle = count // 2
    assert middle % step or numpy.allclose(kept[middle // step :][: len(outputs)], outputs)
    return {
        "step": step,
        "attenuation": attenuation,
        "taps": taps.tolist(),
        "frequencies": frequencies,
        "response": response.tolist(),
        "outputs": outputs.tolist(),
    }
