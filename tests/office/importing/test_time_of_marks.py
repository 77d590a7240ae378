"""Looking through the marks of cells takes time in proportion to the file, whatever stands in it. Common practice, no source."""

import time
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest

from office.importing.archive import Unreadable, broken_cells
from tests.hostile_bytes import sheet

FEW = 20_000
# A search that runs on to the end from each mark takes a hundred times as long, and of the few already minutes.
MOST_TIMES = 40
SAID = {
    "marks that never end": b"<c ",
    "errors without a value": b'<c r="A9" t="e"/>',
    "places in one mark": b' r="A9"',
    "formulas without an end": b'<c r="A9"><f>',
    "rows that never end": b"<row ",
    "quotes": b"<c r='\"",
    "room": b'<c r="A9"> ',
    "names without a value": b"<c a a",
    "other names": b"<x:c ",
    "values that are no places": b"<c><v>1</v>",
}


def seconds(path: Path, said: bytes, times: int) -> float:
    path.write_bytes(sheet(b'<row r="9">' + said * times + b"</row>"))
    begun = time.process_time()
    with zipfile.ZipFile(path) as archive, suppress(Unreadable):
        list(broken_cells(archive))
    return time.process_time() - begun


@pytest.mark.parametrize("said", SAID.values(), ids=SAID)
def test_ten_times_as_much_takes_no_hundred_times_as_long(said: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    few, many = (seconds(path, said, times) for times in (FEW, 10 * FEW))
    assert many < max(few, 0.02) * MOST_TIMES, (few, many)
