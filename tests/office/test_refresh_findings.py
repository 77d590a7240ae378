"""Joints are judged by the settings of the job as they stand, whatever was read of it before."""

from dataclasses import replace
from typing import Any

import pytest
from django.utils import timezone

from joints.actions.record_passes import record_passes
from office.actions import refresh_findings
from office.actions.change_job import change_job, settings_of
from records.models import Job, Joint, Pass, SampleLot, Stamp, User, Work
from records.rebuild import differences
from tests.builders import JointBuilder, days_ago
from tests.records.test_lots import shoot, welded

__all__ = ["welded"]


def changed(job: Job, by: User, **settings: Any) -> None:
    now = Job.objects.get(pk=job.pk)
    change_job(replace(settings_of(now), **settings), job=now, by=by, reason="contract")


def stored_differences(job: Job) -> list[str]:
    return list(differences(Job.objects.get(pk=job.pk)))


def test_settings_that_change_during_the_work_hold_for_the_batches_that_follow(
    job: Job, welded: list[Joint], engineer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(refresh_findings, "BATCH", 1)
    monkeypatch.setattr("records.judging.AT_ONCE", 0)
    Joint.objects.filter(job=job).update(is_stale=True)
    told: list[str] = []

    def tell(step: str, *_: int) -> None:
        told.append(step)
        if len(told) == 2:
            changed(job, engineer, recording="parameters")

    asked = {"kind": "refresh findings", "asked_by": engineer, "asked_at": timezone.now()}
    first = Work.objects.create(job=Job.objects.get(pk=job.pk), **asked)
    refresh_findings.refresh_stale(first, tell)
    # The joint that was judged before the change waits for the work that the change asked for.
    assert Joint.objects.filter(is_stale=True).count() == 1
    refresh_findings.refresh_stale(Work.objects.filter(job=job).exclude(pk=first.pk).get(), lambda *_: None)
    assert not Joint.objects.filter(is_stale=True).exists()
    assert stored_differences(job) == []


def test_a_record_is_judged_by_settings_that_changed_after_its_job_was_read(
    job: Job, welded: list[Joint], stamp: Stamp, engineer: User, inspector: User
) -> None:
    read_before = Job.objects.get(pk=job.pk)
    for joint in welded[:2]:
        shoot(joint, job, inspector, "rejected")
    changed(job, engineer, first_batch="all")
    assert SampleLot.objects.get().extra_due == 2
    more = JointBuilder(sheet=welded[0].sheet)
    cap = Pass(joint=more, order=1, role="cap", stamp=stamp, process="GTAW", done_on=days_ago(1))
    record_passes([cap], job=read_before, by=engineer)
    assert SampleLot.objects.get().extra_due == 2
    assert stored_differences(job) == []
