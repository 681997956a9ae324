#!/usr/bin/env python3
"""Times `stillwave scan` on whole files in the page cache, and prints three tables: beside a plain
read of the file and beside pandas with numpy; over 10^4 to 10^9 samples; over 1 to 16 channels.

The recordings are invented: a slow sine with a little noise and a rare pulse. It takes 7 GB of disk.
    python3 -m venv /tmp/numpy && /tmp/numpy/bin/pip install numpy==2.3.3 pandas==2.3.3
    /tmp/numpy/bin/python benches/whole_tool.py [DIRECTORY]
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

# Some machines set these for a processor other than their own; numpy then refuses to start.
for name in ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE"):
    os.environ.pop(name, None)

import numpy as np
import pandas as pd

from numpy_compare import best_seconds, edges

WORKSPACE = Path(__file__).resolve().parent.parent
TOOL = Path(os.environ.get("CARGO_TARGET_DIR", WORKSPACE / "target")) / "release" / "stillwave"
PERIOD = 50_000
PULSE_EVERY = 1_000_000


def waveform(count):
    """12-bit counts between 1170 and 1830, and a pulse of one sample to 3000 now and then."""
    t = np.arange(count)
    noise = np.random.default_rng(1).normal(0, 5, count)
    x = (1500 + 300 * np.sin(2 * np.pi * t / PERIOD) + noise).astype(np.uint16)
    x[PULSE_EVERY // 10 :: PULSE_EVERY] = 3000
    return x


def write_raw(path, samples, channels=1):
    """So many samples in each channel, whole millions of the same or fewer."""
    block = np.repeat(waveform(min(samples, PULSE_EVERY)), channels)
    with open(path, "wb") as file:
        for _ in range(max(1, samples // PULSE_EVERY)):
            block.tofile(file)


def write_csv(path, size):
    x = waveform(PULSE_EVERY)
    text = "".join(f"{v * 0.0008:.4f},{v}\n" for v in x)
    with open(path, "w") as file:
        file.write("volts,counts\n")
        while file.tell() < size:
            file.write(text)


def peak_megabytes(pid):
    """The most memory that a process has had resident so far; None once it has ended."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
    except FileNotFoundError:
        return None
    peak = [line.split()[1] for line in status.splitlines() if line.startswith("VmHWM")]
    return int(peak[0]) / 1024 if peak else None


def scan(path, *options):
    """Seconds, megabytes at most, and the tool's last line."""
    command = [TOOL, "scan", path, "--rate", "1MS/s", *options]
    with tempfile.TemporaryFile("w+") as out:
        begin = time.perf_counter()
        child = subprocess.Popen(command, stdout=out)
        megabytes = 0
        while child.poll() is None:
            megabytes = peak_megabytes(child.pid) or megabytes
            time.sleep(0.0002)
        seconds = time.perf_counter() - begin
        out.seek(0)
        said = out.read().splitlines()
    if child.returncode != 0:
        raise SystemExit(f"{command} ended with status {child.returncode}")
    return seconds, megabytes, said[-1]


def best_scan(path, *options, times=3):
    return min(scan(path, *options) for _ in range(times))


def plain_read(path):
    buffer = bytearray(256 * 1024)
    with open(path, "rb", buffering=0) as file:
        while file.readinto(buffer):
            pass


def found(line):
    return int(line.split()[1])


RAW = ["--sample-type", "u16le", "--level", "2048", "--hysteresis", "40"]


def beside_others(directory):
    raw = directory / "long.u16"
    write_raw(raw, 2_147_000_000)
    read = best_seconds(lambda: plain_read(raw))
    seconds, megabytes, line = best_scan(raw, *RAW)
    print("| file | beside | seconds | stillwave scan | ratio | events | memory |")
    print("|---|---|---:|---:|---:|---:|---:|")
    size = raw.stat().st_size / 1e9
    print(
        f"| raw u16, {size:.1f} GB | a plain read | {read:.2f} | {seconds:.2f} "
        f"| {read / seconds:.2f} of its speed | {found(line)} | {megabytes:.0f} MB |"
    )
    raw.unlink()

    text = directory / "long.csv"
    write_csv(text, 1e9)

    def pandas_edges():
        x = pd.read_csv(text, usecols=["volts"], engine="c")["volts"].to_numpy()
        return len(edges(x, 2.0, 1.9))

    count = pandas_edges()
    other = best_seconds(pandas_edges, times=2)
    seconds, megabytes, line = best_scan(text, "--level", "2", "--hysteresis", "0.1")
    if found(line) != count:
        raise SystemExit(f"numpy finds {count} edges, not {found(line)}")
    print(
        f"| CSV, {text.stat().st_size / 1e9:.1f} GB | pandas {pd.__version__}, numpy | {other:.2f} "
        f"| {seconds:.2f} | {other / seconds:.1f} times as fast | {count} | {megabytes:.0f} MB |"
    )
    text.unlink()


def over_lengths(directory):
    raw = directory / "length.u16"
    print("\n| samples | seconds | M samples/s | memory |")
    print("|---:|---:|---:|---:|")
    for exponent in range(4, 10):
        samples = 10**exponent
        write_raw(raw, samples)
        seconds, megabytes, _ = best_scan(raw, *RAW)
        print(
            f"| 10^{exponent} | {seconds:.4f} | {samples / seconds / 1e6:.0f} | {megabytes:.0f} MB |"
        )
    raw.unlink()


def over_channels(directory):
    raw = directory / "channels.u16"
    samples = 20_000_000
    print("\n| channels | seconds | M samples/s, all channels | memory |")
    print("|---:|---:|---:|---:|")
    for channels in (1, 2, 4, 8, 16):
        write_raw(raw, samples, channels)
        options = ["--channels", str(channels), "--channel", str(channels)]
        seconds, megabytes, _ = best_scan(raw, *RAW, *options)
        print(
            f"| {channels} | {seconds:.3f} | {samples * channels / seconds / 1e6:.0f} "
            f"| {megabytes:.0f} MB |"
        )
    raw.unlink()


def main():
    if (np.__version__, pd.__version__) != ("2.3.3", "2.3.3"):
        raise SystemExit("figures are for numpy 2.3.3 and pandas 2.3.3")
    command = ["cargo", "build", "--quiet", "--release", "-p", "stillwave-cli"]
    subprocess.run(command, cwd=WORKSPACE, check=True)
    where = sys.argv[1] if len(sys.argv) > 1 else None
    with tempfile.TemporaryDirectory(prefix="stillwave-", dir=where) as directory:
        directory = Path(directory)
        beside_others(directory)
        over_lengths(directory)
        over_channels(directory)


if __name__ == "__main__":
    main()
