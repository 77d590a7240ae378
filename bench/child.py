"""Run a command as a process of its own, and take its time and its greatest memory."""

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent


@dataclass(frozen=True, slots=True)
class Ran:
    """Seconds by the clock and of processor time, and the greatest memory held at once in MB (10^6 bytes)."""

    wall: float
    cpu: float
    peak_mb: float


def run(arguments: Sequence[str]) -> Ran:
    """Run Python with these arguments at the root of the repository. Raises CalledProcessError where it fails."""
    began = time.perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    wall = time.perf_counter() - began
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, arguments)
    return Ran(wall, used.ru_utime + used.ru_stime, used.ru_maxrss * 1024 / 1e6)
