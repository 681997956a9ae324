#!/usr/bin/env python3
"""Times numpy and tsdownsample on the signals of the benchmarks, beside the engine, and prints ratios.

Rising edges with hysteresis, every position listed; the least and the largest, and the sum, of every
thousand samples; on one core. The versions must be these:
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


def decimation(kind, x, envelope, boxcar):
    """A row of the second table: the engine's speeds, and how many times those of the others they are."""
    x = x[: len(x) // STEP * STEP]
    rows = x.reshape(-1, STEP)
    bins = MinMaxDownsampler()
    # Two samples a bin, as places in the array.
    chosen = bins.downsample(x, n_out=2 * len(rows))
    if len(chosen) != 2 * len(rows):
        raise SystemExit(f"{kind}: tsdownsample gives {len(chosen)} places, not {2 * len(rows)}")
    wide = np.float32 if kind == "f32" else np.int64
    seconds = {
        "numpy": best_seconds(lambda: (rows.min(axis=1), rows.max(axis=1))),
        "tsdownsample": best_seconds(lambda: x[bins.downsample(x, n_out=2 * len(rows))]),
        "sums": best_seconds(lambda: rows.sum(axis=1, dtype=wide)),
    }
    cells = [kind, f"{len(x) / envelope / 1e9:.1f}"]
    cells += [f"{seconds[name] / envelope:.1f} times" for name in ("numpy", "tsdownsample")]
    cells += [f"{len(x) / boxcar / 1e9:.1f}", f"{seconds['sums'] / boxcar:.1f} times"]
    return "| " + " | ".join(cells) + " |"


def main():
    for name, wanted in VERSIONS.items():
        if version(name) != wanted:
            raise SystemExit(f"{name} is {version(name)}; figures are for {wanted}")
    workspace = Path(__file__).resolve().parent.parent
    with tempfile.TemporaryDirectory(prefix="stillwave-") as directory:
        command = ["cargo", "run", "--quiet", "--release", "-p", "stillwave-benches"]
        command += ["--example", "against_numpy", "--", directory]
        lines = subprocess.run(
            command, cwd=workspace, check=True, capture_output=True, text=True
        ).stdout.splitlines()
        print("| samples | signal | events | numpy, G samples/s | engine counts | engine lists |")
        print("|---|---|---:|---:|---:|---:|")
        decimated = []
        for line in lines:
            kind, signal, level, under, events, count, listing, *own = line.split(";")
            dtype = {"f32": "float32", "u8": "uint8", "i16": "int16"}[kind]
            x = np.fromfile(Path(directory) / f"{kind}-{signal}.raw", dtype=dtype)
            bounds = [np.dtype(dtype).type(float(bound)) for bound in (level, under)]
            found = len(edges(x, *bounds))
            if found != int(events):
                raise SystemExit(f"{kind} {signal}: numpy finds {found} edges, not {events}")
            seconds = best_seconds(lambda: edges(x, *bounds))
            ratios = [f"{seconds / float(time):.0f} times" for time in (count, listing)]
            speed = len(x) / seconds / 1e9
            print(f"| {kind} | {signal} | {events} | {speed:.2f} | " + " | ".join(ratios) + " |")
            if signal == "white noise":
                decimated.append(decimation(kind, x, *map(float, own)))
    print()
    print("| samples | envelope, G samples/s | to numpy | to tsdownsample | sums | to numpy |")
    print("|---|---:|---:|---:|---:|---:|")
    print("\n".join(decimated))


if __name__ == "__main__":
    main()
