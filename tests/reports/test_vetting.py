"""Looking into a PDF in a process of its own: what it may cost, whatever was sent."""

import subprocess
import sys
import time

import pytest

from reports.certificates import TOO_MUCH
from reports.vetting import MOST_MEMORY, MOST_SECONDS, ROOT, vetted
from tests.reports import bombs
from tests.reports.papers import certificate

# The same process, which tells on its way out how much it had at most, in kB (VmPeak of proc(5)).
TELLING = """
import sys
from reports import vetting
try:
    vetting._main()
finally:
    print(open("/proc/self/status").read().split("VmPeak:")[1].split()[0], file=sys.stderr)
"""
BOMBS = {
    "a gigabyte of blanks": lambda: bombs.object_stream(bombs.blanks, 1024),
    "packed twice": lambda: bombs.object_stream(bombs.blanks, 1024, twice=True),
    "thirty million arrays": lambda: bombs.object_stream(bombs.brackets, 60),
    "fifteen million arrays": lambda: bombs.object_stream(bombs.brackets, 30),
    "places without end": lambda: bombs.cross_references(400),
}


def test_a_paper_passes() -> None:
    assert vetted(certificate("MTR 4471", 3)) == []


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_gets_no_more_memory_and_time_than_a_paper_may(name: str) -> None:
    content = BOMBS[name]()
    assert len(content) < 2 * bombs.MEGABYTE
    began = time.monotonic()
    ran = subprocess.run([sys.executable, "-c", TELLING], input=content, cwd=ROOT, capture_output=True, check=False)
    assert time.monotonic() - began < 2 * MOST_SECONDS
    assert int(ran.stderr.split()[-1]) * 1024 <= MOST_MEMORY


@pytest.mark.parametrize("name", [name for name in BOMBS if name != "places without end"])
def test_a_bomb_is_refused_as_one(name: str) -> None:
    assert vetted(BOMBS[name]()) == [TOO_MUCH]


@pytest.mark.parametrize("filled", [b"", b"\n", b"\r\n\r\n", bytes(512), b"\x1a"])
def test_what_scanners_leave_behind_the_end_is_no_fault(filled: bytes) -> None:
    assert vetted(certificate("MTR 4471", 1) + filled) == []
