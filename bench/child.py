"""Run a command as a process of its own, and take its time and its greatest memory."""

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
LOOK_S = 0.01


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
    peak_kb, ended = 0, 0
    while not ended:
        # What the system says at the end counts this process too, of which the other was made.
        peak_kb = max(peak_kb, _peak_kb(process.pid))
        time.sleep(LOOK_S)
        ended, status, used = os.wait4(process.pid, os.WNOHANG)
    wall = time.perf_counter() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, arguments)
    return Ran(wall, used.ru_utime + used.ru_stime, peak_kb * 1024 / 1e6)


def _peak_kb(pid: int) -> int:
    """The most memory that a process held so far, in KiB; nothing of one that has ended."""
    told = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    return next((int(line.split()[1]) for line in told.splitlines() if line.startswith("VmHWM:")), 0)
