"""The benchmarks' job is what it says: clean, but for one joint in fifty, however it comes into the database."""

from pathlib import Path

import pytest
from django.db import transaction

from bench import stored, story, workbook
from office.importing.workbook import import_workbook
from records.models import Finding, FitUp, Job, Joint, Pass
from records.refresh import refresh

JOINTS = 100


def _sick(job: Job) -> list[tuple[str, str]]:
    found = Finding.objects.filter(job=job).order_by("joint__sort_key")
    return list(dict.fromkeys(found.values_list("joint__sheet__drawing", "joint__number")))


def _told() -> list[tuple[str, str]]:
    return [(one.drawing, one.number) for one in story.joints(JOINTS, 2) if one.problem]


def test_one_joint_in_fifty_has_a_problem() -> None:
    assert len(_told()) == stored.problems(JOINTS) == 2


@pytest.mark.django_db
def test_the_job_that_is_stored_has_findings_where_the_story_tells_of_problems() -> None:
    job = stored.store("TOLD", joints=JOINTS, lines=2).job
    with transaction.atomic():
        refresh(job, Joint.objects.filter(job=job).values_list("id", flat=True))
    assert _sick(job) == _told()


@pytest.mark.django_db
def test_the_workbook_tells_the_same(tmp_path: Path) -> None:
    file = tmp_path / "job.xlsx"
    workbook.write(file, joints=JOINTS, lines=2)
    outcome = import_workbook(file, workbook.CODE, by=None, may_create=True)
    job = Job.objects.get(code=workbook.CODE)
    assert not outcome.faults
    assert (Joint.objects.filter(job=job).count(), FitUp.objects.count(), Pass.objects.count()) == (100, 100, 300)
    assert _sick(job) == _told()
