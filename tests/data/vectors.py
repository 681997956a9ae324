"""Random signals and their events, found by whole-array operations instead of loops."""

import numpy

PARTS = 65536
TYPES = ["u1", "i1", "u2", "i2", "u4", "i4", "f4"]
LENGTH = 300


def make():
    """For every sample type a few signals with their edges and pulses."""
    generator = numpy.random.default_rng(20240601)
    return [vector(generator, kind, shape) for kind in TYPES for shape in ("noise", "steps", "sine")]


def vector(generator, kind, shape):
    dtype = numpy.dtype(kind)
    least, greatest = limits(dtype)
    level, hysteresis = numbers(dtype, [least + (greatest - least) * 0.4, (greatest - least) * 0.2])
    unit = signal(generator, shape)
    samples = (least + (greatest - least) * unit).round(3 if kind == "f4" else 0).astype(dtype)
    # Some samples at exactly what is compared.
    at = generator.integers(0, LENGTH, 12)
    samples[at[:6]] = numpy.array(level).astype(dtype)
    samples[at[6:]] = numpy.array(level - hysteresis).astype(dtype)
    if kind == "f4":
        samples[generator.integers(0, LENGTH, 8)] = [numpy.nan, numpy.inf, -numpy.inf, numpy.nan] * 2
    rising, positive = passages(samples, level, level - hysteresis, 1)
    falling, negative = passages(samples, level, level + hysteresis, -1)
    return {
        "type": kind,
        "level": level,
        "hysteresis": hysteresis,
        # Floating-point samples by their bits: JSON has no word for infinity.
        "samples": samples.view("u4").tolist() if kind == "f4" else samples.tolist(),
        "rising": rising,
        "falling": falling,
        "positive": positive,
        "negative": negative,
    }


def limits(dtype):
    if dtype.kind == "f":
        return -5.0, 5.0
    return float(numpy.iinfo(dtype).min), float(numpy.iinfo(dtype).max)


def numbers(dtype, values):
    """Levels in the samples' own unit; those of floating-point samples lie on a coarse grid."""
    return [round(x * 8) / 8 if dtype.kind == "f" else round(x) for x in values]


def signal(generator, shape):
    """Between 0 and 1."""
    if shape == "noise":
        return generator.random(LENGTH)
    if shape == "steps":
        return numpy.repeat(generator.random(LENGTH // 4), 4)
    time = numpy.arange(LENGTH)
    return (0.5 + 0.45 * numpy.sin(time * 0.23) + 0.05 * generator.random(LENGTH)).clip(0, 1)


def passages(samples, level, back, sign):
    """Edges [position, lead] and the pulses that they begin [position, lead, width].

    `back` is the level less or more the hysteresis; `sign` is 1 for rising, -1 for falling.
    """
    x = samples.astype(numpy.float64)
    finite = numpy.isfinite(x)
    with numpy.errstate(invalid="ignore"):
        over = finite & (sign * (x - level) >= 0)
        under = finite & (sign * (x - back) < 0)
    # The side at every sample: that of the last sample that was on one.
    last = numpy.maximum.accumulate(numpy.where(over | under, numpy.arange(len(x)), -1))
    side = numpy.where(last < 0, 0, numpy.where(over[last], 1, -1))
    change = numpy.flatnonzero((side[1:] != side[:-1]) & (side[:-1] != 0)) + 1
    ups, downs = change[side[change] == 1], change[side[change] == -1]
    edges = numpy.stack([ups, leads(x, ups, level)], axis=1)
    ends = numpy.stack([downs, leads(x, downs, back)], axis=1)
    # A fall before the first rise ends a pulse that nobody saw begin.
    ends = ends[len(ends) - numpy.count_nonzero(downs > (ups[0] if len(ups) else len(x))):]
    begins = edges[: len(ends)]
    width = (ends[:, 0] - begins[:, 0]) * PARTS - ends[:, 1] + begins[:, 1]
    return edges.tolist(), numpy.column_stack([ends, width]).tolist()


def leads(x, at, level):
    """Leads at these samples; 0 after one that is not finite."""
    with numpy.errstate(invalid="ignore"):
        part, whole = x[at] - level, x[at] - x[at - 1]
        exact = numpy.floor(part / whole * PARTS)
    return numpy.where(numpy.isfinite(x[at - 1]), exact, 0).astype(int)
