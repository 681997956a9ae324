"""Runs the tool, and makes the recordings that the tests know."""

import os
import subprocess
import tempfile
import unittest
from pathlib import Path

import numpy as np

PROGRAM = os.environ["STILLWAVE_PROGRAM"]


def run(*arguments, folder, status=0):
    """Runs the tool in a folder; its standard output."""
    command = [PROGRAM, *(str(argument) for argument in arguments)]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60)
    if done.returncode != status:
        raise AssertionError(f"{command}: status {done.returncode}, not {status}\n{done.stderr}")
    return done.stdout if status == 0 else done.stderr


class FolderTest(unittest.TestCase):
    """A test with a folder of its own."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)


# Samples a second; a whole number, as WAV can state no other.
RATE = 48_000
FRAMES = 3_000
PERIOD = 200
PRE, POST = 20, 100


class Recording:
    """Two channels: a sine with noise for the trigger, and noise over the whole range."""

    def __init__(self, lowest, highest, is_float, seed):
        generator = np.random.default_rng(seed)
        middle, half = (lowest + highest) / 2, (highest - lowest) / 2
        sine = np.sin(2 * np.pi * np.arange(FRAMES) / PERIOD)
        noise = generator.uniform(-0.05, 0.05, FRAMES)
        first = middle + half * (0.8 * sine + noise)
        second = generator.uniform(lowest, highest, FRAMES)
        if not is_float:
            first, second = np.rint(first), np.rint(second)
            # The ends of the range as well.
            second[:2] = lowest, highest
        self.samples = np.stack([first, second], axis=1)
        self.level, self.hysteresis = middle, half / 4
        if not is_float:
            self.level, self.hysteresis = round(self.level), round(self.hysteresis)

    def rising_edges(self):
        """Armed by a sample below level − hysteresis; the first at the level or above fires."""
        armed, edges = False, []
        for position, sample in enumerate(self.samples[:, 0]):
            if sample < self.level - self.hysteresis:
                armed = True
            elif armed and sample >= self.level:
                edges.append(position)
                armed = False
        return edges

    def records(self):
        """First sample and samples of each record. The period is longer than a record."""
        starts = [edge - PRE for edge in self.rising_edges()]
        whole = [start for start in starts if start >= 0 and start + PRE + POST <= FRAMES]
        return [(start, self.samples[start : start + PRE + POST]) for start in whole]
