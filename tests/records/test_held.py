"""Joints of a job that is made in one batch are written once, and as if they had been written and then judged."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from openpyxl import load_workbook

from demo.build_workbook import WORKBOOK
from demo.works import JOB
from office.importing import applying
from records import bulk, meanwhile
from records.facts import OF_JOINT
from records.held import HeldJoints
from records.meanwhile import unhurried
from records.models import Finding, FitUp, Job, Joint, Sheet
from records.models.base import new_id
from rules.lots import LOT_CODES

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="On SQLite nothing goes on meanwhile"),
]
JOINTS = 161


def test_what_is_held_is_what_the_database_would_give_back() -> None:
    call_command("import_workbook", str(WORKBOOK), job=JOB["code"], create=True)
    job, held = Job.objects.get(), HeldJoints()
    joints = list(Joint.objects.all())
    with unhurried():
        assert held.hold(joints)
        ids = held.take()
        rows = held.reader(OF_JOINT)(ids)
    stored = Joint.objects.filter(job=job).values_list(*OF_JOINT)
    assert sorted(map(repr, rows)) == sorted(map(repr, stored))
    assert len(ids) == len(joints) > 100


def test_a_job_is_the_same_whether_its_joints_are_held_back_or_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stored: list[Sequence[str]] = []
    with monkeypatch.context() as patched:
        update = bulk.update
        patched.setattr(
            bulk, "update", lambda model, columns, rows: stored.append(columns) or update(model, columns, rows)
        )
        held = _imported(tmp_path, "HELD")
    assert Joint.DERIVED not in stored, "a joint is written once, with its state"
    with monkeypatch.context() as patched:
        patched.setattr(meanwhile, "hold_back", lambda *_: False)
        at_once = _imported(tmp_path, "ONCE")
    with monkeypatch.context() as patched:
        _ask_before(patched, "Passes")
        asked_for = _imported(tmp_path, "ASKED")
    assert _said_of(held) == _said_of(at_once) == _said_of(asked_for)
    states = {state for _, state, *_ in _said_of(held)[0]}
    assert states == {"planned", "fitted", "in progress", "welded", "rejected", "accepted"}
    assert set(LOT_CODES) & {code for _, code, *_ in _said_of(held)[1]}, "no lot has a finding"
    for job in (held, at_once, asked_for):
        call_command("verify_journal", job=job.code)
        call_command("rebuild_state", job=job.code, check=True)


def test_what_is_held_is_written_before_anybody_asks_the_database() -> None:
    call_command("import_workbook", str(WORKBOOK), job=JOB["code"], create=True)
    more = _copies_of_a_joint(5)
    fit_ups = list(map(_fit_up, more[:3]))
    count, held = Joint.objects.count(), HeldJoints()
    with unhurried():
        assert held.hold(more[:3])
        bulk.insert(fit_ups)
        assert Joint.objects.count() == count + 3
        assert not held
        assert not held.hold(more[3:]), "those who come later must not be judged without the first"


def test_a_record_on_a_joint_that_never_came_fails_the_whole() -> None:
    call_command("import_workbook", str(WORKBOOK), job=JOB["code"], create=True)
    came, lost = _copies_of_a_joint(2)
    fit_up, held = _fit_up(lost), HeldJoints()
    with pytest.raises(IntegrityError, match="is not present"), transaction.atomic(), unhurried():
        held.hold([came])
        bulk.insert([fit_up])
        # As long as joints are to come, nobody says that one is missing.
        bulk.check_references(1)
        assert held.take() == [came.pk]
        Sheet.objects.count()
        held.write()
        bulk.check_references(bulk.COPY_FROM)
        Joint.objects.count()
    assert not Joint.objects.filter(pk=came.pk).exists()


def _copies_of_a_joint(count: int) -> list[Joint]:
    rows = [Joint.objects.order_by("sort_key")[0] for _ in range(count)]
    for place, row in enumerate(rows):
        row.pk, row.number = new_id(), f"9{place}"
    return rows


def _fit_up(joint: Joint) -> FitUp:
    row = FitUp.objects.filter(replaces__isnull=True)[0]
    row.pk, row.joint_id = new_id(), joint.pk
    return row


def _imported(folder: Path, code: str) -> Job:
    """The demonstration without what is read back of a new job, so that its joints are held to the end."""
    book, file = load_workbook(WORKBOOK), folder / f"{code}.xlsx"
    for name in (
        "Assignments",
        "Overrides",
        "Corrections",
        "Releases",
        "Attendances",
        "Lot moves",
        "Confirmations",
        "Piece events",
        "Spool steps",
    ):
        del book[name]
    header = [cell.value for cell in book["Job"][1]]
    book["Job"].cell(2, header.index("code") + 1, code)
    book.save(file)
    call_command("import_workbook", str(file), job=code, create=True)
    return Job.objects.get(code=code)


def _ask_before(patched: pytest.MonkeyPatch, sheet: str) -> None:
    act = applying._ACTIONS[sheet]

    def asking(*given: Any, **more: Any) -> Any:
        assert Joint.objects.filter(is_stale=True).count() == JOINTS
        return act(*given, **more)

    patched.setitem(applying._ACTIONS, sheet, asking)


def _said_of(job: Job) -> tuple[list[Any], list[Any]]:
    """What is stored of the joints and their findings, by names rather than keys."""
    columns = [name for name in Joint.DERIVED if name != "assigned"]
    joints = (
        Joint.objects.filter(job=job).order_by("sort_key").values_list("sort_key", *columns, "od_mm", "heat_a__number")
    )
    findings = Finding.objects.filter(job=job).order_by("sort_key", "code", "message")
    return list(joints), list(findings.values_list("sort_key", "code", "message", "severity", "since"))
