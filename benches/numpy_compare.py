#!/usr/bin/env python3
"""Times numpy on the signals of the benchmarks, beside the engine, and prints ratios.

Rising edges with hysteresis, every position listed, on one core. numpy must be 2.3.3:
    python3 -m venv /tmp/numpy && /tmp/numpy/bin/pip install numpy==2.3.3
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

import numpy as np

NUMPY = "2.3.3"


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


def main():
    if np.__version__ != NUMPY:
        raise SystemExit(f"numpy is {np.__version__}; figures are for {NUMPY}")
    workspace = Path(__file__).resolve().parent.parent
    with tempfile.TemporaryDirectory(prefix="stillwave-") as directory:
        command = ["cargo", "run", "--quiet", "--release", "-p", "stillwave-benches"]
        command += ["--example", "against_numpy", "--", directory]
        lines = subprocess.run(
            command, cwd=workspace, check=True, capture_output=True, text=True
        ).stdout.splitlines()
        print("| samples | signal | events | numpy, G samples/s | engine counts | engine lists |")
        print("|---|---|---:|---:|---:|---:|")
        for line in lines:
            kind, signal, level, under, events, count, listing = line.split(";")
            dtype = {"f32": "float32", "u8": "uint8", "i16": "int16"}[kind]
            x = np.fromfile(Path(directory) / f"{kind}-{signal}.raw", dtype=dtype)
            bounds = [np.dtype(dtype).type(float(bound)) for bound in (level, under)]
            found = len(edges(x, *bounds))
            if found != int(events):
                raise SystemExit(f"{kind} {signal}: numpy finds {found} edges, not {events}")
            seconds = best_seconds(lambda: edges(x, *bounds))
            ratios = [f"{seconds / float(own):.0f} times" for own in (count, listing)]
            speed = len(x) / seconds / 1e9
            print(f"| {kind} | {signal} | {events} | {speed:.2f} | " + " | ".join(ratios) + " |")


if __name__ == "__main__":
    main()
