"""A cell or a heading of a hundred thousand signs is read or refused at once. Common practice, no source."""

import csv
import time
import zipfile
from io import StringIO
from pathlib import Path

import pytest

from office.importing.forms import FORMS
from office.importing.heading_units import stated, without, without_last_word
from office.importing.workbook import import_workbook
from tests.office.importing.books import CODE

LONG = 20_000
SIGNS = {
    "spaces": " ",
    "figures": "1",
    "brackets": "(",
    "commas": ", ",
    "words": "a ",
    "sizes": "1/2 x ",
    "quotes": "'",
}


def test_what_a_heading_states_in_brackets_is_read_as_before() -> None:
    assert [stated(one) for one in ("Gap (mm)", "Gap ( mm ) ", "Gap [mm]", "Gap, mm", "Gap", "Gap ()", "Gap ( )")] == [
        "mm", "mm", "mm", "mm", "", "", "",
    ]  # fmt: skip
    assert [without(one) for one in ("Gap (mm)", "Gap, mm ", "Gap (a) b")] == ["Gap ", "Gap", "Gap (a) b"]


@pytest.mark.parametrize("sign", SIGNS.values(), ids=SIGNS)
def test_a_long_heading_is_read_at_once(sign: str) -> None:
    begun = time.process_time()
    for read in (stated, without, without_last_word):
        for end in ("", "!", ")"):
            read("Gap (" + sign * LONG + end)
    assert time.process_time() - begun < 0.5


@pytest.mark.django_db
@pytest.mark.parametrize("sign", SIGNS.values(), ids=SIGNS)
def test_long_cells_in_every_column_are_read_or_refused_at_once(sign: str, tmp_path: Path) -> None:
    path, long = tmp_path / "plan.zip", "1 " + sign * (LONG // len(sign)) + "!"
    with zipfile.ZipFile(path, "w") as archive:
        for form in FORMS:
            said = StringIO()
            names = [column.name for column in form.columns]
            csv.writer(said).writerows([names, [long] * len(names), [*names[:1], *[long] * (len(names) - 1)]])
            archive.writestr(f"{form.name}.csv", said.getvalue())
    begun = time.process_time()
    assert import_workbook(path, CODE, by=None, may_create=True).faults
    assert time.process_time() - begun < 20
