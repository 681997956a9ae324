#!/usr/bin/env python3
"""Times numpy and tsdownsample on the signals of the benchmarks, beside the engine, and prints ratios.

Rising edges with hysteresis, every position listed; the least and the largest, and the sum, of every
thousand samples; on one core, from memory and from the cache. The versions must be these:
    python3 -m venv /tmp/numpy && /tmp/numpy/bin/pip install numpy==2.3.3 tsdownsample==0.1.5.1
    /tmp/numpy/bin/python benches/numpy_compare.py
"""

import os
import subprocess
import tempfile
import time
from pathlib import Path

# Some machines set these for a processor other than their own; numpy then refuses to start.
for name in ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE"):
    os.environ.pop(name, None)

from importlib.metadata import version

import numpy as np
from tsdownsample import MinMaxDownsampler

VERSIONS = {"numpy": "2.3.3", "tsdownsample": "0.1.5.1"}
STEP = 1000
# Samples that stay in the cache.
PIECE = 64 * STEP


def edges(x, level, under):
    """The positions of rising edges: of the samples that are on a side, those over the level whose
    predecessor is under the lower bound."""
    over = x >= level
    on_a_side = np.flatnonzero(over | (x < under))
    is_over = over[on_a_side]
    return on_a_side[1:][is_over[1:] & ~is_over[:-1]]


def best_seconds(f, times=3):
    best = float("inf")
    for _ in range(times):
        begin = time.perf_counter()
        f()
        best = min(best, time.perf_counter() - begin)
    return best


def seconds_in_pieces(f, x):
    """Of pieces that stay in the cache, each gone through once before it is timed."""

    def once():
        total = 0
        for start in range(0, len(x) - PIECE + 1, PIECE):
            piece = x[start : start + PIECE]
            f(piece)
            begin = time.perf_counter()
            f(piece)
            total += time.perf_counter() - begin
        return total

    return min(once() for _ in range(3))


def row(*cells):
    return "| " + " | ".join(cells) + " |"


def times(seconds, own):
    return f"{seconds / own:.1f} times" if seconds < 10 * own else f"{seconds / own:.0f} times"


def decimation(kind, x, measure, envelope, boxcar):
    """A row of a table: the engine's speeds, and how many times those of the others they are."""
    bins = MinMaxDownsampler()
    wide = np.float32 if kind == "f32" else np.int64

    def extremes(x):
        rows = x.reshape(-1, STEP)
        return rows.min(axis=1), rows.max(axis=1)

    def downsampled(x):
        # Two samples a bin, as places in the array.
        return x[bins.downsample(x, n_out=2 * len(x) // STEP)]

    x = x[: len(x) // STEP * STEP]
    if len(downsampled(x)) != 2 * len(x) // STEP:
        raise SystemExit(f"{kind}: tsdownsample gives {len(downsampled(x))} samples")
    sums = measure(lambda x: x.reshape(-1, STEP).sum(axis=1, dtype=wide), x)
    return row(
        kind,
        f"{len(x) / envelope / 1e9:.1f}",
        times(measure(extremes, x), envelope),
        times(measure(downsampled, x), envelope),
        f"{len(x) / boxcar / 1e9:.1f}",
        times(sums, boxcar),
    )


def main():
    for name, wanted in VERSIONS.items():
        if version(name) != wanted:
            raise SystemExit(f"{name} is {version(name)}; figures are for {wanted}")
    workspace = Path(__file__).resolve().parent.parent
    places = {
        "memory": lambda f, x: best_seconds(lambda: f(x)),
        "cache": seconds_in_pieces,
    }
    triggers = {place: [] for place in places}
    decimators = {place: [] for place in places}
    with tempfile.TemporaryDirectory(prefix="stillwave-") as directory:
        command = ["cargo", "run", "--quiet", "--release", "-p", "stillwave-benches"]
        command += ["--example", "against_numpy", "--", directory]
        lines = subprocess.run(
            command, cwd=workspace, check=True, stdout=subprocess.PIPE, text=True
        ).stdout.splitlines()
        for line in lines:
            kind, signal, level, under, events, write, *own = line.split(";")
            own = [float(seconds) for seconds in own]
            dtype = {"f32": "float32", "u8": "uint8", "i16": "int16"}[kind]
            x = np.fromfile(Path(directory) / f"{kind}-{signal}.raw", dtype=dtype)
            bounds = [np.dtype(dtype).type(float(bound)) for bound in (level, under)]
            found = len(edges(x, *bounds))
            if found != int(events):
                raise SystemExit(f"{kind} {signal}: numpy finds {found} edges, not {events}")
            for place, measure in places.items():
                read, count, listing, envelope, boxcar, *own = own
                length = len(x) if place == "memory" else len(x) // PIECE * PIECE
                seconds = measure(lambda x: edges(x, *bounds), x)
                ratios = [times(seconds, time) for time in (count, listing, read)]
                if place == "memory":
                    few = int(events) < len(x) / 100
                    ratios.append("" if few else times(seconds, float(write)))
                speed = f"{length / seconds / 1e9:.2f}"
                triggers[place].append(row(kind, signal, events, speed, *ratios))
                if signal == "white noise":
                    decimators[place].append(
                        decimation(kind, x[:length], measure, envelope, boxcar)
                    )
    for place in places:
        limits = ["read limit", "list written"] if place == "memory" else ["read limit"]
        print(f"From {place}:\n")
        print(row("samples", "signal", "events", "numpy, G samples/s", "count", "list", *limits))
        print("|---|---|---:|---:|---:|---:|" + "---:|" * len(limits))
        print(*triggers[place], sep="\n")
        print("\n| samples | envelope, G samples/s | to numpy | to tsdownsample | sums | to numpy |")
        print("|---|---:|---:|---:|---:|---:|")
        print(*decimators[place], "", sep="\n")


if __name__ == "__main__":
    main()
