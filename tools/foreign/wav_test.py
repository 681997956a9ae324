"""scipy's own WAV files, read by the tool and by scipy. See SOURCES.md."""

import warnings
from pathlib import Path

import numpy as np
import scipy.io
from scipy.io import wavfile

from program import FolderTest, run

FILES = Path(scipy.io.__file__).parent / "tests" / "data"

# What the tool reads as scipy does. Samples of 24 bits are given by scipy at the top of 32.
SAME = {
    "test-1234Hz-le-1ch-10S-20bit-extra.wav": 2**8,
    "test-44100Hz-2ch-32bit-float-be.wav": 1,
    "test-44100Hz-2ch-32bit-float-le.wav": 1,
    "test-44100Hz-be-1ch-4bytes.wav": 1,
    "test-44100Hz-le-1ch-4bytes-rf64.wav": 1,
    "test-44100Hz-le-1ch-4bytes.wav": 1,
    # 64 bits become 32-bit floating point in the tool.
    "test-48000Hz-2ch-64bit-float-le-wavex.wav": 1,
    "test-8000Hz-be-3ch-5S-24bit.wav": 2**8,
    "test-8000Hz-le-2ch-1byteu.wav": 1,
    "test-8000Hz-le-3ch-5S-24bit-rf64.wav": 2**8,
    "test-8000Hz-le-3ch-5S-24bit.wav": 2**8,
    "test-8000Hz-le-3ch-5S-64bit.wav": 1,
    "test-8000Hz-le-4ch-9S-12bit.wav": 1,
    "test-8000Hz-le-5ch-9S-5bit.wav": 1,
}

# What the tool does not read though scipy does, and why.
NOT_READ = {
    # scipy warns, and gives the 236 samples that are there.
    "test-44100Hz-le-1ch-4bytes-early-eof.wav": "bytes are missing",
    # 5, 6 and 7 bytes a sample.
    "test-8000Hz-le-3ch-5S-36bit.wav": "samples of 36 bits cannot be read",
    "test-8000Hz-le-3ch-5S-45bit.wav": "samples of 45 bits cannot be read",
    "test-8000Hz-le-3ch-5S-53bit.wav": "samples of 53 bits cannot be read",
}

# What neither reads.
REFUSED = {
    "test-44100Hz-le-1ch-4bytes-early-eof-no-data.wav": "the file ends within its header",
    "test-44100Hz-le-1ch-4bytes-incomplete-chunk.wav": "the file ends within its header",
    "test-8000Hz-le-1ch-1byte-ulaw.wav": "compressed (tag 7)",
    "test-8000Hz-le-3ch-5S-24bit-inconsistent.wav": "do not make frames",
}


class Wav(FolderTest):
    def read(self, name, status=0):
        """Has the tool write all samples as NPY."""
        job = ["decimate", FILES / name, "--by", 1, "--how", "every", "--out", "x.npy", "--overwrite"]
        return run(*job, folder=self.folder, status=status)

    def scipy(self, name):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", wavfile.WavFileWarning)
            return wavfile.read(FILES / name)

    def test_every_file_has_its_place(self):
        told = sorted([*SAME, *NOT_READ, *REFUSED])
        self.assertEqual(sorted(file.name for file in FILES.glob("*.wav")), told)

    def test_the_same_samples(self):
        for name, factor in SAME.items():
            with self.subTest(name):
                said = self.read(name)
                found = np.load(self.folder / "x.npy")
                rate, wanted = self.scipy(name)
                self.assertIn(f"read with  --rate {rate}\n", said)
                self.assertEqual(found.shape, wanted.shape)
                if wanted.dtype.itemsize == 8:
                    self.assertEqual(found.dtype, "f4")
                    wanted = wanted.astype("f4")
                else:
                    self.assertEqual(found.dtype.newbyteorder("="), wanted.dtype.newbyteorder("="))
                np.testing.assert_array_equal(found.astype("f8") * factor, wanted)

    def test_refused(self):
        for name, why in {**NOT_READ, **REFUSED}.items():
            with self.subTest(name):
                said = self.read(name, status=2)
                self.assertIn(name, said)
                self.assertIn(why, said)
                self.assertFalse((self.folder / "x.npy").exists())
                if name in REFUSED:
                    self.assertRaises(ValueError, self.scipy, name)
                else:
                    self.scipy(name)
