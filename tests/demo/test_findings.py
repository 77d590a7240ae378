"""The demonstration, imported through the same door as any job, shows every problem that it lists and no other."""

import csv
import io
from collections import Counter

import pytest
from django.core.management import call_command

from demo.build_workbook import FOLDER, WORKBOOK
from demo.drawings import JOINTS
from demo.problems import OVERRIDDEN
from demo.works import JOB
from records.models import Finding, Joint

_STATES = {
    ".": "planned", "a": "planned", "f": "fitted", "i": "in progress", "W": "in progress", "w": "welded", "x": "rejected",
    "A": "accepted", "1": "accepted", "R": "released",
}  # fmt: skip

pytestmark = pytest.mark.django_db


def _expected() -> set[tuple[str, str, str]]:
    with (FOLDER / "expected_findings.csv").open() as file:
        return {(row["joint"], row["attempt"], row["code"]) for row in csv.DictReader(file)}


def _key(joint: Joint) -> str:
    return f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"


def _import() -> str:
    out = io.StringIO()
    call_command("import_workbook", str(WORKBOOK), job=JOB["code"], create=True, stdout=out)
    return out.getvalue()


def test_gives_the_listed_states_and_findings_and_no_other() -> None:
    _import()
    findings = Finding.objects.exclude(severity="note").select_related("joint__sheet")
    assert {(_key(one.joint), one.attempt, one.code) for one in findings} == _expected()
    assert {_key(one.joint) for one in findings.exclude(override=None)} == {OVERRIDDEN}
    states = Counter(Joint.objects.values_list("state", flat=True))
    assert states == Counter(_STATES[joint.state] for joint in JOINTS.values())


def test_importing_again_changes_nothing() -> None:
    _import()
    assert "Nothing changed" in _import()
