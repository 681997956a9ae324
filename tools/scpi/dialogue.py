"""Plays the dialogue that instrument/link/LINK.md prints, line by line, and compares the answers; runs
its Python; and computes its example of a frame. See `run`."""

import os
import re
import shlex
import socket
import subprocess
import tempfile
import unittest
import zlib
from pathlib import Path

from server import Server

PAGE = (Path(__file__).parents[2] / "instrument" / "link" / "LINK.md").read_text()
PORT = "127.0.0.1:5025"


def block(heading, language):
    """The text of the first block of code in a language below a heading."""
    section = PAGE.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    blocks = re.findall(r"^```(\w*)\n(.*?)^```$", section, re.M | re.S)
    return next(text for found, text in blocks if found == language)


class Dialogue(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        program = os.environ["STILLWAVE"]
        subprocess.run([program, "demo"], cwd=cls.folder.name, check=True, stdout=subprocess.DEVNULL)
        # As it is printed, but at a port that is free.
        command = block("By text", "sh").replace("\\\n", "")
        assert PORT in command, command
        words = shlex.split(command.replace(PORT, "127.0.0.1:0"))
        assert words[0] == "stillwave", words
        cls.server = Server([program, *words[1:]], cls.folder.name)
        cls.port = cls.server.port

    @classmethod
    def tearDownClass(cls):
        cls.server.stop()
        cls.folder.cleanup()

    def same(self, found, wanted):
        """Measured values within 2 %: one pulse of the recording is not quite as wide as another."""
        found, wanted = found.split(";"), wanted.split(";")
        self.assertEqual(len(found), len(wanted))
        for found, wanted in zip(found, wanted):
            if re.fullmatch(r"-?\d\.\d{8}E[+-]\d\d", wanted):
                self.assertRegex(found, r"^-?\d\.\d{8}E[+-]\d\d$")
                self.assertLess(abs(float(found) / float(wanted) - 1), 0.02, f"{found}, not {wanted}")
            else:
                self.assertEqual(found, wanted)

    def test_a_the_dialogue(self):
        with socket.create_connection(("127.0.0.1", self.port), timeout=10) as stream:
            lines = stream.makefile("rw", newline="\n")
            asked, answers = 0, 0
            for line in block("By text", "").splitlines():
                if line.startswith("> "):
                    lines.write(line[2:] + "\n")
                    lines.flush()
                    asked += 1
                else:
                    self.same(lines.readline().rstrip("\r\n"), line)
                    answers += 1
            self.assertEqual((asked, answers), (5, 3))
            # Nothing is said that the page does not print.
            lines.write("*OPC?\n")
            lines.flush()
            self.assertEqual(lines.readline(), "1\n")

    def test_b_the_python(self):
        code = block("By text", "python")
        self.assertIn("::5025::", code)
        code = code.replace("::5025::", f"::{self.port}::")
        said = []
        names = {"print": said.append}
        exec(compile(code, "LINK.md", "exec"), names)
        # Pulses from 0.2 V to 3 V.
        self.same(said[0], "2.80000000E+00")
        self.assertGreater(len(names["codes"]), 100)
        names["board"].close()

    def test_c_the_frame(self):
        rows = dict(line.split(maxsplit=1) for line in block("An example", "").splitlines())
        plain, sent = (bytes.fromhex(rows[name]) for name in ["plain", "sent"])
        # Version 1, number 0, message 4 (records) with yes; then the CRC of all that.
        head = bytes([1, 0, 0, 4, 1])
        self.assertEqual(plain, head + zlib.crc32(head).to_bytes(4, "little"))
        # COBS of less than 254 bytes: each stretch between zeros, after its length and 1.
        stuffed = b"".join(bytes([len(part) + 1]) + part for part in plain.split(b"\0"))
        self.assertEqual(sent, stuffed + b"\0")


if __name__ == "__main__":
    unittest.main()
