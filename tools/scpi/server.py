"""`stillwave live --scpi` in a folder of its own, for the tests beside it."""

import re
import subprocess


class Server:
    def __init__(self, words, folder):
        self.process = subprocess.Popen(
            words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, cwd=folder
        )
        said = self.process.stderr.readline()
        self.port = int(re.search(r"SCPI at 127\.0\.0\.1:(\d+)", said).group(1))

    def stop(self):
        self.process.terminate()
        self.process.wait()
        self.process.stderr.close()
