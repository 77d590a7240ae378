"""One cell switches each finding on; every kind of bad input is refused whole; odd names are kept to the letter."""

from pathlib import Path

import pytest

from office.importing.workbook import Outcome, import_workbook
from records.models import Finding, Job, Joint, Welder
from tests.office.bad_input import FAULTS, HARMLESS, Fault, Harmless
from tests.office.workbooks import FINDING_SWITCHES, SHOP_SWITCHES, change, small_workbook, workbook_with_shop

pytestmark = pytest.mark.django_db


def _import(content: bytes, folder: Path, file_name: str = "small.xlsx") -> Outcome:
    path = folder / file_name
    path.write_bytes(content)
    return import_workbook(path, "J-1", by=None, may_create=True)


def test_the_clean_workbook_gives_no_finding(tmp_path: Path) -> None:
    assert _import(small_workbook(), tmp_path).faults == []
    assert not Finding.objects.exists()
    states = Joint.objects.order_by("sort_key").values_list("state", flat=True)
    assert list(states) == ["released"] * 5 + ["planned"]


@pytest.mark.parametrize("code", FINDING_SWITCHES)
def test_one_cell_switches_the_finding_on(code: str, tmp_path: Path) -> None:
    outcome = _import(small_workbook(change(*FINDING_SWITCHES[code])), tmp_path)
    assert outcome.faults == []
    assert Finding.objects.filter(code=code).exists()


def test_the_workbook_with_its_shop_gives_no_finding(tmp_path: Path) -> None:
    assert _import(workbook_with_shop(), tmp_path).faults == []
    assert not Finding.objects.exists()


@pytest.mark.parametrize("code", SHOP_SWITCHES)
def test_one_cell_of_the_shop_switches_the_finding_on(code: str, tmp_path: Path) -> None:
    assert _import(workbook_with_shop(change(*SHOP_SWITCHES[code])), tmp_path).faults == []
    assert Finding.objects.filter(code=code).exists()


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_bad_input_is_refused_with_its_cell_and_writes_nothing(fault: Fault, tmp_path: Path) -> None:
    outcome = _import(fault.content, tmp_path, fault.file_name)
    place = f"{fault.sheet}!{fault.cell}:" if fault.cell else fault.sheet
    said = [line for line in outcome.faults if place in line]
    assert any(fault.word.casefold() in line.casefold() for line in said), outcome.faults
    assert not Job.objects.exists()


@pytest.mark.parametrize("harmless", HARMLESS, ids=lambda harmless: harmless.name)
def test_an_odd_but_true_name_is_kept_to_the_letter(harmless: Harmless, tmp_path: Path) -> None:
    assert _import(harmless.content, tmp_path, harmless.file_name).faults == []
    assert Welder.objects.filter(name=harmless.welder).exists()
