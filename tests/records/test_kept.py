"""What a batch that makes a job keeps of its records is what the database would give back."""

from typing import Any

import pytest
from django.core.management import call_command

from demo.build_workbook import WORKBOOK
from demo.works import JOB
from records import batch as batch_of_work
from records.facts import COLUMNS, in_batches, joint_facts
from records.kept import Kept, order_of
from records.lookups import Keys
from records.models import Attendance, FitUp, Job, Joint, Pass
from records.papers import Library
from records.refresh import refresh
from records.texts import values
from tests.builders import days_ago

pytestmark = pytest.mark.django_db


def test_the_demonstration_is_judged_by_what_was_written(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Kept] = []

    def refreshing(*given: Any, kept: Kept | None = None) -> None:
        assert kept is not None
        seen.append(kept)
        refresh(*given, kept=kept)

    monkeypatch.setattr(batch_of_work, "refresh", refreshing)
    call_command("import_workbook", str(WORKBOOK), job=JOB["code"], create=True)
    (kept,), ids = seen, list(Joint.objects.values_list("id", flat=True))
    for model, columns in COLUMNS.items():
        stored = model._default_manager.order_by("joint_id", *order_of(model)).values_list(*columns)
        assert sorted(map(repr, kept.rows(model, ids))) == sorted(map(repr, stored)), model.__name__
        # Nobody attends a hold point in the demonstration.
        assert stored or model is Attendance, f"the demonstration has no {model.__name__}"
    library = Library(Job.objects.get())
    for some in in_batches(ids):
        assert joint_facts(library, some, kept=kept) == joint_facts(library, some)


def test_records_of_one_joint_stand_in_their_order_and_corrections_with_what_they_replace(joint: Joint) -> None:
    kept = Kept(COLUMNS)
    late, early = (Pass(joint=joint, done_on=days_ago(day), order=1) for day in (1, 3))
    second = Pass(joint=joint, done_on=days_ago(3), order=2, replaces=early)
    for one in (late, second, early):
        one.recorded_at = early.recorded_at
    kept.keep([late, second])
    kept.keep([early])
    kept.keep([FitUp(joint=joint, done_on=days_ago(9))])
    assert [row[0] for row in kept.rows(Pass, Keys([joint.id]))] == values([early, second, late], "id")
    assert not kept.rows(Pass, [])
